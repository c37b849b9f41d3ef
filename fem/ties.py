"""Ties of two bodies and how their points are laid: glue lines along edges, cheeks over cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse

from glueline.fem.bond import BondedSurface
from glueline.fem.model import Array, Integers, Model, element_unknowns
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
class BondLine:
    """Element edges on which bodies ``minus`` and ``plus`` are glued: a glue line without thickness.

    ``edges`` (e, 3) nodes as (start, end, middle), so directed that the left-hand normal points from minus
    to plus; ``width`` (e,) in mm glued across the plane; stiffnesses in N/mm3. ``plus_edges`` (e, 3) are the
    nodes of plus where they are not those that it has on ``edges``, as on a slit of one body.

    >>> from glueline.fem.model import Body, Mesh
    >>> square = np.array([[0, 0], [2, 0], [2, 2], [0, 2], [1, 0], [2, 1], [1, 1], [1, 2], [0, 1]])
    >>> mesh = Mesh(20.0 * square, np.array([[0, 1, 2, 4, 5, 6], [0, 2, 3, 6, 7, 8]]))  # mm
    >>> plane = np.diag([12000.0, 900.0, 700.0])[None]  # MPa
    >>> halves = [Body(name, np.array([cell]), np.array([19.0]), plane) for cell, name in enumerate("AB")]
    >>> diagonal = BondLine("diagonal", "A", "B", np.array([[0, 2, 6]]), np.array([19.0]), 8000.0, 2200.0)
    >>> round(float(diagonal.surface(Model(mesh, tuple(halves))).weight.sum()))  # mm2
    1075
    """

    name: str
    minus: str
    plus: str
    edges: Integers
    width: Array
    opening_stiffness: float
    shear_stiffness: float
    plus_edges: Integers | None = None

    def surface(self, model: Model) -> BondedSurface:
        """Three Gauss points on every edge; local jump (slip, opening)."""
        shape, slope = edge_shape_functions(EDGE_POINTS), edge_shape_slopes(EDGE_POINTS)
        corners = model.mesh.nodes[self.edges]
        tangent = np.einsum("qa,caj->cqj", slope, corners)
        length = np.linalg.norm(tangent, axis=2)
        along = tangent / length[..., None]
        normal = np.stack([-along[..., 1], along[..., 0]], axis=2)
        axes = np.stack([along, normal], axis=2)
        weight = length * EDGE_WEIGHTS * self.width[:, None]
        points = np.einsum("qa,caj->cqj", shape, corners)
        count = points.shape[0] * points.shape[1]
        local = np.diag([self.shear_stiffness, self.opening_stiffness])
        return BondedSurface(
            name=self.name,
            minus=self.minus,
            plus=self.plus,
            points=points.reshape(count, 2),
            weight=weight.ravel(),
            axes=axes.reshape(count, 2, 2),
            jump=_jump_matrix(model, self._sides(model), shape, axes),
            stiffness=np.broadcast_to(local, (count, 2, 2)).copy(),
        )

    def _sides(self, model: Model) -> tuple[Integers, Integers]:
        """Unknowns (e, 6) of minus and of plus."""
        if self.plus_edges is not None:
            minus, plus = self.edges, self.plus_edges
        else:
            minus, plus = (model.own_edges(name, self.edges) for name in (self.minus, self.plus))
        return (
            element_unknowns(model.numbers[self.minus], minus),
            element_unknowns(model.numbers[self.plus], plus),
        )


@dataclass(frozen=True)
class BondArea:
    """Cells over which bodies ``minus`` and ``plus`` overlap and are glued face to face: a cheek.

    ``cells`` (m,) indices of triangles; ``stiffness`` (m, 2, 2) in N/mm3, traction on one face in x, y per
    jump, the mean of the ``faces``.

    >>> from glueline.fem.model import Body, Mesh
    >>> from glueline.fem.triangle import REFERENCE_NODES
    >>> mesh = Mesh(40.0 * REFERENCE_NODES, np.array([[0, 1, 2, 3, 4, 5]]))  # mm; 800 mm2
    >>> plane = np.diag([12000.0, 900.0, 700.0])[None]  # MPa
    >>> fingers = [Body(name, np.array([0]), np.array([45.0]), plane) for name in ("A", "B")]
    >>> cheek = BondArea("cheeks", "A", "B", np.array([0]), np.diag([2200.0, 2200.0])[None], faces=8)
    >>> round(float(cheek.surface(Model(mesh, tuple(fingers))).weight.sum()))  # mm2
    6400
    """

    name: str
    minus: str
    plus: str
    cells: Integers
    stiffness: Array
    faces: int = 1

    def surface(self, model: Model) -> BondedSurface:
        """Six points on every cell; local jump in x and y."""
        shape = shape_functions(AREA_POINTS)
        nodes = model.mesh.triangles[self.cells]
        corners = model.mesh.nodes[nodes]
        jacobian = np.einsum("caj,qak->cqjk", corners, shape_gradients(AREA_POINTS))
        determinant = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
        points = np.einsum("qa,caj->cqj", shape, corners)
        cells, count = points.shape[:2]
        axes = np.broadcast_to(np.eye(2), (cells, count, 2, 2))
        return BondedSurface(
            name=self.name,
            minus=self.minus,
            plus=self.plus,
            points=points.reshape(-1, 2),
            weight=self.faces * (determinant * AREA_WEIGHTS).ravel(),
            axes=np.ascontiguousarray(axes.reshape(-1, 2, 2)),
            jump=_jump_matrix(model, self._sides(model), shape, axes),
            stiffness=np.repeat(self.stiffness, count, axis=0),
        )

    def _sides(self, model: Model) -> tuple[Integers, Integers]:
        """Unknowns (m, 12) of minus and of plus."""

        def own(name: str) -> Integers:
            body = model.body(name)
            row = np.full(len(model.mesh.triangles), -1)
            row[body.cells] = np.arange(len(body.cells))
            return element_unknowns(model.numbers[name], model.nodes_of(body)[row[self.cells]])

        return own(self.minus), own(self.plus)


def bonded_surfaces(model: Model) -> tuple[BondedSurface, ...]:
    """The surfaces of all ties of ``model``, in its order."""
    return tuple(tie.surface(model) for tie in model.ties)


def _jump_matrix(
    model: Model, sides: tuple[Integers, Integers], shape: Array, axes: Array
) -> sparse.csr_matrix:
    """Local jump at every (element, point) from the unknowns.

    ``sides`` (c, 2 a) are the unknowns of minus and of plus, ``axes`` (c, q, 2, 2), ``shape`` (q, a).
    """
    cells, width, points = len(sides[0]), shape.shape[1], shape.shape[0]
    rows = cells * points * 2
    values = (shape[None, :, None, :, None] * axes[:, :, :, None, :]).reshape(rows, 2 * width)
    both = np.concatenate([-values, values], axis=1)
    unknowns = np.concatenate(sides, axis=1).astype(np.int32)
    there = both != 0.0  # a cheek's x moves nothing in y
    ends = np.append(0, np.cumsum(there.sum(axis=1), dtype=np.int32)).astype(np.int32)
    columns = np.repeat(unknowns, 2 * points, axis=0)[there]
    jump = sparse.csr_matrix((both[there], columns, ends), shape=(rows, model.unknowns))
    jump.sum_duplicates()  # a slit's tip is on both of its sides
    jump.eliminate_zeros()
    return jump
