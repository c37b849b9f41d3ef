"""Stiffness of the bodies: batched element matrices and their assembly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from fem.model import Array, Body, Integers, Mesh, Model
from fem.triangle import STIFFNESS_POINTS, STIFFNESS_WEIGHTS, shape_gradients


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


def element_stiffness(mesh: Mesh, body: Body) -> Array:
    """Stiffness matrices (m, 12, 12) in N/mm of a body's cells, by the three-point rule."""
    operator, determinant = strain_operator(mesh, body.cells, STIFFNESS_POINTS)
    weight = determinant * STIFFNESS_WEIGHTS * body.thickness[:, None]
    stress = np.matmul(body.stiffness[:, None], operator) * weight[..., None, None]
    count = len(body.cells)
    matrices: Array = np.matmul(
        operator.reshape(count, 9, 12).transpose(0, 2, 1), stress.reshape(count, 9, 12)
    )
    return matrices


@dataclass(frozen=True)
class BlockPattern:
    """Where 2 by 2 blocks of element matrices go in the assembled matrix: found once, used for many.

    ``order`` sorts the element blocks by (row, column); ``starts`` marks the first block of each place;
    ``columns`` and ``row_starts`` are the block rows' compressed storage.
    """

    order: NDArray[np.int64]
    starts: NDArray[np.int64]
    columns: NDArray[np.int32]
    row_starts: NDArray[np.int32]
    size: int

    @classmethod
    def of(cls, nodes: Integers, size: int) -> BlockPattern:
        """Pattern of elements with node numbers ``nodes`` (c, a) among ``size`` nodes."""
        count = nodes.shape[1]
        key = (np.repeat(nodes, count, axis=1) * np.int64(size) + np.tile(nodes, (1, count))).ravel()
        order = np.argsort(key)
        ordered = key[order]
        first = np.empty(len(ordered), dtype=bool)
        first[:1] = True
        np.not_equal(ordered[1:], ordered[:-1], out=first[1:])
        starts = np.flatnonzero(first)
        place = ordered[starts]
        rows = place // size
        row_starts = np.searchsorted(rows, np.arange(size + 1)).astype(np.int32)
        return cls(order, starts, (place - rows * size).astype(np.int32), row_starts, size)

    def assemble(self, matrices: Array) -> sparse.csr_matrix:
        """Sum element ``matrices`` (c, 2 a, 2 a) into one matrix (2 size, 2 size)."""
        cells, width = matrices.shape[0], matrices.shape[1] // 2
        blocks = matrices.reshape(cells, width, 2, width, 2).transpose(0, 1, 3, 2, 4).reshape(-1, 4)
        summed = np.add.reduceat(blocks[self.order], self.starts, axis=0)
        matrix = sparse.bsr_matrix(
            (summed.reshape(-1, 2, 2), self.columns, self.row_starts), shape=(2 * self.size, 2 * self.size)
        )
        return matrix.tocsr()


def bulk_pattern(model: Model) -> BlockPattern:
    """Assembly pattern of all bodies of ``model``."""
    nodes = [model.numbers[body.name][model.mesh.triangles[body.cells]] for body in model.bodies]
    return BlockPattern.of(np.concatenate(nodes), model.unknowns // 2)


def bulk_stiffness(model: Model, pattern: BlockPattern | None = None) -> sparse.csr_matrix:
    """Stiffness (unknowns, unknowns) in N/mm of all bodies, glue not included."""
    matrices = np.concatenate([element_stiffness(model.mesh, body) for body in model.bodies])
    return (pattern or bulk_pattern(model)).assemble(matrices)
