"""A glue line: two pieces that meet on an edge of the plane."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import atan2, pi
from typing import ClassVar, Self

import numpy as np

from glueline.fem.line_law import LineLaw
from glueline.fem.model import Integers, Model
from glueline.fem.softening import share_before_kink
from glueline.fem.ties import BondLine
from glueline.geometries import GlueLine
from glueline.geometries.layout import distance_to_segment
from glueline.geometries.mesh import LayoutMesh
from glueline.materials import (
    Bond,
    Glue,
    PressedFace,
    Provenance,
    Workmanship,
    bond,
    crushing_hardening,
)
from glueline.studies.corner.connections.connection import (
    BESIDE_GLUE,
    BRITTLE,
    Array,
    Connection,
    Curve,
    Flags,
)
from glueline.studies.corner.critical_length import CriticalLengths, line_lengths
from glueline.studies.corner.limit import NOTHING, Limit, as_point
from glueline.studies.corner.material_values import MaterialValue, recorded_value
from glueline.studies.corner.piece import PieceWood

# A line in bending pulls over about half of itself, and a mean over more than half of that side has little
# peak left in it. For butts and mitres these loads are 0.88 to 1.15 times those of the path past the peak.
MOST_OF_LINE = 0.25
# A line in bending presses over about half of itself; as deep as that its wood crushes.
PRESSED_PART = 0.5
MIXTURES = 101  # of opening and sliding, over which a bond's energies are compared
ON_EDGE = 1e-6  # mm
ROWS = ("side_grain", "grain_45", "end_grain")  # of the glue table, in the order of their angle

STRENGTHS = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
RULE = Provenance(
    "by rule from the glue's rows, the wood and the angle of its grain: the lesser of film and wood, "
    "between the rows by Hankinson's form, times what workmanship and moisture leave",
    "derived",
)


@dataclass(frozen=True)
class GluedLine(Connection):
    """A glue line. Local tractions are shear and opening; its second way to give is shear.

    ``depths`` of wood in mm behind its faces, minus and plus, crush where they press.
    """

    kind: ClassVar[str] = "glue line"
    modes: ClassVar[Mapping[str, str]] = {
        "glue opening": "The glue opens",
        "glue shear": "The glue shears",
        "glue opening with shear": "The glue opens and shears",
    }

    joining: GlueLine
    bond: Bond
    glue: Glue
    depths: tuple[float, float]

    @classmethod
    def laid(
        cls,
        joining: GlueLine,
        sides: tuple[PieceWood, ...],
        glue: Glue,
        workmanship: Workmanship,
        mesh: LayoutMesh,
        model: Model,
    ) -> Self:
        """The glue line of two pieces on the edges of a mesh, with the bond that glue and woods make."""
        minus, plus = sides
        made = bond(
            glue,
            minus.wood,
            grain_to_face(joining, minus),
            plus.wood,
            grain_to_face(joining, plus),
            workmanship,
        )
        edges, width = line_on_mesh(joining, mesh)
        stiffness = made.opening_stiffness, made.shear_stiffness
        tie = BondLine(joining.name, minus.name, plus.name, edges, width, *stiffness)
        depths = crushing_depths(joining, model)
        return cls(sides, tie.surface(model), edges, np.empty(0, dtype=np.int64), joining, made, glue, depths)

    @cached_property
    def distance(self) -> Array:
        """Distance (p,) in mm of every point from the start of the line."""
        start, end = np.array(self.joining.start), np.array(self.joining.end)
        return np.asarray((self.surface.points - start) @ ((end - start) / self.joining.length))

    @cached_property
    def angles(self) -> tuple[float, float]:
        """Angles in rad, 0 to pi/2, between the grain of either side and the glued face."""
        first, second = (grain_to_face(self.joining, side) for side in self.sides)
        return first, second

    @property
    def cov(self) -> float:
        return self.bond.cov

    @property
    def effects(self) -> tuple[str, ...]:
        return self.bond.effects

    def share_of_strength(self, traction: Array) -> Array:
        """Quadratic onset index; pressing does no harm."""
        opening = np.maximum(traction[:, 1], 0) / self.bond.opening_strength
        return np.hypot(opening, traction[:, 0] / self.bond.shear_strength)

    @cached_property
    def hardening(self) -> float:
        """Rise of the pressure in MPa for a mm that its faces are crushed."""
        return crushing_hardening(
            [
                PressedFace(side.wood, angle, depth)
                for side, angle, depth in zip(self.sides, self.angles, self.depths, strict=True)
            ]
        )

    def law(self, crushing: bool = True) -> LineLaw:
        bond = self.bond
        return LineLaw(
            self.surface.stiffness,
            np.array([bond.opening_strength]),
            np.array([bond.shear_strength]),
            np.array([bond.opening_toughness * self.excess]),
            np.array([bond.shear_toughness * self.excess]),
            softening=bond.softening,
            mixing="linear" if bond.mixing_exponent is None else "benzeggagh-kenane",
            exponent=bond.mixing_exponent or 1.0,
            crushing_strength=np.array([bond.crushing_strength if crushing else np.inf]),
            crushing_hardening=np.array([self.hardening if crushing else 0.0]),
        )

    @cached_property
    def excess(self) -> float:
        """What is stored and a toughness that mixes linearly mix alike (both as a sum of inverses), so the
        pure modes decide; with an exponent all mixtures are looked at.
        """
        bond = self.bond
        opening = bond.opening_strength**2 / (2.0 * bond.opening_stiffness)
        shear = bond.shear_strength**2 / (2.0 * bond.shear_stiffness)
        worst = max(opening / bond.opening_toughness, shear / bond.shear_toughness)
        if bond.mixing_exponent is not None:
            mixture = np.linspace(0.0, 1.0, MIXTURES)
            more = (bond.shear_toughness - bond.opening_toughness) * mixture**bond.mixing_exponent
            stored = 1.0 / ((1.0 - mixture) / opening + mixture / shear)
            worst = float((stored / (bond.opening_toughness + more)).max())
        return max(1.0, BRITTLE * worst / share_before_kink(bond.softening))

    def second_part(self, traction: Array) -> Array:
        sliding = (traction[:, 0] / self.bond.shear_strength) ** 2
        opening = (np.maximum(traction[:, 1], 0.0) / self.bond.opening_strength) ** 2
        return np.asarray(sliding / np.maximum(sliding + opening, 1e-300))

    def mode_of(self, second_part: float) -> str:
        if second_part < 0.25:
            return "glue opening"
        return "glue shear" if second_part > 0.75 else "glue opening with shear"

    @cached_property
    def lengths(self) -> CriticalLengths:
        """Critical lengths with its own strength and toughness and its two woods."""
        first, second = zip((side.constants for side in self.sides), self.angles, strict=True)
        bond = self.bond
        return line_lengths(
            first,
            second,
            (bond.opening_strength, bond.opening_toughness),
            (bond.shear_strength, bond.shear_toughness),
        )

    def elastic_limit(self, traction: Array) -> Limit:
        """Largest index of the mean traction over any stretch of critical length, at most MOST_OF_LINE."""
        lengths, whole = self.lengths, self.joining.length
        own = self.distance
        order = np.argsort(own)
        distance, weight = own[order], self.surface.weight[order]
        traction = traction[order]
        most = MOST_OF_LINE * whole
        best: tuple[float, float, float, float] = (NOTHING, 0.0, 0.0, 0.0)
        for length in np.unique(np.minimum(np.geomspace(lengths.opening, lengths.shear, 9), most)):
            start, mean = _sliding_mean(distance, weight, traction, whole, float(length))
            index = self.share_of_strength(mean)
            shear = mean[:, 0] / self.bond.shear_strength
            share = shear**2 / np.maximum(index**2, NOTHING**2)
            wanted = np.minimum(lengths.between(share), most)
            # A stretch counts where it is at least as long as its own mixture of modes asks for.
            index = np.where(length >= wanted * 0.93, index, 0.0)
            at = int(index.argmax())
            if index[at] > best[0]:
                best = (float(index[at]), float(start[at]), float(length), float(share[at]))
        index_found, start_found, length_found, share_found = best
        inside = (distance >= start_found - 1e-9) & (distance <= start_found + length_found + 1e-9)
        among = np.flatnonzero(inside)
        worst = among[self.share_of_strength(traction[inside]).argmax()] if len(among) else 0
        return Limit(
            kind=self.breaks_in,
            part=self.name,
            mode=self.mode_of(share_found),
            where=self.place_at(int(order[worst])),
            load=1 / index_found,
            point=as_point(self.surface.points[order[worst]]),
            length=length_found,
            note=(
                "the critical length is longer than a quarter of the glue line: the mean over a quarter was "
                "taken"
                if length_found >= most - 1e-9
                else ""
            ),
        )

    @property
    def scatter_row(self) -> str:
        """The row nearest to the grain angle of its weaker side; of equally weak sides that of the one whose
        scatter the bond has.
        """
        angles = list(self.angles if self.bond.weaker_side == "minus" else reversed(self.angles))
        covs = [getattr(self.glue, row).cov for row in ROWS]
        # argmin takes the first, the weaker side, where both sides scatter alike.
        own = np.interp(angles, (0.0, pi / 4, pi / 2), covs)
        side = int(np.argmin(np.abs(own - self.bond.cov).round(9)))
        return ROWS[round(angles[side] / (pi / 4))]

    def scaled(self, factor: float) -> Self:
        numbers = {key: getattr(self.bond, key) * factor for key in STRENGTHS}
        return replace(self, bond=replace(self.bond, **numbers))

    @property
    def credible(self) -> tuple[float, float]:
        return self.bond.credible

    def growth_to(self, other: Self) -> float:
        return max(float(getattr(other.bond, key) / getattr(self.bond, key)) for key in STRENGTHS)

    @property
    def pairing(self) -> str:
        """45 degrees on either face counts as grain_45."""
        if any(pi / 8 < angle < 3 * pi / 8 for angle in self.angles):
            return "grain_45"
        ends = sum(angle >= 3 * pi / 8 for angle in self.angles)
        return ("side_to_side", "side_to_end", "end_to_end")[ends]

    def pressing_on(self, piece: str, traction: Array) -> Array:
        """The closing traction on either side."""
        if piece not in (self.surface.minus, self.surface.plus):
            return np.zeros(len(traction))
        return np.asarray(np.maximum(-traction[:, 1], 0.0) * self.surface.weight)

    def pressed_too_hard(self, traction: Array) -> Flags:
        return np.asarray(-traction[:, 1] > self.bond.crushing_strength)

    def beside(self, points: Array) -> Flags:
        away = distance_to_segment(points, self.joining.start, self.joining.end)
        return np.asarray(away <= BESIDE_GLUE)

    def judged_from(self, piece: PieceWood) -> list[float]:
        """Either side of a face along the grain: stress falls steeply away from it, and rows that happened to
        lie farther off would miss it.
        """
        ends = (self.joining.start, self.joining.end)
        start, end = (float(np.array(place) @ piece.across) for place in ends)
        if abs(start - end) >= ON_EDGE:
            return []
        return [start - BESIDE_GLUE - ON_EDGE, start + BESIDE_GLUE + ON_EDGE]

    def recorded(self) -> tuple[tuple[str, ...], list[MaterialValue]]:
        bond = self.bond
        values = [
            recorded_value(key, getattr(bond, key), None, RULE)
            for key in ("opening_stiffness", "shear_stiffness")
        ]
        values += [recorded_value(key, getattr(bond, key), bond.cov, RULE) for key in STRENGTHS]
        return bond.effects, values

    def curves(self, traction: Array) -> tuple[Curve, ...]:
        order = np.argsort(self.distance)
        strengths = self.bond.shear_strength, self.bond.opening_strength
        start, _, end = self.words.parts
        return (
            Curve(order, self.distance[order], traction[order], strengths, (start, end), self.joining.length),
        )

    def columns(self, traction: Array) -> dict[str, Array]:
        return {"along_mm": self.distance, "opening_MPa": traction[:, 1], "shear_MPa": traction[:, 0]}


def grain_to_face(joining: GlueLine, piece: PieceWood) -> float:
    """Angle in rad, 0 to pi/2, between a piece's grain and the face of a glue line."""
    along = atan2(joining.end[1] - joining.start[1], joining.end[0] - joining.start[0])
    angle = abs(along - piece.grain_angle) % pi
    return min(angle, pi - angle)


def line_on_mesh(joining: GlueLine, mesh: LayoutMesh) -> tuple[Integers, Array]:
    """Edges (e, 3) of a mesh on a line, and the width (e,) in mm on each."""
    edges = mesh.edges_on(joining.start, joining.end)
    middles = np.linalg.norm(mesh.nodes[edges[:, 2]] - np.array(joining.start), axis=1)
    return edges, np.array([joining.width_at(float(distance)) for distance in middles])


def crushing_depths(joining: GlueLine, model: Model) -> tuple[float, float]:
    """Depth in mm of the wood that crushes behind the faces of a line, minus and plus.

    The length that presses, or the reach of the piece square to the face where that is less: by likeness to
    a test block, ``materials.crushing``.
    """
    start, along = np.array(joining.start), np.subtract(joining.end, joining.start) / joining.length
    left = np.array([-along[1], along[0]])
    reach = {
        piece: away * (model.mesh.nodes[model.numbers[piece] >= 0] - start) @ left
        for piece, away in ((joining.minus, -1.0), (joining.plus, 1.0))
    }
    first, second = (
        min(PRESSED_PART * joining.length, float(reach[piece].max()))
        for piece in (joining.minus, joining.plus)
    )
    return first, second


def _sliding_mean(
    distance: Array, weight: Array, traction: Array, whole: float, length: float
) -> tuple[Array, Array]:
    """Area mean of ``traction`` over [s, s + length] for every start s on the line; (n,), (n, 2)."""
    edges = np.concatenate([[0.0], 0.5 * (distance[1:] + distance[:-1]), [whole]])
    area = np.concatenate([[0.0], np.cumsum(weight)])
    force = np.concatenate([np.zeros((1, 2)), np.cumsum(weight[:, None] * traction, axis=0)])
    start = np.unique(np.append(edges[edges <= whole - length + 1e-9], max(whole - length, 0.0)))
    end = np.minimum(start + length, whole)
    covered = np.interp(end, edges, area) - np.interp(start, edges, area)
    mean = [
        (np.interp(end, edges, force[:, i]) - np.interp(start, edges, force[:, i])) / covered
        for i in range(2)
    ]
    return start, np.stack(mean, axis=1)
