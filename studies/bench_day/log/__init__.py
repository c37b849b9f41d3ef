"""The log of a bench day: read, and never lost."""
