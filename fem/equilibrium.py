"""Equilibrium of linear bodies tied by softening bonds: forces, tangent and solves on the kept unknowns."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import scipy.linalg
import scipy.sparse as sparse
import scipy.sparse.linalg

from fem.bond import BondedSurface
from fem.condense import condense, touched_unknowns
from fem.model import Array, Integers
from fem.solve import SolveFailure
from fem.traction_law import Response, TractionLaw, evaluate, final_share, growth_share, spent_energy

# Up to so many kept unknowns a dense factorisation is the faster one, sooner where the matrix is mostly full.
DENSE_LIMIT, DENSE_SHARE = 500, 0.25


class BondedBodies:
    """Bodies of condensed ``stiffness`` tied by ``surfaces`` that follow ``laws``, under P times ``load``.

    All points of all surfaces stand in one list, surface after surface. v are the kept displacements.
    """

    def __init__(
        self,
        stiffness: sparse.csr_matrix,
        surfaces: Sequence[BondedSurface],
        laws: Sequence[TractionLaw],
        load: Array,
        pinned: Integers,
    ) -> None:
        if len(surfaces) != len(laws) or not surfaces:
            raise ValueError("every bonded surface needs one law, and there must be at least one")
        self.condensed = condense(stiffness, touched_unknowns(surfaces), pinned)
        self.load, self.alone = self.condensed.load(load)
        self.own_compliance = float(load[self.condensed.inner] @ self.alone)
        self.laws = tuple(laws)
        self.parts = _parts([len(surface.weight) for surface in surfaces])
        self.weight = np.concatenate([surface.weight for surface in surfaces])
        kept = self.condensed.kept
        self.jump = sparse.vstack([surface.jump.tocsc()[:, kept] for surface in surfaces], format="csr")
        self._forces = self.jump.T.tocsr()
        self.stiffness = self.condensed.stiffness
        count = len(kept)
        joined = self.stiffness + self._bonds(np.tile(np.ones((2, 2)), (len(self.weight), 1, 1)))
        self.is_dense = count <= DENSE_LIMIT or joined.nnz > DENSE_SHARE * count**2
        self._full = self.stiffness.toarray() if self.is_dense else None
        self._order = np.arange(count) if self.is_dense else _fill_reducing_order(joined, self.stiffness)

    def jumps(self, v: Array) -> Array:
        """Local jumps (p, 2)."""
        return np.asarray(self.jump @ v).reshape(-1, 2)

    def respond(self, jump: Array, damage_before: Array) -> Response:
        """Tractions, tangents and damage of all points."""
        found = [
            evaluate(law, jump[part], damage_before[part])
            for law, part in zip(self.laws, self.parts, strict=True)
        ]
        return Response(
            np.concatenate([one.traction for one in found]),
            np.concatenate([one.tangent for one in found]),
            np.concatenate([one.damage for one in found]),
            np.concatenate([one.growing for one in found]),
        )

    def growth_share(self, jump: Array, damage: Array) -> Array:
        """How near every point is to further damage: 1 at the limit."""
        found = [
            growth_share(law, jump[part], damage[part])
            for law, part in zip(self.laws, self.parts, strict=True)
        ]
        return np.concatenate(found)

    def change_share(self, jump: Array) -> Array:
        """Change of jump, either way, over the jump at which every point is broken."""
        found = [
            np.maximum(final_share(law, jump[part]), final_share(law, -jump[part]))
            for law, part in zip(self.laws, self.parts, strict=True)
        ]
        return np.concatenate(found)

    def spent(self, jump_before: Array, damage_before: Array, jump: Array, damage: Array) -> float:
        """Energy in N mm that all points spend over one step."""
        total = 0.0
        for law, part in zip(self.laws, self.parts, strict=True):
            own = spent_energy(law, jump_before[part], damage_before[part], jump[part], damage[part])
            total += float(self.weight[part] @ own)
        return total

    def bond_forces(self, traction: Array) -> Array:
        """Forces on the kept unknowns that balance ``traction`` (p, 2)."""
        return np.asarray(self._forces @ (self.weight[:, None] * traction).ravel())

    def stored(self, v: Array, load: float, jump: Array, traction: Array) -> float:
        """Elastic energy in N mm of bodies and bonds."""
        bodies = 0.5 * float(v @ (self.stiffness @ v)) + 0.5 * self.own_compliance * load**2
        return bodies + 0.5 * float(self.weight @ (traction * jump).sum(axis=1))

    def displacement(self, v: Array, load: float) -> float:
        """Displacement in mm of the load along its own line."""
        return float(self.load @ v) + self.own_compliance * load

    def solve(self, tangent: Array, right: Array) -> Array:
        """Solve (kept, k) right sides with the bonds' ``tangent`` (p, 2, 2). Raises SolveFailure."""
        bonds = self._bonds(tangent)
        if self._full is not None:
            with np.errstate(all="ignore"):
                factor, pivot, trouble = scipy.linalg.lapack.dgetrf(
                    self._full + bonds.toarray(), overwrite_a=True
                )
                if trouble:
                    raise SolveFailure("the tangent stiffness is singular")
                return np.asarray(scipy.linalg.lapack.dgetrs(factor, pivot, right)[0])
        order = self._order
        matrix = (self.stiffness + bonds)[order][:, order].tocsc()
        try:
            sparse_factor = scipy.sparse.linalg.splu(
                matrix, permc_spec="NATURAL", diag_pivot_thresh=0.1, options={"SymmetricMode": True}
            )
        except RuntimeError as error:
            raise SolveFailure("the tangent stiffness is singular") from error
        solution = np.empty_like(right)
        solution[order] = sparse_factor.solve(right[order])
        return solution

    def _bonds(self, tangent: Array) -> sparse.csr_matrix:
        local = tangent * self.weight[:, None, None]
        count = len(local)
        diagonal = sparse.bsr_matrix(
            (local, np.arange(count), np.arange(count + 1)), shape=(2 * count, 2 * count)
        )
        return self._forces @ (diagonal.tocsr() @ self.jump)


def _parts(counts: list[int]) -> tuple[slice, ...]:
    ends = np.cumsum([0, *counts])
    return tuple(slice(int(a), int(b)) for a, b in pairwise(ends))


def _fill_reducing_order(pattern: sparse.spmatrix, stiffness: sparse.csr_matrix) -> Integers:
    """Minimum-degree order of a symmetric pattern, found once by factoring a definite matrix that has it."""
    entries = sparse.csc_matrix(
        (np.full(pattern.nnz, 1e-6), pattern.tocsc().indices, pattern.tocsc().indptr), shape=pattern.shape
    )
    dominant = entries + sparse.identity(pattern.shape[0], format="csc")
    factor = scipy.sparse.linalg.splu(
        dominant, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    return np.argsort(factor.perm_c).astype(np.int64)
