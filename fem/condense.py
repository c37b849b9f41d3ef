"""Static condensation: what no bonded surface touches is linear and is eliminated once for a whole path."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

from glueline.fem.bond import BondedSurface
from glueline.fem.model import Array, Integers
from glueline.fem.solve import definite_factors


@dataclass(frozen=True)
class Condensed:
    """A stiffness with its inner unknowns eliminated (Schur complement).

    ``kept`` unknowns stay, in this order; ``inner`` are eliminated, the pinned ones are zero. ``stiffness``
    (kept, kept) in N/mm is sparse: it is full only among the kept unknowns next to inner ones.
    """

    size: int
    kept: Integers
    inner: Integers
    stiffness: sparse.csr_matrix
    _coupling: sparse.csr_matrix
    _solve: Callable[[Array], Array] | None

    def load(self, load: Array) -> tuple[Array, Array]:
        """Forces on the kept unknowns that act like ``load`` (size,), and what it alone does to the inner."""
        if self._solve is None:
            return load[self.kept], np.zeros(0)
        alone = self._solve(load[self.inner])
        return np.asarray(load[self.kept] - self._coupling.T @ alone), alone

    def recover(self, kept: Array, alone: Array) -> Array:
        """All displacements (size,), from those ``kept`` and the inner ones under the load ``alone``."""
        return self.recover_all(kept[:, None], np.ones(1), alone)[:, 0]

    def recover_all(self, kept: Array, load: Array, alone: Array) -> Array:
        """The same (size, states) for ``kept`` (kept, states) under ``load`` (states,) times ``alone``."""
        u = np.zeros((self.size, kept.shape[1]))
        u[self.kept] = kept
        if self._solve is not None:
            u[self.inner] = alone[:, None] * load - self._solve(np.asarray(self._coupling @ kept))
        return u


def touched_unknowns(surfaces: Sequence[BondedSurface]) -> Integers:
    """Unknowns that take part in the jump of any of ``surfaces``, in ascending order."""
    if not surfaces:
        return np.zeros(0, dtype=np.int64)
    return np.unique(np.concatenate([surface.jump.indices for surface in surfaces])).astype(np.int64)


def condense(stiffness: sparse.csr_matrix, kept: Integers, pinned: Integers) -> Condensed:
    """Eliminate from ``stiffness`` all but the ``kept`` unknowns; the ``pinned`` are held at zero.

    Raises fem.solve.SolveFailure where a part has neither a kept nor enough pinned unknowns.
    """
    size = stiffness.shape[0]
    role = np.zeros(size, dtype=np.int8)
    role[kept] = 1
    role[pinned] = 2
    kept, inner = np.flatnonzero(role == 1), np.flatnonzero(role == 0)
    matrix = stiffness.tocsr()
    own = matrix[kept][:, kept].tocsr()
    if not len(inner):
        return Condensed(size, kept, inner, own, sparse.csr_matrix((0, len(kept))), None)
    inner_rows = matrix[inner]
    factors = definite_factors(inner_rows[:, inner])
    coupling = inner_rows[:, kept].tocsr()
    near = np.unique(coupling.indices)
    taken = _taken(matrix, inner[np.argsort(factors.perm_c)], kept[near])
    taken[~_share_a_part(inner_rows[:, inner], coupling[:, near])] = 0.0
    counts = np.zeros(len(kept), dtype=np.int64)
    counts[near] = len(near)
    whole = (taken.ravel(), np.tile(near, len(near)), np.append(0, np.cumsum(counts)))
    less = sparse.csr_matrix(whole, shape=own.shape)
    return Condensed(size, kept, inner, (own - less).tocsr(), coupling, factors.solve)


def _taken(matrix: sparse.csr_matrix, inner: Integers, near: Integers) -> Array:
    """What eliminating ``inner`` takes from the stiffness among the unknowns ``near``, which lie beside them.

    Both are factored together, the inner ones first in their good order: what is left of the near ones is
    then the product of the last corners of the factors, without a solve for each of them. Near ones may
    move freely, so they are held by springs meanwhile.
    """
    order = np.concatenate([inner, near])
    held = np.zeros(len(order))
    held[len(inner) :] = matrix.diagonal()[near].max(initial=0.0)
    factors = definite_factors(matrix[order][:, order] + sparse.diags(held, format="csr"), in_order=True)
    lower, upper = (each[len(inner) :, len(inner) :].toarray() for each in (factors.L, factors.U))
    left = lower @ upper - np.diag(held[len(inner) :])
    taken = matrix[near][:, near].toarray() - left
    return np.asarray(0.5 * (taken + taken.T))


def _share_a_part(inner: sparse.csr_matrix, coupling: sparse.csr_matrix) -> NDArray[np.bool_]:
    """Which of the near unknowns (near, near) lie beside one connected part of the ``inner`` matrix.

    Others are not tied to each other, but for what rounding makes. ``coupling`` is (inner, near).
    """
    parts, part = connected_components(inner, directed=False)
    beside = np.zeros((coupling.shape[1], parts))
    entries = coupling.tocoo()
    beside[entries.col, part[entries.row]] = 1.0
    return np.asarray(beside @ beside.T > 0.0)
