"""A split line: the two sides of one piece, held along its grain by the wood itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import ClassVar, Self

import numpy as np

from glueline.fem.line_law import LineLaw
from glueline.fem.model import Model
from glueline.fem.slit import Slit
from glueline.fem.ties import BondLine
from glueline.geometries import Layout, SplitLine
from glueline.geometries.layout import distance_to_segment
from glueline.studies.corner.connections.connection import BRITTLE, Array, Flags, Hold
from glueline.studies.corner.critical_length import CriticalLengths, wood_lengths
from glueline.studies.corner.limit import BreaksIn, as_point
from glueline.studies.corner.piece import PieceWood

# As soft as so many mm of the wood beside it: a thousandth of a board, which the corner does not feel.
SOFT_AS = 0.02

# Wood splits no second time beside a split: it has been relieved over about a critical length on either side.
SHADOW = 1.0


@dataclass(frozen=True)
class WoodSplit(Hold):
    """A split line. Local tractions are shear and opening; its second way to give is shear along the grain.

    ``strengths`` are those of the wood across its grain and in shear along it (MPa), ``toughnesses`` those of
    splitting and of shear (N/mm); ``places`` (p,) names where its points lie in the piece.
    """

    kind: ClassVar[str] = "split line"
    modes: ClassVar[Mapping[str, str]] = {
        "splitting": "The wood splits along its grain",
        "shear along the grain": "The wood shears along its grain",
    }
    breaks_in: ClassVar[BreaksIn] = "wood"

    joining: SplitLine
    strengths: tuple[float, float]
    toughnesses: tuple[float, float]
    places: tuple[str, ...]

    @classmethod
    def along(
        cls, line: SplitLine, piece: PieceWood, width: Array, slit: Slit, layout: Layout, model: Model
    ) -> Self:
        """The wood of ``piece`` along a ``slit`` of its body; ``width`` (e,) in mm across the plane."""
        wood, solid = piece.wood, piece.constants.solid
        stiffness = solid.modulus_2 / SOFT_AS, solid.shear_modulus_12 / SOFT_AS
        tie = BondLine(line.name, piece.name, piece.name, slit.right, width, *stiffness, slit.left)
        surface = tie.surface(model)
        own = layout.piece(piece.name)
        return cls(
            (piece, piece),
            surface,
            slit.right,
            np.empty(0, dtype=np.int64),
            line,
            (wood.tension_across, wood.shear_strength),
            (wood.splitting_toughness, wood.shear_toughness),
            tuple(layout.place_in(own, as_point(point)) for point in surface.points),
        )

    @property
    def piece(self) -> PieceWood:
        """Whose split it is."""
        return self.sides[0]

    @property
    def part(self) -> str:
        """What an answer says has given: the piece."""
        return self.piece.name

    def place_at(self, point: int) -> str:
        return self.places[point]

    @cached_property
    def lengths(self) -> CriticalLengths:
        """Critical lengths of the wood for splitting and for shear."""
        (opening, shear), (first, second) = self.strengths, self.toughnesses
        return wood_lengths(self.piece.constants, (opening, first), (shear, second))

    def share_of_strength(self, traction: Array) -> Array:
        opening = np.maximum(traction[:, 1], 0.0) / self.strengths[0]
        return np.hypot(opening, traction[:, 0] / self.strengths[1])

    def law(self, crushing: bool = True) -> LineLaw:
        """Its law; its sides carry no more than the wood beside them, so they never crush."""
        opening, shear = self.strengths
        first, second = self.toughnesses
        return LineLaw(
            self.surface.stiffness,
            np.array([opening]),
            np.array([shear]),
            np.array([first * self.excess]),
            np.array([second * self.excess]),
        )

    @cached_property
    def excess(self) -> float:
        shear, opening = np.diag(self.surface.stiffness[0])
        stored = self.strengths[0] ** 2 / (2.0 * opening), self.strengths[1] ** 2 / (2.0 * shear)
        worst = max(
            float(energy / toughness) for energy, toughness in zip(stored, self.toughnesses, strict=True)
        )
        return max(1.0, BRITTLE * worst)

    def second_part(self, traction: Array) -> Array:
        sliding = (traction[:, 0] / self.strengths[1]) ** 2
        opening = (np.maximum(traction[:, 1], 0.0) / self.strengths[0]) ** 2
        return np.asarray(sliding / np.maximum(sliding + opening, 1e-300))

    def mode_of(self, second_part: float) -> str:
        return "shear along the grain" if second_part > 0.5 else "splitting"

    @property
    def cov(self) -> float:
        return float(self.piece.wood.cov["tension_across"])

    @property
    def scatter_row(self) -> str:
        """The wood: strength and toughness of a split scatter with its tension across the grain."""
        return self.piece.wood.name

    def scaled(self, factor: float) -> Self:
        (opening, shear), (first, second) = self.strengths, self.toughnesses
        return replace(
            self,
            strengths=(opening * factor, shear * factor),
            toughnesses=(first * factor, second * factor),
        )

    def growth_to(self, other: Self) -> float:
        before, after = (*self.strengths, *self.toughnesses), (*other.strengths, *other.toughnesses)
        return max(float(b / a) for a, b in zip(before, after, strict=True))

    def shades(self, points: Array) -> Flags:
        """Which places (n, 2) of its piece it relieves as it opens, so that no further split begins there."""
        away = distance_to_segment(points, self.joining.start, self.joining.end)
        return np.asarray(away <= SHADOW * self.lengths.opening)
