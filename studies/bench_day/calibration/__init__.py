"""The quality of a glue from breaks."""
