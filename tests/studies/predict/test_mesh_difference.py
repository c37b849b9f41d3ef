"""What wood uses on larger elements, told as the corner itself would: by hand, on made-up runs."""

from __future__ import annotations

import numpy as np
import pytest

from glueline.studies.predict.scatter.mesh_difference import MOST_DIFFERENT, differences, in_terms_of
from glueline.studies.predict.scatter.wood_load import GlueRun, WoodUse

FIBRES = ("board A", "fibre tension", 0)


def run(loads: list[float], shares: list[float], mode: str = "fibre tension") -> GlueRun:
    """A run in which one mode of a board uses these shares at these loads."""
    use = WoodUse("board A", mode, {"bending_strength": np.array(shares)})
    return GlueRun((max(loads),), np.array(loads), (use,))


def told(large: GlueRun, by: GlueRun, fine: GlueRun, peak: float) -> GlueRun:
    """A run on larger elements as the corner itself would have it, from the nominal runs of both."""
    return in_terms_of(large, (peak,), differences(fine, by), fine.peaks)


def test_wood_that_holds_differs_by_the_most_that_it_uses() -> None:
    fine = run([0.0, 50.0, 100.0], [0.0, 0.5, 0.88])
    large = run([0.0, 40.0, 80.0], [0.0, 0.3, 0.8])
    assert differences(fine, large)[FIBRES].at(np.array([0.1, 1.0])) == pytest.approx([1.1, 1.1])
    found = told(run([0.0, 60.0], [0.0, 0.7]), large, fine, 90.0)
    assert found.loads == pytest.approx([0.0, 90.0])
    assert found.wood[0].parts["bending_strength"] == pytest.approx([0.0, 0.77])


def test_wood_that_gives_differs_by_what_it_uses_there() -> None:
    """It gives at 80 of 100 N, where it uses 0.8 on larger elements; at the peak both use the same."""
    fine = run([0.0, 60.0, 100.0], [0.0, 0.8, 1.2])
    large = run([0.0, 60.0, 100.0], [0.0, 0.4, 1.2])
    difference = differences(fine, large)[FIBRES]
    assert difference.at(np.array([0.2, 0.8, 0.9, 1.0])) == pytest.approx([1.25, 1.25, 1.125, 1.0])
    assert told(large, large, fine, 100.0).shares()[FIBRES[:2]] == pytest.approx([0.0, 0.5, 1.2])


def test_what_came_before_the_last_climb_tells_nothing() -> None:
    """A dent at the start that one of both runs has: 0.9 is used at its top, 0.6 at the peak."""
    fine = run([0.0, 40.0, 20.0, 100.0], [0.0, 0.9, 0.1, 0.6])
    large = run([0.0, 50.0, 100.0], [0.0, 0.3, 0.5])
    assert differences(fine, large)[FIBRES].at(np.ones(1)) == pytest.approx([1.2])


def test_what_is_next_to_nothing_or_seen_elsewhere_is_left_alone() -> None:
    whole = run([0.0, 100.0], [0.0, 0.6])
    assert differences(run([0.0, 100.0], [0.0, 0.04]), whole) == {}
    assert differences(run([0.0, 100.0], [0.0, 0.6], "rolling shear"), whole) == {}
    most = differences(whole, run([0.0, 100.0], [0.0, 0.2]))[FIBRES]
    assert most.at(np.ones(1)) == pytest.approx([MOST_DIFFERENT])
    alone = told(whole, run([0.0, 100.0], [0.0, 0.0]), whole, 50.0)
    assert alone.wood[0].parts["bending_strength"] == pytest.approx([0.0, 0.6])


def test_wood_that_gives_in_its_first_state_is_told_from_rest() -> None:
    fine, large = run([0.0, 100.0], [0.0, 2.0]), run([0.0, 100.0], [0.0, 1.6])
    assert differences(fine, large)[FIBRES].at(np.array([0.5, 1.0])) == pytest.approx([1.25, 1.25])


def test_wood_that_has_given_when_a_second_climb_begins_is_told_from_there() -> None:
    use = WoodUse("board A", "fibre tension", {"bending_strength": np.array([0.0, 0.9, 1.1, 1.3])})
    fine = GlueRun((80.0, 100.0), np.array([0.0, 80.0, 50.0, 100.0]), (use,), valley=2)
    found = differences(fine, fine)
    assert [found[*FIBRES[:2], act].at(np.array([0.5, 1.0])).tolist() for act in (0, 1)] == [[1.0, 1.0]] * 2
    assert in_terms_of(fine, (40.0, 50.0), found, fine.peaks).loads.tolist() == [0.0, 40.0, 25.0, 50.0]
