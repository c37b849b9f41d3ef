"""The stiffness of condensed bodies with the tangents of their bonds: pattern found once, filled many times.

A bond's tangent enters linearly, so the entries of the whole matrix are those of the bodies plus one sparse
matrix times the list of all tangents. They are written straight into the order in which they are factored.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.linalg
import scipy.sparse as sparse
import scipy.sparse.linalg

from glueline.fem.model import Array, Integers
from glueline.fem.solve import SolveFailure
from glueline.fem.tangent_pattern import (
    OrderedPlaces,
    Places,
    bodies_with_pattern,
    bond_matrix,
    fill_reducing_order,
)

# Up to so many unknowns a dense factorisation is the faster one, sooner where the matrix is mostly full.
DENSE_LIMIT, DENSE_SHARE = 400, 0.25

# So many rounds of correcting a solution by factors of another matrix cost about as much as its own factors.
DENSE_ROUNDS, SPARSE_ROUNDS = 16, 8

# A solve of one right side, over the time that the factors with as many entries took.
SOLVE_SHARE = 0.04


@dataclass(frozen=True)
class Factored:
    """Solves (n, k) right sides with a factored matrix, whose factors have so many ``entries``."""

    solve: Callable[[Array], Array]
    entries: int


class TangentMatrix:
    """Bodies of ``stiffness`` (n, n) tied at points of ``weight`` (p,) with ``jump`` (2 p, n)."""

    def __init__(self, stiffness: sparse.csr_matrix, jump: sparse.csr_matrix, weight: Array) -> None:
        size = stiffness.shape[0]
        self._weight = weight
        self._size = size
        pattern = bodies_with_pattern(stiffness, jump)
        self.is_dense = size <= DENSE_LIMIT or pattern.nnz > DENSE_SHARE * size**2
        if self.is_dense:
            self._order: Integers = np.arange(size)
            self._bodies = stiffness.toarray().T.ravel()
            places: Places = np.arange(size * size).reshape(size, size).T
        else:
            self._order = fill_reducing_order(pattern)
            ordered = pattern[self._order][:, self._order].tocsc()
            ordered.sort_indices()
            self._rows, self._starts = ordered.indices, ordered.indptr
            self._bodies = np.ascontiguousarray(ordered.data.real)
            places = OrderedPlaces.of(ordered, self._order)
        self._bonds = bond_matrix(jump, places, len(self._bodies))

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

    def nearby(
        self, matrix: Array | sparse.csc_matrix, near: Callable[[Array], Array], accuracy: float
    ) -> NearbySolver:
        """A solver of a filled ``matrix`` by ``near``, factors of another filled before."""
        order, rounds = (None, DENSE_ROUNDS) if self.is_dense else (self._order, SPARSE_ROUNDS)
        return NearbySolver(matrix, order, near, accuracy, rounds)


class NearbySolver:
    """Solves (n, k) right sides with ``matrix`` (n, n) by factors ``near`` of another one.

    Generalised conjugate residuals (Eisenstat, Elman, Schultz 1983, SIAM Journal on Numerical Analysis 20),
    from memory: where m points changed since the factors were made it is exact after 2 m rounds. Directions
    serve all right sides of the matrix. ``order`` (n,) is that of the rows of a sparse matrix; a solution is
    there when what is left of the right side is ``accuracy`` of it, within so many ``rounds`` in all.
    """

    def __init__(
        self,
        matrix: Array | sparse.csc_matrix,
        order: Integers | None,
        near: Callable[[Array], Array],
        accuracy: float,
        rounds: int,
    ) -> None:
        self._matrix, self._order, self._near = matrix, order, near
        self._accuracy, self._rounds = accuracy, rounds
        self._directions = np.empty((0, 0))
        self._images = np.empty((0, 0))
        self._count = 0

    def __call__(self, right: Array) -> Array | None:
        """The solutions; None if they take longer than factors of the matrix itself."""
        solutions = [self._solved(column) for column in right.T]
        found = [solution for solution in solutions if solution is not None]
        return np.stack(found, axis=1) if len(found) == len(solutions) else None

    def _solved(self, right: Array) -> Array | None:
        if not self._count:
            self._directions = np.empty((self._rounds, len(right)))
            self._images = np.empty((self._rounds, len(right)))
        enough = self._accuracy * float(np.linalg.norm(right))
        known = self._images[: self._count]
        parts = known @ right
        solution, rest = self._directions[: self._count].T @ parts, right - known.T @ parts
        while float(np.linalg.norm(rest)) > enough:
            if self._count == self._rounds or not self._one_more(rest):
                return None
            direction, image = self._directions[self._count - 1], self._images[self._count - 1]
            part = float(image @ rest)
            solution = solution + part * direction
            rest = rest - part * image
        return solution

    def _one_more(self, rest: Array) -> bool:
        """Add the direction that ``rest`` asks for; False where there is none."""
        direction = self._near(rest[:, None])[:, 0]
        image = self._image(direction)
        before = float(np.linalg.norm(image))
        directions, images = self._directions[: self._count], self._images[: self._count]
        for _ in range(2):  # twice, as rounding spoils it once
            parts = images @ image
            image, direction = image - images.T @ parts, direction - directions.T @ parts
        size = float(np.linalg.norm(image))
        if not size > 1e-12 * before:
            return False
        self._directions[self._count], self._images[self._count] = direction / size, image / size
        self._count += 1
        return True

    def _image(self, direction: Array) -> Array:
        if self._order is None:
            return np.asarray(self._matrix @ direction)
        image = np.empty_like(direction)
        image[self._order] = self._matrix @ direction[self._order]
        return image
