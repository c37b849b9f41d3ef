"""Lines along the grain as numbers: over the cells of a layout, and on a mesh, where the wood moves them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import Layout
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

OFF_EDGE = 1e-3  # of a spacing: a line so near to an outline is none of its own


@dataclass(frozen=True)
class GrainOnMesh:
    """Stretches of grain, each from one element edge to another.

    ``numbers`` (g, 2, 2) of (body, node) have the two nodes of the edge at its start and of that at its end,
    ``parts`` (g, 2) say how far along those edges they lie.
    """

    numbers: Integers
    parts: Array

    def of(self, nodal: Array) -> Array:
        """Values (..., g, 2, k) at the ends of all stretches from those (..., n, k) at every (body, node)."""
        first, second = nodal[..., self.numbers[..., 0], :], nodal[..., self.numbers[..., 1], :]
        return np.asarray(first + self.parts[..., None] * (second - first))


def grain_in_cells(layout: Layout, spacing: float) -> Array:
    """Lines (g, 2, 2) in mm along the grain of every piece, ``spacing`` mm apart, cell by cell.

    >>> from glueline.geometries import JOINTS, Boards, Butt
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(thickness=19.0, width=90.0, leg=150.0))
    >>> grain_in_cells(corner, 10.0)[0].tolist()  # mm
    [[150.0, 10.0], [0.0, 10.0]]
    """
    lines = [np.empty((0, 2, 2))]
    for cell in layout.cells:
        corners = np.array(cell.polygon)
        ends = np.roll(corners, -1, axis=0)
        for piece in layout.pieces:
            if piece.name in cell.parts:
                row, side, part = _crossed(corners, ends, piece.grain_angle, spacing)
                places = corners[side] + part[:, None] * (ends[side] - corners[side])
                lines.append(places[np.argsort(row, kind="stable")].reshape(-1, 2, 2))
    return np.concatenate(lines)


def _crossed(start: Array, end: Array, angle: float, spacing: float) -> tuple[Integers, Integers, Array]:
    """Which lines cross which sides, given by ``start`` and ``end`` (n, 2), and how far along those."""
    across = np.array([-np.sin(angle), np.cos(angle)])
    first, last = start @ across, end @ across
    levels = _levels(first.min(), first.max(), spacing)
    crosses = (first < levels[:, None]) != (last < levels[:, None])
    row, side = np.nonzero(crosses)
    return row, side, (levels[row] - first[side]) / (last[side] - first[side])


def _levels(low: float, high: float, spacing: float) -> Array:
    """Whole numbers of spacings between two distances across the grain."""
    return np.arange(np.ceil(low / spacing + OFF_EDGE), np.floor(high / spacing - OFF_EDGE) + 1) * spacing


def grain_on_mesh(corner: CornerModel, spacing: float) -> GrainOnMesh:
    """The same lines in stretches from edge to edge of the cells of every body."""
    numbers, parts = [np.empty((0, 2, 2), np.int64)], [np.empty((0, 2))]
    model = corner.model
    for body in model.bodies:
        nodes = model.nodes_of(body)[:, :3]
        sides = np.stack([nodes, np.roll(nodes, -1, axis=1)], axis=2)
        place = model.mesh.nodes[sides]
        flat = place.reshape(-1, 2, 2)
        row, side, part = _crossed(flat[:, 0], flat[:, 1], body.grain_angle, spacing)
        # Lines come one after the other and sides cell by cell: the two sides of a cell stand together.
        order = np.lexsort((side, row))
        own = model.numbers[body.name][sides.reshape(-1, 2)[side[order]]]
        numbers.append(own.reshape(-1, 2, 2))
        parts.append(part[order].reshape(-1, 2))
    return GrainOnMesh(np.concatenate(numbers), np.concatenate(parts))
