"""A path beside one that is known: the same bodies with other laws, by a few long steps.

Damage is the most that a jump has ever done, so while nearly all points go on a state of equilibrium hardly
depends on the steps that led there. Where one path is known, another beside it need not be felt for: its
states are looked for on planes across the known one, at the places that tell most, each from the one before
and from what the known path does between. What one state has damaged stays so in the next. Where the other
path turns so sharply that no state is found, it is followed from the last one on in steps of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np

from glueline.fem.equilibrium import BondedBodies, TiedBodies
from glueline.fem.follower import Follower, Watch
from glueline.fem.guide import FALLEN, Guide
from glueline.fem.model import Array
from glueline.fem.path import PathResult, failure, result_of
from glueline.fem.path_control import PathControl, TooLong
from glueline.fem.peak import Climb, top_of_cubic
from glueline.fem.solve import SolveFailure
from glueline.fem.tangent import State
from glueline.fem.traction_law import TractionLaw

AGAINST = 0.03  # share of a load by which it may come out on the other side of what its slopes say
AHEAD = 1.05  # times what a load on the guide's way down tells of another, that this may come to
OVER = 1.2  # times the way on which the slope of the load would come to nothing, to be past the peak
BALANCED = 5e-4  # forces out of balance over the bond's forces that are enough here
FORESEEN = 1e-3  # share of a load by which that found at the top of a cubic may differ from the cubic's
NEAREST = 0.05  # of the way between two states, how near to either a peak is looked at
MOST_LOOKS = 8  # for one peak
MOST_HALVED, MOST_FAILED = 2, 5  # times that a step is halved, and that none is found on the way to a peak
HOPELESS = (np.inf, 20.0, 3.0, 1.0, 0.5, 0.3, 0.2, 0.1, 0.0)
"""Times what is out of balance at first, above which that seldom settles after 0, 1, 2 ... rounds of Newton's
method; then a nearer state is the cheaper. It gives up 17 of 2029 that settled."""

PATIENT = (np.inf,) * (len(HOPELESS) - 1) + (0.0,)
"""The same where no nearer one is looked for any more: steps of the path's own cost more than all rounds."""

HOPEFUL = 0.01  # forces out of balance over the bond's forces, below which only the last round ends it


@dataclass(frozen=True)
class Mark:
    """Where along a guide a state lies, its load in N, and by how many N a mm the load grows there."""

    place: float
    load: float
    slope: float


class Beside:
    """States beside a ``guide``, which ``follower`` takes up."""

    def __init__(self, follower: Follower, guide: Guide) -> None:
        self._follower, self._guide = follower, guide
        self._marks: list[Mark] = []
        self._ahead: Array | None = None
        self._first = follower.states[-1]
        self._failed = self._begun = 0

    @property
    def place(self) -> float:
        """How far it has come along the guide."""
        return self._marks[-1].place if self._marks else 0.0

    def to(self, place: float, over: bool = False) -> None:
        """Go on to a ``place``, by shorter steps where one does not settle; to go ``over`` a peak, no further
        than past it. Raises SolveFailure.
        """
        halved = 0
        while self.place < place and not (over and self._is_past()):
            here = self.place
            is_last = halved == MOST_HALVED or self._failed == MOST_FAILED
            nearer = place if not halved else here + (place - here) * 0.5**halved
            found = self._looked_for(nearer, PATIENT if is_last else HOPELESS)
            if found is None:
                halved += 1
                self._failed += 1
                if halved > MOST_HALVED or self._failed > MOST_FAILED:
                    raise SolveFailure("no state is found beside the known path")
                continue
            self._add(*found)
            halved = max(halved - 1, 0)

    def over(self, rise: Sequence[float], place: float) -> None:
        """Go up the ``rise`` and over a peak that lies about at ``place``. Raises SolveFailure."""
        self._failed, self._begun = 0, max(0, len(self._marks) - 1)
        self._onto_rise(rise[0])
        for higher in (*rise, place):
            self.to(higher, over=True)
        self._locate()

    def to_end(self, rise: Sequence[float]) -> None:
        """Go up the ``rise`` to the farthest displacement, or over a peak before it. Raises SolveFailure."""
        self._failed, self._begun = 0, max(0, len(self._marks) - 1)
        self._onto_rise(rise[0])
        end = float(self._guide.place[-1])
        for higher in rise[1:]:
            self.to(higher, over=True)
            if self._follower.states[-1].displacement >= self._follower.control.farthest:
                end = self.place
                self._back()
                break
        if not self._is_past():
            found = self._looked_for(end, PATIENT, at_end=True)
            if found is None:
                raise SolveFailure("no state is found at the farthest displacement")
            self._add(*found)
        if self._is_past():
            self._locate()

    def down_to(self, place: float) -> None:
        """Go on to a ``place`` past the peak; where the load comes out higher there, that peak counts. Raises
        SolveFailure.
        """
        top = max(mark.load for mark in self._marks)
        self.to(place)
        if self._marks[-1].load > top:
            self._locate()

    def look_on(self) -> None:
        """Look whether the load comes out higher past the peak; if so that peak counts. Raises SolveFailure.

        On the way down a load hardly grows by more than it has where it was looked at last; a hump may be
        another thing that holds.
        """
        guide = self._guide
        hump = None if guide.hump is None else float(guide.place[guide.hump])
        for place in guide.later():
            top = max(mark.load for mark in self._marks)
            if place <= self.place:
                continue
            growth = guide.most
            if place != hump:
                growth = min(growth, AHEAD * self._marks[-1].load / guide.at(self.place)[1])
            if growth * guide.at(place)[1] <= top:
                continue
            found = self._looked_for(place, PATIENT)
            if found is None:
                return
            if found[1].load > top:
                self._add(*found)
                self._locate()

    def _locate(self) -> None:
        """Go on as long as the load rises, and locate its peak. Raises SolveFailure."""
        for _ in range(MOST_LOOKS):
            if self._is_past():
                return self._close_in()
            before, last = self._marks[-2:]
            stride = last.place - before.place
            bend = (last.slope - before.slope) / stride
            step = -OVER * last.slope / bend if bend < 0.0 else np.inf
            step = float(np.clip(step, 0.25 * stride, 2.0 * stride))
            if 0.5 * last.slope * step <= self._follower.control.peak * last.load:
                return None
            end = float(self._guide.place[-1])
            if last.place >= end:
                break
            self.to(min(last.place + step, end), over=True)
        raise SolveFailure("no peak is found beside the known path")

    def _onto_rise(self, place: float) -> None:
        """Go on to a ``place``, or as far towards it as the load still rises there. Raises SolveFailure."""
        for _ in range(MOST_LOOKS):
            here = self.place
            if place <= here:
                return
            self.to(place)
            if self._marks[-1].slope > 0.0:
                return
            while self.place > here:
                self._back()
            place = 0.5 * (here + place)
        raise SolveFailure("the load falls from the beginning")

    def _is_past(self) -> bool:
        """Whether the load falls since the state before, on this way up."""
        if len(self._marks) < self._begun + 2:
            return False
        before, last = self._marks[-2:]
        return last.slope <= 0.0 or last.load < before.load

    def _close_in(self) -> None:
        """Locate the peak that lies between the last two states."""
        accuracy = self._follower.control.peak
        for _ in range(MOST_LOOKS):
            before, last = self._marks[-2:]
            place, load = _top_between(before, last)
            low, high = sorted((before.load, last.load))
            is_smooth = load > (1.0 + accuracy) * high
            if not is_smooth:
                if low >= (1.0 - self._guide.wide) * high:
                    return
                place = 0.5 * (before.place + last.place)
            past = self._back()
            self.to(place)
            now = self._marks[-1]
            if is_smooth and abs(now.load - load) <= FORESEEN * load:
                return
            if now.slope > 0.0 and now.load > before.load:
                self._add(*past)

    def _add(self, state: State, mark: Mark) -> None:
        states, response = self._follower.states, state.response
        if (
            not self._marks
            and state.load < states[-1].load
            and not (response.growing | response.crushing).any()
        ):
            states.pop()  # where damage first grows comes later on the way up
        states.append(state)
        self._marks.append(mark)
        self._follower.tell()

    def _back(self) -> tuple[State, Mark]:
        """Go back to the state before; the one that is left is returned."""
        self._ahead = None
        left = self._follower.states.pop(), self._marks.pop()
        if not self._marks and self._follower.states[-1] is not self._first:
            self._follower.states.append(self._first)
        return left

    def _looked_for(
        self, place: float, patience: Sequence[float] = HOPELESS, at_end: bool = False
    ) -> tuple[State, Mark] | None:
        """The state at a ``place``; None if Newton's method does not settle or leads elsewhere.

        That ``at_end`` lies at the farthest displacement of the load; ``patience`` is such as HOPELESS.
        """
        follower, bodies = self._follower, self._follower.bodies
        if bodies.effort > follower.control.most_effort:
            raise TooLong
        v, load, normal, direction = self._guide.at(place)
        target, load_part = float(normal @ v), 0.0
        if at_end:
            normal, load_part, target = bodies.load, bodies.own_compliance, follower.control.farthest
        starts = [(v, load)]
        if self._marks:
            last = follower.states[-1]
            v_before, load_before, *_ = self._guide.at(self.place)
            starts = [(v + last.v - v_before, load * last.load / load_before)]
            if self._ahead is not None:
                to_go = target - float(normal @ last.v) - load_part * last.load
                more = to_go / (float(normal @ self._ahead) + load_part)
                starts.append((last.v + more * self._ahead, last.load + more))
        trial = min((follower._trial(*start) for start in starts), key=lambda each: each.error)
        balanced = max(BALANCED, follower.control.residual)
        per_newton, known, first = self._ahead, False, trial.error
        for hopeless in patience:
            if trial.error <= balanced and known and per_newton is not None:
                pace = float(normal @ per_newton) + load_part
                mark = Mark(place, trial.load, float(normal @ direction) / pace)
                if self._marks and _is_elsewhere(self._marks[-1], mark):
                    return None
                self._ahead = per_newton
                return follower._state(trial), mark
            if not hopeless or not trial.error <= max(HOPEFUL, hopeless * first):
                return None
            try:
                back, per_newton = follower._moves(follower._solver(trial), trial, per_newton)
            except SolveFailure:
                return None
            known = True
            to_go = target - float(normal @ (trial.v + back)) - load_part * trial.load
            more = to_go / (float(normal @ per_newton) + load_part)
            move = back + more * per_newton
            moved = follower._trial(trial.v + move, trial.load + more)
            trial = moved if moved.error < trial.error else follower._search(trial, moved, move, more)
        return None


def _is_elsewhere(before: Mark, after: Mark) -> bool:
    """Whether the load is far from what its slopes at both ends say: another way leads there."""
    length = after.place - before.place
    least, most = sorted((before.slope * length, after.slope * length))
    apart, change = AGAINST * before.load, after.load - before.load
    return (least > apart and change < 0.0) or (most < -apart and change > 0.0)


def _top_between(before: Mark, after: Mark) -> tuple[float, float]:
    """Where the cubic through two loads and their slopes is highest between them, and how high."""
    length = after.place - before.place
    climb = Climb(length * before.slope, length * after.slope)
    at, load = top_of_cubic(before.load, after.load, climb, within=(NEAREST, 1.0 - NEAREST))
    return before.place + at * length, load


def follow_beside(
    tied: TiedBodies,
    laws: Sequence[TractionLaw],
    load: Array,
    guide: Guide,
    control: PathControl | None = None,
    watch: Watch | None = None,
) -> PathResult:
    """The path of bodies beside that of the same with other laws, to a little past its last peak that counts.

    ``load`` and laws as in ``fem.path.follow_tied``, nothing damaged before. Raises PathFailure.
    """
    control = control or PathControl()
    bodies = BondedBodies(tied, laws, load)
    follower = Follower(bodies, control, np.zeros(len(bodies.weight)), watch)
    names = [surface.name for surface in tied.surfaces]
    try:
        follower.begin()
        _follow(follower, guide)
    except SolveFailure as error:
        raise failure(error, follower, names) from error
    return replace(result_of(follower, names, True), left_out=guide.early)


def _follow(follower: Follower, guide: Guide) -> None:
    """Find the states beside the guide, those of the follower's own steps where that fails."""
    control, beside = follower.control, Beside(follower, guide)
    fallen = replace(control, known_peak=guide.surely_past, stop_past_known=FALLEN)
    try:
        for number, turn in enumerate(guide.turns):
            place = float(guide.place[turn])
            if number % 2:
                beside.to(place)
            elif turn == guide.turns[-1] and guide.rises:
                beside.to_end(guide.rise_to(turn))
            else:
                beside.over(guide.rise_to(turn), place)
        if not guide.down:
            beside.look_on()
    except SolveFailure:
        follower.control = fallen if len(guide.turns) == 1 and guide.hump is None else control
        follower.go_on(control.step)
        return
    if guide.down:
        with suppress(SolveFailure):
            for place in guide.later():
                beside.down_to(place)
    if guide.falls or (len(guide.turns) > 1 and not guide.down):
        follower.control = replace(fallen, known_peak=0.0)  # all peaks that count are behind
        follower.go_on(control.step)
