"""A cheek: two pieces that overlap across the plane and are glued face to face."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import ClassVar, Self

import numpy as np

from glueline.fem.bond import BondedSurface
from glueline.fem.cheek_law import CheekLaw, CheekSideLaw, onset_index
from glueline.fem.model import Model
from glueline.fem.softening import share_before_kink
from glueline.fem.ties import BondArea
from glueline.geometries import Cheek
from glueline.geometries.mesh import LayoutMesh
from glueline.materials import (
    CheekBond,
    CheekSide,
    Glue,
    Provenance,
    Workmanship,
    cheek_bond,
    critical_length,
    mode_moduli,
)
from glueline.studies.corner.connections.connection import BESIDE_GLUE, BRITTLE, Array, Connection, Field
from glueline.studies.corner.limit import NOTHING, Limit, as_point
from glueline.studies.corner.material_values import MaterialValue, recorded_value
from glueline.studies.corner.piece import PieceWood

ROLLING = "rolling shear beside the glue"
CENTRES = 6  # a patch is laid round every so many points of a cheek: one in each cell
MOST_DISTANCES = 100_000  # so many are kept at a time
DIRECTIONS = 720  # of shear on a cheek, over half a turn
SHARE_ALONG, SHARE_ACROSS = 0.02, 0.44
"""Shares of the distance to the plane of no shear that give way along and across the grain; fitted."""
NUMBERS = ("shear_strength", "rolling_strength", "shear_toughness", "rolling_toughness")
RULE = Provenance(
    "by rule from the glue's side-grain row and the wood: the lesser of film and wood; rolling is across "
    "the grain, by the shares of the glue's crossed row",
    "derived",
)


@dataclass(frozen=True)
class GluedCheek(Connection):
    """A cheek. Local tractions are x and y; its second way to give is shear across the grain beside it."""

    kind: ClassVar[str] = "cheek"
    modes: ClassVar[Mapping[str, str]] = {
        "glue shear": "The glue shears",
        ROLLING: "The wood beside the glue rolls off in shear across its grain",
    }
    fibre_modes: ClassVar[frozenset[str]] = frozenset({ROLLING})
    limits_wood: ClassVar[bool] = True

    joining: Cheek
    bond: CheekBond

    @classmethod
    def laid(
        cls,
        joining: Cheek,
        sides: tuple[PieceWood, ...],
        glue: Glue,
        workmanship: Workmanship,
        mesh: LayoutMesh,
        model: Model,
    ) -> Self:
        """The cheek of two pieces over cells of a mesh, with the bond that glue and woods make."""
        minus, plus = sides
        made = cheek_bond(glue, minus.wood, plus.wood, workmanship)
        cells = np.flatnonzero(np.isin(mesh.cell_of, joining.cells))
        stiffness = cheek_stiffness(joining, sides, made.shear_stiffness)
        each = np.broadcast_to(stiffness, (len(cells), 2, 2)).copy()
        tie = BondArea(joining.name, minus.name, plus.name, cells, each, len(joining.faces))
        return cls(sides, tie.surface(model), np.empty((0, 3), dtype=np.int64), cells, joining, made)

    @property
    def legend(self) -> str:
        """Kind, number of faces and name."""
        faces = len(self.joining.faces)
        return f"{self.kind}, {faces} {'face' if faces == 1 else 'faces'}: {self.name}"

    @property
    def cov(self) -> float:
        return self.bond.cov

    @property
    def effects(self) -> tuple[str, ...]:
        return self.bond.effects

    @cached_property
    def side_laws(self) -> tuple[CheekSideLaw, CheekSideLaw]:
        """Strengths and toughnesses of both sides in the direction of their grain."""
        first, second = (
            CheekSideLaw(piece.grain_angle, *(getattr(numbers, key) for key in NUMBERS))
            for piece, numbers in zip(self.sides, self.bond.sides, strict=True)
        )
        return first, second

    def _onset(self, traction: Array) -> tuple[Array, Array]:
        """Index of onset (side, p) on either side, and the part of rolling in it."""
        return onset_index(np.stack([side.shares(traction) for side in self.side_laws]))

    def share_of_strength(self, traction: Array) -> Array:
        """That of the weaker side."""
        return np.asarray(np.sqrt(self._onset(traction)[0].max(axis=0)))

    def law(self, crushing: bool = True) -> CheekLaw:
        """Its law; a cheek only shears, so nothing crushes."""
        first, second = (
            replace(
                side,
                shear_toughness=side.shear_toughness * self.excess,
                rolling_toughness=side.rolling_toughness * self.excess,
            )
            for side in self.side_laws
        )
        return CheekLaw.of(self.surface.stiffness, (first, second), self.bond.softening)

    @cached_property
    def excess(self) -> float:
        """Over all directions of shear; its springs hold the wood's own shear too."""
        turns = np.linspace(0.0, np.pi, DIRECTIONS, endpoint=False)
        jump = np.stack([np.cos(turns), np.sin(turns)], axis=1)
        pull = jump @ self.surface.stiffness[0].T
        toughness = np.stack([side.toughness(side.shares(pull)) for side in self.side_laws])
        stored = 0.5 * (pull * jump).sum(axis=1) / self._onset(pull)[0].max(axis=0)
        worst = float((stored / toughness.min(axis=0)).max())
        return max(1.0, BRITTLE * worst / share_before_kink(self.bond.softening))

    def second_part(self, traction: Array) -> Array:
        """On the weaker side."""
        index, rolling = self._onset(traction)
        return np.asarray(rolling[index.argmax(axis=0), np.arange(len(traction))])

    def mode_of(self, second_part: float) -> str:
        return ROLLING if second_part >= 0.5 else "glue shear"

    def elastic_limit(self, traction: Array) -> Limit:
        """Largest mean index over a patch as long as the critical length; over all of it where it is less.

        The index, not the traction, is averaged: a cheek in torsion has no mean traction.
        """
        square, rolling = self._onset(traction)
        index = np.sqrt(square)
        worst = int(index.mean(axis=1).argmax())
        constants, weaker = self.sides[worst].constants, self.bond.sides[worst]
        solid = constants.solid
        # Rolling shear runs in the plane of the two directions across the grain.
        _, modulus = mode_moduli(
            solid.modulus_2, solid.modulus_3, constants.shear_transverse_across, solid.poisson_23
        )
        length = critical_length(modulus, weaker.rolling_toughness, weaker.rolling_strength)
        mean = _patch_mean(self.surface, index[worst], length)
        at, peak = int(mean.argmax()), int(index[worst].argmax())
        return Limit(
            kind=self.breaks_in,
            part=self.name,
            mode=self.mode_of(float(rolling[worst, at])),
            where=self.place_at(peak),
            load=1 / max(float(mean[at]), NOTHING),
            point=as_point(self.surface.points[peak]),
            length=length,
        )

    @property
    def scatter_row(self) -> str:
        """Side grain: the ``crossed`` row is a share of it and has no scatter of its own."""
        return "side_grain"

    def scaled(self, factor: float) -> Self:
        def times(sides: tuple[CheekSide, CheekSide]) -> tuple[CheekSide, CheekSide]:
            first, second = (
                replace(side, **{key: getattr(side, key) * factor for key in NUMBERS}) for side in sides
            )
            return first, second

        bond = self.bond
        sides, low, high = times(bond.sides), times(bond.low_sides), times(bond.high_sides)
        return replace(self, bond=replace(bond, sides=sides, low_sides=low, high_sides=high))

    @property
    def credible(self) -> tuple[float, float]:
        return self.bond.credible

    @property
    def crossed_ends(self) -> tuple[Self, Self]:
        weak, strong = (
            replace(self, bond=replace(self.bond, sides=sides))
            for sides in (self.bond.low_sides, self.bond.high_sides)
        )
        return weak, strong

    def growth_to(self, other: Self) -> float:
        return max(
            float(getattr(after, key) / getattr(before, key))
            for before, after in zip(self.bond.sides, other.bond.sides, strict=True)
            for key in NUMBERS
        )

    @property
    def pairing(self) -> str:
        """The grain of both sides lies in the face."""
        return "side_to_side"

    def wood_limits(self, traction: Array) -> tuple[Limit, ...]:
        """Rolling shear in the wood just inside; shear falls linearly toward its zero plane."""
        faces = self.joining.faces
        away = (max(face.to_no_shear_minus for face in faces), max(face.to_no_shear_plus for face in faces))
        limits = []
        for piece, reach in zip(self.sides, away, strict=True):
            left = 1 - BESIDE_GLUE / reach
            if left <= 0:
                continue
            across = np.abs(traction @ piece.across) * left
            share = float(np.average(across, weights=self.surface.weight)) / piece.wood.rolling_shear_strength
            if share <= NOTHING:
                continue
            at = int(across.argmax())
            limits.append(
                Limit(
                    kind="wood",
                    part=piece.name,
                    mode="rolling shear",
                    where=self.place_at(at),
                    load=1 / share,
                    point=as_point(self.surface.points[at]),
                    length=float(np.sqrt(self.area / len(faces))),
                    note="mean over the whole cheek, just inside the wood",
                )
            )
        return tuple(limits)

    def recorded(self) -> tuple[tuple[str, ...], list[MaterialValue]]:
        values = [recorded_value("shear_stiffness", self.bond.shear_stiffness, None, RULE)]
        values += [
            recorded_value(f"{piece.name}.{key}", getattr(numbers, key), self.bond.cov, RULE)
            for piece, numbers in zip(self.sides, self.bond.sides, strict=True)
            for key in NUMBERS
        ]
        return self.bond.effects, values

    def fields(self, traction: Array) -> tuple[Field, ...]:
        return (Field(self.surface.points, traction, self.share_of_strength(traction)),)

    def columns(self, traction: Array) -> dict[str, Array]:
        return {"shear_MPa": np.hypot(traction[:, 0], traction[:, 1])}


def cheek_stiffness(joining: Cheek, sides: tuple[PieceWood, ...], glue: float) -> Array:
    """Mean stiffness (2, 2) in N/mm3 of a cheek's faces, the wood's own shear in series with the glue.

    C = I / k_s + sum over both sides of c R diag(a / G_along_across, b / G_transverse_across) R^T, where a is
    ``SHARE_ALONG``, b ``SHARE_ACROSS`` and c the distance to the plane of no shear. Even shear that falls
    linearly to nothing over c stores the energy of c / 3 of it, a = b = 1/3. Along the grain stiff fibres
    take the force up near the face (shear lag), so less depth takes part. Both shares are fitted to the six
    figures of an own 3D calculation, see studies/corner/README.md.
    """
    total = np.zeros((2, 2))
    for face in joining.faces:
        compliance = np.eye(2) / glue
        for piece, away in zip(sides, (face.to_no_shear_minus, face.to_no_shear_plus), strict=True):
            turn = np.stack([piece.along, piece.across], axis=1)
            own = piece.constants
            soft = np.diag([SHARE_ALONG / own.shear_along_across, SHARE_ACROSS / own.shear_transverse_across])
            compliance += away * turn @ soft @ turn.T
        total += np.linalg.inv(compliance)
    return np.asarray(total / len(joining.faces))


def _patch_mean(surface: BondedSurface, values: Array, across: float) -> Array:
    """Area mean of ``values`` over discs ``across`` mm wide round the points of a cheek."""
    span = surface.points.max(axis=0) - surface.points.min(axis=0)
    if across >= float(np.hypot(*span)):
        return np.full(len(values), float(np.average(values, weights=surface.weight)))
    (x, y), radius = surface.points.T, 0.5 * across
    # Force and area of every point, summed up over the points that are near to a centre.
    shares = np.stack([surface.weight * values, surface.weight], axis=1)
    mean = np.full(len(values), -np.inf)
    step = CENTRES * max(1, MOST_DISTANCES // len(values))
    for first in range(0, len(values), step):
        at = np.arange(first, min(first + step, len(values)), CENTRES)
        away, beside = x[at, None] - x, y[at, None] - y
        away *= away
        beside *= beside
        away += beside
        force, area = ((away <= radius**2).astype(float) @ shares).T
        mean[at] = force / area
    return mean
