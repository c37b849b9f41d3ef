"""What a bought fastener grips by along its axis: the thread of screws, the two halves of a fitting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi
from typing import ClassVar, Self

import numpy as np

from glueline.fem.fastener import FastenerBond
from glueline.fem.line_law import LineLaw
from glueline.geometries import Reach
from glueline.studies.corner.connections.connection import BRITTLE, Array, Hold
from glueline.studies.corner.limit import NOTHING, BreaksIn, Limit, as_point


@dataclass(frozen=True)
class GripShares:
    """Shares of what a grip is taken to hold by: an end of what can be believed of it, as one judgement."""

    stiffness: float = 1.0
    strength: float = 1.0
    toughness: float = 1.0


@dataclass(frozen=True)
class Grip(Hold):
    """A grip along the axis in one board, which slips and softens: no glue, and it outlives the glue.

    ``shear_strength`` in MPa and ``shear_toughness`` in N/mm stand for the forces of one fastener over the
    rim that its tie has. Of a local traction only the first, along the axis, is there.
    """

    kind: ClassVar[str] = "grip"
    modes: ClassVar[Mapping[str, str]] = {
        "withdrawal of the thread": "The threads pull out",
        "pull-out of the fitting": "The fittings pull out",
    }
    breaks_in: ClassVar[BreaksIn] = "fastener"

    at: Reach
    mode: str
    shear_strength: float
    shear_toughness: float
    variation: float
    row: str
    believed: tuple[GripShares, GripShares] = (GripShares(), GripShares())

    @property
    def part(self) -> str:
        """What an answer says has given: the fasteners in that board."""
        return self.at.name

    def place_at(self, point: int) -> str:
        return self.at.place_at(as_point(self.surface.points[point]))

    def share_of_strength(self, traction: Array) -> Array:
        return np.asarray(np.abs(traction[:, 0]) / self.shear_strength)

    def share_of_fastener(self, traction: Array) -> Array:
        return self.share_of_strength(traction)

    def law(self, crushing: bool = True) -> LineLaw:
        """Straight down once it slips."""
        strength, toughness = np.array([self.shear_strength]), np.array([self.shear_toughness * self.excess])
        return LineLaw(self.surface.stiffness, strength, strength, toughness, toughness)

    @property
    def excess(self) -> float:
        stored = self.shear_strength**2 / (2.0 * float(self.surface.stiffness[0, 0, 0]))
        return max(1.0, BRITTLE * stored / self.shear_toughness)

    def second_part(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def mode_of(self, second_part: float) -> str:
        return self.mode

    @property
    def cov(self) -> float:
        return self.variation

    def elastic_limit(self, traction: Array) -> Limit:
        """The mean of the pull along the whole of it: what it comes to, since it lets go softly."""
        mean = float(np.average(np.abs(traction[:, 0]), weights=self.surface.weight))
        worst = int(np.abs(traction[:, 0]).argmax())
        return Limit(
            kind=self.breaks_in,
            part=self.part,
            mode=self.mode,
            where=self.place_at(worst),
            load=self.shear_strength / max(mean, NOTHING),
            point=as_point(self.surface.points[worst]),
            length=self.at.length,
            note="mean over the whole length of the grip",
        )

    @property
    def scatter_row(self) -> str:
        """The withdrawal of screws, or the pull of fittings."""
        return self.row

    def scaled(self, factor: float) -> Self:
        strength, toughness = factor * self.shear_strength, factor * self.shear_toughness
        return replace(self, shear_strength=strength, shear_toughness=toughness)

    @property
    def believed_ends(self) -> tuple[Self, Self]:
        weak, strong = (self._at(each) for each in self.believed)
        return weak, strong

    def _at(self, shares: GripShares) -> Self:
        """The same with those shares of its stiffness, strength and toughness."""
        return replace(
            self,
            surface=replace(self.surface, stiffness=shares.stiffness * self.surface.stiffness),
            shear_strength=shares.strength * self.shear_strength,
            shear_toughness=shares.toughness * self.shear_toughness,
        )

    def growth_to(self, other: Self) -> float:
        return max(other.shear_strength / self.shear_strength, other.shear_toughness / self.shear_toughness)


@dataclass(frozen=True)
class Pull:
    """What one fastener does when pulled along its axis: ``stiffness`` N/mm, ``strength`` N, and the
    ``slip`` in mm past its strength over which it lets go.
    """

    stiffness: float
    strength: float
    slip: float

    def over(self, bond: FastenerBond) -> tuple[float, float, float]:
        """Stiffness in N/mm3, strength in MPa, toughness in N/mm over the rim of a tie."""
        rim = pi * bond.diameter * (bond.end - bond.start)
        return self.stiffness / rim, self.strength / rim, 0.5 * self.strength * self.slip / rim
