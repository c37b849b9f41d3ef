"""Figures of a corner besides its break load: moment shares, glued areas, the turn of the corner."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bulk import strain_operator
from glueline.fem.model import element_unknowns
from glueline.fem.stress import cell_areas
from glueline.geometries import BOARD_A
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]

NO_PRESSURE = 1e-9  # of all forces on the glue: less than that is round-off


def pressure_centroid(corner: CornerModel, tractions: Mapping[str, Array]) -> Array:
    """Where (2,) in mm the faces press on board A: the mean of their points by the force that presses there.

    The corner rectangle's centre where nothing presses. ``tractions`` (p, 2) in MPa are local, by name.
    """
    pressing = {each.name: each.pressing_on(BOARD_A, tractions[each.name]) for each in corner.connections}
    forces = np.concatenate(list(pressing.values()))
    pulls = [np.abs(tractions[each.name]).sum(axis=1) @ each.surface.weight for each in corner.connections]
    if forces.sum() <= NO_PRESSURE * sum(pulls):
        return np.array(corner.layout.boards.corner_centre)
    points = np.concatenate([each.surface.points for each in corner.connections])
    return np.asarray(np.average(points, axis=0, weights=forces))


def moments_on_a(corner: CornerModel, tractions: Mapping[str, Array], about: Array) -> dict[str, float]:
    """Moment in N mm that each connection passes to board A about a place (2,) in mm.

    Anticlockwise; ``tractions`` (p, 2) in MPa are local, by name. Connections that do not touch it have none.
    """
    moments: dict[str, float] = {}
    for each in (*corner.connections, *corner.bearings):
        moment = each.moment_on(BOARD_A, tractions[each.name], about)
        if moment is not None:
            moments[each.part] = moments.get(each.part, 0.0) + moment
    return moments


def moment_share(corner: CornerModel, tractions: Mapping[str, Array]) -> dict[str, float]:
    """Share of the moment on board A that each connection passes, about the centroid of pressure on it.

    About any other place a connection that only bears would share in the moment by the distance between the
    two. About that centroid pressure adds nothing to the sum (where the pressed faces are parallel), so a
    connection that presses at one end and pulls at the other counts by its pull and its shear.
    """
    moments = moments_on_a(corner, tractions, pressure_centroid(corner, tractions))
    total = sum(moments.values())
    nothing = NO_PRESSURE * sum(map(abs, moments.values()))
    return {name: value / total if abs(value) > nothing else 0.0 for name, value in moments.items()}


def glue_area(corner: CornerModel) -> dict[str, float]:
    """Glued area in mm2 by the grain of the two faces; 45 degrees on either face counts as grain_45."""
    area = {"side_to_side": 0.0, "side_to_end": 0.0, "end_to_end": 0.0, "grain_45": 0.0}
    for connection in corner.glued:
        area[connection.pairing] += connection.area
    return area


def corner_rotation(corner: CornerModel, u: Array) -> float:
    """Change of the corner's angle in rad for P = 1 N: mean turn of the first depth of each leg."""
    turns = []
    for leg in corner.layout.boards.legs:
        body = corner.model.body(leg.board)
        triangles = corner.model.mesh.triangles[body.cells]
        middle = corner.model.mesh.nodes[triangles[:, :3]].mean(axis=1) @ np.array(leg.along)
        beside = (middle > leg.clear_from) & (middle < leg.clear_from + leg.depth)
        cells, nodes = body.cells[beside], corner.model.nodes_of(body)[beside]
        operator, _ = strain_operator(corner.model.mesh, cells, np.array([[1 / 3, 1 / 3]]))
        nodal = u[element_unknowns(corner.model.numbers[leg.board], nodes)]
        # Row 12 of the strain operator holds d/dy of x and d/dx of y: their half difference is the turn.
        shear = operator[:, 0, 2]
        turn = 0.5 * (
            np.einsum("ck,ck->c", shear[:, 1::2], nodal[:, 1::2])
            - np.einsum("ck,ck->c", shear[:, 0::2], nodal[:, 0::2])
        )
        turns.append(float(np.average(turn, weights=cell_areas(corner.model.mesh, cells))))
    return turns[0] - turns[1]
