"""How everything that is drawn of a followed corner moves and what of its glue is spent, frame by frame."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.fem.triangle import EDGE_WEIGHTS, edge_shape_functions
from glueline.studies.corner.connections import Hold
from glueline.studies.corner.model import CornerModel
from glueline.studies.page.scene_frames import Frames
from glueline.studies.show.deformed import outline_edges
from glueline.studies.show.glue_places import OVERLAP, cell_corners
from glueline.studies.show.grain_lines import grain_on_mesh
from glueline.studies.show.rod_outlines import rim_places, rod_edges
from glueline.studies.show.strength_field import StrengthField

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Arrays = dict[str, NDArray[Any]]


def moving_arrays(corner: CornerModel, frames: Frames, field: StrengthField, spacing: float) -> Arrays:
    """All arrays of a path that move, at rest in mm and with displacements in mm for every frame.

    Lines and spots are those of ``field``, in its order; grain lies ``spacing`` mm apart.
    """
    nodal = frames.u[:, : corner.model.body_unknowns].reshape(len(frames.u), -1, 2)
    return {
        **_wood(corner, nodal, spacing),
        **_lines(corner, nodal, frames.gone, field),
        **_cheeks(corner, nodal, frames.gone),
        **_rods(corner, frames.u),
        **_spots(corner, frames, field),
    }


def _wood(corner: CornerModel, nodal: Array, spacing: float) -> Arrays:
    """Bodies, their outlines and their grain. ``nodal`` (f, n, 2) are displacements of every (body, node)."""
    model = corner.model
    cells = [model.numbers[body.name][model.nodes_of(body)[:, :3]] for body in model.bodies]
    corners = np.concatenate(cells).ravel()
    edges = np.concatenate(
        [model.numbers[body.name][outline_edges(corner, body)[:, :2]] for body in model.bodies]
    )
    grain = grain_on_mesh(corner, spacing)
    return {
        "body": model.positions[corners],
        "body_piece": np.repeat(np.arange(len(cells)), [len(each) for each in cells]),
        "body_moved": nodal[:, corners],
        "body_edges": model.positions[edges],
        "body_edges_moved": nodal[:, edges],
        "grain": grain.of(model.positions),
        "grain_moved": grain.of(nodal),
    }


def _lines(corner: CornerModel, nodal: Array, gone: dict[str, Array], field: StrengthField) -> Arrays:
    """The ends of the stretches of all glue lines, halfway between the two faces that they join."""
    places, moves = [np.empty((0, 2, 2))], [np.empty((len(nodal), 0, 2, 2))]
    spent = [np.empty((len(nodal), 0))]
    shape = _stretch_ends()
    for number in np.unique(field.line_hold):
        hold = corner.holds[number]
        middle = _halfway(corner, hold, nodal, hold.edges)
        rest = corner.model.mesh.nodes[hold.edges]
        places.append(np.einsum("spa,eaj->espj", shape, rest).reshape(-1, 2, 2))
        moves.append(np.einsum("spa,feaj->fespj", shape, middle).reshape(len(nodal), -1, 2, 2))
        spent.append(gone[hold.name][:, : 3 * len(hold.edges)])
    return {
        "line": np.concatenate(places),
        "line_moved": np.concatenate(moves, axis=1),
        "line_gone": np.concatenate(spent, axis=1),
    }


def _stretch_ends() -> Array:
    """Edge functions (3, 2, 3) at both ends of the stretch that each of three points an edge stands for."""
    borders = np.concatenate([[0.0], np.cumsum(EDGE_WEIGHTS)])
    ends = np.stack([borders[:-1] - OVERLAP, borders[1:] + OVERLAP], axis=1)
    return edge_shape_functions(ends.ravel()).reshape(3, 2, 3)


def _halfway(corner: CornerModel, hold: Hold, nodal: Array, edges: Integers) -> Array:
    """Displacement (f, e, 3, 2) halfway between the two faces at the nodes of edges (e, 3)."""
    model = corner.model
    faces = hold.surface.minus, hold.surface.plus
    first, second = (nodal[:, model.numbers[face][model.own_edges(face, edges)]] for face in faces)
    return np.asarray(0.5 * (first + second))


def _cheeks(corner: CornerModel, nodal: Array, gone: dict[str, Array]) -> Arrays:
    """Glued areas as triangles, halfway between their two faces."""
    places, moves = [np.empty((0, 2))], [np.empty((len(nodal), 0, 2))]
    spent, owners = [np.empty((len(nodal), 0))], [np.empty(0, np.int64)]
    for number, hold in enumerate(corner.connections):  # which come first among what holds
        if not len(hold.cells):
            continue
        own = [_corner_numbers(corner, face, hold.cells) for face in (hold.surface.minus, hold.surface.plus)]
        places.append(corner.model.positions[own[0]])
        moves.append(0.5 * (nodal[:, own[0]] + nodal[:, own[1]]))
        spent.append(np.stack([cell_corners(each, len(hold.cells)).ravel() for each in gone[hold.name]]))
        owners.append(np.full(len(hold.cells), number))
    return {
        "cheek": np.concatenate(places),
        "cheek_moved": np.concatenate(moves, axis=1),
        "cheek_gone": np.concatenate(spent, axis=1),
        "cheek_hold": np.concatenate(owners),
    }


def _corner_numbers(corner: CornerModel, face: str, cells: Integers) -> Integers:
    """Numbers (3 c,) of (body, node) of a body at the corners of some of its cells of the mesh."""
    body = corner.model.body(face)
    row = np.zeros(len(corner.model.mesh.triangles), dtype=np.int64)
    row[body.cells] = np.arange(len(body.cells))
    return np.asarray(corner.model.numbers[face][corner.model.nodes_of(body)[row[cells], :3]].ravel())


def _rods(corner: CornerModel, states: Array) -> Arrays:
    """Outlines of rods and bought fasteners."""
    each = [rod_edges(corner, u) for u in states]
    return {"rod": each[0][0][:, :2], "rod_moved": np.stack([moves[:, :2] for _, moves in each])}


def _spots(corner: CornerModel, frames: Frames, field: StrengthField) -> Arrays:
    """How points of what grips along rods move, and what of them is spent."""
    numbers: Sequence[int] = np.unique(field.spot_hold).tolist()
    holds = [corner.holds[number] for number in numbers]
    moves = [np.empty((len(frames.u), 0, 2))]
    for hold in holds:
        rest = rim_places(corner, hold)
        moves.append(np.stack([rim_places(corner, hold, u, 1.0) - rest for u in frames.u]))
    spent = [np.empty((len(frames.u), 0)), *(frames.gone[hold.name] for hold in holds)]
    return {"spot_moved": np.concatenate(moves, axis=1), "spot_gone": np.concatenate(spent, axis=1)}
