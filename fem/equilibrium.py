"""Equilibrium of linear bodies tied by softening bonds: forces, tangent and solves on the kept unknowns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.condense import condense, touched_unknowns
from glueline.fem.crushing import borne_jump, crush_unchecked, crushing_work, share_unchecked
from glueline.fem.model import Array, Integers
from glueline.fem.tangent_matrix import SOLVE_SHARE, TangentMatrix
from glueline.fem.traction_law import (
    Closing,
    TractionLaw,
    evaluate,
    final_share,
    growth_share,
    joined_laws,
    spent_energy,
    stored_energy,
)

EXACT = 1e-7  # share of a right side that a solution may leave


@dataclass(frozen=True)
class BondResponse:
    """All points: traction (p, 2) MPa, tangent (p, 2, 2) N/mm3, ``damage`` (p,) and ``crushed`` (p,) mm.

    ``growing`` and ``crushing`` (p,) tell where the last two grew.
    """

    traction: Array
    tangent: Array
    damage: Array
    growing: NDArray[np.bool_]
    crushed: Array
    crushing: NDArray[np.bool_]


class TiedBodies:
    """Bodies of ``stiffness`` tied by ``surfaces``: what does not depend on laws or load, found once.

    Everything that no surface touches is condensed; the pattern of the tangent is laid out.
    """

    def __init__(
        self, stiffness: sparse.csr_matrix, surfaces: Sequence[BondedSurface], pinned: Integers
    ) -> None:
        if not surfaces:
            raise ValueError("there must be at least one bonded surface")
        self.surfaces = tuple(surfaces)
        self.condensed = condense(stiffness, touched_unknowns(surfaces), pinned)
        self.weight = np.concatenate([surface.weight for surface in surfaces])
        kept = self.condensed.kept
        self.jump = sparse.vstack([surface.jump.tocsc()[:, kept] for surface in surfaces], format="csr")
        self.forces = self.jump.T.tocsr()
        self.tangent = TangentMatrix(self.condensed.stiffness, self.jump, self.weight)


class BondedBodies:
    """``tied`` bodies whose surfaces follow ``laws``, under P times ``load``.

    All points of all surfaces stand in one list, surface after surface. v are the kept displacements.
    """

    def __init__(self, tied: TiedBodies, laws: Sequence[TractionLaw], load: Array) -> None:
        if len(tied.surfaces) != len(laws):
            raise ValueError("every bonded surface needs one law")
        self.condensed, self.weight, self.jump = tied.condensed, tied.weight, tied.jump
        self.load, self.alone = self.condensed.load(load)
        self.own_compliance = float(load[self.condensed.inner] @ self.alone)
        counts = [len(surface.weight) for surface in tied.surfaces]
        self.parts = _parts(counts)
        self._joined = joined_laws(laws, counts)
        self.stiffness = self.condensed.stiffness
        self._forces, self._tangent = tied.forces, tied.tangent
        self._latest: Callable[[Array], Array] | None = None
        self.factorisations = 0
        self.effort = 0.0
        self.closing = self._closing()

    @property
    def crushes(self) -> bool:
        """Whether any point can crush."""
        return bool(np.isfinite(self.closing.crushing_strength).any())

    @property
    def moves_far(self) -> bool:
        """Whether any point has a reach: it may go on bearing when all that softens is gone."""
        return bool(np.isfinite(self.closing.reach).any())

    def _closing(self) -> Closing:
        """How all points (p,) bear; those that do not close never crush."""
        count = len(self.weight)
        made = Closing(
            np.ones(count),
            np.full(count, np.inf),
            np.zeros(count),
            np.zeros(count, dtype=bool),
            np.full(count, np.inf),
        )
        for law, part in self._joined:
            if law.closing is not None:
                for whole, own in zip(made, law.closing, strict=True):
                    whole[part] = own
        return made

    def jumps(self, v: Array) -> Array:
        """Local jumps (p, 2)."""
        return np.asarray(self.jump @ v).reshape(-1, 2)

    def respond(self, jump: Array, damage_before: Array, crushed_before: Array) -> BondResponse:
        """Tractions, tangents, damage and crushing of all points."""
        crushed, crushing = crushed_before, np.zeros(len(jump), dtype=bool)
        if self.crushes:
            pressed = crush_unchecked(self.closing, jump[:, 1], crushed_before)
            crushed, crushing = pressed.crushed, pressed.growing
            jump = borne_jump(jump, crushed)
        responses = [evaluate(law, jump[part], damage_before[part]) for law, part in self._joined]
        tangent = np.concatenate([one.tangent for one in responses])
        if crushing.any():
            tangent[crushing, 1, 1] = pressed.tangent[crushing]
        return BondResponse(
            np.concatenate([one.traction for one in responses]),
            tangent,
            np.concatenate([one.damage for one in responses]),
            np.concatenate([one.growing for one in responses]),
            crushed,
            crushing,
        )

    def damage_share(self, jump: Array, damage: Array, crushed: Array) -> Array:
        """How near every point is to further damage: 1 at the limit."""
        borne = borne_jump(jump, crushed)
        return np.concatenate([growth_share(law, borne[part], damage[part]) for law, part in self._joined])

    def growth_share(self, jump: Array, damage: Array, crushed: Array) -> Array:
        """How near every point is to further damage or crushing: 1 at the limit."""
        share = self.damage_share(jump, damage, crushed)
        if self.crushes:
            share = np.maximum(share, share_unchecked(self.closing, jump[:, 1], crushed))
        return share

    def change_share(self, jump: Array) -> Array:
        """Change of jump, either way, over that at which a point is broken, or over its reach."""
        shares = [
            np.maximum(final_share(law, jump[part]), final_share(law, -jump[part]))
            for law, part in self._joined
        ]
        share = np.concatenate(shares)
        if self.moves_far:
            share = np.maximum(share, np.abs(jump[:, 1]) / self.closing.reach)
        return share

    def spent(self, jump_before: Array, before: BondResponse, jump: Array, after: BondResponse) -> float:
        """Energy in N mm that all points spend over one step, on damage and on crushing."""
        borne_before, borne = borne_jump(jump_before, before.crushed), borne_jump(jump, after.crushed)
        total = 0.0
        for law, part in self._joined:
            own = spent_energy(law, borne_before[part], before.damage[part], borne[part], after.damage[part])
            total += float(self.weight[part] @ own)
        if self.crushes:
            _, strength, hardening, *_ = self.closing
            total += float(self.weight @ crushing_work(strength, before.crushed, after.crushed, hardening))
        return total

    def bond_forces(self, traction: Array) -> Array:
        """Forces on the kept unknowns that balance ``traction`` (p, 2)."""
        return np.asarray(self._forces @ (self.weight[:, None] * traction).ravel())

    def stored(self, v: Array, load: float, jump: Array, response: BondResponse) -> float:
        """Elastic energy in N mm of bodies and bonds."""
        bodies = 0.5 * float(v @ (self.stiffness @ v)) + 0.5 * self.own_compliance * load**2
        own = stored_energy(response.traction, borne_jump(jump, response.crushed))
        return bodies + float(self.weight @ own)

    def displacement(self, v: Array, load: float) -> float:
        """Displacement in mm of the load along its own line."""
        return float(self.load @ v) + self.own_compliance * load

    def factor(self, tangent: Array, accuracy: float = EXACT) -> Callable[[Array], Array]:
        """A solver of (kept, k) right sides with the bonds' ``tangent`` (p, 2, 2).

        It borrows the factors made last where its matrix is near enough to theirs to leave no more than
        ``accuracy`` of a right side; ``factorisations`` counts those made and ``effort`` their entries, with
        solves as part of them. The solver raises SolveFailure where the matrix is singular.
        """
        matrix = self._tangent.filled(tangent)
        own: Callable[[Array], Array] | None = None
        borrowed = None if self._latest is None else self._tangent.nearby(matrix, self._latest, accuracy)

        def solve(right: Array) -> Array:
            nonlocal own, borrowed
            if own is None and borrowed is not None:
                solution = borrowed(right)
                if solution is not None:
                    return solution
                borrowed = None
            if own is None:
                own = self._latest = self._factored(matrix)
            return own(right)

        return solve

    def _factored(self, matrix: Array | sparse.csc_matrix) -> Callable[[Array], Array]:
        """Factors of a filled matrix that count what they and every solve take."""
        factors = self._tangent.factored(matrix)
        self.factorisations += 1
        self.effort += factors.entries

        def solve(right: Array) -> Array:
            self.effort += SOLVE_SHARE * factors.entries * right.shape[1]
            return factors.solve(right)

        return solve

    def at_rest(self, jump: Array, damage: Array, crushed: Array, load: float) -> Array:
        """Displacements (kept,) under a load of bonds that keep ``damage`` and ``crushed`` (p,) as they are.

        ``jump`` (p, 2) tells which of them are open. Raises SolveFailure.
        """
        tiny = np.sign(borne_jump(jump, crushed)) * 1e-30
        secant = self.respond(tiny, damage, np.zeros_like(crushed)).tangent
        offset = np.stack([np.zeros_like(crushed), crushed], axis=1)
        held = self.bond_forces(np.einsum("pij,pj->pi", secant, offset))
        return self.solve(secant, (load * self.load - held)[:, None])[:, 0]

    def solve(self, tangent: Array, right: Array) -> Array:
        """Solve (kept, k) right sides with the bonds' ``tangent`` (p, 2, 2). Raises SolveFailure."""
        return self.factor(tangent)(right)


def _parts(counts: list[int]) -> tuple[slice, ...]:
    ends = np.cumsum([0, *counts])
    return tuple(slice(int(a), int(b)) for a, b in pairwise(ends))
