"""The stiffness of condensed bodies with the tangents of their bonds: pattern found once, filled many times.

A bond's tangent enters linearly, so the entries of the whole matrix are those of the bodies plus one sparse
matrix times the list of all tangents. They are written straight into the order in which they are factored.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.linalg
import scipy.sparse as sparse
import scipy.sparse.linalg

from glueline.fem.model import Array, Integers
from glueline.fem.solve import SolveFailure

# Up to so many unknowns a dense factorisation is the faster one, sooner where the matrix is mostly full.
DENSE_LIMIT, DENSE_SHARE = 400, 0.25

# So many rounds of correcting a solution by factors of another matrix cost about as much as its own factors.
DENSE_ROUNDS, SPARSE_ROUNDS = 16, 10

# A solve of one right side, over the time that the factors with as many entries took.
SOLVE_SHARE = 0.04


@dataclass(frozen=True)
class Factored:
    """Solves right sides (n,) or (n, k) with a factored matrix, whose factors have so many ``entries``."""

    solve: Callable[[Array], Array]
    entries: int


class TangentMatrix:
    """Bodies of ``stiffness`` (n, n) tied at points of ``weight`` (p,) with ``jump`` (2 p, n)."""

    def __init__(self, stiffness: sparse.csr_matrix, jump: sparse.csr_matrix, weight: Array) -> None:
        size = stiffness.shape[0]
        self._weight, self._stiffness, self._jump, self._forces = weight, stiffness, jump, jump.T.tocsr()
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
            entry_places = self._places(place[entries.row], place[entries.col])
            np.add.at(self._bodies, entry_places, entries.data)
            places = place
        self._bonds = self._bond_matrix(jump, places)

    def filled(self, tangent: Array) -> Array | sparse.csc_matrix:
        """The matrix with bonds of ``tangent`` (p, 2, 2), in the order in which it is factored."""
        values = self._bodies + self._bonds @ (tangent * self._weight[:, None, None]).ravel()
        if self.is_dense:
            return np.asarray(values.reshape(self._size, self._size).T)  # Fortran order, as LAPACK wants it
        matrix = sparse.csc_matrix((values, self._rows, self._starts), shape=(self._size, self._size))
        matrix.has_sorted_indices = True
        return matrix

    def factored(self, matrix: Array | sparse.csc_matrix) -> Factored:
        """Factors of a filled matrix. Raises SolveFailure if it is singular."""
        if isinstance(matrix, np.ndarray):
            with np.errstate(all="ignore"):
                factor, pivot, trouble = scipy.linalg.lapack.dgetrf(matrix)
            if trouble:
                raise SolveFailure("the tangent stiffness is singular")
            return Factored(
                lambda right: np.asarray(scipy.linalg.lapack.dgetrs(factor, pivot, right)[0]), factor.size
            )
        try:
            sparse_factor = scipy.sparse.linalg.splu(
                matrix,
                permc_spec="NATURAL",
                diag_pivot_thresh=0.1,
                relax=1,
                options={"SymmetricMode": True},
            )
        except RuntimeError as error:
            raise SolveFailure("the tangent stiffness is singular") from error
        order = self._order

        def solve(right: Array) -> Array:
            solution = np.empty_like(right)
            solution[order] = sparse_factor.solve(right[order])
            return solution

        return Factored(solve, int(sparse_factor.nnz))

    def nearby(self, tangent: Array, near: Callable[[Array], Array], accuracy: float) -> NearbySolver:
        """A solver of the matrix with bonds of ``tangent`` (p, 2, 2) by ``near``, factors of another one.

        The matrix itself is not made for it.
        """
        weighted = tangent * self._weight[:, None, None]

        def product(moved: Array) -> Array:
            jump = (self._jump @ moved).reshape(-1, 2)
            pulled = (weighted[:, :, 0] * jump[:, :1] + weighted[:, :, 1] * jump[:, 1:]).ravel()
            return np.asarray(self._stiffness @ moved + self._forces @ pulled)

        return NearbySolver(product, near, accuracy, DENSE_ROUNDS if self.is_dense else SPARSE_ROUNDS)

    def _places(self, rows: Integers, columns: Integers) -> Integers:
        """Where the entries of ordered ``rows`` and ``columns`` stand in the list of values."""
        keys = np.repeat(np.arange(self._size), np.diff(self._starts)) * self._size + self._rows
        return np.asarray(np.searchsorted(keys, columns.astype(np.int64) * self._size + rows))

    def _bond_matrix(self, jump: sparse.csr_matrix, places: Integers) -> sparse.csr_matrix:
        """Entries (values, 4 p) by which every tangent's four numbers enter the matrix."""
        rows = jump.tocsr()
        counts = np.diff(rows.indptr)
        value_places, tangent_places, products = [], [], []
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
                    value_places.append(place)
                    tangent_places.append(np.repeat(4 * chosen + 2 * i + j, width[0] * width[1]))
                    products.append(product.ravel())
        entries = (np.concatenate(products), (np.concatenate(value_places), np.concatenate(tangent_places)))
        return sparse.csr_matrix(entries, shape=(len(self._bodies), 2 * jump.shape[0]))


class NearbySolver:
    """Solves right sides (n,) with a matrix, known by its ``product``, by factors ``near`` of another one.

    Generalised conjugate residuals (Eisenstat, Elman, Schultz 1983, SIAM Journal on Numerical Analysis 20),
    from memory: where m points changed since the factors were made it is exact after 2 m rounds. Directions
    serve all right sides of the matrix. A solution is there when what is left of the right side is
    ``accuracy`` of it, within so many ``rounds`` in all.
    """

    def __init__(
        self,
        product: Callable[[Array], Array],
        near: Callable[[Array], Array],
        accuracy: float,
        rounds: int,
    ) -> None:
        self._product, self._near = product, near
        self._accuracy, self._rounds = accuracy, rounds
        self._directions = np.empty((0, 0))
        self._images = np.empty((0, 0))
        self._count = 0

    def __call__(self, right: Array, guess: Array | None = None) -> Array | None:
        """The solution, looked for from a ``guess``; None if it takes longer than factors of the matrix."""
        if not self._count:
            self._directions = np.empty((self._rounds, len(right)))
            self._images = np.empty((self._rounds, len(right)))
        enough = self._accuracy * _size(right)
        solution, rest = np.zeros_like(right), right
        if guess is not None:
            away = right - self._product(guess)
            if _size(away) < _size(right):
                solution, rest = guess, away
        if self._count and _size(rest) > enough:
            parts = self._images[: self._count] @ rest
            solution = solution + parts @ self._directions[: self._count]
            rest = rest - parts @ self._images[: self._count]
        while _size(rest) > enough:
            if self._count == self._rounds or not self._one_more(rest):
                return None
            direction, image = self._directions[self._count - 1], self._images[self._count - 1]
            part = image @ rest
            solution = solution + part * direction
            rest = rest - part * image
        return solution

    def _one_more(self, rest: Array) -> bool:
        """Add the direction that ``rest`` asks for; False where there is none."""
        direction = self._near(rest)
        image = self._product(direction)
        before = _size(image)
        directions, images = self._directions[: self._count], self._images[: self._count]
        for _ in range(2):  # twice, as rounding spoils it once
            parts = images @ image
            image, direction = image - parts @ images, direction - parts @ directions
        size = _size(image)
        if not size > 1e-12 * before:
            return False
        self._directions[self._count], self._images[self._count] = direction / size, image / size
        self._count += 1
        return True


def _size(vector: Array) -> float:
    """Its norm; numpy's own takes longer than the sum."""
    return math.sqrt(vector @ vector)


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
