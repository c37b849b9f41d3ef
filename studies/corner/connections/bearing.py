"""What only bears, up to a plateau, and never lets go: walls of holes, heads, hinges of steel that bends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from glueline.fem.bearing_law import BearingLaw
from glueline.geometries import HoleBond, Reach
from glueline.studies.corner.connections.connection import Array, Hold
from glueline.studies.corner.limit import NOTHING, BreaksIn, Limit, as_point

NO_EDGES = np.empty((0, 3), dtype=np.int64), np.empty(0, dtype=np.int64)
REACH = 1.0
"""mm of giving way that count as a whole jump in the length of a step."""


@dataclass(frozen=True)
class Bearing(Hold):
    """Points of a fastener ``at`` a stretch of its axis that bear across it, along it, or against a turn.

    ``strength`` in MPa is where they give for good, ``hardening`` in N/mm3 its rise from there; without
    ``both_ways`` they bear pressure only.
    """

    kind: ClassVar[str] = "bearing"
    modes: ClassVar[Mapping[str, str]] = {
        "bearing of the dowel": "The walls of the holes are crushed",
        "bearing of the screw": "The walls of the holes are crushed",
        "bearing of the fitting": "The walls of the slots are crushed",
        "crushing under the head": "The wood under the heads is crushed",
        "bending of the screw": "The screws bend",
    }
    breaks_in: ClassVar[BreaksIn] = "fastener"

    at: HoleBond | Reach
    mode: str
    strength: float
    hardening: float
    both_ways: bool = True

    @property
    def part(self) -> str:
        """What an answer says has given: the fasteners in that board."""
        return self.at.name

    @property
    def bears_one_way(self) -> bool:
        return not self.both_ways

    def place_at(self, point: int) -> str:
        return self.at.place_at(as_point(self.surface.points[point]))

    def tractions(self, u: Array) -> Array:
        return pressure_only(self.surface.tractions(u)) if self.bears_one_way else self.surface.tractions(u)

    def share_of_strength(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def law(self, crushing: bool = True) -> BearingLaw:
        stiffness = self.surface.stiffness[:, 1, 1]
        strength = np.array([self.strength if crushing else np.inf])
        hardening = self.hardening if crushing else 0.0
        return BearingLaw(stiffness, strength, hardening, both_ways=self.both_ways, reach=REACH)

    @property
    def excess(self) -> float:
        return 1.0

    def second_part(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def mode_of(self, second_part: float) -> str:
        return self.mode

    @property
    def cov(self) -> float:
        """None of its own: what it bears goes with the stiffness of the wood."""
        return 0.0

    @property
    def scatter_row(self) -> str:
        """None of the glue's."""
        return ""

    def scaled(self, factor: float) -> Self:
        return self

    def growth_to(self, other: Self) -> float:
        return other.strength / self.strength


@dataclass(frozen=True)
class Hinges(Bearing):
    """Hinges by which the steel of a fastener bends for good: ``strength`` stands for its plastic moment."""

    def share_of_fastener(self, traction: Array) -> Array:
        return np.asarray(np.abs(traction[:, 1]) / self.strength)


@dataclass(frozen=True)
class Head(Bearing):
    """Heads that press on a board: ``plug`` is the force in N that shears out the wood before all of them."""

    limits_wood: ClassVar[bool] = True
    plug: float = np.inf

    def share_of_fastener(self, traction: Array) -> Array:
        return np.full(len(traction), self._pressing(traction) / self.plug)

    def _pressing(self, traction: Array) -> float:
        """Force in N with which all heads press on the board."""
        return float(-np.minimum(traction[:, 1], 0.0) @ self.surface.weight)

    def wood_limits(self, traction: Array) -> tuple[Limit, ...]:
        force = self._pressing(traction)
        if force <= NOTHING:
            return ()
        return (
            Limit(
                kind="fastener",
                part=self.surface.minus,
                mode="plug before the head",
                where=self.place_at(0),
                load=self.plug / force,
                point=as_point(self.surface.points[0]),
                length=self.at.length,
            ),
        )


def pressure_only(traction: Array) -> Array:
    """Of local tractions (p, 2) the pressure square to the faces alone."""
    return np.stack([np.zeros(len(traction)), np.minimum(traction[:, 1], 0.0)], axis=1)
