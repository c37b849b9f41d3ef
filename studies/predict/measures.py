"""Figures of a corner besides its break load: moment shares, glued areas, the turn of the corner."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bulk import strain_operator
from glueline.fem.model import element_unknowns
from glueline.fem.stress import cell_areas
from glueline.geometries import BOARD_A
from glueline.studies.corner.model import CornerModel, grain_to_face

Array = NDArray[np.float64]


def moment_share(corner: CornerModel, tractions: Mapping[str, Array]) -> dict[str, float]:
    """Share of the corner moment that each surface passes to board A, about the corner rectangle's centre.

    ``tractions`` (p, 2) are local, by surface.
    """
    centre = np.array(corner.layout.boards.corner_centre)
    moments = {}
    for surface in corner.surfaces:
        if surface.minus != BOARD_A:
            continue
        force = surface.forces_on_minus(tractions[surface.name])
        arm = surface.points - centre
        moments[surface.name] = float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())
    total = sum(moments.values())
    return {name: value / total for name, value in moments.items()}


def glue_area(corner: CornerModel) -> dict[str, float]:
    """Glued area in mm2 by the grain of the two faces; 45 degrees on either face counts as grain_45."""
    area = {"side_to_side": 0.0, "side_to_end": 0.0, "end_to_end": 0.0, "grain_45": 0.0}
    for line in corner.layout.glue_lines:
        surface = next(surface for surface in corner.surfaces if surface.name == line.name)
        angles = sorted(grain_to_face(corner.layout, line, name) for name in (line.minus, line.plus))
        if any(pi / 8 < angle < 3 * pi / 8 for angle in angles):
            pairing = "grain_45"
        else:
            ends = sum(angle >= 3 * pi / 8 for angle in angles)
            pairing = ("side_to_side", "side_to_end", "end_to_end")[ends]
        area[pairing] += float(surface.weight.sum())
    for cheek in corner.layout.cheeks:
        surface = next(surface for surface in corner.surfaces if surface.name == cheek.name)
        area["side_to_side"] += float(surface.weight.sum())
    return area


def corner_rotation(corner: CornerModel, u: Array) -> float:
    """Change of the corner's angle in rad for P = 1 N: mean turn of the first depth of each leg."""
    turns = []
    for leg in corner.layout.boards.legs:
        body = corner.model.body(leg.board)
        triangles = corner.model.mesh.triangles[body.cells]
        middle = corner.model.mesh.nodes[triangles[:, :3]].mean(axis=1) @ np.array(leg.along)
        cells = body.cells[(middle > leg.clear_from) & (middle < leg.clear_from + leg.depth)]
        operator, _ = strain_operator(corner.model.mesh, cells, np.array([[1 / 3, 1 / 3]]))
        nodal = u[element_unknowns(corner.model.numbers[leg.board], corner.model.mesh.triangles[cells])]
        # Row 12 of the strain operator holds d/dy of x and d/dx of y: their half difference is the turn.
        shear = operator[:, 0, 2]
        turn = 0.5 * (
            np.einsum("ck,ck->c", shear[:, 1::2], nodal[:, 1::2])
            - np.einsum("ck,ck->c", shear[:, 0::2], nodal[:, 0::2])
        )
        turns.append(float(np.average(turn, weights=cell_areas(corner.model.mesh, cells))))
    return turns[0] - turns[1]
