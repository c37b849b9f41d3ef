"""The version of Glueline that is at work."""

from __future__ import annotations


def glueline_version() -> str:
    """The installed version, or that it runs from a checkout."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("glueline")
    except PackageNotFoundError:
        return "not installed"
