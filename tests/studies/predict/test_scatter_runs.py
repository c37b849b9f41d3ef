"""Runs for the scatter: the peaks of a path, and at what load wood of any strength gives along it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from glueline.fem.path import PathResult
from glueline.studies.corner.limit import Limit
from glueline.studies.predict.scatter.peaks import grown_peaks, peaks_of, peaks_over_nodes, turns_of
from glueline.studies.predict.scatter.surface import star_design
from glueline.studies.predict.scatter.wood_load import GlueRun, WoodUse, glue_run, wood_in_act

Array = NDArray[np.float64]


def test_a_lower_peak_that_overtakes_is_followed() -> None:
    """The higher of two power laws keeps its kink: each has its own surface."""
    design = star_design(np.diag([0.04, 0.09]))

    def peaks(at: Array) -> tuple[float, float]:
        return float(1000.0 * np.exp(0.9 * at[1])), float(800.0 * np.exp(0.8 * at[0]))

    logs = peaks_over_nodes([peaks(node) for node in design.nodes])
    points = np.random.default_rng(1).normal(size=(50, 2)) * [0.2, 0.3]
    found = np.exp((design.weights(points) @ logs.T).max(axis=1))
    assert found == pytest.approx([max(peaks(at)) for at in points], rel=1e-9)


def test_a_hidden_peak_is_taken_from_the_opposite_side() -> None:
    both = [(800.0, 1000.0), (1500.0,), (640.0, 700.0), (1100.0,), (900.0,)]
    other, main = np.exp(peaks_over_nodes(both))
    assert main == pytest.approx([1000.0, 1500.0, 700.0, 1100.0, 900.0])
    assert other == pytest.approx([800.0, 800.0**2 / 640.0, 640.0, 800.0, 800.0])
    assert peaks_over_nodes([(1000.0,), (900.0, 1100.0), (800.0,)]).shape == (1, 3)


def test_peaks_are_parted_by_their_deepest_valley() -> None:
    assert peaks_of(np.array([0.0, 5.0, 10.0, 6.0, 8.0, 7.0, 7.5, 4.0])) == (10.0, 8.0)
    assert peaks_of(np.array([0.0, 5.0, 9.9, 9.8, 10.0, 4.0])) == (10.0,)
    assert peaks_of(np.array([0.0, 3.0, 5.0, 2.0])) == (5.0,)
    assert grown_peaks((10.0, 8.0), (20.0, 10.0), (22.0, 15.0)) == pytest.approx((11.0, 12.0))
    assert grown_peaks((10.0, 8.0), (20.0, 10.0), (15.0,)) == pytest.approx((7.5,))


def made_up_path(load: list[float], displacement: list[float]) -> PathResult:
    """A path that takes up all the work of its load: only these are read."""
    loads, places = np.array(load), np.array(displacement)
    work = np.concatenate([[0.0], np.cumsum((loads[1:] + loads[:-1]) / 2 * np.diff(places))])
    values = {"load": loads, "displacement": places, "spent": work, "stored": 0.0 * work}
    return cast(PathResult, SimpleNamespace(highest=int(loads.argmax()), goes_on=False, **values))


def test_a_peak_far_below_what_may_carry_the_corner_does_not_count() -> None:
    """By hand: 4 N left over against 10 N that are taken up; a later peak at half the first; two alike."""
    dent = made_up_path([0.0, 4.0, 3.0, 10.0, 5.0], [0.0, 1.0, 1.1, 1.5, 1.6])
    assert turns_of(dent) == (3,)
    assert turns_of(made_up_path([0.0, 10.0, 3.0, 5.0, 2.0], [0.0, 1.0, 1.1, 2.0, 2.1])) == (1,)
    assert turns_of(made_up_path([0.0, 10.0, 3.0, 11.0, 5.0], [0.0, 1.0, 1.1, 2.0, 2.1])) == (1, 2, 3)
    assert turns_of(made_up_path([0.0, 3.0, 5.0, 2.0], [0.0, 1.0, 2.0, 2.1])) == (2,)


def fibre_use(shares: list[float]) -> list[WoodUse]:
    return [WoodUse("board A", "fibre tension", {"bending_strength": np.array(shares)})]


def in_act(loads: list[float], shares: list[float], factors: list[float]) -> tuple[Array, Array]:
    run = GlueRun((max(loads),), np.array(loads), tuple(fibre_use(shares)))
    strengths = {"bending_strength": np.array(factors)}
    return wood_in_act(run, 0, run.wood, strengths, np.ones(len(factors)))


def test_wood_gives_where_its_share_reaches_its_strength() -> None:
    """By hand: straight between states, the highest load before a fall counts, beyond the peak by ratio."""
    loads, shares = [0.0, 100.0, 60.0, 200.0], [0.0, 0.4, 0.5, 0.8]
    share, load = in_act(loads, shares, [0.2, 0.4, 0.45, 0.65, 0.8, 1.6, 99.0])
    assert share == pytest.approx([4.0, 2.0, 0.8 / 0.45, 0.8 / 0.65, 1.0, 0.5, 0.8 / 99.0])
    assert 200.0 * load == pytest.approx([50.0, 100.0, 100.0, 130.0, 200.0, 400.0, 24750.0])


def test_wood_that_is_not_used_on_the_way_to_a_peak_never_gives_there() -> None:
    """Before the splines of a mitre carry anything, say: no load of nothing, which would be the least."""
    share, load = in_act([0.0, 100.0, 200.0], [0.0, 0.0, 0.0], [0.5, 2.0])
    assert share.tolist() == [0.0, 0.0]
    assert load.tolist() == [np.inf, np.inf]


def test_wood_that_holds_through_a_peak_is_asked_again_on_the_way_to_the_next() -> None:
    """By hand: a first peak of 100 N uses 0.9, the climb from a valley of 60 N to 200 N uses 0.8."""
    loads, shares = np.array([0.0, 100.0, 60.0, 200.0]), [0.0, 0.9, 0.3, 0.8]
    run = GlueRun((100.0, 200.0), loads, tuple(fibre_use(shares)), valley=2)
    factors = {"bending_strength": np.array([0.85, 0.6])}
    share, load = wood_in_act(run, 0, run.wood, factors, np.ones(2))
    assert share == pytest.approx([0.9 / 0.85, 1.5])
    assert 100.0 * load == pytest.approx([100.0 * 0.85 / 0.9, 100.0 * 0.6 / 0.9])
    share, load = wood_in_act(run, 1, run.wood, factors, np.ones(2))
    assert share == pytest.approx([0.8 / 0.85, 0.8 / 0.6])
    assert 200.0 * load == pytest.approx([200.0 * 0.85 / 0.8, 60.0 + 140.0 * 0.3 / 0.5])


@given(
    st.lists(st.floats(0.05, 1.0), min_size=2, max_size=7),
    st.lists(st.floats(0.01, 1.0), min_size=7, max_size=7),
    st.lists(st.floats(0.05, 20.0), min_size=2, max_size=12),
)
def test_stronger_wood_never_breaks_sooner(
    rises: list[float], used: list[float], factors: list[float]
) -> None:
    """For any run, falling and climbing again, that ends at its highest load."""
    share, load = in_act([0.0, *rises, 1.1], [0.0, *used[: len(rises)], used[-1]], sorted(factors))
    assert (np.diff(load) >= -1e-9).all()
    assert (np.diff(share) <= 1e-9).all()


def test_splitting_with_shear_scatters_with_both_strengths() -> None:
    """The quadratic index: (opening / x_t)^2 + (sliding / x_v)^2 with the parts 0.6 and 0.8 of the whole."""
    limit = Limit("wood", "board A", "shear along the grain", "board A", 500.0, (0, 0), 1.0, shear_share=0.64)
    run = glue_run((400.0,), [400.0], [[limit]])
    use = run.wood[0]
    assert use.parts["tension_across"][-1] == pytest.approx(0.8 * 0.6)
    assert use.parts["shear_strength"][-1] == pytest.approx(0.8 * 0.8)
    factors = {"tension_across": np.array([1.0, 0.5]), "shear_strength": np.array([1.0, 0.7])}
    _, load = wood_in_act(run, 0, run.wood, factors, np.ones(2))
    assert 400.0 * load[0] == pytest.approx(500.0)
    assert 400.0 * load[1] == pytest.approx(500.0 / np.hypot(0.6 / 0.5, 0.8 / 0.7))


def test_a_run_must_start_unloaded_and_be_judged_throughout() -> None:
    for peaks, loads in (((), [0.0, 1.0]), ((-1.0,), [0.0, 1.0]), ((1.0,), [0.5, 1.0]), ((1.0,), [0.0])):
        with pytest.raises(ValueError):
            GlueRun(peaks, np.array(loads))
    with pytest.raises(ValueError, match="valley"):
        GlueRun((1.0,), np.array([0.0, 1.0]), valley=1)
    with pytest.raises(ValueError, match="every state"):
        GlueRun((1.0,), np.array([0.0, 1.0]), tuple(fibre_use([0.0, 0.5, 1.0])))
