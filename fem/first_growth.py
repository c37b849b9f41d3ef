"""Where a path begins: the state at which damage or crushing first grows, found in one go.

Up to there everything is linear, but for faces that were cracked before: they touch or gape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glueline.fem.equilibrium import BondedBodies
from glueline.fem.model import Array
from glueline.fem.solve import SolveFailure
from glueline.fem.tangent import State

MOST_ROUNDS = 100  # of which faces touch


@dataclass(frozen=True)
class FirstGrowth:
    """The ``state`` at which damage or crushing first grows, and the ``solves`` that finding it took.

    ``work_scale`` in N mm is what the load would do up to first damage if nothing crushed before.
    """

    state: State
    work_scale: float
    solves: int


def first_growth(bodies: BondedBodies, before: Array) -> FirstGrowth:
    """The first state after rest of bodies whose bonds have the damage ``before`` (p,) done.

    Raises SolveFailure where a piece is tied to nothing, where no bond is stretched by the load, and where
    it does not settle which of the cracked faces touch.
    """
    v, jump, solves = _contact(bodies, before)
    whole = np.zeros_like(before)
    damage_share = float(bodies.damage_share(jump, before, whole).max())
    growth_share = float(bodies.growth_share(jump, before, whole).max())
    if not damage_share > 0 and bodies.moves_far:
        damage_share = growth_share  # nothing softens, but a rod may crush its hole
    if not damage_share > 0:
        raise SolveFailure("no bond is stretched by this load, so none will ever break")
    load = 1.0 / growth_share
    work_scale = 0.5 * bodies.displacement(v, 1.0) / damage_share**2
    v, jump = v * load, jump * load
    response = bodies.respond(jump, before, np.zeros_like(before))
    q = bodies.displacement(v, load)
    stored = bodies.stored(v, load, jump, response)
    return FirstGrowth(State(v, load, q, jump, response, stored, 0.0, 0.5 * load * q), work_scale, solves)


def _contact(bodies: BondedBodies, before: Array) -> tuple[Array, Array, int]:
    """Displacements and jumps for P = 1 with what was damaged before open or closed as they ask; solves."""
    solves, trouble = 0, ""
    for start in (1.0, -1.0):
        tangent = _unloading(bodies, before, np.full((len(bodies.weight), 2), start))
        for _ in range(MOST_ROUNDS):
            solves += 1
            try:
                v = bodies.factor(tangent)(bodies.load)
            except SolveFailure as error:
                trouble = f"{error}: a piece is tied to nothing"
                break
            jump = bodies.jumps(v)
            last, tangent = tangent, _unloading(bodies, before, jump)
            if np.array_equal(last, tangent):
                return v, jump, solves
            trouble = "which of the cracked faces touch does not settle"
    raise SolveFailure(trouble)


def _unloading(bodies: BondedBodies, before: Array, jump: Array) -> Array:
    """Secant stiffness of all points at the damage done before."""
    tiny = np.where(np.abs(jump) > 0, np.sign(jump), 0.0) * 1e-30
    return bodies.tangent(tiny, before, np.zeros_like(before))
