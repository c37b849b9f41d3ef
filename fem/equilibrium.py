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
from glueline.fem.crushing import borne_jump, crushed_to, crushing_share, crushing_tangent, crushing_work
from glueline.fem.model import Array, Integers
from glueline.fem.tangent_matrix import SOLVE_SHARE, Near, NearbySolver, TangentMatrix
from glueline.fem.traction_law import (
    Closing,
    TractionLaw,
    consistent_tangent,
    final_share,
    growth_share,
    joined_laws,
    pulled,
    spent_energy,
    stored_energy,
)

EXACT = 1e-4  # share of a right side that a solution may leave


@dataclass(frozen=True)
class BondResponse:
    """All points: traction (p, 2) MPa, ``damage`` (p,) and ``crushed`` (p,) mm.

    ``growing`` and ``crushing`` (p,) tell where the last two grew.
    """

    traction: Array
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
        self._forces, self._tangent = tied.tangent.forces, tied.tangent
        self._latest: Near | None = None
        self._spent = Effort()
        self.closing = self._closing()
        self._faces = np.flatnonzero(np.isfinite(self.closing.crushing_strength))
        self._closing_faces = self.closing.of(self._faces)
        self._crushing_tangent = crushing_tangent(self.closing)
        self.crushes = len(self._faces) > 0  # whether any point can crush
        self.moves_far = bool(np.isfinite(self.closing.reach).any())

    @property
    def factorisations(self) -> int:
        """How many matrices were factored."""
        return self._spent.factorisations

    @property
    def effort(self) -> float:
        """Entries of the factors made, with solves as part of them."""
        return self._spent.entries

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
        """Tractions, damage and crushing of all points at ``jump`` (p, 2)."""
        count = len(jump)
        crushed, crushing = crushed_before, np.zeros(count, dtype=bool)
        if self.crushes:
            faces = self._faces
            own = jump[faces, 1]
            now, grows = crushed_to(self._closing_faces, own, crushed_before[faces])
            crushed = crushed_before.copy()
            crushed[faces], crushing[faces] = now, grows
            jump = borne_jump(jump, crushed)
        traction, damage, growing = np.empty((count, 2)), np.empty(count), np.empty(count, dtype=bool)
        for law, part in self._joined:
            traction[part], damage[part], growing[part] = pulled(law, jump[part], damage_before[part])
        return BondResponse(traction, damage, growing, crushed, crushing)

    def tangent(self, jump: Array, damage_before: Array, crushed_before: Array) -> Array:
        """Consistent tangents (p, 2, 2) N/mm3 of all points, as they respond to ``jump`` (p, 2)."""
        return self.tangent_of(jump, self.respond(jump, damage_before, crushed_before))

    def tangent_of(self, jump: Array, response: BondResponse) -> Array:
        """The same where the ``response`` to ``jump`` (p, 2) is known."""
        if self.crushes:
            jump = borne_jump(jump, response.crushed)
        damage, growing = response.damage, response.growing
        tangent = np.empty((len(jump), 2, 2))
        for law, part in self._joined:
            tangent[part] = consistent_tangent(law, jump[part], damage[part], growing[part])
        if self.crushes:
            crushing = np.flatnonzero(response.crushing)
            tangent[crushing, 1, 1] = self._crushing_tangent[crushing]
        return tangent

    def damage_share(self, jump: Array, damage: Array, crushed: Array) -> Array:
        """How near every point is to further damage: 1 at the limit."""
        borne = borne_jump(jump, crushed)
        return np.concatenate([growth_share(law, borne[part], damage[part]) for law, part in self._joined])

    def growth_share(self, jump: Array, damage: Array, crushed: Array) -> Array:
        """How near every point is to further damage or crushing: 1 at the limit."""
        share = self.damage_share(jump, damage, crushed)
        if self.crushes:
            share = np.maximum(share, crushing_share(self.closing, jump[:, 1], crushed))
        return share

    def change_share(self, jump: Array) -> Array:
        """Change of jump, either way, over that at which a point is broken, or over its reach."""
        share = np.empty(len(jump))
        for law, part in self._joined:
            share[part] = final_share(law, jump[part])
            if law.closing is not None:  # faces that only slide do so either way alike
                share[part] = np.maximum(share[part], final_share(law, -jump[part]))
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

    def factor(self, tangent: Array, accuracy: float = EXACT) -> BondSolver:
        """A solver with the bonds' ``tangent`` (p, 2, 2).

        It borrows the factors made last where its matrix is near enough to theirs to leave no more than
        ``accuracy`` of a right side.
        """
        borrowed = None if self._latest is None else self._tangent.nearby(tangent, self._latest, accuracy)
        return BondSolver(lambda: self._factored(tangent), borrowed)

    def _factored(self, tangent: Array) -> Callable[[Array], Array]:
        """Solves with factors of the matrix with bonds of ``tangent``; they and every solve are counted."""
        factors, spent = self._tangent.factored(self._tangent.filled(tangent)), self._spent
        spent.factorisations += 1
        spent.entries += factors.entries

        def solve(right: Array) -> Array:
            spent.entries += SOLVE_SHARE * factors.entries * (1 if right.ndim == 1 else right.shape[1])
            return factors.solve(right)

        self._latest = Near(tangent, solve)
        return solve

    def at_rest(self, jump: Array, damage: Array, crushed: Array, load: float) -> Array:
        """Displacements (kept,) under a load of bonds that keep ``damage`` and ``crushed`` (p,) as they are.

        ``jump`` (p, 2) tells which of them are open. Raises SolveFailure.
        """
        tiny = np.sign(borne_jump(jump, crushed)) * 1e-30
        secant = self.tangent(tiny, damage, np.zeros_like(crushed))
        offset = np.stack([np.zeros_like(crushed), crushed], axis=1)
        held = self.bond_forces(np.einsum("pij,pj->pi", secant, offset))
        return self.factor(secant)(load * self.load - held)


@dataclass
class Effort:
    """What was spent on factors: how many were made, and their ``entries``, solves as part of them."""

    factorisations: int = 0
    entries: float = 0.0


class BondSolver:
    """Solves right sides (kept,) by ``borrowed`` factors, or by its own as soon as those do not do.

    ``make`` makes its own and raises SolveFailure where the matrix is singular.
    """

    def __init__(self, make: Callable[[], Callable[[Array], Array]], borrowed: NearbySolver | None) -> None:
        self._make, self._borrowed = make, borrowed
        self._own: Callable[[Array], Array] | None = None

    def __call__(self, right: Array, guess: Array | None = None) -> Array:
        """The solution (kept,), near a ``guess`` if there is one. Raises SolveFailure."""
        if self._borrowed is not None:
            solution = self._borrowed(right, guess)
            if solution is not None:
                return solution
            self._borrowed = None
        if self._own is None:
            self._own = self._make()
        return self._own(right)

    def columns(self, rights: Array) -> Array:
        """The solutions (kept, k) of many right sides. Raises SolveFailure."""
        return np.stack([self(right) for right in rights.T], axis=1)


def _parts(counts: list[int]) -> tuple[slice, ...]:
    ends = np.cumsum([0, *counts])
    return tuple(slice(int(a), int(b)) for a, b in pairwise(ends))
