"""Locating the highest load of a path: where it was passed in steps too long, it is predicted and visited.

Three states about a peak give a parabola of load over path length. The path goes back and steps to its top;
where the load found there is the one predicted, the peak is known, otherwise (a kink) the search closes in.
"""

from __future__ import annotations

from collections.abc import Sequence

from glueline.fem.tangent import State


class PeakSearch:
    """Watches the states of a path; ``accuracy`` is the share of the load to which a peak is wanted.

    ``positions`` along the path are those of the states that are there when it begins to watch.
    """

    def __init__(self, accuracy: float, most: int = 14, positions: Sequence[float] = (0.0, 0.0)) -> None:
        self.accuracy, self.most = accuracy, most
        self.positions = list(positions)
        self.looks = 0
        self.expected: float | None = None
        self.located = 0.0

    def look(self, states: list[State], length: float) -> float | None:
        """After a new state: None to go on, or the length of the next step, the states past it removed."""
        self.positions = [*self.positions[: len(states) - 1], self.positions[len(states) - 2] + length]
        if self.expected is not None:
            load, expected = states[-1].load, self.expected
            self.expected = None
            if abs(load - expected) <= 0.5 * self.accuracy * expected:
                self.located = max(self.located, load)
        loads = [state.load for state in states]
        top = loads[-2]
        if loads[-1] >= top or top < max(loads):
            return None
        rise = top - loads[-3] if len(loads) > 3 else 0.0
        is_near = max(rise, top - loads[-1]) <= self.accuracy * top
        if is_near or top <= self.located * (1.0 + self.accuracy) or self.looks >= self.most:
            self.located, self.looks = max(self.located, top), 0
            return None
        return self._go_back(states)

    def _go_back(self, states: list[State]) -> float:
        """Remove the states past the predicted top and return the step that leads there."""
        self.looks += 1
        places, loads = self.positions[-3:], [state.load for state in states[-3:]]
        if len(states) <= 3:
            del states[2:]
            return 0.5 * (places[2] - places[1])
        at, value = _top_of_parabola(places, loads)
        base = 1 if at < places[1] else 2
        del states[len(states) - 3 + base :]
        self.expected = value
        start = places[base - 1]
        span = places[base] - start
        return min(max(at - start, 0.1 * span), 0.9 * span)


def _top_of_parabola(places: list[float], values: list[float]) -> tuple[float, float]:
    (a, b, c), (fa, fb, fc) = places, values
    first, second = (fb - fa) / (b - a), (fc - fb) / (c - b)
    bend = (second - first) / (c - a)
    at = 0.5 * (a + b) - 0.5 * first / bend
    return at, fa + first * (at - a) + bend * (at - a) * (at - b)
