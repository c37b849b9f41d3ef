"""The peak of a load between the states of a path, on curves whose peak is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.fem.peak import Climb, PeakSearch, top_of_cubic
from glueline.fem.tangent import State

ACCURACY = 1e-4


@dataclass(frozen=True)
class Loaded:
    """As much of a state as the search looks at."""

    load: float
    place: float


def located(load, slope, step: float, start: float = 0.0) -> tuple[float, int]:  # type: ignore[no-untyped-def]
    """The highest load that is found along a curve of a place, and how many states were looked at for it."""
    search, looked = PeakSearch(ACCURACY), 0
    states = [Loaded(0.0, start), Loaded(load(start), start)]
    length = step
    while len(states) < 60 and states[-1].load >= 0.5 * max(state.load for state in states):
        before = states[-1].place
        states.append(Loaded(load(before + length), before + length))
        looked += 1
        climb = Climb(length * slope(before + 1e-12), length * slope(before + length))
        length = search.look(cast("list[State]", states), length, climb) or step
    return max(state.load for state in states), looked


@pytest.mark.parametrize("step", [0.13, 0.3, 0.7])
def test_a_smooth_peak_is_stepped_to(step: float) -> None:
    """A cubic rise and fall, P = 27 / 4 x (1 - x)^2 at x = 1 / 3: its own cubics tell it exactly."""
    highest, looked = located(lambda x: 6.75 * x * (1 - x) ** 2, lambda x: 6.75 * (1 - x) * (1 - 3 * x), step)
    assert highest == pytest.approx(1.0, rel=ACCURACY)
    assert looked <= 8 + 1.0 / step  # the way past it counts too


@pytest.mark.parametrize("step", [0.17, 0.3])
@pytest.mark.parametrize("fall", [0.5, 5.0])
def test_a_kink_is_closed_in_on(step: float, fall: float) -> None:
    """A straight rise to 1, then a straight fall of another slope."""
    highest, looked = located(
        lambda x: min(x, 1.0 - fall * (x - 1.0)), lambda x: 1.0 if x < 1.0 else -fall, step, start=0.05
    )
    assert highest == pytest.approx(1.0, rel=2e-3)
    assert looked < 40


def test_a_load_that_only_rises_has_no_peak() -> None:
    search = PeakSearch(ACCURACY)
    states = [Loaded(float(place), float(place)) for place in range(4)]
    for count in (3, 4):
        climb = Climb(1.0, 1.0)
        assert search.look(cast("list[State]", states[:count]), 1.0, climb) is None


NUMBER = st.floats(-3.0, 3.0)


@given(NUMBER, NUMBER, NUMBER, NUMBER, st.sampled_from([(0.0, 1.0), (0.05, 0.95)]))
def test_the_top_of_a_cubic_is_the_highest_of_many_places(
    start: float, end: float, first: float, last: float, within: tuple[float, float]
) -> None:
    """For any heights and slopes, among them straight lines and cubics that only fall."""
    at, value = top_of_cubic(start, end, Climb(first, last), within)
    part = np.linspace(*within, 401)
    rest = 1.0 - part
    loads = rest**2 * ((1.0 + 2.0 * part) * start + part * first)
    loads += part**2 * ((3.0 - 2.0 * part) * end - rest * last)
    assert within[0] <= at <= within[1]
    assert value >= loads.max() - 1e-9
    assert value <= loads.max() + 1e-3  # between two of them it is hardly higher


def test_a_load_that_falls_straight_has_no_top_in_its_last_step() -> None:
    """Three loads on a straight line: no parabola bends through them, and none is looked for."""
    search = PeakSearch(ACCURACY)
    states = [Loaded(load, place) for place, load in enumerate((0.0, 3.0, 2.5, 2.0))]
    for count, climb in ((3, Climb(-0.5, -0.5)), (4, Climb(0.1, 0.1))):
        assert search.look(cast("list[State]", states[:count]), 1.0, climb) is None
