"""The version of Glueline that is at work."""

from __future__ import annotations


def glueline_version() -> str:
    """The installed version, or that it is not installed."""
    from glueline.studies.show.record import versions

    return versions()["glueline"]
