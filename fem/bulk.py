"""Stiffness of the bodies: batched element matrices and their assembly."""

from __future__ import annotations

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


def _straight(mesh: Mesh, cells: Integers) -> NDArray[np.bool_]:
    """Cells whose middles lie halfway between their corners, to rounding."""
    nodes = mesh.nodes[mesh.triangles[cells]]
    corners = nodes[:, :3]
    gap = nodes[:, 3:] - 0.5 * (corners + corners[:, [1, 2, 0]])
    size = np.abs(corners[:, 1:] - corners[:, :1]).max(axis=(1, 2), initial=0.0)
    straight: NDArray[np.bool_] = np.abs(gap).max(axis=(1, 2), initial=0.0) <= 1e-12 * size
    return straight


def _straight_blocks(mesh: Mesh, cells: Integers, thickness: Array, stiffness: Array) -> Array:
    """Stiffness (m, 6, 6, 2, 2) of straight-sided cells, nodes a b then components i j.

    The gradient map is constant on such a cell, so its matrix is a product of a few numbers of the cell with
    integrals over the reference cell: the same as the three-point rule, in one multiplication for all cells.
    """
    corners = mesh.nodes[mesh.triangles[cells][:, :3]]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    determinant = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    if determinant.size and determinant.min() <= 0:
        raise ValueError("the mesh has a cell that is turned inside out")
    # Reference gradient to plane gradient, times the determinant: d / d x_m = inverse[m, k] d / d r_k.
    inverse = np.empty((len(cells), 2, 2))
    inverse[:, 0, 0], inverse[:, 0, 1] = second[:, 1], -first[:, 1]
    inverse[:, 1, 0], inverse[:, 1, 1] = -second[:, 0], first[:, 0]
    scale = thickness / determinant
    blocks = np.empty((len(cells), 36, 2, 2))
    for i in range(2):
        for j in range(2):
            moduli = stiffness[:, _VOIGT[i][:, None], _VOIGT[j][None, :]] * scale[:, None, None]
            turned = np.matmul(inverse.transpose(0, 2, 1), np.matmul(moduli, inverse))
            blocks[:, :, i, j] = turned.reshape(-1, 4) @ _REFERENCE_PRODUCTS
    return blocks.reshape(-1, 6, 6, 2, 2)


def _general_blocks(mesh: Mesh, cells: Integers, thickness: Array, stiffness: Array) -> Array:
    """Stiffness (m, 6, 6, 2, 2) of any cells by the three-point rule, nodes a b then components i j."""
    operator, determinant = strain_operator(mesh, cells, STIFFNESS_POINTS)
    weight = determinant * STIFFNESS_WEIGHTS * thickness[:, None]
    stress = np.matmul(stiffness[:, None], operator) * weight[..., None, None]
    count = len(cells)
    matrices: Array = np.matmul(
        operator.reshape(count, 9, 12).transpose(0, 2, 1), stress.reshape(count, 9, 12)
    )
    return matrices.reshape(count, 6, 2, 6, 2).transpose(0, 1, 3, 2, 4)


def _stiffness_blocks(mesh: Mesh, body: Body) -> Array:
    """Stiffness (m, 6, 6, 2, 2) of a body's cells, straight-sided ones the short way."""
    straight = _straight(mesh, body.cells)
    if straight.all():
        return _straight_blocks(mesh, body.cells, body.thickness, body.stiffness)
    blocks = np.empty((len(body.cells), 6, 6, 2, 2))
    for chosen, form in ((straight, _straight_blocks), (~straight, _general_blocks)):
        blocks[chosen] = form(mesh, body.cells[chosen], body.thickness[chosen], body.stiffness[chosen])
    return blocks


def element_stiffness(mesh: Mesh, body: Body) -> Array:
    """Stiffness matrices (m, 12, 12) in N/mm of a body's cells, by the three-point rule."""
    return _stiffness_blocks(mesh, body).transpose(0, 1, 3, 2, 4).reshape(-1, 12, 12)


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

    def assemble(self, blocks: Array) -> sparse.csr_matrix:
        """Sum element blocks (c, a, a, 2, 2) into one matrix (2 size, 2 size)."""
        flat = blocks.reshape(-1, 4)
        gather = sparse.csr_matrix(
            (np.ones(len(self.order)), self.order, self.starts), shape=(len(self.columns), len(flat))
        )
        matrix = sparse.bsr_matrix(
            ((gather @ flat).reshape(-1, 2, 2), self.columns, self.row_starts),
            shape=(2 * self.size, 2 * self.size),
        )
        return matrix.tocsr()


def bulk_pattern(model: Model) -> BlockPattern:
    """Assembly pattern of all bodies of ``model``."""
    nodes = [model.numbers[body.name][model.nodes_of(body)] for body in model.bodies]
    return BlockPattern.of(np.concatenate(nodes), model.body_unknowns // 2)


def bulk_stiffness(model: Model, pattern: BlockPattern | None = None) -> sparse.csr_matrix:
    """Stiffness (unknowns, unknowns) in N/mm of all bodies and beams, glue and hinges not included."""
    blocks = [_stiffness_blocks(model.mesh, body) for body in model.bodies]
    whole = blocks[0] if len(blocks) == 1 else np.concatenate(blocks)
    bodies = (pattern or bulk_pattern(model)).assemble(whole)
    if not model.beams:
        return bodies
    beams = [beam.stiffness_matrix() for beam in model.beams]
    return sparse.block_diag([bodies, *beams], format="csr")
