"""The tangent of an equilibrium path: in which direction, and in which sense, it goes on from a state.

The sense is the one that spends energy (Gutierrez 2004, Communications in Numerical Methods in Engineering
20, with the energy spent summed over the points of the bond, which holds for crushing too); where nothing is
spent all is elastic, and it is that of a growing load.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from glueline.fem.crushing import borne_jump, eased
from glueline.fem.equilibrium import BondedBodies, BondResponse, BondSolver
from glueline.fem.model import Array, Integers

# So many points may be in doubt for all combinations to be tried; of more, up to the second number, only
# neighbours are taken to go on together. So many that agree are looked at.
ALL_OF, NEIGHBOURS_OF, MOST_TRIED = 12, 40, 4

# So many times the points that go on are corrected by what follows from them; nine were needed where faces
# crush as a mitre snaps.
ROUNDS = 12


@dataclass(frozen=True)
class State:
    """One equilibrium of a path: ``v`` (kept,) and ``jump`` (p, 2) in mm under ``load`` in N.

    ``displacement`` of the load in mm; ``stored``, ``spent`` and ``work`` in N mm.
    """

    v: Array
    load: float
    displacement: float
    jump: Array
    response: BondResponse
    stored: float
    spent: float
    work: float


@dataclass(frozen=True)
class Direction:
    """Displacements ``dv`` (kept,) and jumps ``turn`` (p, 2) in mm for 1 N more.

    ``sense`` is 1 for more load, -1 for less; ``spending`` tells whether energy is spent along it, ``solve``
    solves with the tangent stiffness, ``solves`` counts the matrices that were tried.
    """

    dv: Array
    turn: Array
    sense: float
    spending: bool
    solve: BondSolver
    solves: int


def find_direction(bodies: BondedBodies, last: State, near: float, guess: Array | None = None) -> Direction:
    """Tangent of the path: points at their limit go on or unload, in agreement with what follows from it.

    ``near`` is how near a point must be to further damage to count as at its limit; ``guess`` (kept,) may be
    near the displacements for 1 N more. Where the points that
    went on before, with the sense that spends energy, do not settle, all points at the limit and both
    senses are tried: when a last ligament gives, the others may unload all at once. Where that does not
    settle either, which of the doubtful points go on is found by trying all their combinations; and where
    those are too many, whether one ligament goes on alone.
    """
    at = _Limits.of(bodies, last, near)
    went_on = at.went_on(last.response)
    first: Direction | None = None
    doubts: list[NDArray[np.bool_]] = []
    for start, opposite in ((went_on, 1.0), (at.limit, 1.0), (at.limit, -1.0), (went_on, -1.0)):
        solves = first.solves if first else 0
        direction, settled, wavered = _settled(bodies, at, last, start, opposite, solves, guess)
        if settled:
            return direction
        first = replace(first or direction, solves=direction.solves)
        doubts.append(wavered)
    assert first is not None
    doubtful = np.flatnonzero(np.any(doubts, axis=0))
    combined = _of_all_combinations(bodies, at, went_on, doubtful, first.solves)
    fewest = min(doubts, key=np.count_nonzero)
    return combined or _of_one_ligament(bodies, at, last, fewest, first) or first


def _settled(
    bodies: BondedBodies,
    at: _Limits,
    last: State,
    start: NDArray[np.bool_],
    opposite: float,
    solves: int,
    dv: Array | None = None,
) -> tuple[Direction, bool, NDArray[np.bool_]]:
    """A direction from ``start`` going on, whether it agrees with itself, and which points wavered.

    ``opposite`` -1 keeps to the sense other than the first found; ``dv`` is a guess of the displacements.
    """
    growing, forced = start, 0.0
    wavered = np.zeros(len(at.limit), dtype=bool)
    for turned in range(ROUNDS):
        solve = bodies.factor(at.tangent(growing))
        dv = solve(bodies.load, dv)
        turn = bodies.jumps(dv)
        rate = at.rate(turn)
        onward, spending = _sense(bodies, last, turn, float(at.weight[growing] @ rate[growing]))
        forced = forced or opposite * onward
        sense = forced if opposite < 0 else onward
        direction = Direction(dv, turn, sense, spending, solve, solves + turned + 1)
        wrong = at.limit & (growing != (sense * rate > 0))
        if not wrong.any():
            # Where all unload nothing disagrees either, but that way leads back along the elastic line.
            return direction, spending or sense == onward, wavered
        growing, wavered = growing ^ wrong, wavered | wrong
    return direction, False, wavered


def _of_one_ligament(
    bodies: BondedBodies,
    at: _Limits,
    last: State,
    fewest: NDArray[np.bool_],
    first: Direction,
) -> Direction | None:
    """A direction in which a ligament snaps and all others unload.

    The ``fewest`` points that any start left in doubt may be it; after them, runs of neighbours, the fastest
    in ``first`` first.
    """
    speed = bodies.change_share(first.turn)[at.point]
    ligaments = sorted(_neighbours(at.limit, at.parts), key=lambda run: -float(speed[run].max()))
    solves = first.solves
    for start in (fewest, *(_only(at.limit, ligament) for ligament in ligaments[:MOST_TRIED])):
        direction, settled, _ = _settled(bodies, at, last, start, 1.0, solves)
        if settled:
            return direction
        solves = direction.solves
    return None


def _only(chosen: NDArray[np.bool_], part: slice) -> NDArray[np.bool_]:
    """Those of the ``chosen`` (p,) that are in ``part``."""
    kept = np.zeros_like(chosen)
    kept[part] = chosen[part]
    return kept


def _neighbours(chosen: NDArray[np.bool_], parts: Sequence[slice]) -> list[slice]:
    """Runs of neighbours among the ``chosen`` (p,), none across the end of a part."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], chosen, [False]]).astype(int)))
    cuts = [part.start for part in parts]
    runs = []
    for start, stop in ends.reshape(-1, 2):
        places = [int(start), *(cut for cut in cuts if start < cut < stop), int(stop)]
        runs += [slice(a, b) for a, b in pairwise(places)]
    return runs


def _of_all_combinations(
    bodies: BondedBodies, at: _Limits, settled: NDArray[np.bool_], doubtful: Integers, solves: int
) -> Direction | None:
    """The direction that spends most among those in which every point at its limit does as it was taken to.

    Going on changes the tangent in the ``doubtful`` ways only, so one matrix and the flexibility of their
    points tell of all combinations. None where there are too many or none agrees.
    """
    count = len(doubtful)
    if not 0 < count <= NEIGHBOURS_OF:
        return None
    settled = settled.copy()
    settled[doubtful] = False
    solve = bodies.factor(at.tangent(settled))
    points = at.point[doubtful]
    rows = bodies.jump[np.stack([2 * points, 2 * points + 1], axis=1).ravel()]
    moved = solve.columns(np.column_stack([bodies.load, rows.T.toarray()]))
    alone, flexibility = rows @ moved[:, 0], rows @ moved[:, 1:]
    change = at.loss[doubtful] * at.weight[doubtful, None, None]
    sets = _combinations(count)
    each = np.einsum("ajk,jkl->ajl", flexibility.reshape(2 * count, count, 2), change)
    softer = each * sets[:, None, :, None]
    matrices = np.eye(2 * count) - softer.reshape(len(sets), 2 * count, 2 * count)
    turns = np.linalg.solve(matrices, np.broadcast_to(alone[:, None], (len(sets), 2 * count, 1)))[..., 0]
    rate = (turns.reshape(-1, count, 2) * at.pull[doubtful]).sum(axis=2)
    spent = (rate * sets) @ at.weight[doubtful]
    agree = ((np.sign(spent)[:, None] * rate > 0) == (sets > 0)).all(axis=1)
    order = np.argsort(-np.abs(spent) / np.abs(turns).max(axis=1))
    for tried, index in enumerate(order[agree[order]][:MOST_TRIED], start=1):
        growing = settled.copy()
        growing[doubtful] = sets[index] > 0
        solve = bodies.factor(at.tangent(growing))
        dv = solve(bodies.load)
        turn = bodies.jumps(dv)
        own = at.rate(turn)
        sense = float(np.sign(at.weight[growing] @ own[growing]))
        if not (at.limit & (growing != (sense * own > 0))).any():
            return Direction(dv, turn, sense, True, solve, solves + 1 + tried)
    return None


@dataclass(frozen=True)
class _Limits:
    """Ways (w,) in which points may go on: damage of every point, then, where faces crush, crushing of every.

    Slip damages a bond under pressure while its faces crush, and either may go on without the other.
    ``point`` is whose way it is, ``parts`` cut the ways surface by surface, ``limit`` tells which are at
    their limit. ``unloading`` (p, 2, 2) is the tangent where none goes on, ``loss`` (w, 2, 2) what a way
    takes from it.
    ``pull`` (w, 2) times the growth of the jump is the energy that going on spends, N/mm.
    """

    limit: NDArray[np.bool_]
    point: Integers
    parts: tuple[slice, ...]
    weight: Array
    unloading: Array
    loss: Array
    pull: Array

    @classmethod
    def of(cls, bodies: BondedBodies, last: State, near: float) -> _Limits:
        damage, crushed = last.response.damage, last.response.crushed
        borne = borne_jump(last.jump, crushed)
        less_pressed = eased(bodies.closing, borne[:, 1], crushed)
        unloading = bodies.tangent(last.jump, np.minimum(damage + 1e-9, 1.0), less_pressed)
        further = last.jump + near * borne, damage, crushed
        going_on = bodies.respond(*further)
        by_damage, count = unloading - bodies.tangent_of(further[0], going_on), len(damage)
        by_crushing = np.zeros_like(by_damage)
        if bodies.crushes:
            by_crushing[going_on.crushing, 1, 1] = by_damage[going_on.crushing, 1, 1]
            by_damage = by_damage - by_crushing
        # Damage spends half of what its loss of stiffness takes from the traction, crushing all of it.
        pull = [
            part * np.einsum("pi,pij->pj", borne, loss)
            for part, loss in ((0.5, by_damage), (1.0, by_crushing))
        ]
        ways = 2 if bodies.crushes else 1
        return cls(
            limit=np.concatenate([going_on.growing, going_on.crushing][:ways]),
            point=np.tile(np.arange(count), ways),
            parts=tuple(
                slice(part.start + way * count, part.stop + way * count)
                for way in range(ways)
                for part in bodies.parts
            ),
            weight=np.tile(bodies.weight, ways),
            unloading=unloading,
            loss=np.concatenate([by_damage, by_crushing][:ways]),
            pull=np.concatenate(pull[:ways]),
        )

    def went_on(self, response: BondResponse) -> NDArray[np.bool_]:
        """The ways in which points went on to a state, of those that are at their limit."""
        return np.asarray(
            np.concatenate([response.growing, response.crushing])[: len(self.limit)] & self.limit
        )

    def tangent(self, growing: NDArray[np.bool_]) -> Array:
        """Tangents (p, 2, 2) where the ``growing`` ways (w,) go on and all others unload."""
        lost = np.where(growing[:, None, None], self.loss, 0.0)
        return np.asarray(self.unloading - lost.reshape(-1, *self.unloading.shape).sum(axis=0))

    def rate(self, turn: Array) -> Array:
        """Energy (w,) in N/mm that every way would spend for jumps that grow by ``turn`` (p, 2) in mm."""
        return np.asarray((self.pull * turn[self.point]).sum(axis=1))


def _combinations(count: int) -> Integers:
    """Sets (s, count) of 0 and 1: all that are not empty, or of many points all runs of neighbours."""
    if count <= ALL_OF:
        return (np.arange(1, 2**count)[:, None] >> np.arange(count)) & 1
    first, last = np.triu_indices(count)
    place = np.arange(count)
    return ((place >= first[:, None]) & (place <= last[:, None])).astype(np.int64)


def _sense(bodies: BondedBodies, last: State, turn: Array, total: float) -> tuple[float, bool]:
    """1 to go on with growing load, -1 with falling load, and whether the ``total`` energy spent tells.

    Where nothing is spent all is elastic, and less load would only lead back.
    """
    power = np.abs((last.response.traction * turn).sum(axis=1))
    if abs(total) > 1e-6 * float(bodies.weight @ power):
        return float(np.sign(total)), True
    return 1.0, False
