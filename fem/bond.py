"""Bonded surfaces: where two bodies are tied, as points with a jump, a weight and a stiffness.

Glue lines and cheeks differ only in how their points are laid; behind that both are a list of points at
which a jump (plus less minus) makes a traction. Traction is the force per area that plus exerts on minus
with the sign turned so that a positive opening traction pulls the faces together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse

from glueline.fem.model import Array, BondArea, BondLine, Integers, Model, element_unknowns
from glueline.fem.triangle import (
    AREA_POINTS,
    AREA_WEIGHTS,
    EDGE_POINTS,
    EDGE_WEIGHTS,
    edge_shape_functions,
    edge_shape_slopes,
    shape_functions,
    shape_gradients,
)


@dataclass(frozen=True)
class BondedSurface:
    """Integration points of one glue line or cheek.

    ``points`` (p, 2) in mm; ``weight`` (p,) glued area in mm2 that belongs to a point; ``axes`` (p, 2, 2)
    rows are the local directions in x, y: for a line the tangent and the normal from minus to plus (so the
    local components are slip and opening), for a cheek x and y; ``jump`` (2 p, unknowns) gives the local
    jump from the displacements; ``stiffness`` (p, 2, 2) local traction per jump in N/mm3; ``distance`` (p,)
    mm along the line from its start, NaN for a cheek.
    """

    name: str
    minus: str
    plus: str
    points: Array
    weight: Array
    axes: Array
    jump: sparse.csr_matrix
    stiffness: Array
    distance: Array

    @property
    def is_line(self) -> bool:
        """True for a glue line, False for a cheek."""
        return not bool(np.isnan(self.distance).any())

    def jumps(self, u: Array) -> Array:
        """Local jump (p, 2) in mm under the displacements ``u``."""
        return np.asarray(self.jump @ u).reshape(-1, 2)

    def tractions(self, u: Array) -> Array:
        """Local elastic traction (p, 2) in MPa under the displacements ``u``."""
        return np.asarray(np.einsum("pij,pj->pi", self.stiffness, self.jumps(u)))

    def forces_on_minus(self, tractions: Array) -> Array:
        """Forces (p, 2) in N in x, y that act on the minus body at each point."""
        return np.asarray(np.einsum("p,pi,pij->pj", self.weight, tractions, self.axes))

    def nodal_forces(self, tractions: Array) -> Array:
        """Internal forces (unknowns,) in N that balance ``tractions`` (p, 2)."""
        return np.asarray(self.jump.T @ (self.weight[:, None] * tractions).ravel())

    def stiffness_matrix(self, tangent: Array | None = None) -> sparse.csr_matrix:
        """Stiffness (unknowns, unknowns) in N/mm with ``tangent`` (p, 2, 2), the elastic one by default."""
        local = (self.stiffness if tangent is None else tangent) * self.weight[:, None, None]
        count = len(local)
        diagonal = sparse.bsr_matrix(
            (local, np.arange(count), np.arange(count + 1)), shape=(2 * count, 2 * count)
        )
        return (self.jump.T @ (diagonal @ self.jump)).tocsr()


def _jump_matrix(
    model: Model, minus: str, plus: str, nodes: Integers, shape: Array, axes: Array
) -> sparse.csr_matrix:
    """Local jump at every (element, point) from the unknowns; ``axes`` (c, q, 2, 2), ``shape`` (q, a)."""
    cells, points, width = len(nodes), shape.shape[0], shape.shape[1]
    values = np.einsum("qa,cqij->cqiaj", shape, axes).reshape(cells * points * 2, 2 * width)
    rows = np.repeat(np.arange(cells * points * 2), 2 * width)
    shape_of = (cells * points * 2, model.unknowns)

    def side(name: str) -> sparse.csr_matrix:
        unknowns = element_unknowns(model.numbers[name], nodes)
        columns = np.repeat(unknowns, 2 * points, axis=0).ravel()
        return sparse.csr_matrix((values.ravel(), (rows, columns)), shape=shape_of)

    return (side(plus) - side(minus)).tocsr()


def line_surface(model: Model, line: BondLine) -> BondedSurface:
    """Lay three Gauss points on every edge of a glue line."""
    shape, slope = edge_shape_functions(EDGE_POINTS), edge_shape_slopes(EDGE_POINTS)
    corners = model.mesh.nodes[line.edges]
    tangent = np.einsum("qa,caj->cqj", slope, corners)
    length = np.linalg.norm(tangent, axis=2)
    along = tangent / length[..., None]
    normal = np.stack([-along[..., 1], along[..., 0]], axis=2)
    axes = np.stack([along, normal], axis=2)
    weight = length * EDGE_WEIGHTS * line.width[:, None]
    points = np.einsum("qa,caj->cqj", shape, corners)
    count = points.shape[0] * points.shape[1]
    local = np.diag([line.shear_stiffness, line.opening_stiffness])
    return BondedSurface(
        name=line.name,
        minus=line.minus,
        plus=line.plus,
        points=points.reshape(count, 2),
        weight=weight.ravel(),
        axes=axes.reshape(count, 2, 2),
        jump=_jump_matrix(model, line.minus, line.plus, line.edges, shape, axes),
        stiffness=np.broadcast_to(local, (count, 2, 2)).copy(),
        distance=_distance_along(corners, length * EDGE_WEIGHTS, points),
    )


def _distance_along(corners: Array, steps: Array, points: Array) -> Array:
    """Distance of every point from the start of a straight or gently curved chain of edges."""
    start = corners[0, 0]
    direction = corners[-1, 1] - start
    span = np.linalg.norm(direction)
    if span == 0:
        return np.cumsum(steps.ravel()) - 0.5 * steps.ravel()
    return np.asarray((points.reshape(-1, 2) - start) @ (direction / span))


def area_surface(model: Model, area: BondArea) -> BondedSurface:
    """Lay six points on every cell of a cheek."""
    shape = shape_functions(AREA_POINTS)
    nodes = model.mesh.triangles[area.cells]
    corners = model.mesh.nodes[nodes]
    jacobian = np.einsum("caj,qak->cqjk", corners, shape_gradients(AREA_POINTS))
    determinant = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    points = np.einsum("qa,caj->cqj", shape, corners)
    cells, count = points.shape[:2]
    axes = np.broadcast_to(np.eye(2), (cells, count, 2, 2))
    return BondedSurface(
        name=area.name,
        minus=area.minus,
        plus=area.plus,
        points=points.reshape(-1, 2),
        weight=area.faces * (determinant * AREA_WEIGHTS).ravel(),
        axes=np.ascontiguousarray(axes.reshape(-1, 2, 2)),
        jump=_jump_matrix(model, area.minus, area.plus, nodes, shape, axes),
        stiffness=np.repeat(area.stiffness, count, axis=0),
        distance=np.full(cells * count, np.nan),
    )


def bonded_surfaces(model: Model) -> tuple[BondedSurface, ...]:
    """All glue lines, then all cheeks of ``model``."""
    lines = tuple(line_surface(model, line) for line in model.lines)
    return lines + tuple(area_surface(model, area) for area in model.areas)
