"""The tangent of an equilibrium path: in which direction, and in which sense, it goes on from a state.

The sense is the one that spends energy (Gutierrez 2004, Communications in Numerical Methods in Engineering
20): 2 spent' = P q' - P' q for bonds that unload straight to nothing, with q the displacement of the load;
where nothing is spent it is the sense of the step before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.equilibrium import BondedBodies
from fem.model import Array
from fem.traction_law import Response


@dataclass(frozen=True)
class State:
    """One equilibrium of a path: kept displacements ``v``, load, jumps and what the bonds do."""

    v: Array
    load: float
    displacement: float
    jump: Array
    response: Response
    stored: float
    spent: float
    work: float


@dataclass(frozen=True)
class Direction:
    """Displacements ``dv`` and jumps ``turn`` (p, 2) for 1 N more; ``sense`` 1 for more load, -1 for less.

    ``spending`` tells whether energy is spent along it, ``solve`` solves with the tangent stiffness,
    ``solves`` counts the factorisations it took.
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
    senses are tried: when a last ligament gives, the others may unload all at once.
    """
    damage = last.response.damage
    holds = damage < 1.0
    unloading = bodies.respond(last.jump, np.minimum(damage + 1e-9, 1.0)).tangent
    limit = bodies.respond((1.0 + near) * last.jump, damage)
    change = unloading - limit.tangent
    pull = np.einsum("pij,pj->pi", unloading, last.jump)
    first: Direction | None = None
    solves = 0
    went_on = last.response.growing & limit.growing
    for start, opposite in ((went_on, 1.0), (limit.growing, 1.0), (limit.growing, -1.0), (went_on, -1.0)):
        growing, forced = start, 0.0
        for _ in range(6):
            solve = bodies.factor(np.where(growing[:, None, None], limit.tangent, unloading))
            dv = solve(bodies.load[:, None])[:, 0]
            solves += 1
            turn = bodies.jumps(dv)
            sense, spending = _sense(bodies, last, before, dv, turn, holds)
            forced = forced or opposite * sense
            found = Direction(dv, turn, forced if opposite < 0 else sense, spending, solve, solves)
            first = first or found
            rate = found.sense * np.einsum("pi,pij,pj->p", pull, change, turn)
            wrong = limit.growing & (growing != (rate > 0))
            if not wrong.any():
                return found
            growing = growing ^ wrong
    assert first is not None
    return first


def _sense(
    bodies: BondedBodies, last: State, before: State, direction: Array, turn: Array, holds: NDArray[np.bool_]
) -> tuple[float, bool]:
    """1 to go on with growing load, -1 with falling load, and whether energy tells."""
    q = bodies.displacement(direction, 1.0)
    rate = last.load * q - last.displacement
    if abs(rate) > 1e-6 * (abs(last.load * q) + abs(last.displacement)):
        return float(np.sign(rate)), True
    step = (last.jump - before.jump) * (bodies.weight * holds)[:, None]
    along = float((step * turn).sum())
    return (1.0 if along >= 0 else -1.0), False
