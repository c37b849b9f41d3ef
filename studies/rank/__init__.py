"""Several corners side by side."""
