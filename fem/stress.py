"""Stress in the grain's own axes: at cell corners for pictures, on grain-aligned rows for mean stresses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from glueline.fem.bulk import strain_operator
from glueline.fem.model import Array, Body, Integers, Mesh, Model, element_unknowns
from glueline.fem.orthotropy import stress_rotation
from glueline.fem.triangle import REFERENCE_NODES, shape_gradients


def corner_stress(model: Model, body: Body, u: Array) -> Array:
    """Stress (m, 3, 3) in MPa at the corners of a body's cells: cell, corner, (along, across, shear)."""
    operator, _ = strain_operator(model.mesh, body.cells, REFERENCE_NODES[:3])
    nodal = u[element_unknowns(model.numbers[body.name], model.nodes_of(body))]
    strain = np.einsum("cqvk,ck->cqv", operator, nodal)
    turned = np.einsum("uv,cvw->cuw", stress_rotation(body.grain_angle), body.stiffness)
    return np.asarray(np.einsum("cuw,cqw->cqu", turned, strain))


def nodal_mean(model: Model, body: Body, values: Array, zones: Array | None = None) -> Array:
    """Average cell-corner ``values`` (m, 3, k) at shared corners, by area and within ``zones`` (m,).

    A change of thickness is a real jump of stress, so the zone defaults to the thickness. Shape (m, 3, k).
    """
    corners = model.nodes_of(body)[:, :3]
    zone = np.unique(body.thickness if zones is None else zones, return_inverse=True)[1]
    key = np.unique(zone[:, None] * len(model.mesh.nodes) + corners, return_inverse=True)[1].reshape(-1, 3)
    area = cell_areas(model.mesh, body.cells)
    count = int(key.max()) + 1
    weight = np.bincount(key.ravel(), np.repeat(area, 3), minlength=count)
    mean = np.empty_like(values)
    for k in range(values.shape[2]):
        total = np.bincount(key.ravel(), (values[..., k] * area[:, None]).ravel(), minlength=count)
        mean[..., k] = (total / weight)[key]
    return mean


def cell_areas(mesh: Mesh, cells: Integers) -> Array:
    """Areas (m,) in mm2 of the straight-sided triangles ``cells``."""
    a, b, c = (mesh.nodes[mesh.triangles[cells][:, i]] for i in range(3))
    return 0.5 * np.abs((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))


@dataclass(frozen=True)
class GrainRows:
    """A body sampled on rows along its grain.

    ``inside`` (rows, columns) says which places of the grid lie in the body; ``points`` (p, 2) their x, y in
    row order; ``operator`` (3 p, unknowns) gives their stress (along, across, shear); ``spacing`` mm between
    columns, which are even, as rows need not be; ``thickness`` (p,) mm across the plane.
    """

    body: str
    inside: NDArray[np.bool_]
    points: Array
    operator: sparse.csr_matrix
    spacing: float
    thickness: Array

    def stresses(self, u: Array) -> Array:
        """Stress (p, 3) in MPa in the grain's axes under displacements ``u``."""
        return np.asarray(self.operator @ u).reshape(-1, 3)

    def on_grid(self, values: Array, fill: float = 0.0) -> Array:
        """Put values (p,) on the grid (rows, columns)."""
        grid = np.full(self.inside.shape, fill)
        grid[self.inside] = values
        return grid


def grain_rows(model: Model, body: Body, spacing: float, also_at: Sequence[float] = ()) -> GrainRows:
    """Sample a body on rows along its grain, ``spacing`` mm apart both ways, the outermost on its surface.

    ``also_at`` are distances across the grain from the origin, in mm and positive to the left of the grain,
    at which rows are laid besides.

    >>> from glueline.fem.triangle import REFERENCE_NODES
    >>> mesh = Mesh(40.0 * REFERENCE_NODES, np.array([[0, 1, 2, 3, 4, 5]]))  # mm
    >>> board = Body("board", np.array([0]), np.array([19.0]), np.diag([12000.0, 900.0, 700.0])[None])
    >>> rows = grain_rows(Model(mesh, (board,)), board, spacing=5.0)
    >>> stretched = np.ravel(mesh.nodes * [0.001, 0.0])  # mm, by a thousandth along the grain
    >>> round(float(rows.stresses(stretched)[:, 0].mean()), 3)  # MPa
    12.0
    """
    nodes = model.mesh.nodes[model.mesh.triangles[body.cells][:, :3]]
    c, s = np.cos(body.grain_angle), np.sin(body.grain_angle)
    turned = nodes @ np.array([[c, -s], [s, c]])
    low, high = turned.min(axis=(0, 1)), turned.max(axis=(0, 1))
    inset = 1e-7 * (high - low)
    counts = np.maximum(np.ceil((high - low) / spacing - 1e-6).astype(int) + 1, 3)
    axes = [np.linspace(low[i] + inset[i], high[i] - inset[i], counts[i]) for i in range(2)]
    more = [at for at in also_at if axes[1][0] < at < axes[1][-1] and np.abs(axes[1] - at).min() > inset[1]]
    axes[1] = np.sort(np.concatenate([axes[1], np.unique(more)]))
    counts[1] = len(axes[1])
    cell, column, row, local = _locate(turned, axes[0], axes[1])
    # A place on an edge between cells takes the mean of both, so that mirror corners stay mirrors.
    place, group = np.unique(row * counts[0] + column, return_inverse=True)
    share = 1.0 / np.bincount(group)
    row, column = place // counts[0], place % counts[0]
    inside = np.zeros((counts[1], counts[0]), dtype=bool)
    inside[row, column] = True
    points = np.stack([axes[0][column], axes[1][row]], axis=1) @ np.array([[c, s], [-s, c]])
    gather = sparse.csr_matrix(
        (np.repeat(share[group], 3), (_triples(group), np.arange(3 * len(group)))),
        shape=(3 * len(place), 3 * len(group)),
    )
    return GrainRows(
        body=body.name,
        inside=inside,
        points=points,
        operator=(gather @ _stress_operator(model, body, cell, local)).tocsr(),
        spacing=float(axes[0][1] - axes[0][0]),
        thickness=share * np.bincount(group, body.thickness[cell]),
    )


def _triples(index: Integers) -> Integers:
    """3 i, 3 i + 1, 3 i + 2 for every i."""
    return np.asarray((3 * index[:, None] + np.arange(3)).ravel())


def _locate(corners: Array, columns: Array, rows: Array) -> tuple[Integers, Integers, Integers, Array]:
    """Which triangles (c, 3, 2) hold which grid places. Returns cell, column, row, local."""
    low, high = corners.min(axis=1), corners.max(axis=1)
    first_c, last_c = np.searchsorted(columns, low[:, 0]), np.searchsorted(columns, high[:, 0], "right")
    first_r, last_r = np.searchsorted(rows, low[:, 1]), np.searchsorted(rows, high[:, 1], "right")
    wide, tall = last_c - first_c, last_r - first_r
    cell = np.repeat(np.arange(len(corners)), wide * tall)
    within = np.arange(len(cell)) - np.repeat(np.cumsum(wide * tall) - wide * tall, wide * tall)
    column = first_c[cell] + within % wide[cell]
    row = first_r[cell] + within // wide[cell]
    a, b, c = (corners[cell, i] for i in range(3))
    p = np.stack([columns[column], rows[row]], axis=1) - a
    e, f = b - a, c - a
    determinant = e[:, 0] * f[:, 1] - e[:, 1] * f[:, 0]
    local = np.stack(
        [
            (p[:, 0] * f[:, 1] - p[:, 1] * f[:, 0]) / determinant,
            (e[:, 0] * p[:, 1] - e[:, 1] * p[:, 0]) / determinant,
        ],
        axis=1,
    )
    slack = 1e-9
    inside = (local >= -slack).all(axis=1) & (local.sum(axis=1) <= 1 + slack)
    return cell[inside], column[inside], row[inside], local[inside]


def _stress_operator(model: Model, body: Body, cell: Integers, local: Array) -> sparse.csr_matrix:
    """Stress in the grain's axes at reference places ``local`` (p, 2) of the body's cells ``cell`` (p,)."""
    corners = model.mesh.nodes[model.mesh.triangles[body.cells[cell]]]
    reference = shape_gradients(local)
    jacobian = np.einsum("paj,pak->pjk", corners, reference)
    gradient = np.einsum("pak,pkj->paj", reference, np.linalg.inv(jacobian))
    strain = np.zeros((len(cell), 3, 12))
    strain[:, 0, 0::2] = gradient[..., 0]
    strain[:, 1, 1::2] = gradient[..., 1]
    strain[:, 2, 0::2] = gradient[..., 1]
    strain[:, 2, 1::2] = gradient[..., 0]
    turned = np.einsum("uv,pvw->puw", stress_rotation(body.grain_angle), body.stiffness[cell])
    values = np.einsum("puw,pwk->puk", turned, strain)
    unknowns = element_unknowns(model.numbers[body.name], model.nodes_of(body)[cell])
    rows = np.repeat(np.arange(3 * len(cell)), 12)
    columns = np.repeat(unknowns, 3, axis=0).ravel()
    return sparse.csr_matrix((values.ravel(), (rows, columns)), shape=(3 * len(cell), model.unknowns))


@dataclass(frozen=True)
class Stretches:
    """Stretches of rows over which stresses are averaged, one for every place where they count.

    ``counted`` (p,) marks those places; ``begin`` and ``end`` (p,) are where a stretch starts and stops, in
    places of all rows laid end to end, with fractions.
    """

    rows: GrainRows
    counted: NDArray[np.bool_]
    begin: Array
    end: Array

    @classmethod
    def of(
        cls,
        rows: GrainRows,
        usable: NDArray[np.bool_],
        length: float,
        at_least: float = 0.0,
        into: NDArray[np.bool_] | None = None,
    ) -> Stretches:
        """Stretches of ``length`` mm, as nearly about their place as the row allows.

        They keep to the places marked in ``usable`` (p,) bool; where an unbroken run of those is shorter than
        ``length`` the stretch is all of it. A run that is shorter than ``at_least`` mm too is widened to that
        on both sides, as far as the places marked in ``into`` (p,) go, all of the body by default.
        """
        open_ = rows.on_grid(usable.astype(float)) > 0
        first, last = _runs(open_)
        long, least = length / rows.spacing, min(length, at_least) / rows.spacing
        columns = np.arange(open_.shape[1])[None, :]
        begin = np.clip(columns - 0.5 * long, first, np.maximum(first, last - long))
        end = np.minimum(begin + long, last)
        short = open_ & (last - first < least)
        room = rows.inside if into is None else open_ | (rows.on_grid(into.astype(float)) > 0)
        wide = _widened(first, last, *_runs(room), least)
        begin, end = np.where(short, wide[0], begin), np.where(short, wide[1], end)
        start = np.arange(open_.shape[0])[:, None] * open_.shape[1]
        inside = rows.inside
        return cls(rows, open_[inside], (start + begin)[inside], (start + end)[inside])

    def mean(self, values: Array) -> Array:
        """Mean of ``values`` (p,), straight between places, over every place's stretch; NaN elsewhere."""
        grid = self.rows.on_grid(values)
        sums = np.zeros_like(grid)
        np.cumsum(0.5 * (grid[:, 1:] + grid[:, :-1]), axis=1, out=sums[:, 1:])
        flat, sums = grid.ravel(), sums.ravel()
        span = self.end - self.begin
        total = _integral(flat, sums, self.end) - _integral(flat, sums, self.begin)
        alone = flat[np.rint(self.begin).astype(np.int64)]
        mean = np.where(span > NO_SPAN, total / np.where(span > NO_SPAN, span, 1.0), alone)
        return np.where(self.counted, mean, np.nan)


NO_SPAN = 1e-9  # places; a stretch of one place only


def _integral(values: Array, sums: Array, at: Array) -> Array:
    """Integral from the start of its row to ``at``, of ``values`` that go straight between places."""
    place = at.astype(np.int64)
    part = at - place
    after = np.minimum(place + 1, len(values) - 1)
    return np.asarray(sums[place] + part * values[place] + 0.5 * part**2 * (values[after] - values[place]))


def _widened(
    first: Integers, last: Integers, start: Integers, stop: Integers, long: float
) -> tuple[Array, Array]:
    """Stretches ``long`` places long around those from ``first`` to ``last``, within ``start`` to ``stop``.

    As far on one side as on the other while both have room, then on the side that has.
    """
    more = np.maximum(0.5 * (long - (last - first)), 0.0)
    begin, end = np.maximum(first - more, start), np.minimum(last + more, stop)
    return (
        np.maximum(start, np.minimum(begin, end - long)),
        np.minimum(stop, np.maximum(end, begin + long)),
    )


def _runs(open_: NDArray[np.bool_]) -> tuple[Integers, Integers]:
    """First and last place of the unbroken run that holds each open place of every row."""
    height, width = open_.shape
    columns = np.broadcast_to(np.arange(width), (height, width))
    before = np.where(~open_, columns + 1, 0)
    start = np.maximum.accumulate(before, axis=1)
    after = np.where(~open_, columns, width)
    end = np.minimum.accumulate(after[:, ::-1], axis=1)[:, ::-1]
    start = np.minimum(start, width - 1)
    return start, np.maximum(end - 1, start)
