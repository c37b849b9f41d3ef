"""A ranking as it is written and read back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from msgspec import Meta, Struct

from glueline.studies.rank.range_orders import OrderOverRanges, orders_over_ranges
from glueline.studies.rank.ranking import RankedCorner, strongest_first

RANKING_FILE = "ranking.json"


class RankingFile(Struct, frozen=True, kw_only=True):
    """Every corner as they came, the labels strongest first, and which orders judged glue values leave."""

    corners: Annotated[tuple[RankedCorner, ...], Meta(min_length=1)]
    order: tuple[str, ...]
    orders_over_ranges: tuple[OrderOverRanges, ...]


def ranking_file(corners: Sequence[RankedCorner]) -> RankingFile:
    """A ranking as it is written."""
    return RankingFile(
        corners=tuple(corners),
        order=tuple(each.label for each in strongest_first(corners)),
        orders_over_ranges=orders_over_ranges(corners),
    )
