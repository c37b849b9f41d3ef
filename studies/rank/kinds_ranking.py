"""Every kind of joint on one corner's boards: what is compared, and how it is written and read back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from msgspec import Struct, structs
from msgspec import field as json_field

from glueline.studies.files.json_text import Number
from glueline.studies.rank.count_orders import OtherCount
from glueline.studies.rank.effort import Effort, effort_of
from glueline.studies.rank.every_kind import KindEntry, NotCompared
from glueline.studies.rank.ranking import RankedCorner
from glueline.studies.rank.ranking_file import RankingFile, ranking_file


class ComparedKind(Struct, frozen=True, kw_only=True):
    """A kind by the label of its corner: the measures taken for it by their keys, as they would be typed, and
    what it costs. ``as_in_file`` for the file's own, whose measures here are what the file leaves out.
    """

    kind: str
    as_in_file: bool
    filled_in: dict[str, Any]
    effort: Effort
    load_per_glue_area: Number | None = json_field(name="load_per_glue_area_N_per_mm2")
    load_per_cut: Number | None = json_field(name="load_per_cut_N")


class KindsFile(RankingFile, frozen=True, kw_only=True):
    """A ranking of every kind: kinds as their corners, those that do not fit, and orders that counts turn."""

    kinds: tuple[ComparedKind, ...]
    not_compared: tuple[NotCompared, ...]
    other_counts: tuple[OtherCount, ...]


@dataclass
class KindsRanking:
    """What is known of every kind, in the order of the ranking's corners; filled as they are predicted."""

    entries: list[KindEntry] = field(default_factory=list)
    not_compared: list[NotCompared] = field(default_factory=list)
    other_counts: tuple[OtherCount, ...] = ()


def compared_kinds(kinds: KindsRanking, corners: Sequence[RankedCorner]) -> tuple[ComparedKind, ...]:
    """The kinds with what they cost, as their corners come."""
    return tuple(_compared(entry, corner) for entry, corner in zip(kinds.entries, corners, strict=True))


def _compared(entry: KindEntry, corner: RankedCorner) -> ComparedKind:
    effort = effort_of(entry.specimen, corner)
    cuts = effort.cut_number
    return ComparedKind(
        kind=entry.label,
        as_in_file=entry.as_in_file,
        filled_in={f"joint.{each.key}": each.as_typed for each in entry.filled},
        effort=effort,
        load_per_glue_area=corner.break_load / effort.glue_area if effort.glue_area else None,
        load_per_cut=corner.break_load / cuts if cuts else None,
    )


def kinds_file(kinds: KindsRanking, corners: Sequence[RankedCorner]) -> KindsFile:
    """The ranking of every kind as it is written."""
    return KindsFile(
        **structs.asdict(ranking_file(corners)),
        kinds=compared_kinds(kinds, corners),
        not_compared=tuple(kinds.not_compared),
        other_counts=kinds.other_counts,
    )
