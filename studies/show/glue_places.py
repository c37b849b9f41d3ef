"""Numbers at glue points as shapes that can be coloured: stretches of an edge, corners of a cell."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from glueline.fem.triangle import AREA_POINTS, EDGE_WEIGHTS, edge_shape_functions

Array = NDArray[np.float64]

OVERLAP = 0.06  # of an edge: else a dark line below shows through between neighbours


def edge_stretches(place: Array, edges: NDArray[np.int64]) -> Array:
    """The stretch (3 e, 4, 2) that the weight of each of three points an edge stands for.

    ``place`` (n, 2) holds the nodes, ``edges`` (e, 3) start, end and middle.
    """
    borders = np.concatenate([[0.0], np.cumsum(EDGE_WEIGHTS)])
    stretches = []
    for low, high in pairwise(borders):
        shape = edge_shape_functions(np.linspace(low - OVERLAP, high + OVERLAP, 4))
        stretches.append(np.einsum("qa,eaj->eqj", shape, place[edges]))
    return np.stack(stretches, axis=1).reshape(-1, 4, 2)


def cell_corners(values: Array, cells: int) -> Array:
    """Values from 0 to 1 at the corners (c, 3) of ``cells`` from those at six points each, the last ones.

    The six points of a cell settle the plane through its corners.
    """
    fit = np.linalg.pinv(np.column_stack([1 - AREA_POINTS.sum(axis=1), AREA_POINTS]))
    own = values[len(values) - len(AREA_POINTS) * cells :]
    return np.clip(own.reshape(cells, len(AREA_POINTS)) @ fit.T, 0.0, 1.0)
