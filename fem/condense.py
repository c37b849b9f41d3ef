"""Static condensation: what no bonded surface touches is linear and is eliminated once for a whole path."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse

from glueline.fem.bond import BondedSurface
from glueline.fem.model import Array, Integers
from glueline.fem.solve import factor_definite


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
        u = np.zeros(self.size)
        u[self.kept] = kept
        if self._solve is not None:
            u[self.inner] = alone - self._solve(np.asarray(self._coupling @ kept))
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
    solve = factor_definite(matrix[inner][:, inner])
    coupling = matrix[inner][:, kept].tocsc()
    near = np.flatnonzero(np.diff(coupling.indptr))
    beside = coupling[:, near]
    full = beside.T @ solve(beside.toarray())
    full = 0.5 * (full + full.T)
    rows, columns = np.repeat(near, len(near)), np.tile(near, len(near))
    taken = sparse.csr_matrix((full.ravel(), (rows, columns)), shape=own.shape)
    return Condensed(size, kept, inner, (own - taken).tocsr(), coupling.tocsr(), solve)
