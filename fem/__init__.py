"""Plane orthotropic finite elements with bonded surfaces. Knows nothing of joints, woods or files."""
