"""At what load a corner breaks, where, how and why."""
