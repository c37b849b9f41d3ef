"""Locating the highest load of a path: where it was passed in steps too long, it is predicted and visited.

Over a step the load follows a cubic of which both ends, and how fast the load grows there, are known. The
path goes back and steps to its top; where the load found there is the one predicted, the peak is known,
otherwise (a kink) the search closes in. A state up to which the load rises and from which it falls is a peak.
"""

from __future__ import annotations

from typing import NamedTuple

from glueline.fem.tangent import State


class Climb(NamedTuple):
    """By how much the load in N would grow over a whole step that went on as at its start, or its end."""

    start: float
    end: float


class PeakSearch:
    """Watches the states of a path; ``accuracy`` is the share of the load to which a peak is wanted.

    ``states`` are there when it begins to watch; a peak before the last of them is not looked for.
    """

    def __init__(self, accuracy: float, states: int = 2, most: int = 14) -> None:
        self.accuracy, self.most = accuracy, most
        self.lengths: list[float] = [0.0] * states
        self.climbs: list[Climb] = [Climb(0.0, 0.0)] * states
        self.looks = 0
        self.expected: float | None = None
        self.located = 0.0

    def look(self, states: list[State], length: float, climb: Climb) -> float | None:
        """After a new state, the end of a step of ``length``: None to go on, or the length of the next step,
        the states past the last one before the peak removed."""
        self.lengths = [*self.lengths[: len(states) - 1], length]
        self.climbs = [*self.climbs[: len(states) - 1], climb]
        loads = [state.load for state in states]
        self._compare(loads[-1])
        found = self._top_before(loads) if climb.start <= 0.0 else self._top_of_step(loads)
        if found is None or max(loads[-3:]) < max(loads):
            return None
        at, value = found
        if value <= (1.0 + 0.5 * self.accuracy) * max(loads):
            self.located = max(self.located, *loads)
        if value <= (1.0 + self.accuracy) * self.located or self.looks >= self.most:
            self.looks = 0
            return None
        return self._go_back(states, at, value)

    def _top_of_step(self, loads: list[float]) -> tuple[float, float] | None:
        """Place and value of the top in the last step, which rises at first; None where there is none.

        The place is from 0 to 1 in the last step, from -1 to 0 in the one before.
        """
        if self.climbs[-1].end < 0.0:
            return self._top(loads[-2], loads[-1], self.climbs[-1])
        return self._top_about(loads) if loads[-1] < loads[-2] else None

    def _top_before(self, loads: list[float]) -> tuple[float, float] | None:
        """The same in the step before the last, which falls at once: it tells how that one truly ended."""
        before, end = self.climbs[-2].start, self.climbs[-1].start * self.lengths[-2] / self.lengths[-1]
        if before <= 0.0 or end >= 0.0:
            return None
        at, value = self._top(loads[-3], loads[-2], Climb(before, end))
        return at - 1.0, value

    def _top(self, start: float, end: float, climb: Climb) -> tuple[float, float]:
        """Place from 0 to 1 and value of the top of a step that rises, then falls.

        That of its cubic; where a parabola that rises as steeply tells more than the accuracy of a peak
        besides, the load bends sharply somewhere: between both.
        """
        at, value = top_of_cubic(start, end, climb)
        twice_bend = 2.0 * (climb.start - (end - start))
        if climb.start >= twice_bend:
            return at, value  # the parabola has its top past the step
        other = climb.start / twice_bend
        highest = start + 0.5 * other * climb.start
        if highest <= (1.0 + self.accuracy) * value:
            return at, value
        return 0.5 * (at + other), 0.5 * (value + highest)

    def _compare(self, load: float) -> None:
        """Whether the load of the state that was visited is the one that was predicted."""
        expected, self.expected = self.expected, None
        if expected is not None and abs(load - expected) <= 0.5 * self.accuracy * expected:
            self.located = max(self.located, load)

    def _go_back(self, states: list[State], at: float, value: float) -> float:
        """Remove the states past the one before the predicted top and return the step that leads there."""
        self.looks += 1
        self.expected = value
        removed = 1 if at > 0.0 else 2
        length = self.lengths[-removed]
        del states[-removed:]
        return min(max(at % 1.0, 0.1), 0.9) * length

    def _top_about(self, loads: list[float]) -> tuple[float, float]:
        """The same of a parabola through the last three loads, of which the last is lower."""
        if not self.lengths[-2]:
            return 0.5, 2.0 * loads[-2]  # somewhere in the first step that is watched
        span = self.lengths[-2] / self.lengths[-1]
        rise, fall = (loads[-2] - loads[-3]) / span, loads[-1] - loads[-2]
        bend = (fall - rise) / (1.0 + span)
        if bend >= 0.0:
            return 0.0, loads[-2]  # no top: the load has fallen before
        slope = fall - bend
        at = -0.5 * slope / bend
        return at * (1.0 if at > 0.0 else 1.0 / span), loads[-2] + at * (slope + bend * at)


def top_of_cubic(
    start: float, end: float, climb: Climb, within: tuple[float, float] = (0.0, 1.0)
) -> tuple[float, float]:
    """Place and value of the highest point, ``within`` two places of 0 to 1, of a cubic over a step.

    It goes from ``start`` to ``end`` and grows at both as ``climb`` says. Of 27 / 4 t (1 - t)^2:

    >>> at, value = top_of_cubic(0.0, 0.0, Climb(6.75, 0.0))
    >>> round(at, 9), round(value, 9)
    (0.333333333, 1.0)
    >>> top_of_cubic(0.0, 1.0, Climb(1.0, 1.0), within=(0.05, 0.75))  # only rises
    (0.75, 0.75)
    """
    cubic = climb.start + climb.end - 2.0 * (end - start)
    square = 3.0 * (end - start) - 2.0 * climb.start - climb.end

    def value(at: float) -> float:
        return start + at * (climb.start + at * (square + at * cubic))

    places = list(within)
    turns = square**2 - 3.0 * cubic * climb.start
    if turns >= 0.0:  # of the two places where it does not grow, that about which it bends down
        root = turns**0.5
        over, under = (climb.start, root - square) if square <= 0.0 else (-root - square, 3.0 * cubic)
        if under != 0.0 and within[0] < over / under < within[1]:
            places.append(over / under)
    at = max(places, key=value)
    return at, value(at)
