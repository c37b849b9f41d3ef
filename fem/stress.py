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

    def stresses_at_states(self, u: Array) -> Array:
        """The same (3, p, states) under each of the displacements ``u`` (unknowns, states)."""
        return np.asarray(self.operator @ u).reshape(-1, 3, u.shape[1]).swapaxes(0, 1)

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
    place = row * counts[0] + column
    order = np.argsort(place, kind="stable")
    cell, local, place = cell[order], local[order], place[order]
    first = np.flatnonzero(np.diff(place, prepend=-1))
    shared = np.diff(np.append(first, len(place)))
    row, column = np.divmod(place[first], counts[0])
    inside = np.zeros((counts[1], counts[0]), dtype=bool)
    inside[row, column] = True
    points = np.stack([axes[0][column], axes[1][row]], axis=1) @ np.array([[c, s], [-s, c]])
    return GrainRows(
        body=body.name,
        inside=inside,
        points=points,
        operator=_mean_stress_operator(model, body, cell, local, first, shared),
        spacing=float(axes[0][1] - axes[0][0]),
        thickness=np.add.reduceat(body.thickness[cell], first) / shared,
    )


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


def _mean_stress_operator(
    model: Model, body: Body, cell: Integers, local: Array, first: Integers, shared: Integers
) -> sparse.csr_matrix:
    """Stress (3 p, unknowns) in the grain's axes at p places, the mean of all cells that hold one.

    ``cell`` (m,) of the body and the reference place ``local`` (m, 2) in it, place by place: those of a place
    begin at ``first`` (p,) and are so many as ``shared`` (p,) says.
    """
    values = _stress_values(model, body, cell, local)
    values /= np.repeat(shared, shared)[:, None, None]
    unknowns = element_unknowns(model.numbers[body.name], model.nodes_of(body)[cell])
    # The three rows of a place follow each other, each with the entries of all its cells.
    within = np.arange(len(cell)) - np.repeat(first, shared)
    start, step = np.repeat(3 * first, shared) + within, np.repeat(shared, shared)
    data, columns = np.empty((3 * len(cell), 12)), np.empty((3 * len(cell), 12), dtype=np.int32)
    for component in range(3):
        data[start + component * step] = values[:, component]
        columns[start + component * step] = unknowns
    ends = np.cumsum(np.append(0, np.repeat(12 * shared, 3)), dtype=np.int32)
    return sparse.csr_matrix((data.ravel(), columns.ravel(), ends), shape=(3 * len(first), model.unknowns))


def _stress_values(model: Model, body: Body, cell: Integers, local: Array) -> Array:
    """Stress (m, 3, 12) in the grain's axes per unknown of its cell, at reference places (m, 2)."""
    corners = model.mesh.nodes[model.mesh.triangles[body.cells]]
    reference = shape_gradients(local)
    jacobian = np.matmul(corners.transpose(0, 2, 1)[cell], reference)
    (a, b), (c, d) = jacobian[:, 0].T, jacobian[:, 1].T
    determinant = (a * d - b * c)[:, None]
    by_r, by_s = reference[..., 0], reference[..., 1]
    by_x = (by_r * d[:, None] - by_s * c[:, None]) / determinant
    by_y = (by_s * a[:, None] - by_r * b[:, None]) / determinant
    turned = np.matmul(stress_rotation(body.grain_angle), body.stiffness)[cell]
    values = np.empty((len(cell), 3, 6, 2))
    for component in range(3):
        along, across, shear = (turned[:, component, strain, None] for strain in range(3))
        values[:, component, :, 0] = along * by_x + shear * by_y
        values[:, component, :, 1] = across * by_y + shear * by_x
    return values.reshape(-1, 3, 12)
