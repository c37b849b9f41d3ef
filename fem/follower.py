"""The steps of an equilibrium path: the next state, how long a step, and what speaks against one.

From the state at which damage first grows (``fem.first_growth``) every step is a fixed length along
the tangent of the path, measured on the jumps of the bond that still holds (arc length with a fixed normal
plane, Riks 1979, on the jumps alone as de Borst 1987 advises for softening), so load and displacement may
both turn back. Newton's method converges on the forces out of balance; a tangent is kept while it still
brings them down fast, and solved by factors of an earlier one where that does (``fem.tangent_matrix``). The
length of a step follows the energy that the step before lost: work, along cubics that the ends of the step
tell, less what is stored and spent, each found on its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from glueline.fem.equilibrium import BondedBodies, BondResponse, BondSolver
from glueline.fem.first_growth import first_growth
from glueline.fem.model import Array
from glueline.fem.path_control import NEAR_END, PathControl, TooLong
from glueline.fem.peak import Climb, PeakSearch
from glueline.fem.solve import SolveFailure
from glueline.fem.tangent import Direction, State, find_direction

SAME = 1e-6  # relative: two trials so nearly alike out of balance are one
ROUGHLY = 5e-2  # share of the forces out of balance that one round of Newton's method may leave
FAR = 1e-2  # out of balance, beyond which a trial asks for a tangent of its own
PATIENCE = 20.0  # how many times a short step still has every means tried on it

Watch = Callable[[Sequence[tuple[float, float]]], None]
"""Told after every step the load in N and its displacement in mm of all states that stand, the unloaded one
first; near a peak some are taken back. What it raises ends the path and is not caught."""


class _RunsAway(SolveFailure):
    """The way to the next state leads far past it."""

    def __init__(self) -> None:
        super().__init__("the jumps run away within a step")


@dataclass(frozen=True)
class Trial:
    """What may be the next state: ``v`` (kept,) in mm under ``load`` in N, ``jump`` (p, 2) in mm.

    ``out`` (kept,) in N is out of balance, ``error`` its size over that of the bonds' forces.
    """

    v: Array
    load: float
    jump: Array
    response: BondResponse
    out: Array
    error: float


def bent_work(
    load: float, displacement: float, start: tuple[float, float], end: tuple[float, float]
) -> float:
    """Work in N mm that the straight chord of a step leaves out; ``load`` and ``displacement`` grow over it.

    ``start`` and ``end`` are what both would grow by if all the step went on as at its ends: between them
    load and displacement follow cubics. A parabola, here P = u^2 from u = 0 to 1 less its chord, is exact:

    >>> round(bent_work(1.0, 1.0, (0.0, 1.0), (2.0, 1.0)), 12) == round(1 / 3 - 1 / 2, 12)
    True
    """
    (load_0, moved_0), (load_1, moved_1) = start, end
    turn = displacement * (load_0 - load_1) - load * (moved_0 - moved_1)
    rest = (load_0 - load) * (moved_1 - displacement) - (load_1 - load) * (moved_0 - displacement)
    return turn / 12.0 - rest / 60.0


@dataclass(frozen=True)
class Plane:
    """Where a step ends: ``normal`` (kept,) . dv + ``load_part`` dP = ``target`` from the last state."""

    normal: Array
    load_part: float
    target: float


class Follower:
    """The states so far and the step that finds the next.

    ``iterations`` counts solves; ``length`` is that of the last step; ``left_early`` tells that the path
    ended for the effort it took. ``watch`` is told of the states.
    """

    def __init__(
        self, bodies: BondedBodies, control: PathControl, before: Array, watch: Watch | None = None
    ) -> None:
        self.bodies, self.control, self.before, self._watch = bodies, control, before, watch
        self.states: list[State] = []
        self.iterations = 0
        self.left_early = False
        self.length = control.first_step
        self.force_scale = 0.0
        self.work_scale = 0.0  # N mm: what the load would do up to first damage if nothing crushed before
        self._known_direction: tuple[State, float, Direction] | None = None
        self._climb = Climb(0.0, 0.0)
        self._onward: Array | None = None  # what 1 N more did at the end of the last step

    def run(self) -> None:
        """Find all states. Raises SolveFailure where it cannot go on; those found stay."""
        self.begin()
        self.go_on(self.control.first_step)

    def begin(self) -> None:
        """Find the first two: the unloaded one, and where damage first grows. Raises SolveFailure."""
        growth = first_growth(self.bodies, self.before)
        first, self.work_scale = growth.state, growth.work_scale
        self.iterations += growth.solves
        self.force_scale = float(np.linalg.norm(self.bodies.bond_forces(first.response.traction)))
        nothing = np.zeros_like(first.v)
        rest = self.bodies.respond(np.zeros_like(first.jump), self.before, np.zeros_like(self.before))
        self.states = [State(nothing, 0.0, 0.0, np.zeros_like(first.jump), rest, 0.0, 0.0, 0.0), first]
        self.tell()

    def go_on(self, length: float) -> None:
        """Find the states after those that are there, however found; ``length`` is that of the next step.

        Raises SolveFailure where it cannot go on; those found stay.
        """
        peak = PeakSearch(self.control.peak, len(self.states))
        resumed = 0.0
        while (
            not self._has_fallen() and self.states[-1].displacement < (1.0 - NEAR_END) * self.control.farthest
        ):
            if len(self.states) > self.control.most_steps:
                raise SolveFailure(f"the load has not fallen after {self.control.most_steps} steps")
            try:
                state, used, lost = self._advance(length)
            except SolveFailure:
                if self.states[-1].load <= self.control.stop * max(state.load for state in self.states):
                    return  # fallen far enough, though what is left might have been looked for longer
                raise
            if state.displacement > (1.0 + NEAR_END) * self.control.farthest:
                last = self.states[-1].displacement
                length = self.length * (self.control.farthest - last) / (state.displacement - last)
                continue
            self.states.append(state)
            nearer = peak.look(self.states, self.length, self._climb)
            self.tell()
            if nearer is not None:
                length, resumed = nearer, max(resumed, self.length)
                continue
            grown = 2.0 if used <= 2 else 1.2 if used <= 4 else 0.7
            if self.length < length:
                grown = min(grown, 1.0)
            if lost > 0:
                grown = min(grown, 0.85 / np.sqrt(lost))
            # Past a peak that was looked at it goes on as before the look.
            length, resumed = min(max(self.length * max(grown, 0.3), resumed), self.control.step), 0.0

    def tell(self) -> None:
        """Tell whoever watches of the states so far."""
        if self._watch is not None:
            self._watch([(float(state.load), float(state.displacement)) for state in self.states])

    def _has_fallen(self) -> bool:
        """Whether the load has fallen so far that the path may end."""
        loads = np.array([state.load for state in self.states])
        top, last = int(loads.argmax()), loads[-1]
        came_back = bool(last < loads[-2] and (loads[top:] < last).any())
        stop = self.control.stop if came_back else self.control.stop_first
        if loads[top] >= self.control.known_peak:
            stop = max(stop, self.control.stop_past_known)
        if last > stop * loads[top] and self.bodies.effort > self.control.enough_effort:
            self.left_early = bool(last <= self.control.stop_late * loads[top])
        return self.left_early or bool(last <= stop * loads[top])

    def _advance(self, length: float) -> tuple[State, int, float]:
        """The next state, at ``length`` or less; matrices factored; energy lost over that allowed."""
        trouble = "the next step is shorter than the smallest: elements too large for so brittle a bond"
        if self.bodies.effort > self.control.most_effort:
            raise TooLong
        while length >= self.control.smallest_step:
            shorter = 0.4
            for by_energy in (False, True) if self._is_short(length) else (False,):
                try:
                    state, used = self._step(length, by_energy)
                except _RunsAway as error:
                    trouble, shorter = str(error), 0.2
                    break
                except SolveFailure as error:
                    trouble = str(error)
                    continue
                if state is None:
                    trouble = "the iteration did not settle"
                    continue
                lost = self._lost(state)
                if lost > 1.0:
                    trouble = "too much energy is lost in a step"
                    shorter = min(0.7, max(0.2, 0.85 / float(np.sqrt(lost))))
                elif length > self.control.beginning and self._begins(state):
                    trouble = "more points begin to soften in a step than may"
                    shorter = max(0.3, self.control.beginning / length)
                elif self._runs_away(state.jump, length):
                    trouble, shorter = str(_RunsAway()), 0.2
                else:
                    self.length = length
                    return state, used, lost
                break
            length *= shorter
        raise SolveFailure(trouble)

    def _length_per_newton(self, tangent: Direction) -> float:
        """Length of a step, as the largest change of a point that holds, for 1 N along the tangent."""
        holds = self.states[-1].response.damage < 1.0
        return float(self.bodies.change_share(tangent.turn)[holds].max(initial=0.0))

    def _is_short(self, length: float) -> bool:
        """Whether a step is so short that everything is tried before it is given up."""
        return length < PATIENCE * self.control.short_step

    def _lost(self, state: State) -> float:
        """Work less energy stored and spent over the last step, over what may be lost."""
        last = self.states[-1]
        spent = state.spent - last.spent
        gap = abs(state.work - last.work - spent - (state.stored - last.stored))
        # Crushing begins long before damage and spends next to nothing at first.
        always = (5e-5 if self.bodies.crushes else 1e-5) * self.work_scale
        top = max(self.states, key=lambda state: state.load)
        if last is top:
            always += 3e-5 * last.work
        share = min(
            1.0, top.work / last.work
        )  # a long way down, it is still the work up to the top that counts
        return gap / (self.control.audit * share * spent + always)

    def _begins(self, state: State) -> bool:
        """Whether points begin to soften on the way to a ``state``."""
        return bool(((self.states[-1].response.damage == 0) & (state.response.damage > 0)).any())

    def _runs_away(self, jump: Array, length: float) -> bool:
        last = self.states[-1]
        moved = self.bodies.change_share(jump - last.jump)[last.response.damage < 1.0]
        return bool(moved.size and moved.max() > 4.0 * length + 1e-9)

    def _direction(self, length: float) -> Direction:
        """Tangent at the last state, found anew only where it was not asked for before."""
        last = self.states[-1]
        control = self.control
        near = control.limit if length > control.short_step else control.limit_when_short
        if (
            self._known_direction is None
            or self._known_direction[0] is not last
            or self._known_direction[1] != near
        ):
            direction = find_direction(self.bodies, last, near, self._onward)
            self.iterations += direction.solves
            self._known_direction = (last, near, direction)
        return self._known_direction[2]

    def _step(self, length: float, by_energy: bool) -> tuple[State | None, int]:
        """One step by Newton's method on equilibrium and the length of the step; None if it does not settle.

        The length is measured along the tangent, on the jumps, or ``by_energy`` as the energy spent.
        """
        bodies, last = self.bodies, self.states[-1]
        holds = last.response.damage < 1.0
        tangent = self._direction(length)
        size = self._length_per_newton(tangent)
        if not size > 0 or not np.isfinite(size):
            return None, 0
        pace = tangent.sense * length / size
        if by_energy and tangent.spending:
            normal, load_part = last.load * bodies.load, last.load * bodies.own_compliance - last.displacement
        else:
            plane_jump = (bodies.weight * holds)[:, None] * tangent.turn / size**2
            normal, load_part = bodies.jump.T @ plane_jump.ravel(), 0.0
        plane = Plane(normal, load_part, pace * (float(normal @ tangent.dv) + load_part))
        trial = self._trial(last.v + pace * tangent.dv, last.load + pace)
        return self._corrected(trial, plane, tangent, length)

    def _corrected(
        self, trial: Trial, plane: Plane, tangent: Direction, length: float
    ) -> tuple[State | None, int]:
        """The equilibrium on the plane and the matrices factored; None if it is not found."""
        solve, fresh, used = tangent.solve, False, 0
        factored_at: list[float] = []
        per_newton, known = tangent.dv, True
        if FAR < trial.error < np.inf:  # points went on on the way: the tangent there is of little use
            solve, fresh, used, known = self._solver(trial), True, 1, False
        for _ in range(self.control.most_iterations):
            if trial.error <= self.control.residual:
                return self._bent(self._state(trial), plane, tangent.dv, per_newton), used
            if not np.isfinite(trial.error):
                break
            (back, per_newton), known = self._moves(solve, trial, per_newton, known), True
            more = self._more_load(trial, plane, back, per_newton)
            if more is None:
                break
            move = back + more * per_newton, more
            moved = self._trial(trial.v + move[0], trial.load + move[1])
            falls = moved.error < self.control.keep * trial.error
            if falls or fresh:
                trial = moved if moved.error < trial.error else self._search(trial, moved, *move)
                if falls:
                    fresh = False
                    continue
            elif moved.error < trial.error:
                trial = moved
            if trial.error > self.control.residual:
                if used >= self.control.most_matrices and not self._is_short(length):
                    break
                if self._runs_away(trial.jump, length):
                    raise _RunsAway
                if any(abs(trial.error - error) <= SAME * error for error in factored_at):
                    break  # points that turn to and fro lead Newton's method round in a circle
                factored_at.append(trial.error)
                solve, fresh, known = self._solver(trial), True, False
                used += 1
        return None, used

    def _solver(self, trial: Trial) -> BondSolver:
        """Solves with the consistent tangent of a trial."""
        return self.bodies.factor(self.bodies.tangent_of(trial.jump, trial.response), ROUGHLY)

    def _moves(
        self, solve: BondSolver, trial: Trial, per_newton: Array | None, known: bool = False
    ) -> tuple[Array, Array]:
        """What brings a trial into balance at its load, and what 1 N more does: ``per_newton`` if it is
        ``known``, otherwise near that."""
        self.iterations += 1
        back = solve(-trial.out)
        if per_newton is not None and known:
            return back, per_newton
        return back, solve(self.bodies.load, per_newton)

    def _more_load(self, trial: Trial, plane: Plane, back: Array, per_newton: Array) -> float | None:
        """Load to add for the next trial to lie on the plane; None where the way leads along it."""
        last = self.states[-1]
        ahead = float(plane.normal @ per_newton) + plane.load_part
        done = float(plane.normal @ (trial.v - last.v)) + plane.load_part * (trial.load - last.load)
        if ahead == 0.0:
            return None
        return (plane.target - done - float(plane.normal @ back)) / ahead

    def _search(self, start: Trial, full: Trial, move: Array, more: float) -> Trial:
        """The end of a Newton step, shortened where points that turn from loading to unloading spoil it."""
        best, part = full, 1.0
        while not best.error < start.error and part > 0.1:
            part *= 0.5
            shorter = self._trial(start.v + part * move, start.load + part * more)
            best = shorter if not best.error < shorter.error else best
        return best

    def _trial(self, v: Array, load: float) -> Trial:
        bodies = self.bodies
        jump = bodies.jumps(v)
        past = self.states[-1].response
        response = bodies.respond(jump, past.damage, past.crushed)
        bond = bodies.bond_forces(response.traction)
        out = bodies.stiffness @ v + bond - load * bodies.load
        scale = max(float(np.linalg.norm(bond)), 1e-3 * self.force_scale)
        return Trial(v, load, jump, response, out, float(np.linalg.norm(out)) / scale)

    def _state(self, trial: Trial) -> State:
        """What a trial in balance becomes, reached on a straight chord."""
        last, v, load, jump, response = self.states[-1], trial.v, trial.load, trial.jump, trial.response
        q = self.bodies.displacement(v, load)
        spent = self.bodies.spent(last.jump, last.response, jump, response)
        work = last.work + 0.5 * (load + last.load) * (q - last.displacement)
        stored = self.bodies.stored(v, load, jump, response)
        return State(v, load, q, jump, response, stored, last.spent + spent, work)

    def _bent(self, state: State, plane: Plane, before: Array, after: Array) -> State:
        """The ``state`` reached on a bent way; ``before`` and ``after`` (kept,) 1 N more does so much."""
        last = self.states[-1]
        start, end = (self._pace_along(plane, each) for each in (before, after))
        self._climb, self._onward = Climb(start[0], end[0]), after
        bent = bent_work(state.load - last.load, state.displacement - last.displacement, start, end)
        return replace(state, work=state.work + bent)

    def _pace_along(self, plane: Plane, per_newton: Array) -> tuple[float, float]:
        """Growth of load and displacement over a step that went on as at an end of it."""
        load = plane.target / (float(plane.normal @ per_newton) + plane.load_part)
        return load, load * self.bodies.displacement(per_newton, 1.0)
