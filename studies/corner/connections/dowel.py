"""A dowel in its hole: the glue along it, and the walls of the hole that bear on it across."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import atan2, pi
from typing import ClassVar, Self

import numpy as np

from glueline.fem.bond_compliance import bond_compliance
from glueline.fem.fastener import FastenerBond, HoleWalls
from glueline.fem.line_law import LineLaw
from glueline.fem.model import Model
from glueline.fem.softening import share_before_kink
from glueline.geometries import HoleBond, Reach
from glueline.geometries.mesh import LayoutMesh
from glueline.materials import (
    DowelBond,
    Glue,
    Provenance,
    Workmanship,
    dowel_bond,
    embedment_hardening,
    embedment_strength,
    wall_stiffness,
)
from glueline.studies.corner.connections.bearing import NO_EDGES, Bearing
from glueline.studies.corner.connections.connection import BRITTLE, Array, Connection, Curve
from glueline.studies.corner.limit import NOTHING, Limit, as_point
from glueline.studies.corner.material_values import MaterialValue, recorded_value
from glueline.studies.corner.piece import PieceWood

NUMBERS = ("shear_strength", "shear_toughness")
SPREADING = 0.5
"""Share of what the force spreads to beside a dowel that counts: it turns back at the mouth, whose face has
opened (own 3D corner, 0.5; pull-outs 0.2 to 0.4)."""
RULE = Provenance(
    "mean over the rim of a hole, by the grain of the board and of the dowel, ended by what was read for "
    "glued dowels: see materials/dowel_bond.py",
    "derived",
)


@dataclass(frozen=True)
class GluedDowel(Connection):
    """Dowels glued into one board. Of a local traction only the first, along the axis, is there."""

    kind: ClassVar[str] = "glued dowels"
    modes: ClassVar[Mapping[str, str]] = {"bond along the dowel": "The glue along the dowels shears"}

    joining: HoleBond
    bond: DowelBond

    @classmethod
    def laid(
        cls,
        joining: HoleBond,
        sides: tuple[PieceWood, ...],
        glue: Glue,
        workmanship: Workmanship,
        mesh: LayoutMesh,
        model: Model,
    ) -> Self:
        """The bond of dowels in a board, ``sides`` board and dowel, on the beam of that name in ``model``."""
        board, rod = sides
        made = dowel_bond(glue, board.wood, axis_to_grain(joining, board), rod.wood, workmanship)
        beam = model.beam(joining.plus)
        start, end = ((np.array(place) - beam.start) @ beam.axes[0] for place in (joining.start, joining.end))
        compliance = bond_compliance(
            joining.diameter,
            joining.spacing,
            made.shear_stiffness,
            rod.constants.solid.shear_modulus_12,
            shear_moduli(joining, board),
            joining.to_free_faces,
            SPREADING,
        )
        tie = FastenerBond(
            joining.name,
            joining.minus,
            joining.plus,
            max(float(start), 0.0),
            min(float(end), float(beam.stations[-1])),
            joining.diameter,
            1.0 / (pi * joining.diameter * compliance),
        )
        return cls(sides, tie.surface(model), *NO_EDGES, joining, made)

    @property
    def legend(self) -> str:
        """Kind, count and name."""
        return f"{self.joining.number} glued: {self.name}"

    @property
    def cov(self) -> float:
        return self.bond.cov

    @property
    def effects(self) -> tuple[str, ...]:
        return self.bond.effects

    @cached_property
    def distance(self) -> Array:
        """Distance (p,) in mm of every point from the start of the hole, along the axis."""
        start, end = np.array(self.joining.start), np.array(self.joining.end)
        return np.asarray((self.surface.points - start) @ ((end - start) / self.joining.length))

    def share_of_strength(self, traction: Array) -> Array:
        return np.asarray(np.abs(traction[:, 0]) / self.bond.shear_strength)

    def law(self, crushing: bool = True) -> LineLaw:
        """Its law; it only slips, so nothing crushes along it."""
        strength, toughness = np.array([self.bond.shear_strength]), np.array([self.bond.shear_toughness])
        toughness = toughness * self.excess
        return LineLaw(
            self.surface.stiffness, strength, strength, toughness, toughness, softening=self.bond.softening
        )

    @cached_property
    def excess(self) -> float:
        stored = self.bond.shear_strength**2 / (2.0 * float(self.surface.stiffness[0, 0, 0]))
        worst = stored / self.bond.shear_toughness
        return max(1.0, BRITTLE * worst / share_before_kink(self.bond.softening))

    def second_part(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def mode_of(self, second_part: float) -> str:
        return next(iter(self.modes))

    def elastic_limit(self, traction: Array) -> Limit:
        """The mean of the shear along the whole hole: what it comes to where its glue is tough."""
        mean = float(np.average(np.abs(traction[:, 0]), weights=self.surface.weight))
        worst = int(np.abs(traction[:, 0]).argmax())
        return Limit(
            kind=self.breaks_in,
            part=self.name,
            mode=self.mode_of(0.0),
            where=self.place_at(worst),
            load=self.bond.shear_strength / max(mean, NOTHING),
            point=as_point(self.surface.points[worst]),
            length=self.joining.length,
            note="mean over the whole length of the hole",
        )

    @property
    def scatter_row(self) -> str:
        """Side grain, which most of the rim is."""
        return "side_grain"

    def scaled(self, factor: float) -> Self:
        numbers = {key: getattr(self.bond, key) * factor for key in NUMBERS}
        return replace(self, bond=replace(self.bond, **numbers))

    @property
    def credible(self) -> tuple[float, float]:
        return self.bond.credible

    def growth_to(self, other: Self) -> float:
        return max(float(getattr(other.bond, key) / getattr(self.bond, key)) for key in NUMBERS)

    @property
    def pairing(self) -> str:
        """A hole along the grain has side grain all round; one across it has end grain on two sides too."""
        return "side_to_side" if axis_to_grain(self.joining, self.sides[0]) < pi / 8 else "side_to_end"

    def recorded(self) -> tuple[tuple[str, ...], list[MaterialValue]]:
        values = [recorded_value("shear_stiffness", self.bond.shear_stiffness, None, RULE)]
        values += [recorded_value(key, getattr(self.bond, key), self.bond.cov, RULE) for key in NUMBERS]
        return self.bond.effects, values

    def curves(self, traction: Array) -> tuple[Curve, ...]:
        """The shear along either side of the axis."""
        half = len(self.distance) // 2
        mean = 0.5 * (traction[:half] + traction[half:])
        order = np.argsort(self.distance[:half])
        start, _, end = self.words.parts
        strengths = self.bond.shear_strength, self.bond.shear_strength
        return (
            Curve(order, self.distance[order], mean[order], strengths, (start, end), self.joining.length),
        )

    def columns(self, traction: Array) -> dict[str, Array]:
        return {"along_mm": self.distance, "shear_MPa": traction[:, 0]}


def dowel_walls(dowel: GluedDowel, model: Model) -> Bearing:
    """The walls of the holes in which ``dowel`` is glued: they bear across the axis either way."""
    joining, board = dowel.joining, dowel.sides[0]
    beam = model.beam(joining.plus)
    start, end = ((np.array(place) - beam.start) @ beam.axes[0] for place in (joining.start, joining.end))
    tie = HoleWalls(
        f"walls of {joining.name}",
        joining.minus,
        joining.plus,
        max(float(start), 0.0),
        min(float(end), float(beam.stations[-1])),
        joining.diameter,
        wall_stiffness(board.wood, joining.diameter),
    )
    across = pi / 2 - axis_to_grain(joining, board)
    strength = embedment_strength(board.wood, joining.diameter, across)
    hardening = embedment_hardening(strength)
    mode = "bearing of the dowel"
    return Bearing(dowel.sides, tie.surface(model), *NO_EDGES, joining, mode, strength, hardening)


def axis_to_grain(joining: HoleBond | Reach, board: PieceWood) -> float:
    """Angle in rad, 0 to pi/2, between the axis of a hole and the grain of its board."""
    along = atan2(joining.end[1] - joining.start[1], joining.end[0] - joining.start[0])
    angle = abs(along - board.grain_angle) % pi
    return min(angle, pi - angle)


def shear_moduli(joining: HoleBond, board: PieceWood) -> tuple[float, float]:
    """Shear moduli in MPa of a board on the planes that hold the axis: with the plane's other direction, and
    with the one across it. Between the grain and square to it compliances mix by the square of the sine.
    """
    sine = float(np.sin(axis_to_grain(joining, board))) ** 2
    own = board.constants
    across = 1.0 / ((1.0 - sine) / own.shear_along_across + sine / own.shear_transverse_across)
    return own.solid.shear_modulus_12, across
