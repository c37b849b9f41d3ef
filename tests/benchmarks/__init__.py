"""Measurements: run by hand or by CI, never passed or failed on time."""
