"""The tangent of an equilibrium path: in which direction, and in which sense, it goes on from a state.

The sense is the one that spends energy (Gutierrez 2004, Communications in Numerical Methods in Engineering
20, with the energy spent summed over the points of the bond, which holds for crushing too); where nothing is
spent it is the sense of the step before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from glueline.fem.crushing import borne_jump
from glueline.fem.equilibrium import BondedBodies, BondResponse
from glueline.fem.model import Array, Integers

# So many points may be in doubt for all combinations to be tried; of more, up to the second number, only
# neighbours are taken to go on together. So many that agree are looked at.
ALL_OF, NEIGHBOURS_OF, MOST_TRIED = 12, 40, 4

# So many times the points that go on are corrected by what follows from them.
ROUNDS = 6


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
    solve: Callable[[Array], Array]
    solves: int


def find_direction(bodies: BondedBodies, last: State, before: State, near: float) -> Direction:
    """Tangent of the path: points at their limit go on or unload, in agreement with what follows from it.

    ``near`` is how near a point must be to further damage to count as at its limit. Where the points that
    went on before, with the sense that spends energy, do not settle, all points at the limit and both
    senses are tried: when a last ligament gives, the others may unload all at once. Where that does not
    settle either, which of the doubtful points go on is found by trying all their combinations; and where
    those are too many, whether one ligament goes on alone.
    """
    at = _Limits.of(bodies, last, near)
    went_on = (last.response.growing | last.response.crushing) & at.limit
    first: Direction | None = None
    doubts: list[NDArray[np.bool_]] = []
    for start, opposite in ((went_on, 1.0), (at.limit, 1.0), (at.limit, -1.0), (went_on, -1.0)):
        solves = first.solves if first else 0
        direction, settled, wavered = _settled(bodies, at, last, before, start, opposite, solves)
        if settled:
            return direction
        first = replace(first or direction, solves=direction.solves)
        doubts.append(wavered)
    assert first is not None
    doubtful = np.flatnonzero(np.any(doubts, axis=0))
    combined = _of_all_combinations(bodies, at, went_on, doubtful, first.solves)
    fewest = min(doubts, key=np.count_nonzero)
    return combined or _of_one_ligament(bodies, at, last, before, fewest, first) or first


def _settled(
    bodies: BondedBodies,
    at: _Limits,
    last: State,
    before: State,
    start: NDArray[np.bool_],
    opposite: float,
    solves: int,
) -> tuple[Direction, bool, NDArray[np.bool_]]:
    """A direction from ``start`` going on, whether it agrees with itself, and which points wavered.

    ``opposite`` -1 keeps to the sense other than the first found.
    """
    growing, forced = start, 0.0
    wavered = np.zeros(len(at.limit), dtype=bool)
    for turned in range(ROUNDS):
        solve = bodies.factor(np.where(growing[:, None, None], at.going_on, at.unloading))
        dv = solve(bodies.load[:, None])[:, 0]
        turn = bodies.jumps(dv)
        rate = (at.pull * turn).sum(axis=1)
        onward, spending = _sense(bodies, last, before, turn, np.where(growing, rate, 0.0))
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
    before: State,
    fewest: NDArray[np.bool_],
    first: Direction,
) -> Direction | None:
    """A direction in which a ligament snaps and all others unload.

    The ``fewest`` points that any start left in doubt may be it; after them, runs of neighbours, the fastest
    in ``first`` first.
    """
    speed = bodies.change_share(first.turn)
    ligaments = sorted(_neighbours(at.limit, bodies.parts), key=lambda run: -float(speed[run].max()))
    solves = first.solves
    for start in (fewest, *(_only(at.limit, ligament) for ligament in ligaments[:MOST_TRIED])):
        direction, settled, _ = _settled(bodies, at, last, before, start, 1.0, solves)
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

    Going on changes the tangent at the ``doubtful`` points only, so one matrix and their flexibility tell of
    all combinations. None where there are too many or none agrees.
    """
    count = len(doubtful)
    if not 0 < count <= NEIGHBOURS_OF:
        return None
    settled = settled.copy()
    settled[doubtful] = False
    solve = bodies.factor(np.where(settled[:, None, None], at.going_on, at.unloading))
    rows = bodies.jump[np.sort(np.concatenate([2 * doubtful, 2 * doubtful + 1]))]
    moved = solve(np.column_stack([bodies.load, rows.T.toarray()]))
    alone, flexibility = rows @ moved[:, 0], rows @ moved[:, 1:]
    change = (at.unloading - at.going_on)[doubtful] * bodies.weight[doubtful, None, None]
    sets = _combinations(count)
    softer = np.einsum("ajk,sj,jkl->sajl", flexibility.reshape(2 * count, count, 2), sets, change)
    matrices = np.eye(2 * count) - softer.reshape(len(sets), 2 * count, 2 * count)
    turns = np.linalg.solve(matrices, np.broadcast_to(alone[:, None], (len(sets), 2 * count, 1)))[..., 0]
    rate = (turns.reshape(-1, count, 2) * at.pull[doubtful]).sum(axis=2)
    spent = (rate * sets) @ bodies.weight[doubtful]
    agree = ((np.sign(spent)[:, None] * rate > 0) == (sets > 0)).all(axis=1)
    order = np.argsort(-np.abs(spent) / np.abs(turns).max(axis=1))
    for tried, index in enumerate(order[agree[order]][:MOST_TRIED], start=1):
        growing = settled.copy()
        growing[doubtful] = sets[index] > 0
        solve = bodies.factor(np.where(growing[:, None, None], at.going_on, at.unloading))
        dv = solve(bodies.load[:, None])[:, 0]
        turn = bodies.jumps(dv)
        own = (at.pull * turn).sum(axis=1)
        sense = float(np.sign(bodies.weight @ np.where(growing, own, 0.0)))
        if not (at.limit & (growing != (sense * own > 0))).any():
            return Direction(dv, turn, sense, True, solve, solves + 1 + tried)
    return None


@dataclass(frozen=True)
class _Limits:
    """Points at a limit (p,), their tangents (p, 2, 2) if they go on and if they unload.

    ``pull`` (p, 2) times the growth of the jump is the energy that going on spends, N/mm.
    """

    limit: NDArray[np.bool_]
    going_on: Array
    unloading: Array
    pull: Array

    @classmethod
    def of(cls, bodies: BondedBodies, last: State, near: float) -> _Limits:
        damage, crushed = last.response.damage, last.response.crushed
        borne = borne_jump(last.jump, crushed)
        # Only faces that bear: on open ones more crushing would open the bond further.
        eased = crushed + np.where(borne[:, 1] < 0.0, 1e-12, 0.0)
        unloading = bodies.respond(last.jump, np.minimum(damage + 1e-9, 1.0), eased).tangent
        going_on = bodies.respond(last.jump + near * borne, damage, crushed)
        # Damage spends half of what its loss of stiffness takes from the traction, crushing all of it.
        lost = unloading - going_on.tangent
        pull = 0.5 * np.einsum("pi,pij->pj", borne, lost)
        pull[:, 1] += np.where(going_on.crushing, 0.5 * lost[:, 1, 1] * borne[:, 1], 0.0)
        return cls(going_on.growing | going_on.crushing, going_on.tangent, unloading, pull)


def _combinations(count: int) -> Integers:
    """Sets (s, count) of 0 and 1: all that are not empty, or of many points all runs of neighbours."""
    if count <= ALL_OF:
        return (np.arange(1, 2**count)[:, None] >> np.arange(count)) & 1
    first, last = np.triu_indices(count)
    place = np.arange(count)
    return ((place >= first[:, None]) & (place <= last[:, None])).astype(np.int64)


def _sense(
    bodies: BondedBodies, last: State, before: State, turn: Array, spending: Array
) -> tuple[float, bool]:
    """1 to go on with growing load, -1 with falling load, and whether energy tells."""
    power = np.abs((last.response.traction * turn).sum(axis=1))
    total = float(bodies.weight @ spending)
    if abs(total) > 1e-6 * float(bodies.weight @ power):
        return float(np.sign(total)), True
    return 1.0, False
