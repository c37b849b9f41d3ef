"""Rods of a corner as outlines: where they lie, how they move, and where what grips along them is drawn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.fem.beam import Beam
from glueline.geometries import Hardware, Rod
from glueline.studies.corner.connections import Hold
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]


def rod_edges(corner: CornerModel, u: Array) -> tuple[Array, Array]:
    """The outlines of all rods as edges (e, 3, 2) by start, middle and end in mm, and how they move."""
    edges, moves = [np.empty((0, 3, 2))], [np.empty((0, 3, 2))]
    for rod in corner.layout.inserts:
        still = rod_outline(corner, rod, u, 0.0)
        edges.append(_closed(still))
        moves.append(_closed(rod_outline(corner, rod, u, 1.0) - still))
    return np.concatenate(edges), np.concatenate(moves)


def still_outline(corner: CornerModel, rod: Rod | Hardware) -> Array:
    """Outline (n, 2) in mm of a rod before any load."""
    return rod_outline(corner, rod, np.zeros(corner.model.unknowns), 0.0)


def rim_places(corner: CornerModel, held: Hold, u: Array | None = None, factor: float = 0.0) -> Array:
    """Places (p, 2) in mm of the points of what holds along a rod, on the rod's rim; others as they lie."""
    points = held.surface.points
    rod = next((rod for rod in corner.layout.inserts if rod.name == held.surface.plus), None)
    if rod is None:
        return np.asarray(points)
    beam = corner.model.beam(rod.name)
    along = (points - beam.start) @ beam.axes[0]
    shift = np.zeros_like(points)
    if u is not None:
        moves = beam_moves(corner, beam, u)
        shift = np.stack(
            [np.interp(along, beam.stations, moves[:, component]) for component in (0, 1)], axis=1
        )
    # Points stand at r / sqrt(2); they are drawn on the rim.
    off = np.sign((points - beam.start) @ beam.axes[1])[:, None] * beam.axes[1] * 0.5 * rod.diameter
    return np.asarray(beam.start + along[:, None] * beam.axes[0] + off + factor * shift)


def _closed(outline: Array) -> Array:
    """The sides (n, 3, 2) of an outline (n, 2), each by start, middle and end."""
    ends = np.roll(outline, -1, axis=0)
    return np.stack([outline, (outline + ends) / 2, ends], axis=1)


def beam_moves(corner: CornerModel, beam: Beam, u: Array) -> Array:
    """Displacement (n, 2) in mm of a beam's nodes."""
    own = u[corner.model.beam_unknowns(beam.name)]
    return own[: 3 * len(beam.stations)].reshape(-1, 3)[:, :2]


def rod_outline(corner: CornerModel, rod: Rod | Hardware, u: Array, factor: float) -> Array:
    """Outline (2 n, 2) of a rod."""
    beam = corner.model.beam(rod.name)
    middle = beam.nodes + factor * beam_moves(corner, beam, u)
    along = np.gradient(middle, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    left = 0.5 * rod.diameter * np.stack([-along[:, 1], along[:, 0]], axis=1)
    return np.concatenate([middle + left, (middle - left)[::-1]])
