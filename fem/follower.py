"""The steps of an equilibrium path: its tangent, the next state, and what speaks against one.

Up to first damage the answer is linear and found in one go. From there every step is a fixed length along
the tangent of the path, measured on the jumps of the bond that still holds (arc length with a fixed normal
plane, Riks 1979, on the jumps alone as de Borst 1987 advises for softening), so load and displacement may
both turn back. The sense of the tangent is the one that spends energy (Gutierrez 2004, Communications in
Numerical Methods in Engineering 20): 2 spent' = P q' - P' q for bonds that unload straight to nothing, with
q the displacement of the load; where nothing is spent it is the sense of the step before.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.equilibrium import BondedBodies
from fem.model import Array
from fem.solve import SolveFailure
from fem.traction_law import Response


@dataclass(frozen=True)
class PathControl:
    """How finely to follow.

    ``step`` largest change in one step of the jump of any point that still holds, over the jump at which it
    breaks; ``first_step`` the same at first damage; ``smallest_step`` where to give up; ``residual`` out of
    balance forces over the bond's forces; ``audit`` energy lost in one step over energy spent in it;
    ``peak`` how well the highest load is located; ``stop`` share of the highest load at which to end;
    ``limit`` how near a point must be to further damage to count as being there, ``limit_when_short`` the
    same for steps below ``short_step``, by which the path is closing in on such a point.
    """

    step: float = 0.25
    first_step: float = 0.02
    smallest_step: float = 1e-6
    residual: float = 1e-9
    audit: float = 0.003
    peak: float = 1e-3
    stop: float = 0.5
    limit: float = 1e-5
    short_step: float = 1e-3
    limit_when_short: float = 1e-3
    most_steps: int = 3000
    most_iterations: int = 12


@dataclass(frozen=True)
class State:
    v: Array
    load: float
    displacement: float
    jump: Array
    response: Response
    stored: float
    spent: float
    work: float


@dataclass(frozen=True)
class Trial:
    v: Array
    load: float
    jump: Array
    response: Response
    out: Array
    error: float


@dataclass(frozen=True)
class Direction:
    dv: Array
    turn: Array
    sense: float
    spending: bool


class Follower:
    """The states so far and the step that finds the next."""

    def __init__(self, bodies: BondedBodies, control: PathControl, before: Array) -> None:
        self.bodies, self.control, self.before = bodies, control, before
        self.states: list[State] = []
        self.iterations = 0
        self.force_scale = 0.0

    def run(self) -> None:
        """Find all states. Raises SolveFailure where it cannot go on; those found stay."""
        first = self._linear()
        self.force_scale = float(np.linalg.norm(self.bodies.bond_forces(first.response.traction)))
        nothing = np.zeros_like(first.v)
        rest = self.bodies.respond(np.zeros_like(first.jump), self.before)
        self.states = [State(nothing, 0.0, 0.0, np.zeros_like(first.jump), rest, 0.0, 0.0, 0.0), first]
        length, refined = self.control.first_step, 0
        while self.states[-1].load > self.control.stop * max(state.load for state in self.states):
            if len(self.states) > self.control.most_steps:
                raise SolveFailure(f"the load has not fallen after {self.control.most_steps} steps")
            state, used = self._advance(length)
            self.states.append(state)
            if self._must_refine(refined):
                refined += 1
                length = 0.5 * min(length, self.control.step)
                del self.states[max(2, len(self.states) - 2) :]
                continue
            if len(self.states) > 3 and state.load < self.states[-2].load < self.states[-3].load:
                refined = 0
            length = self.length * (1.5 if used <= 5 else 1.0 if used <= 8 else 0.7)
            length = min(length, self.control.step)

    def _must_refine(self, refined: int) -> bool:
        """Whether the highest load so far was just passed in steps too long to say how high it was."""
        loads = [state.load for state in self.states]
        top = loads[-2]
        if loads[-1] >= top or top < max(loads) or refined >= 14:
            return False
        rise = top - loads[-3] if len(loads) > 3 else 0.0
        return max(rise, top - loads[-1]) > self.control.peak * top

    def _linear(self) -> State:
        """The state at which damage first grows: contact apart, everything is linear up to it."""
        bodies = self.bodies
        v, jump = self._contact()
        share = float(bodies.growth_share(jump, self.before).max())
        if not share > 0:
            raise SolveFailure("no bond is stretched by this load, so none will ever break")
        load = 1.0 / share
        v, jump = v * load, jump * load
        response = bodies.respond(jump, self.before)
        q = bodies.displacement(v, load)
        stored = bodies.stored(v, load, jump, response.traction)
        return State(v, load, q, jump, response, stored, 0.0, 0.5 * load * q)

    def _contact(self) -> tuple[Array, Array]:
        """Displacements and jumps for P = 1 with what has been damaged before open or closed as they ask."""
        bodies, trouble = self.bodies, ""
        for start in (1.0, -1.0):
            tangent = self._unloading(np.full((len(bodies.weight), 2), start))
            for _ in range(100):
                self.iterations += 1
                try:
                    v = bodies.solve(tangent, bodies.load[:, None])[:, 0]
                except SolveFailure as error:
                    trouble = f"{error}: a piece is tied to nothing"
                    break
                jump = bodies.jumps(v)
                before, tangent = tangent, self._unloading(jump)
                if np.array_equal(before, tangent):
                    return v, jump
                trouble = "which of the cracked faces touch does not settle"
        raise SolveFailure(trouble)

    def _unloading(self, jump: Array) -> Array:
        """Secant stiffness of all points at the damage done before."""
        tiny = np.where(np.abs(jump) > 0, np.sign(jump), 0.0) * 1e-30
        return self.bodies.respond(tiny, self.before).tangent

    def _advance(self, length: float) -> tuple[State, int]:
        """The next state, at ``length`` or as near as it will go, and the iterations it took."""
        trouble = ""
        while length >= self.control.smallest_step:
            for by_energy in (False, True):
                try:
                    state, used = self._step(length, by_energy)
                    trouble = self._objection(state, length) if state else "the iteration did not settle"
                except SolveFailure as error:
                    state, used, trouble = None, 0, str(error)
                if state is not None:
                    break
            if state is not None and not trouble:
                self.length = length
                return state, used
            length *= 0.5 if state is not None else 0.35
        raise SolveFailure(trouble)

    def _objection(self, state: State, length: float) -> str:
        """What speaks against a state that is in equilibrium; empty if nothing."""
        last = self.states[-1]
        spent = state.spent - last.spent
        gap = abs(state.work - last.work - spent - (state.stored - last.stored))
        if gap > self.control.audit * spent + 1e-5 * self.states[1].work:
            return "too much energy is lost in a step"
        moved = self.bodies.change_share(state.jump - last.jump)[last.response.damage < 1.0]
        if moved.size and moved.max() > 4.0 * length + 1e-9:
            return "the jumps run away within a step"
        return ""

    def _step(self, length: float, by_energy: bool) -> tuple[State | None, int]:
        """One step by Newton's method on equilibrium and the length of the step; None if it does not settle.

        The length is measured along the tangent, on the jumps, or ``by_energy`` as the energy spent.
        """
        bodies, last = self.bodies, self.states[-1]
        holds = last.response.damage < 1.0
        tangent = self._direction(holds, length)
        direction, turn = tangent.dv, tangent.turn
        sizes = bodies.change_share(turn)
        size = float(sizes[holds].max(initial=0.0))
        if not size > 0 or not np.isfinite(size):
            return None, 0
        pace = tangent.sense * length / size
        if by_energy and tangent.spending:
            plane = last.load * bodies.load
            weight = last.load * bodies.own_compliance - last.displacement
        else:
            plane_jump = (bodies.weight * holds)[:, None] * turn / size**2
            plane, weight = bodies.jump.T @ plane_jump.ravel(), 0.0
        target = pace * (float(plane @ direction) + weight)
        trial = self._trial(last.v + pace * direction, last.load + pace)
        for used in range(1, self.control.most_iterations + 1):
            if trial.error <= self.control.residual:
                return self._state(trial), used
            if not np.isfinite(trial.error):
                return None, used
            right = np.stack([-trial.out, bodies.load], axis=1)
            moves = bodies.solve(trial.response.tangent, right)
            self.iterations += 1
            ahead = float(plane @ moves[:, 1]) + weight
            done = float(plane @ (trial.v - last.v)) + weight * (trial.load - last.load)
            missing = target - done - float(plane @ moves[:, 0])
            if ahead == 0.0:
                return None, used
            more = missing / ahead
            trial = self._search(trial, moves[:, 0] + more * moves[:, 1], more)
        return None, self.control.most_iterations

    def _search(self, start: Trial, move: Array, more: float) -> Trial:
        """The end of a Newton step, shortened where points that turn from loading to unloading spoil it."""
        best = self._trial(start.v + move, start.load + more)
        part = 1.0
        while not best.error < start.error and part > 0.1:
            part *= 0.5
            shorter = self._trial(start.v + part * move, start.load + part * more)
            best = shorter if not best.error < shorter.error else best
        return best

    def _trial(self, v: Array, load: float) -> Trial:
        bodies = self.bodies
        jump = bodies.jumps(v)
        response = bodies.respond(jump, self.states[-1].response.damage)
        bond = bodies.bond_forces(response.traction)
        out = bodies.stiffness @ v + bond - load * bodies.load
        scale = max(float(np.linalg.norm(bond)), 1e-3 * self.force_scale)
        return Trial(v, load, jump, response, out, float(np.linalg.norm(out)) / scale)

    def _direction(self, holds: NDArray[np.bool_], length: float) -> Direction:
        """Tangent of the path: points at their limit go on or unload, in agreement with what follows from it.

        Where the points that went on before, with the sense that spends energy, do not settle, all points at
        the limit and both senses are tried: when a last ligament gives, the others may unload all at once.
        """
        bodies, last = self.bodies, self.states[-1]
        damage = last.response.damage
        unloading = bodies.respond(last.jump, np.minimum(damage + 1e-9, 1.0)).tangent
        near = self.control.limit if length > self.control.short_step else self.control.limit_when_short
        limit = bodies.respond((1.0 + near) * last.jump, damage)
        change = unloading - limit.tangent
        pull = np.einsum("pij,pj->pi", unloading, last.jump)
        first: Direction | None = None
        before = last.response.growing & limit.growing
        for start, opposite in ((before, 1.0), (limit.growing, 1.0), (limit.growing, -1.0), (before, -1.0)):
            growing, forced = start, 0.0
            for _ in range(6):
                tangent = np.where(growing[:, None, None], limit.tangent, unloading)
                dv = bodies.solve(tangent, bodies.load[:, None])[:, 0]
                self.iterations += 1
                turn = bodies.jumps(dv)
                sense, spending = self._sense(dv, turn, holds)
                forced = forced or opposite * sense
                found = Direction(dv, turn, forced if opposite < 0 else sense, spending)
                first = first or found
                rate = found.sense * np.einsum("pi,pij,pj->p", pull, change, turn)
                wrong = limit.growing & (growing != (rate > 0))
                if not wrong.any():
                    return found
                growing = growing ^ wrong
        assert first is not None
        return first

    def _sense(self, direction: Array, turn: Array, holds: NDArray[np.bool_]) -> tuple[float, bool]:
        """1 to go on with growing load, -1 with falling load."""
        last, before = self.states[-1], self.states[-2]
        q = self.bodies.displacement(direction, 1.0)
        rate = last.load * q - last.displacement
        if abs(rate) > 1e-6 * (abs(last.load * q) + abs(last.displacement)):
            return float(np.sign(rate)), True
        step = (last.jump - before.jump) * (self.bodies.weight * holds)[:, None]
        along = float((step * turn).sum())
        return (1.0 if along >= 0 else -1.0), False

    def _state(self, trial: Trial) -> State:
        last, v, load, jump, response = self.states[-1], trial.v, trial.load, trial.jump, trial.response
        q = self.bodies.displacement(v, load)
        spent = self.bodies.spent(last.jump, last.response.damage, jump, response.damage)
        work = last.work + 0.5 * (load + last.load) * (q - last.displacement)
        stored = self.bodies.stored(v, load, jump, response.traction)
        return State(v, load, q, jump, response, stored, last.spent + spent, work)
