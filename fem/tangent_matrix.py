"""The stiffness of condensed bodies with the tangents of their bonds: pattern found once, filled many times.

A bond's tangent enters linearly, so the entries of the whole matrix are those of the bodies plus one sparse
matrix times the list of all tangents. They are written straight into the order in which they are factored.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import scipy.linalg
import scipy.sparse as sparse
import scipy.sparse.linalg

from fem.model import Array, Integers
from fem.solve import SolveFailure

# Up to so many unknowns a dense factorisation is the faster one, sooner where the matrix is mostly full.
DENSE_LIMIT, DENSE_SHARE = 400, 0.25


class TangentMatrix:
    """Bodies of ``stiffness`` (n, n) tied at points of ``weight`` (p,) with ``jump`` (2 p, n)."""

    def __init__(self, stiffness: sparse.csr_matrix, jump: sparse.csr_matrix, weight: Array) -> None:
        size = stiffness.shape[0]
        self._weight = weight
        pattern = _pattern(stiffness, jump)
        self.is_dense = size <= DENSE_LIMIT or pattern.nnz > DENSE_SHARE * size**2
        self._size = size
        if self.is_dense:
            self._order: Integers = np.arange(size)
            self._bodies = stiffness.toarray().T.ravel()
            places = np.arange(size * size).reshape(size, size)
        else:
            self._order = _fill_reducing_order(pattern)
            ordered = pattern[self._order][:, self._order].tocsc()
            ordered.sort_indices()
            self._rows, self._starts = ordered.indices, ordered.indptr
            place = np.empty(size, dtype=np.int64)
            place[self._order] = np.arange(size)
            self._bodies = np.zeros(ordered.nnz)
            entries = stiffness.tocoo()
            found = self._places(place[entries.row], place[entries.col])
            np.add.at(self._bodies, found, entries.data)
            places = place
        self._bonds = self._bond_matrix(jump, places)

    def factor(self, tangent: Array) -> Callable[[Array], Array]:
        """A solver of (n, k) right sides for bonds of ``tangent`` (p, 2, 2). Raises SolveFailure."""
        values = self._bodies + self._bonds @ (tangent * self._weight[:, None, None]).ravel()
        return self._factor_dense(values) if self.is_dense else self._factor_sparse(values)

    def _factor_dense(self, values: Array) -> Callable[[Array], Array]:
        matrix = values.reshape(self._size, self._size).T  # Fortran order, as LAPACK wants it
        with np.errstate(all="ignore"):
            factor, pivot, trouble = scipy.linalg.lapack.dgetrf(matrix, overwrite_a=True)
        if trouble:
            raise SolveFailure("the tangent stiffness is singular")
        return lambda right: np.asarray(scipy.linalg.lapack.dgetrs(factor, pivot, right)[0])

    def _factor_sparse(self, values: Array) -> Callable[[Array], Array]:
        order, size = self._order, self._size
        matrix = sparse.csc_matrix((values, self._rows, self._starts), shape=(size, size))
        matrix.has_sorted_indices = True
        try:
            factor = scipy.sparse.linalg.splu(
                matrix,
                permc_spec="NATURAL",
                diag_pivot_thresh=0.1,
                relax=1,
                options={"SymmetricMode": True},
            )
        except RuntimeError as error:
            raise SolveFailure("the tangent stiffness is singular") from error

        def solve(right: Array) -> Array:
            solution = np.empty_like(right)
            solution[order] = factor.solve(right[order])
            return solution

        return solve

    def _places(self, rows: Integers, columns: Integers) -> Integers:
        """Where the entries of ordered ``rows`` and ``columns`` stand in the list of values."""
        keys = np.repeat(np.arange(self._size), np.diff(self._starts)) * self._size + self._rows
        return np.asarray(np.searchsorted(keys, columns.astype(np.int64) * self._size + rows))

    def _bond_matrix(self, jump: sparse.csr_matrix, places: Integers) -> sparse.csr_matrix:
        """Entries (values, 4 p) by which every tangent's four numbers enter the matrix."""
        rows = jump.tocsr()
        counts = np.diff(rows.indptr)
        found_at, found_in, found = [], [], []
        for i in (0, 1):
            for j in (0, 1):
                for width, chosen in _by_widths(counts[i::2], counts[j::2]):
                    first = rows.indptr[2 * chosen + i][:, None] + np.arange(width[0])
                    second = rows.indptr[2 * chosen + j][:, None] + np.arange(width[1])
                    product = rows.data[first][:, :, None] * rows.data[second][:, None, :]
                    row = np.broadcast_to(rows.indices[first][:, :, None], product.shape)
                    column = np.broadcast_to(rows.indices[second][:, None, :], product.shape)
                    if self.is_dense:
                        place = places[column.ravel(), row.ravel()]
                    else:
                        place = self._places(places[row.ravel()], places[column.ravel()])
                    found_at.append(place)
                    found_in.append(np.repeat(4 * chosen + 2 * i + j, width[0] * width[1]))
                    found.append(product.ravel())
        entries = (np.concatenate(found), (np.concatenate(found_at), np.concatenate(found_in)))
        return sparse.csr_matrix(entries, shape=(len(self._bodies), 2 * jump.shape[0]))


def _by_widths(first: Integers, second: Integers) -> list[tuple[tuple[int, int], Integers]]:
    """Points grouped by how many unknowns enter their two jumps, which is the same over most surfaces."""
    pairs, group = np.unique(np.stack([first, second], axis=1), axis=0, return_inverse=True)
    flat = group.ravel()
    return [((int(a), int(b)), np.flatnonzero(flat == index)) for index, (a, b) in enumerate(pairs)]


def _pattern(stiffness: sparse.csr_matrix, jump: sparse.csr_matrix) -> sparse.csr_matrix:
    """Where the matrix can have entries, whatever the tangents: both jumps of a point go together."""
    size = len(jump.indptr) - 1
    shape = (size // 2, jump.shape[1])
    point = sparse.csr_matrix((np.ones(jump.nnz), jump.indices, jump.indptr[::2]), shape=shape)
    ties = (point.T @ point).tocsr()
    ties.data[:] = 1.0
    own = stiffness.copy()
    own.data = np.ones_like(own.data)
    pattern = (own + ties).tocsr()
    pattern.data[:] = 1.0
    return pattern


def _fill_reducing_order(pattern: sparse.csr_matrix) -> Integers:
    """Minimum-degree order of a symmetric pattern, found once by factoring a definite matrix that has it."""
    dominant = (1e-6 * pattern + sparse.identity(pattern.shape[0])).tocsc()
    factor = scipy.sparse.linalg.splu(
        dominant, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    return np.argsort(factor.perm_c).astype(np.int64)
