"""Follow equilibrium from the first load past the peak, through snap-back, until the load has fallen.

Up to first damage the answer is linear and found in one go. From there every step is a fixed length along
the tangent of the path, measured on the jumps of the bond that still holds (arc length with a fixed normal
plane, Riks 1979, on the jumps alone as de Borst 1987 advises for softening), so load and displacement may
both turn back. The sense of the tangent is the one that spends energy (Gutierrez 2004, Communications in
Numerical Methods in Engineering 20): 2 spent' = P q' - P' q for bonds that unload straight to nothing, with
q the displacement of the load; where nothing is spent it is the sense of the step before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from fem.bond import BondedSurface
from fem.equilibrium import BondedBodies
from fem.loads import Arrangement
from fem.model import Array, Integers, Model, rigid_body_motions
from fem.solve import SolveFailure
from fem.traction_law import Response, TractionLaw


@dataclass(frozen=True)
class PathControl:
    """How finely to follow.

    ``step`` largest change in one step of the jump of any point that still holds, over the jump at which it
    breaks; ``first_step`` the same at first damage; ``smallest_step`` where to give up; ``residual`` out of
    balance forces over the bond's forces; ``audit`` energy lost in one step over energy spent in it;
    ``peak`` how well the highest load is located; ``stop`` share of the highest load at which to end.
    """

    step: float = 0.25
    first_step: float = 0.02
    smallest_step: float = 1e-6
    residual: float = 1e-9
    audit: float = 0.003
    peak: float = 1e-3
    stop: float = 0.5
    most_steps: int = 3000
    most_iterations: int = 12


@dataclass(frozen=True)
class PathResult:
    """Equilibrium states, the unloaded one first, the one at first damage second.

    Arrays (s,): ``load`` P in N, ``displacement`` of the load along its line in mm, ``work`` of the load,
    energy ``stored`` and ``spent``, N mm; ``damage`` (s, points) by surface name; ``first_peak``
    is the first state from which the load falls by more than the accuracy of a peak, ``first_separation`` the
    first with a broken point; None where there is none. ``is_complete`` is False on a path that was given up.
    """

    load: Array
    displacement: Array
    work: Array
    stored: Array
    spent: Array
    damage: Mapping[str, Array]
    first_damage: int
    first_peak: int | None
    first_separation: int | None
    highest: int
    is_complete: bool
    iterations: int
    _bodies: BondedBodies = field(repr=False)
    _kept: Array = field(repr=False)

    def displacements(self, state: int) -> Array:
        """Displacements (unknowns,) in mm of a state, the pinned unknowns at zero; see ``settle``."""
        condensed = self._bodies.condensed
        return condensed.recover(self._kept[state], float(self.load[state]) * self._bodies.alone)

    @property
    def audit(self) -> float:
        """Largest difference of work and energy stored and spent, over the work at the highest load."""
        gap = np.abs(self.work - self.stored - self.spent)
        return float(gap.max() / self.work[self.highest])


class PathFailure(RuntimeError):
    """The path could not be followed to its end; ``result`` holds it up to the last equilibrium found."""

    def __init__(self, message: str, result: PathResult | None = None) -> None:
        super().__init__(message)
        self.result = result


@dataclass(frozen=True)
class _State:
    v: Array
    load: float
    displacement: float
    jump: Array
    response: Response
    stored: float
    spent: float
    work: float


def equilibrated(model: Model, arrangement: Arrangement) -> Array:
    """Load of an arrangement for P = 1 N together with the reactions of its supports: in equilibrium."""
    motions = rigid_body_motions(model)
    balance = motions.T @ arrangement.supports.T
    reactions = np.linalg.solve(balance, -motions.T @ arrangement.load)
    return np.asarray(arrangement.load + reactions @ arrangement.supports)


def settle(model: Model, arrangement: Arrangement, u: Array) -> Array:
    """Move ``u`` rigidly so that the mean displacement of every support is zero."""
    motions = rigid_body_motions(model)
    motion = np.linalg.solve(arrangement.supports @ motions, -arrangement.supports @ u)
    return np.asarray(u + motions @ motion)


def follow_path(
    stiffness: sparse.csr_matrix,
    surfaces: Sequence[BondedSurface],
    laws: Sequence[TractionLaw],
    load: Array,
    pinned: Integers,
    control: PathControl | None = None,
    damage: Sequence[Array] | None = None,
) -> PathResult:
    """Follow the equilibrium path of bodies with bulk ``stiffness`` (no glue) tied by softening surfaces.

    ``load`` (unknowns,) for P = 1 N is in equilibrium, or the ``pinned`` unknowns carry the rest; ``damage``
    (points,) for each surface is what has been done before, 1 for a crack. Raises PathFailure with the states
    so far where the path cannot be followed until the load has fallen, ValueError on unmatched input.
    """
    control = control or PathControl()
    try:
        bodies = BondedBodies(stiffness, surfaces, laws, load, pinned)
    except SolveFailure as error:
        raise PathFailure(f"eliminating the bodies: {error}") from error
    before = np.zeros(len(bodies.weight)) if damage is None else np.concatenate(list(damage))
    if before.shape != bodies.weight.shape or not ((before >= 0) & (before <= 1)).all():
        raise ValueError("damage must hold a number from 0 to 1 for every point of every surface")
    follower = _Follower(bodies, control, tuple(surface.name for surface in surfaces), before)
    return follower.run()


class _Follower:
    """The states so far and the step that finds the next."""

    def __init__(
        self, bodies: BondedBodies, control: PathControl, names: tuple[str, ...], before: Array
    ) -> None:
        self.bodies, self.control, self.names, self.before = bodies, control, names, before
        self.states: list[_State] = []
        self.iterations = 0
        self.force_scale = 0.0

    def run(self) -> PathResult:
        first = self._linear()
        self.force_scale = float(np.linalg.norm(self.bodies.bond_forces(first.response.traction)))
        nothing = np.zeros_like(first.v)
        rest = self.bodies.respond(np.zeros_like(first.jump), self.before)
        self.states = [_State(nothing, 0.0, 0.0, np.zeros_like(first.jump), rest, 0.0, 0.0, 0.0), first]
        length, refined = self.control.first_step, 0
        while self.states[-1].load > self.control.stop * max(state.load for state in self.states):
            if len(self.states) > self.control.most_steps:
                raise self._failure(f"the load has not fallen after {self.control.most_steps} steps")
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
        return self._result(True)

    def _must_refine(self, refined: int) -> bool:
        """Whether the highest load so far was just passed in steps too long to say how high it was."""
        loads = [state.load for state in self.states]
        top = loads[-2]
        if loads[-1] >= top or top < max(loads) or refined >= 14:
            return False
        rise = top - loads[-3] if len(loads) > 3 else 0.0
        return max(rise, top - loads[-1]) > self.control.peak * top

    def _linear(self) -> _State:
        """The state at which damage first grows: contact apart, everything is linear up to it."""
        bodies = self.bodies
        v, jump = np.zeros(len(bodies.load)), np.zeros((len(bodies.weight), 2))
        for _ in range(50):
            try:
                v = bodies.solve(self._unloading(jump), bodies.load[:, None])[:, 0]
            except SolveFailure as error:
                raise PathFailure(f"the undamaged corner: {error}; a piece is tied to nothing") from error
            self.iterations += 1
            closed, jump = jump[:, 1] > 0, bodies.jumps(v)
            if (closed == (jump[:, 1] > 0)).all():
                break
        share = float(bodies.growth_share(jump, self.before).max())
        if not share > 0:
            raise PathFailure("no bond is stretched by this load, so none will ever break")
        load = 1.0 / share
        v, jump = v * load, jump * load
        response = bodies.respond(jump, self.before)
        q = bodies.displacement(v, load)
        stored = bodies.stored(v, load, jump, response.traction)
        return _State(v, load, q, jump, response, stored, 0.0, 0.5 * load * q)

    def _unloading(self, jump: Array) -> Array:
        """Secant stiffness of all points at the damage done before."""
        tiny = np.where(np.abs(jump) > 0, np.sign(jump), 0.0) * 1e-30
        return self.bodies.respond(tiny, self.before).tangent

    def _advance(self, length: float) -> tuple[_State, int]:
        """The next state, at ``length`` or as near as it will go, and the iterations it took."""
        trouble = ""
        while length >= self.control.smallest_step:
            try:
                state, used = self._step(length)
            except SolveFailure as error:
                state, used, trouble = None, 0, str(error)
            if state is not None:
                trouble = self._objection(state, length)
                if not trouble:
                    self.length = length
                    return state, used
            elif not trouble:
                trouble = "the iteration for equilibrium did not settle"
            length *= 0.5 if state is not None else 0.35
        raise self._failure(trouble)

    def _objection(self, state: _State, length: float) -> str:
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

    def _step(self, length: float) -> tuple[_State | None, int]:
        """One step of Newton's method on equilibrium and the normal plane; None if it does not settle."""
        bodies, last = self.bodies, self.states[-1]
        direction = bodies.solve(last.response.tangent, bodies.load[:, None])[:, 0]
        turn = bodies.jumps(direction)
        holds = last.response.damage < 1.0
        sizes = bodies.change_share(turn)
        size = float(sizes[holds].max(initial=0.0))
        if not size > 0 or not np.isfinite(size):
            return None, 0
        pace = self._sense(direction, turn, holds) * length / size
        plane_jump = (bodies.weight * holds)[:, None] * turn / size**2
        target = pace * float((plane_jump * turn).sum())
        plane = bodies.jump.T @ plane_jump.ravel()
        v, load = last.v + pace * direction, last.load + pace
        least = np.inf
        for used in range(1, self.control.most_iterations + 1):
            jump = bodies.jumps(v)
            response = bodies.respond(jump, last.response.damage)
            bond = bodies.bond_forces(response.traction)
            out = bodies.stiffness @ v + bond - load * bodies.load
            scale = max(float(np.linalg.norm(bond)), 1e-3 * self.force_scale)
            error = float(np.linalg.norm(out)) / scale
            if error <= self.control.residual:
                return self._state(v, load, jump, response), used
            if not np.isfinite(error) or (used > 4 and error > 1e3 * least):
                return None, used
            least = min(least, error)
            moves = bodies.solve(response.tangent, np.stack([-out, bodies.load], axis=1))
            self.iterations += 1
            ahead = float(plane @ moves[:, 1])
            missing = target - float(plane @ (v - last.v)) - float(plane @ moves[:, 0])
            if ahead == 0.0:
                return None, used
            more = missing / ahead
            v, load = v + moves[:, 0] + more * moves[:, 1], load + more
        return None, self.control.most_iterations

    def _sense(self, direction: Array, turn: Array, holds: NDArray[np.bool_]) -> float:
        """1 to go on with growing load, -1 with falling load."""
        last, before = self.states[-1], self.states[-2]
        q = self.bodies.displacement(direction, 1.0)
        rate = last.load * q - last.displacement
        if abs(rate) > 1e-6 * (abs(last.load * q) + abs(last.displacement)):
            return float(np.sign(rate))
        step = (last.jump - before.jump) * (self.bodies.weight * holds)[:, None]
        along = float((step * turn).sum())
        return 1.0 if along >= 0 else -1.0

    def _state(self, v: Array, load: float, jump: Array, response: Response) -> _State:
        last = self.states[-1]
        q = self.bodies.displacement(v, load)
        spent = self.bodies.spent(last.jump, last.response.damage, jump, response.damage)
        work = last.work + 0.5 * (load + last.load) * (q - last.displacement)
        stored = self.bodies.stored(v, load, jump, response.traction)
        return _State(v, load, q, jump, response, stored, last.spent + spent, work)

    def _failure(self, trouble: str) -> PathFailure:
        last = self.states[-1]
        return PathFailure(
            f"the path ends after {len(self.states) - 1} steps at {last.load:.4g} N and "
            f"{last.displacement:.4g} mm: {trouble}; try a smaller element size or a tougher, softer bond",
            self._result(False),
        )

    def _result(self, complete: bool) -> PathResult:
        states = self.states
        load = np.array([state.load for state in states])
        damage = np.stack([state.response.damage for state in states])
        highest = int(np.argmax(load))
        broken = np.flatnonzero(((damage >= 1.0) & (self.before < 1.0)).any(axis=1))
        return PathResult(
            load=load,
            displacement=np.array([state.displacement for state in states]),
            work=np.array([state.work for state in states]),
            stored=np.array([state.stored for state in states]),
            spent=np.array([state.spent for state in states]),
            damage={
                name: damage[:, part] for name, part in zip(self.names, self.bodies.parts, strict=True)
            },
            first_damage=1,
            first_peak=_first_peak(load, self.control.peak),
            first_separation=int(broken[0]) if len(broken) else None,
            highest=highest,
            is_complete=complete,
            iterations=self.iterations,
            _bodies=self.bodies,
            _kept=np.stack([state.v for state in states]),
        )


def _first_peak(load: Array, accuracy: float) -> int | None:
    """The first state whose load falls by more than ``accuracy`` of it before it is passed again."""
    top = 0
    for state, value in enumerate(load):
        if value > load[top]:
            top = state
        elif value < (1.0 - accuracy) * load[top]:
            return top
    return None
