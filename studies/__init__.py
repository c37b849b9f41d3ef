"""Studies: read a specimen, predict, draw, report, and the command line."""
