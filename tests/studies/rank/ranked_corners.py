"""Corners as a ranking keeps them, for the tests of rankings; what is not predicted is invented."""

from __future__ import annotations

from msgspec import structs

from glueline.studies.rank.ranking import RankedCorner
from glueline.studies.rank.ranking_maps import CornerField

Made = tuple[RankedCorner, CornerField]


def corner(label: str, load: float, band: tuple[float, float] | None, like: RankedCorner) -> RankedCorner:
    """A corner of that load and band, in all else like another."""
    moment = like.arm * load / 1000
    return structs.replace(
        like, label=label, file=f"{label}.toml", break_load=load, break_moment_Nm=moment, band=band
    )
