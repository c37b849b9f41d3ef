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
from glueline.fem.tangent_pattern import (
    OrderedPlaces,
    Places,
    bodies_with_pattern,
    bond_matrix,
    fill_reducing_order,
)

# Up to so many unknowns a dense factorisation is the faster one, sooner where the matrix is mostly full.
DENSE_LIMIT, DENSE_SHARE = 400, 0.25

# So many rounds of correcting a solution by factors of another matrix cost about as much as its own factors;
# of dense ones a round for so many unknowns.
SPARSE_ROUNDS, UNKNOWNS_A_ROUND = 10, 25

# With more directions of points changed since, sparse factors seldom lead to a solution within their rounds.
MOST_CHANGED = 8.5

# A vector of which so small a share is left after it was set at right angles to others is so only roughly.
ROUNDED = 0.5

# A solve of one right side, over the time that the factors with as many entries took.
SOLVE_SHARE = 0.04


@dataclass(frozen=True)
class Factored:
    """Solves right sides (n,) or (n, k) with a factored matrix, whose factors have so many ``entries``."""

    solve: Callable[[Array], Array]
    entries: int


@dataclass(frozen=True)
class Near:
    """Factors that ``solve`` right sides (n,) and the ``tangent`` (p, 2, 2) that they were made of."""

    tangent: Array
    solve: Callable[[Array], Array]


class TangentMatrix:
    """Bodies of ``stiffness`` (n, n) tied at points of ``weight`` (p,) with ``jump`` (2 p, n)."""

    def __init__(self, stiffness: sparse.csr_matrix, jump: sparse.csr_matrix, weight: Array) -> None:
        size = stiffness.shape[0]
        self._weight, self._stiffness, self._jump = weight, stiffness, jump
        own = stiffness.diagonal()
        own = np.maximum(own, 1e-12 * own.max(initial=1.0))  # some rods are held by bonds alone
        self._give = np.asarray(jump.multiply(jump) @ (1.0 / own)).reshape(-1, 2)
        self.forces = jump.T.tocsr()  # (n, 2 p): what tractions times weight do to the unknowns
        self._size = size
        pattern = bodies_with_pattern(stiffness, jump)
        self.is_dense = size <= DENSE_LIMIT or pattern.nnz > DENSE_SHARE * size**2
        if self.is_dense:
            self._order: Integers = np.arange(size)
            self._bodies = stiffness.toarray().T.ravel()
            places: Places = np.arange(size * size).reshape(size, size).T
        else:
            self._order = fill_reducing_order(pattern)
            self._place = np.argsort(self._order)
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
        order, place = self._order, self._place

        def solve(right: Array) -> Array:
            return np.asarray(sparse_factor.solve(right.take(order, axis=0)).take(place, axis=0))

        return Factored(solve, int(sparse_factor.nnz))

    def changed(self, tangent: Array, before: Array) -> float:
        """About how many directions of points answer otherwise with a ``tangent`` (p, 2, 2) than ``before``.

        A change of a bond's stiffness counts by what it is against that of bond and bodies there, as their
        own entries of the matrix tell, and no more than as one.
        """
        own = np.abs(before[:, [0, 1], [0, 1]]) * self._weight[:, None] * self._give
        change = np.abs((tangent - before)[:, [0, 1], [0, 1]]) * self._weight[:, None] * self._give
        return float(np.minimum(change / (1.0 + own), 1.0).sum())

    def nearby(self, tangent: Array, near: Near, accuracy: float) -> NearbySolver | None:
        """A solver of the matrix with bonds of ``tangent`` (p, 2, 2) by factors ``near`` it.

        None where too much has changed since they were made.

        The matrix itself is not made for it: what it does to a solution by those factors is what the bonds
        do that have changed since.
        """
        if not self.is_dense and self.changed(tangent, near.tangent) > MOST_CHANGED:
            return None
        weight = self._weight[:, None, None]
        whole, difference = weight * tangent, weight * (tangent - near.tangent)

        def product(moved: Array) -> Array:
            return np.asarray(self._stiffness @ moved) + self._pulling(whole, moved)

        def change(moved: Array) -> Array:
            return self._pulling(difference, moved)

        return NearbySolver(product, change, near.solve, accuracy, self._rounds)

    def _pulling(self, tangent: Array, moved: Array) -> Array:
        """Forces (n,) of bonds of weighted ``tangent`` (p, 2, 2) as the unknowns have ``moved`` (n,)."""
        jump = np.asarray(self._jump @ moved).reshape(-1, 2)
        return np.asarray(self.forces @ np.einsum("pij,pj->pi", tangent, jump).ravel())

    @property
    def _rounds(self) -> int:
        return max(1, self._size // UNKNOWNS_A_ROUND) if self.is_dense else SPARSE_ROUNDS


class NearbySolver:
    """Solves right sides (n,) with a matrix, known by its ``product``, by factors ``near`` of another one.

    ``change`` is the product with the difference of both. Generalised conjugate residuals (Eisenstat, Elman,
    Schultz 1983, SIAM Journal on Numerical Analysis 20), from memory: where m points changed since the
    factors were made it is exact after 2 m rounds. Directions serve all right sides of the matrix. A solution
    is there when what is left of the right side is ``accuracy`` of it, within so many ``rounds`` in all.
    """

    def __init__(
        self,
        product: Callable[[Array], Array],
        change: Callable[[Array], Array],
        near: Callable[[Array], Array],
        accuracy: float,
        rounds: int,
    ) -> None:
        self._product, self._change, self._near = product, change, near
        self._accuracy, self._rounds = accuracy, rounds
        # What the factors made of what was left in each round, (rounds, n); the products of these, each set
        # at right angles to those before, (rounds, n); and how much of these each product has.
        self._moves, self._images, self._shares = (np.empty((0, 0)) for _ in range(3))
        self._count = 0

    def __call__(self, right: Array, guess: Array | None = None) -> Array | None:
        """The solution, looked for from a ``guess``; None if it takes longer than factors of the matrix."""
        if not self._count:
            self._moves, self._images = (np.empty((self._rounds, len(right))) for _ in range(2))
            self._shares = np.zeros((self._rounds, self._rounds), order="F")
        enough = self._accuracy * _size(right)
        solution, rest = None, right
        if guess is not None:
            away = right - self._product(guess)
            if _size(away) < _size(right):
                solution, rest = guess, away
        if _size(rest) <= enough:
            return np.zeros_like(right) if solution is None else solution
        parts = np.zeros(self._rounds)
        if self._count:
            images = self._images[: self._count]
            parts[: self._count] = images @ rest
            rest = rest - parts[: self._count] @ images
        while _size(rest) > enough:
            if self._count == self._rounds or not self._one_more(rest):
                return None
            image = self._images[self._count - 1]
            parts[self._count - 1] = part = image @ rest
            rest = rest - part * image
        more = self._combined(parts[: self._count])
        return more if solution is None else solution + more

    def _combined(self, parts: Array) -> Array:
        """The move whose product has so many ``parts`` (count,) of the images."""
        factors, _ = scipy.linalg.lapack.dtrtrs(self._shares[: self._count, : self._count], parts)
        return np.asarray(factors @ self._moves[: self._count])

    def _one_more(self, rest: Array) -> bool:
        """Add the move that ``rest`` asks for; False where its product is none."""
        count = self._count
        move, image = self._near(rest), self._images[count]
        np.add(rest, self._change(move), out=image)
        before, images, shares = _size(image), self._images[:count], self._shares[:count, count]
        shares[:], size = 0.0, before
        for _ in range(2):  # again where little is left, which rounding has spoilt
            parts, last = images @ image, size
            image -= parts @ images
            shares += parts
            size = _size(image)
            if size > ROUNDED * last:
                break
        if not size > 1e-12 * before:
            return False
        image /= size
        self._moves[count], self._shares[count, count] = move, size
        self._count += 1
        return True


def _size(vector: Array) -> float:
    """Its norm; numpy's own takes longer than the sum."""
    return math.sqrt(vector @ vector)
