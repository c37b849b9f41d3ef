"""One corner: its specimen, its arrangements, what holds it together, and the model that is solved."""
