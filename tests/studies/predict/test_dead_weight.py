"""Whether a crack is held under dead weight: by energy, and by motion integrated in time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from glueline.studies.predict.dead_weight import drops

Array = NDArray[np.float64]


def absorbed_by(load: Array, displacement: Array) -> Array:
    """Work of a quasi-static path: what it stores and spends."""
    return np.concatenate([[0.0], np.cumsum((load[1:] + load[:-1]) / 2 * np.diff(displacement))])


class TwoSprings:
    """A brittle spring beside a second one that pulls from a slack on and softens after its peak.

    Resistance r(x) of both together by displacement alone, hand-made: linear pieces through ``x`` and ``r``.
    """

    def __init__(self, first: float, valley: float, second: float, slack: float, fall: float) -> None:
        self.x = np.array([0.0, 1.0, 1.0 + fall, 1.0 + fall + slack, 1.0 + fall + slack + 1.5])
        self.r = np.array([0.0, first, valley, second, 0.1 * first])

    def path(self, pieces: int = 400) -> tuple[Array, Array, Array]:
        x = np.unique(np.concatenate([self.x, np.linspace(0.0, self.x[-1], pieces)]))
        load = np.interp(x, self.x, self.r)
        return load, x, absorbed_by(load, x)

    def holds_in_time(self) -> bool:
        """The weight of the first peak put on for good, followed in time from the moment of the crack.

        m x'' = P - r(x) from rest a hair past the peak; it holds if it comes to rest before it lets go.
        """
        weight, end = self.r[1], self.x[-1]

        def rate(_: float, state: Array) -> Array:
            return np.array([state[1], weight * (1 + 1e-9) - np.interp(state[0], self.x, self.r)])

        def at_rest(_: float, state: Array) -> float:
            return float(state[1])

        def gone(_: float, state: Array) -> float:
            return float(state[0] - end)

        at_rest.terminal = gone.terminal = True  # type: ignore[attr-defined]
        at_rest.direction = -1.0  # type: ignore[attr-defined]
        moved = solve_ivp(
            rate,
            (0.0, 1e4),
            [1.0 + 1e-6, 1e-9],
            events=[at_rest, gone],
            rtol=1e-10,
            atol=1e-12,
            max_step=0.05,
        )
        return bool(len(moved.t_events[0]))


springs = st.builds(
    TwoSprings,
    st.just(100.0),
    st.floats(20.0, 95.0),
    st.floats(60.0, 240.0),
    st.floats(0.3, 3.0),
    st.floats(0.05, 0.5),
)


@given(springs)
@settings(deadline=None, max_examples=60)
def test_energy_says_what_time_says(both: TwoSprings) -> None:
    """Newton's law for two springs under a weight ends as the energy rule says, but for cases on the edge."""
    load, x, absorbed = both.path()
    left = both.r[1] * (x - 1.0) - (absorbed - float(np.interp(1.0, x, absorbed)))
    carried = (x > 1.0) & (load >= both.r[1])
    assume(not carried.any() or abs(left[carried].min()) > 0.02 * both.r[1])
    held = drops(load, x, absorbed)[0].stops is not None
    assert held == both.holds_in_time()


def test_a_weak_second_spring_lets_go() -> None:
    load, x, absorbed = TwoSprings(100.0, 30.0, 95.0, 1.0, 0.2).path()
    (only,) = drops(load, x, absorbed)
    assert only.load == pytest.approx(100.0)
    assert only.stops is None


def test_a_strong_second_spring_holds_and_carries_to_its_own_peak() -> None:
    load, x, absorbed = TwoSprings(100.0, 80.0, 200.0, 1.0, 0.1).path()
    first, last = drops(load, x, absorbed)
    assert (first.load, last.load) == (pytest.approx(100.0), pytest.approx(200.0))
    assert first.stops is not None
    # By hand: 20 N short over the fall of 0.1 mm, then 120 N/mm from 80 N: W = 1 + 20 s - 60 s^2 = 0.
    s = (20 + np.sqrt(20**2 + 4 * 60 * 1.0)) / 120
    stopped = float(np.interp(first.stops, np.arange(len(x)), x))
    assert stopped == pytest.approx(1.1 + s, abs=5e-3)
    assert last.stops is None


def test_what_stops_past_the_later_peak_counts_the_load_there() -> None:
    """A late, short second peak: the jump runs over it and ends on the way down, above the first peak."""
    both = TwoSprings(100.0, 60.0, 140.0, 0.9, 0.2)
    load, x, absorbed = both.path(4000)
    first, last = drops(load, x, absorbed)
    assert first.stops is not None
    place = float(np.interp(first.stops, np.arange(len(x)), x))
    assert both.x[3] < place < both.x[4]
    assert 100.0 < last.load < 140.0
    assert last.load == pytest.approx(float(np.interp(place, both.x, both.r)), rel=1e-9)
    # By hand: triangles of 4 and 9 N mm below 100 N, one of 9 above it on the way up: 4 are left at the peak.
    slope = (140.0 - 10.0) / 1.5
    # Past the peak W falls by 40 s - slope s^2 / 2.
    s = (40 - np.sqrt(40**2 - 2 * slope * 4.0)) / slope
    assert place == pytest.approx(both.x[3] + s, rel=1e-3)


def test_a_path_that_snaps_back_and_rises_above_its_peak_is_held() -> None:
    """Where displacement turns back the later state needs no more than the weight has given."""
    load = np.array([0.0, 100.0, 40.0, 110.0, 130.0, 60.0])
    x = np.array([0.0, 1.0, 0.5, 1.2, 1.5, 1.6])
    first, last = drops(load, x, absorbed_by(load, x))
    assert first.stops is not None
    assert last.load == 130.0


def test_one_peak_is_one_drop() -> None:
    load, x = np.array([0.0, 50.0, 100.0, 45.0]), np.array([0.0, 0.5, 1.1, 1.0])
    (only,) = drops(load, x, absorbed_by(load, x))
    assert (only.peak, only.load, only.stops) == (2.0, 100.0, None)


def test_what_is_absorbed_within_a_step_goes_as_its_work() -> None:
    """A crack at 100 N, then a spring of 200 N/mm from nothing: the jump stops where the load has done what
    spring and crack have taken up, wherever the states lie.
    """
    crack = 6.0  # N mm
    stops = []
    for states in (1, 40):
        u = np.concatenate([[0.0, 0.01], np.linspace(0.02, 2.0, states + 1)])
        load = np.concatenate([[0.0, 100.0], 200.0 * u[2:]])
        absorbed = np.concatenate([[0.0, 0.5], crack + 100.0 * u[2:] ** 2])
        last = [*load, 10.0], [*u, 2.1], [*absorbed, absorbed[-1] + 21.0]
        passed = drops(*(np.array(each) for each in last))
        stop = passed[0].stops
        assert stop is not None
        stops.append(float(np.interp(stop, np.arange(len(u)), u)))
    # 100 (u - 0.01) = 6 + 100 u^2 - 0.5
    by_hand = float(np.roots([100.0, -100.0, 1.0 + crack - 0.5]).real.max())
    assert stops == pytest.approx([by_hand, by_hand], rel=2e-3)
