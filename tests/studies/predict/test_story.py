"""What a followed corner tells: cracks, what holds after them, and what dead weight makes of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from glueline import Prediction, predict
from glueline.geometries import JOINTS, FingerJoint
from glueline.studies.corner.connections import GLUE_MODES
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.story import events_of
from glueline.studies.show.tables import prediction_table, story_words
from tests.studies.corners import specimen
from tests.studies.made_up_answers import made_up


def with_weak_mitre(share: float) -> Specimen:
    """Three splines in a mitre whose glue on grain at 45 degrees holds a share of the table's."""
    whole = specimen("splined mitre")
    row = whole.glue.grain_45
    keys = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
    weak = replace(row, **{key: share * getattr(row, key) for key in keys})
    return replace(whole, glue=replace(whole.glue, grain_45=weak))


@cache
def followed(kind: str, arrangement: str) -> BreakPath:
    return follow_break(specimen(kind, arrangement))


@cache
def opened() -> Prediction:
    return predict(specimen("splined mitre", "diagonal tension"), band=False)


@pytest.mark.parametrize("kind", ["butt", "mitre"])
def test_a_corner_of_one_glue_line_lets_go_with_its_crack(kind: str) -> None:
    break_path = followed(kind, "diagonal compression")
    (only,) = events_of(break_path)
    assert only.kind == "lets go"
    assert only.load == pytest.approx(break_path.break_load, rel=1e-3)
    assert break_path.highest_load == pytest.approx(break_path.break_load, rel=1e-9)
    assert break_path.holds_after_crack is False


def test_a_splined_mitre_pressed_closed_cracks_and_its_splines_hold_less() -> None:
    break_path = followed("splined mitre", "diagonal compression")
    cracks, holds, lets_go = events_of(break_path)
    assert (cracks.kind, holds.kind, lets_go.kind) == ("cracks", "holds", "lets go")
    assert cracks.part == "mitre"
    assert "spline cheeks" in holds.part
    assert holds.load < cracks.load == pytest.approx(break_path.break_load, rel=1e-3)
    assert break_path.holds_after_crack is False


def test_a_splined_mitre_pulled_open_holds_on_by_calculation() -> None:
    """The weight at the crack is far below what the splines then take up."""
    answer = opened().answer
    assert answer.events is not None
    assert [event.kind for event in answer.events] == ["cracks", "holds", "lets go"]
    assert answer.holds_after_crack is True
    assert answer.first_crack_load is not None
    assert answer.first_crack_load < 0.7 * answer.break_load
    for event in answer.events:
        assert event.where in JOINTS["splined mitre"].places
        assert event.mode in GLUE_MODES
    told = prediction_table(answer, "metric")
    assert "treat it as broken and stay clear" in told
    assert "The corner cracks at" in told


def test_a_later_peak_that_weight_does_not_reach_is_no_break_load() -> None:
    """At 0.5 of the 45 degree row the splines peak above the crack, but the jump runs past them.

    So without crushing; where faces crush, the crack is the highest load all the same.
    """
    break_path = follow_break(with_weak_mitre(0.5), crushing=False)
    assert break_path.holds_after_crack is False
    assert 1.01 * break_path.break_load < break_path.highest_load < 1.08 * break_path.break_load
    crack = float(break_path.path.load[break_path.path.first_peak or 0])
    assert break_path.break_load == pytest.approx(crack, rel=1e-3)
    assert float(break_path.path.load[break_path.state]) == pytest.approx(break_path.break_load, rel=1e-6)


def test_loads_keep_their_order() -> None:
    """First crack, break under weight, highest load of a vice or jack: none falls below the one before."""
    for corner in (
        specimen("finger", joint=FingerJoint(3)),
        specimen("finger", "diagonal tension"),
        with_weak_mitre(0.65),
    ):
        break_path = follow_break(corner)
        crack = break_path.path.load[break_path.first_crack] if break_path.first_crack is not None else 0.0
        assert crack <= break_path.break_load * (1 + 1e-3)
        assert break_path.break_load <= break_path.highest_load * (1 + 1e-9)


def test_words_promise_nothing() -> None:
    assert story_words(made_up(), "metric") == []
    for answer in (opened().answer, replace_holds(opened(), False)):
        text = " ".join(story_words(answer, "imperial"))
        assert "lbf" in text
        assert "by calculation" in text.lower()
        assert "safe" not in text


def replace_holds(prediction: Prediction, holds: bool) -> object:
    """The same answer as if its crack were held or not."""
    import msgspec

    return msgspec.structs.replace(prediction.answer, holds_after_crack=holds)
