"""A page of this machine alone, on which a corner is changed, loaded and broken while one looks."""
