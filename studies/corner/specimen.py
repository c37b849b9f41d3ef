"""A corner to be broken: the joint, its boards, woods, glue and how it is loaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from glueline.geometries import Boards
from glueline.materials import Glue, Wood, Workmanship
from glueline.studies.corner.arrangements import LoadArrangement


@dataclass(frozen=True)
class Specimen:
    """One corner, checked. Lengths in mm, moisture in percent.

    ``joint`` holds the parameters of ``JOINTS[kind]``; the woods are at the stated moisture; ``spline_wood``
    is None where the joint has no splines or they are of board A's wood. ``as_read`` is the specimen file
    with all changes, to be written out again; paths in it are absolute.

    ``load_off_line`` in mm says how far the load misses its line, above zero toward the longer lever arm.
    """

    path: str
    kind: str
    joint: Any
    boards: Boards
    wood_a: Wood
    wood_b: Wood
    spline_wood: Wood | None
    sawn: Literal["flat", "quarter"]
    moisture: float
    glue: Glue
    workmanship: Workmanship
    arrangement: LoadArrangement
    load_off_line: float = 0.0
    warnings: tuple[str, ...] = ()
    as_read: Mapping[str, Any] = field(default_factory=dict, hash=False, compare=False)

    @property
    def moment_per_load(self) -> float:
        """Moment in N mm at the inner corner for P = 1 N."""
        return self.arrangement.moment_per_load(self.boards, self.load_off_line)
