"""Structured triangle meshes, distorted at will, and the small helpers that every solver test needs."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg
from numpy.typing import NDArray

from glueline.fem.model import Array, Body, Integers, Mesh, Model, element_unknowns
from glueline.fem.orthotropy import OrthotropicSolid
from glueline.fem.triangle import shape_functions, shape_gradients

Mask = NDArray[np.bool_]

# Like hard maple in the Wood Handbook (2010), table 5-1, E_L raised by a tenth (rounded, from memory);
# axes L, T, R.
MAPLE = OrthotropicSolid(13900.0, 900.0, 1830.0, 875.0, 0.50, 0.42, 0.36)


def from_corners(corners: Array, triangles: Integers, middle: Callable[[Array], Array] | None = None) -> Mesh:
    """Six-node mesh from three-node ``triangles``; ``middle`` moves the straight middles (k, 2)."""
    pairs = np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]], axis=2).reshape(-1, 2)
    edges, which = np.unique(pairs, axis=0, return_inverse=True)
    middles = corners[edges].mean(axis=1)
    if middle is not None:
        middles = middle(middles)
    cells = np.hstack([triangles, len(corners) + which.reshape(-1, 3)])
    return Mesh(np.vstack([corners, middles]), cells.astype(np.int64))


def grid(
    xs: Array,
    ys: Array,
    jitter: float = 0.0,
    seed: int = 1,
    keep_x: tuple[float, ...] = (),
    keep_y: tuple[float, ...] = (),
    mapping: Callable[[Array], Array] | None = None,
    curved: bool = False,
) -> Mesh:
    """Mesh of the rectangle with grid lines ``xs``, ``ys``, two triangles a cell, diagonals either way.

    Corners inside are moved at random by up to ``jitter`` of the smaller spacing; those on the boundary and
    on the lines ``keep_x``, ``keep_y`` stay. ``mapping`` then moves the corners, with ``curved`` the
    middles too.
    """
    nx, ny = len(xs), len(ys)
    x, y = (a.ravel() for a in np.meshgrid(xs, ys, indexing="ij"))
    corners = np.stack([x, y], axis=1)
    random = np.random.default_rng(seed)
    fixed_x = np.isin(x, [xs[0], xs[-1], *keep_x]) | np.isin(y, [ys[0], ys[-1], *keep_y])
    shift = random.uniform(-jitter, jitter, corners.shape) * min(np.diff(xs).min(), np.diff(ys).min())
    corners = corners + np.where(fixed_x[:, None], 0.0, shift)
    i, j = (a.ravel() for a in np.meshgrid(np.arange(nx - 1), np.arange(ny - 1), indexing="ij"))
    a, b, c, d = i * ny + j, (i + 1) * ny + j, (i + 1) * ny + j + 1, i * ny + j + 1
    even = ((i + j) % 2 == 0)[:, None]
    first = np.where(even, np.stack([a, b, c], axis=1), np.stack([a, b, d], axis=1))
    second = np.where(even, np.stack([a, c, d], axis=1), np.stack([b, c, d], axis=1))
    triangles = np.stack([first, second], axis=1).reshape(-1, 3)
    if mapping is None:
        return from_corners(corners, triangles)
    if not curved:
        return from_corners(mapping(corners), triangles)
    straight = from_corners(corners, triangles)
    return Mesh(mapping(straight.nodes), straight.triangles)


def turned(mesh: Mesh, angle: float) -> Mesh:
    """The mesh turned by ``angle`` (rad) about the origin."""
    return Mesh(mesh.nodes @ rotation(angle).T, mesh.triangles)


def rotation(angle: float) -> Array:
    """Matrix (2, 2) that turns a vector by ``angle`` (rad)."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s], [s, c]])


def centres(mesh: Mesh) -> Array:
    """Middle (c, 2) of the corners of every cell."""
    return mesh.nodes[mesh.triangles[:, :3]].mean(axis=1)


def body(name: str, mesh: Mesh, stiffness: Array, cells: Mask | None = None, thickness: float = 1.0) -> Body:
    """A body of one material and thickness over ``cells`` (all by default)."""
    inside = np.arange(len(mesh.triangles)) if cells is None else np.flatnonzero(cells)
    count = len(inside)
    return Body(name, inside, np.full(count, thickness), np.broadcast_to(stiffness, (count, 3, 3)).copy())


def edges_where(mesh: Mesh, cells: Integers, where: Callable[[Array], Mask]) -> Integers:
    """Edges (e, 3) of ``cells`` with all three nodes ``where``, the cells on their left, sorted along.

    As the glued edges of the plus body they are directed as ``BondLine`` asks.
    """
    chosen = mesh.triangles[cells]
    edges = chosen[:, [[0, 1, 3], [1, 2, 4], [2, 0, 5]]].reshape(-1, 3)
    on = where(mesh.nodes)
    edges = edges[on[edges].all(axis=1)]
    if not len(edges):
        raise ValueError("no edge there")
    place, direction = mesh.nodes[edges[:, 2]], mesh.nodes[edges[0, 1]] - mesh.nodes[edges[0, 0]]
    return edges[np.argsort(place @ direction)]


def boundary_edges(mesh: Mesh, cells: Integers) -> Integers:
    """Edges (e, 3) that belong to one of ``cells`` only."""
    edges = mesh.triangles[cells][:, [[0, 1, 3], [1, 2, 4], [2, 0, 5]]].reshape(-1, 3)
    _, first, count = np.unique(edges[:, 2], return_index=True, return_counts=True)
    return edges[first[count == 1]]


def near(axis: int, value: float, size: float = 1.0) -> Callable[[Array], Mask]:
    """Predicate: coordinate ``axis`` equals ``value`` to rounding."""
    return lambda points: np.abs(points[:, axis] - value) < 1e-9 * size


def solve_prescribed(
    stiffness: sparse.csr_matrix, load: Array, fixed: Integers, values: Array | float = 0.0
) -> Array:
    """Displacements under ``load`` with the unknowns ``fixed`` held at ``values``."""
    u = np.zeros(len(load))
    u[fixed] = values
    free = np.setdiff1d(np.arange(len(load)), fixed)
    right = (load - stiffness @ u)[free]
    # Symmetric and positive definite: without pivots, and in an order made for it, it fills in far less.
    factors = scipy.sparse.linalg.splu(
        stiffness[free][:, free].tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    u[free] = factors.solve(right)
    return u


def nodes_to_unknowns(
    model: Model, name: str, nodes: Integers, components: tuple[int, ...] = (0, 1)
) -> Integers:
    """Unknowns of body ``name`` at mesh ``nodes``."""
    number = model.numbers[name][nodes]
    return np.concatenate([2 * number + k for k in components])


def stresses(model: Model, part: Body, u: Array, points: Array) -> Array:
    """Stress (c, q, 3) in x, y of the cells of ``part`` at reference ``points``, without ``fem.bulk``."""
    nodes = model.mesh.triangles[part.cells]
    place = model.mesh.nodes[nodes]
    values = u[element_unknowns(model.numbers[part.name], nodes)].reshape(len(nodes), 6, 2)
    slopes = shape_gradients(points)
    jacobian = np.einsum("qak,cai->cqik", slopes, place)
    gradient = np.einsum("qak,cai,cqkj->cqij", slopes, values, np.linalg.inv(jacobian))
    strain = np.stack(
        [gradient[..., 0, 0], gradient[..., 1, 1], gradient[..., 0, 1] + gradient[..., 1, 0]], axis=-1
    )
    return np.einsum("cvw,cqw->cqv", part.stiffness, strain)


def fine_rule(count: int = 6) -> tuple[Array, Array]:
    """Points (q, 2) and weights (q,) on the reference triangle, exact to degree 2 count - 2 (Duffy)."""
    point, weight = np.polynomial.legendre.leggauss(count)
    point, weight = 0.5 * (point + 1), 0.5 * weight
    r, s = (a.ravel() for a in np.meshgrid(point, point, indexing="ij"))
    w = np.outer(weight, weight).ravel()
    return np.stack([r, s * (1 - r)], axis=1), w * (1 - r)


def body_load(
    model: Model, part: Body, force: Callable[[Array], Array], rule: tuple[Array, Array] | None = None
) -> Array:
    """Nodal forces (unknowns,) of a force per volume ``force`` (points (p, 2) to (p, 2))."""
    points, weights = rule or fine_rule()
    shape, slopes = shape_functions(points), shape_gradients(points)
    nodes = model.mesh.triangles[part.cells]
    place = model.mesh.nodes[nodes]
    determinant = np.linalg.det(np.einsum("qak,cai->cqik", slopes, place))
    where = np.einsum("qa,cai->cqi", shape, place)
    value = force(where.reshape(-1, 2)).reshape(where.shape)
    weight = determinant * weights * part.thickness[:, None]
    forces = np.einsum("cq,qa,cqi->cai", weight, shape, value)
    load = np.zeros(model.unknowns)
    np.add.at(load, element_unknowns(model.numbers[part.name], nodes).ravel(), forces.ravel())
    return load
