"""A face without glue: board bears on board, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from glueline.fem.bearing_law import BearingLaw
from glueline.fem.model import Model
from glueline.fem.ties import BondLine
from glueline.geometries import GlueLine
from glueline.geometries.mesh import LayoutMesh
from glueline.materials import Glue, Provenance, Workmanship, bond, find_glue
from glueline.studies.corner.connections.bearing import REACH, pressure_only
from glueline.studies.corner.connections.connection import Array
from glueline.studies.corner.connections.glue_line import (
    GluedLine,
    crushing_depths,
    grain_to_face,
    line_on_mesh,
)
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.material_values import MaterialValue, recorded_value
from glueline.studies.corner.piece import PieceWood

BEARS_AS = "pva"  # the glue as stiff as whose film a dry face bears: a judgement
RULE = Provenance("the lesser of the two woods, by the angle of the grain to the face", "derived")


@dataclass(frozen=True)
class DryFace(GluedLine):
    """Two faces that touch. Local tractions are none and pressure; they crush and are never damaged."""

    kind: ClassVar[str] = "dry face"
    is_glued: ClassVar[bool] = False

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
        """The faces of two pieces on the edges of a mesh."""
        minus, plus = sides
        angles = grain_to_face(joining, minus), grain_to_face(joining, plus)
        made = bond(glue, minus.wood, angles[0], plus.wood, angles[1], workmanship)
        edges, width = line_on_mesh(joining, mesh)
        normal = find_glue(BEARS_AS).opening_stiffness
        tie = BondLine(joining.name, minus.name, plus.name, edges, width, normal, normal)
        none = np.empty(0, dtype=np.int64)
        depths = crushing_depths(joining, model)
        return cls(sides, tie.surface(model), edges, none, joining, made, glue, depths)

    @property
    def bears_one_way(self) -> bool:
        return True

    def tractions(self, u: Array) -> Array:
        return pressure_only(self.surface.tractions(u))

    def share_of_strength(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def law(self, crushing: bool = True) -> BearingLaw:  # type: ignore[override]
        strength = np.array([self.bond.crushing_strength if crushing else np.inf])
        stiffness = self.surface.stiffness[:, 1, 1]
        return BearingLaw(stiffness, strength, self.hardening if crushing else 0.0, reach=REACH)

    @property
    def excess(self) -> float:
        return 1.0

    def second_part(self, traction: Array) -> Array:
        return np.zeros(len(traction))

    def elastic_limit(self, traction: Array) -> Limit:
        """None: it never lets go. Raises ValueError, since nobody should ask."""
        raise ValueError(f"{self.name}: a dry face has no limit")

    @property
    def scatter_row(self) -> str:
        """None of the glue's."""
        return ""

    def scaled(self, factor: float) -> Self:
        return self

    def growth_to(self, other: Self) -> float:
        return 1.0

    def recorded(self) -> tuple[tuple[str, ...], list[MaterialValue]]:
        value = recorded_value("crushing_strength", self.bond.crushing_strength, None, RULE)
        return self.bond.effects, [value]
