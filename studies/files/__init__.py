"""Text in and out: TOML, units both ways, makers' own wood and glue files, errors in a maker's words."""
