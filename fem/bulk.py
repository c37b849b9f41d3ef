"""Stiffness of the bodies: batched element matrices and their assembly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from glueline.fem.model import Array, Body, Integers, Mesh, Model
from glueline.fem.triangle import STIFFNESS_POINTS, STIFFNESS_WEIGHTS, shape_gradients


def strain_operator(mesh: Mesh, cells: Integers, points: Array) -> tuple[Array, Array]:
    """Strain from nodal displacement at reference ``points`` (q, 2) of ``cells``.

    Returns the operator (c, q, 3, 12), rows 11, 22, 12 with the engineering shear strain, and the Jacobian
    determinant (c, q) in mm2. Raises ValueError where a cell is turned inside out.
    """
    corners = mesh.nodes[mesh.triangles[cells]]
    reference = shape_gradients(points)
    jacobian = np.matmul(corners.transpose(0, 2, 1)[:, None], reference[None])
    determinant = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    if determinant.size and determinant.min() <= 0:
        raise ValueError("the mesh has a cell that is turned inside out")
    inverse = np.empty_like(jacobian)
    inverse[..., 0, 0], inverse[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
    inverse[..., 0, 1], inverse[..., 1, 0] = -jacobian[..., 0, 1], -jacobian[..., 1, 0]
    inverse /= determinant[..., None, None]
    gradient = np.matmul(reference[None], inverse)
    operator = np.zeros((*determinant.shape, 3, 12))
    operator[..., 0, 0::2] = gradient[..., 0]
    operator[..., 1, 1::2] = gradient[..., 1]
    operator[..., 2, 0::2] = gradient[..., 1]
    operator[..., 2, 1::2] = gradient[..., 0]
    return operator, determinant


def _reference_products() -> Array:
    """Integrals (4, 36) of dN_a / dr_k dN_b / dr_l on the reference cell; rows kl, columns ab."""
    slopes = shape_gradients(STIFFNESS_POINTS)
    products: Array = np.einsum("q,qak,qbl->klab", STIFFNESS_WEIGHTS, slopes, slopes)
    return products.reshape(4, 36)


# Place in the order 11, 22, 12 of the strain that component i makes by its slope in direction m.
_VOIGT = np.array([[0, 2], [2, 1]])
_REFERENCE_PRODUCTS = _reference_products()

# Components of forces by components of displacements, in the order in which blocks are made.
COMPONENTS = ((0, 0), (0, 1), (1, 0), (1, 1))


def _straight(mesh: Mesh, cells: Integers) -> NDArray[np.bool_]:
    """Cells whose middles lie halfway between their corners, to rounding."""
    x, y = mesh.nodes.T
    gap, size = np.zeros(len(cells)), np.zeros(len(cells))
    nodes = np.ascontiguousarray(mesh.triangles[cells].T)
    for along in (np.ascontiguousarray(x), np.ascontiguousarray(y)):
        places = along[nodes]
        for first, second in ((0, 1), (1, 2), (2, 0)):
            middle = 0.5 * (places[first] + places[second])
            np.maximum(gap, np.abs(places[3 + first] - middle), out=gap)
        for other in (1, 2):
            np.maximum(size, np.abs(places[other] - places[0]), out=size)
    straight: NDArray[np.bool_] = gap <= 1e-12 * size
    return straight


def _straight_parts(mesh: Mesh, cells: Integers, thickness: Array, stiffness: Array) -> Iterator[Array]:
    """Stiffness of straight-sided cells, as in ``_stiffness_parts``.

    The gradient map is constant on such a cell, so its matrix is a product of a few numbers of the cell with
    integrals over the reference cell: the same as the three-point rule, in one multiplication for all cells.
    """
    corners = mesh.nodes[mesh.triangles[cells][:, :3]]
    (x1, y1), (x2, y2) = (corners[:, corner].T - corners[:, 0].T for corner in (1, 2))
    determinant = x1 * y2 - y1 * x2
    if determinant.size and determinant.min() <= 0:
        raise ValueError("the mesh has a cell that is turned inside out")
    # Reference gradient to plane gradient, times the determinant: d / d x_m = inverse[m][k] d / d r_k.
    inverse = ((y2, -y1), (-x2, x1))
    moduli = np.ascontiguousarray(stiffness.reshape(-1, 9).T) * (thickness / determinant)
    for i, j in COMPONENTS:
        own = [[moduli[3 * _VOIGT[i, m] + _VOIGT[j, n]] for n in range(2)] for m in range(2)]
        turned = np.empty((4, len(cells)))
        for k in range(2):
            half = [inverse[0][k] * own[0][n] + inverse[1][k] * own[1][n] for n in range(2)]
            for m in range(2):
                turned[2 * k + m] = half[0] * inverse[0][m] + half[1] * inverse[1][m]
        yield (turned.T @ _REFERENCE_PRODUCTS).reshape(-1, 6, 6)


def _general_parts(mesh: Mesh, cells: Integers, thickness: Array, stiffness: Array) -> Iterator[Array]:
    """Stiffness of any cells by the three-point rule, as in ``_stiffness_parts``."""
    operator, determinant = strain_operator(mesh, cells, STIFFNESS_POINTS)
    weight = determinant * STIFFNESS_WEIGHTS * thickness[:, None]
    stress = np.matmul(stiffness[:, None], operator) * weight[..., None, None]
    count = len(cells)
    matrices: Array = np.matmul(
        operator.reshape(count, 9, 12).transpose(0, 2, 1), stress.reshape(count, 9, 12)
    )
    for i, j in COMPONENTS:
        yield matrices[:, i::2, j::2]


def _stiffness_parts(mesh: Mesh, body: Body) -> Iterator[Array]:
    """Stiffness of a body's cells, straight-sided ones the short way: (m, 6, 6) for nodes a b, by components.

    One array for each of ``COMPONENTS``, so that all of them never take up memory at once.
    """
    straight = _straight(mesh, body.cells)
    if straight.all():
        yield from _straight_parts(mesh, body.cells, body.thickness, body.stiffness)
        return
    forms = [
        (chosen, form(mesh, body.cells[chosen], body.thickness[chosen], body.stiffness[chosen]))
        for chosen, form in ((straight, _straight_parts), (~straight, _general_parts))
    ]
    for _ in COMPONENTS:
        whole = np.empty((len(body.cells), 6, 6))
        for chosen, parts in forms:
            whole[chosen] = next(parts)
        yield whole


def element_stiffness(mesh: Mesh, body: Body) -> Array:
    """Stiffness matrices (m, 12, 12) in N/mm of a body's cells, by the three-point rule."""
    matrices = np.empty((len(body.cells), 12, 12))
    for (i, j), part in zip(COMPONENTS, _stiffness_parts(mesh, body), strict=True):
        matrices[:, i::2, j::2] = part
    return matrices


@dataclass(frozen=True)
class BlockPattern:
    """Where 2 by 2 blocks of element matrices go in the assembled matrix: found once, used for many.

    ``order`` (blocks,) sorts the element blocks by (row, column); ``starts`` (places + 1,) marks the first
    block of each place and ends with their count; ``columns`` (places,) and ``row_starts`` (size + 1,) are
    the compressed storage of ``size`` block rows.
    """

    order: NDArray[np.int32]
    starts: NDArray[np.int32]
    columns: NDArray[np.int32]
    row_starts: NDArray[np.int32]
    size: int

    @classmethod
    def of(cls, nodes: Integers, size: int) -> BlockPattern:
        """Pattern of elements with node numbers ``nodes`` (c, a) among ``size`` nodes.

        The blocks are sorted by row for whole element rows at once (a transposition of the compressed
        incidence of element nodes), then by column within each row.
        """
        width = nodes.shape[1]
        if nodes.size * width > np.iinfo(np.int32).max:
            raise ValueError("the mesh has too many cells for 32-bit numbering")
        near = nodes.astype(np.int32)
        incidence = sparse.csr_matrix(
            (np.ones(near.size, dtype=np.int8), near.ravel(), np.arange(near.size + 1, dtype=np.int32)),
            shape=(near.size, size),
        ).tocsc()
        slots = incidence.indices
        block = (slots[:, None] * np.int32(width) + np.arange(width, dtype=np.int32)).ravel()
        ends = incidence.indptr * np.int32(width)
        sorted_rows = sparse.csr_matrix((block, near[slots // width].ravel(), ends), shape=(size, size))
        sorted_rows.sort_indices()
        column = sorted_rows.indices
        first = np.empty(len(column), dtype=bool)
        first[:1] = True
        np.not_equal(column[1:], column[:-1], out=first[1:])
        first[ends[:-1][np.diff(ends) > 0]] = True
        places = np.flatnonzero(first)
        row_starts = np.searchsorted(places, ends).astype(np.int32)
        starts = np.append(places, len(column)).astype(np.int32)
        return cls(sorted_rows.data, starts, column[places], row_starts, size)

    def assemble(self, parts: Iterable[Sequence[Array]]) -> sparse.csr_matrix:
        """Sum element blocks into one matrix (2 size, 2 size).

        ``parts`` are those of xx, xy, yx and yy, each as arrays (c, a, a) that follow each other.
        """
        gather = sparse.csr_matrix(
            (np.ones(len(self.order)), self.order, self.starts), shape=(len(self.columns), len(self.order))
        )
        data = np.empty((len(self.columns), 2, 2))
        for (i, j), arrays in zip(COMPONENTS, parts, strict=True):
            part = arrays[0] if len(arrays) == 1 else np.concatenate(arrays)
            data[:, i, j] = gather @ part.ravel()
        matrix = sparse.bsr_matrix(
            (data, self.columns, self.row_starts), shape=(2 * self.size, 2 * self.size)
        )
        return matrix.tocsr()


def bulk_pattern(model: Model) -> BlockPattern:
    """Assembly pattern of all bodies of ``model``."""
    nodes = [model.numbers[body.name][model.nodes_of(body)] for body in model.bodies]
    return BlockPattern.of(np.concatenate(nodes), model.body_unknowns // 2)


def bulk_stiffness(model: Model, pattern: BlockPattern | None = None) -> sparse.csr_matrix:
    """Stiffness (unknowns, unknowns) in N/mm of all bodies and beams, glue and hinges not included."""
    parts = zip(*(_stiffness_parts(model.mesh, body) for body in model.bodies), strict=True)
    bodies = (pattern or bulk_pattern(model)).assemble(parts)
    if not model.beams:
        return bodies
    beams = [beam.stiffness_matrix() for beam in model.beams]
    return sparse.block_diag([bodies, *beams], format="csr")
