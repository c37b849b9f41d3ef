"""The sentence a maker says aloud, and the five loads: worked out by hand from answers made up."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline import predict, read_specimen
from glueline.geometries import JOINTS
from glueline.studies.bench_day.rig.on_rig import WeightsOnRig
from glueline.studies.examples import example_path
from glueline.studies.files.json_text import json_text
from glueline.studies.predict.answer import Event
from glueline.studies.predict.said_aloud import (
    five_loads,
    place_to_watch,
    rounded_down,
    rounded_up,
    said_aloud,
    sentence_aloud,
    stand_clear_from,
    with_article,
    words_aloud,
)
from glueline.studies.show.tables import load_rows, prediction_table
from tests.studies.bench_day.plan.plan_examples import rig
from tests.studies.made_up_answers import made_up

BANDED: dict[str, Any] = {"band": (800.0, 1260.0), "first_crack_load": 1000.0}


def crack(kind: Any, load: float) -> Event:
    return Event(kind=kind, load=load, displacement=1.0, where="mitre tip", mode="glue opening", part="mitre")


@pytest.mark.parametrize(
    ("other", "least", "reason"),
    [
        ({}, 1000.0, "break"),
        (BANDED, 800.0, "band"),
        ({**BANDED, "first_crack_load": 700.0}, 700.0, "first crack"),
        ({**BANDED, "ranges": {"end_grain": (760.0, 1100.0)}}, 760.0, "glue values"),
        # Where stronger glue carries less, the strong end counts.
        ({**BANDED, "ranges": {"end_grain": (1100.0, 740.0)}}, 740.0, "glue values"),
        ({**BANDED, "events": (crack("splits", 650.0), crack("lets go", 1000.0))}, 650.0, "first crack"),
        # A calibrated glue can be off by so much.
        ({**BANDED, "calibrated_off_by": 1.6}, 625.0, "calibrated glue"),
        # What holds after a crack is no crack.
        ({**BANDED, "events": (crack("cracks", 900.0), crack("holds", 600.0))}, 800.0, "band"),
    ],
)
def test_stand_clear_from_the_lowest_load_that_may_be_meant(
    other: dict[str, Any], least: float, reason: str
) -> None:
    answer = made_up(1000.0, **other)
    assert stand_clear_from(answer) == (least, reason)
    found = said_aloud(answer)
    assert (found.stand_clear, found.because_of, found.likely) == (least, reason, other.get("band"))


def test_the_sentence_as_it_is_said() -> None:
    answer = made_up(1000.0, **BANDED, ranges={}, where="leg of board A")
    assert sentence_aloud(answer, "metric") == (
        "Stand clear from 800 N (force on the joint): it likely goes between 800 N and 1300 N; "
        "watch the leg of board A."
    )
    # 800 N are 179.8 lbf, 1260 N 283.3 lbf (4.448 N a pound, by definition).
    assert "from 175 lbf (force on the joint): it likely goes between 175 lbf and 290 lbf" in sentence_aloud(
        answer, "imperial"
    )
    assert words_aloud(answer, "metric")[1:2] == [
        "A cracked specimen is treated as broken, whatever it still holds."
    ]


def test_on_a_rig_it_speaks_of_what_is_stacked() -> None:
    """A hung weight of its own 50 N: (800 - 50) / 9.80665 = 76.5 kg, (1260 - 50) / 9.80665 = 123.4 kg."""
    answer = made_up(1000.0, **BANDED, ranges={})
    words = words_aloud(answer, "metric", WeightsOnRig(rig(50.0)))
    assert words[0].startswith(
        "Stand clear from 76 kg stacked: it likely goes between 76 kg and 125 kg; watch"
    )
    assert "force" not in " ".join(words)
    # An error of 10 % a weight (half-width, rectangular) is 2 * 0.1 / sqrt 3 = 11.5 % at 95 %, on what is
    # stacked and on what the rig weighs: 750 = 50 * 0.115 + w * 1.1155 gives w = 667.2 N, 68.0 kg.
    wide = WeightsOnRig(rig(0.0, 0.1))
    assert wide.cautious_weight(800.0) == pytest.approx(800 / 1.11547 / 9.80665, rel=1e-4)
    assert sentence_aloud(answer, "metric", WeightsOnRig(rig(900.0))).startswith(
        "Stand clear from the bare rig, before anything is stacked: it likely goes between 0 kg and 37 kg"
    )


@given(st.floats(1e-3, 1e7))
def test_rounding_is_cautious_and_near(load: float) -> None:
    """To a step that is read at a glance, and by 5 % at most."""
    down, up = rounded_down(load), rounded_up(load)
    assert 0.95 * load <= down <= load * (1 + 1e-8)
    assert load * (1 - 1e-8) <= up <= 1.0501 * load
    for each in (down, up):
        assert len(f"{each:.3g}".replace(".", "").strip("0").partition("e")[0]) <= 3
        assert float(f"{each:.3g}") == pytest.approx(each, rel=1e-9)


def test_what_is_left_out_is_said() -> None:
    elastic = words_aloud(made_up(1000.0), "metric")
    assert "by one calculation it goes at about 1000 N" in elastic[0]
    assert elastic[1].startswith("Left out of it: how far corners made alike differ")
    assert "glue values" in elastic[1]
    assert "where it first cracks" in elastic[1]
    banded = words_aloud(made_up(1000.0, **BANDED, ranges={}), "metric")
    assert not any("Left out" in each for each in banded)
    assert all("safe" not in each.casefold() for each in (*elastic, *banded))


def test_the_place_to_watch_is_where_it_cracks_first() -> None:
    early = made_up(1000.0, **BANDED, events=(crack("cracks", 900.0), crack("lets go", 1000.0)))
    assert place_to_watch(early) == "mitre tip"
    assert place_to_watch(made_up(1000.0, where="butt face")) == "butt face"


@pytest.mark.parametrize("kind", list(JOINTS))
def test_every_place_of_every_joint_can_be_said(kind: str) -> None:
    layout = read_specimen(example_path(kind.replace(" ", "_").replace("-", "_"))).layout
    phrases = [joining.words.spoken for joining in layout.joinings]
    phrases += [piece.words.spoken for piece in layout.pieces] + [rod.words.spoken for rod in layout.rods]
    phrases += [reach.words.spoken for each in layout.hardware for reach in each.reaches]
    places = {place: said for each in phrases for place, said in each.items()}
    assert places
    assert {place: with_article(place) for place in places} == places


def test_the_five_loads_follow_each_with_what_it_is_for() -> None:
    answer = made_up(1000.0, **BANDED)
    rows = load_rows(answer, "metric")
    assert [row[:2] for row in rows[1:]] == [
        ["first damage", "500 N"],
        ["first crack", "1000 N"],
        ["glue", "1000 N"],
        ["wood", "2000 N"],
        ["break", "1000 N"],
    ]
    assert all(row[2] for row in rows)
    assert load_rows(made_up(1000.0), "metric")[2][1] == "—"
    with_screws = [each.name for each in five_loads(made_up(1000.0, fastener_load=900.0))]
    assert with_screws == ["first damage", "first crack", "glue", "wood", "fastener", "break"]
    stacked = load_rows(answer, "metric", WeightsOnRig(rig(50.0)))
    assert stacked[0][2] == "stacked"
    assert stacked[5][:3] == ["break", "1000 N", "96 kg"]  # 950 / 9.80665 = 96.9


def test_an_answer_says_it_first_and_holds_it_in_json() -> None:
    answer = predict(read_specimen(example_path("mitre")), band=False).answer
    text = prediction_table(answer, "metric")
    first = text.splitlines()[0]
    assert first == sentence_aloud(answer, "metric")
    numbers = re.search(r"from ([\d.]+) N .* about ([\d.]+) N", first)
    assert numbers is not None
    assert float(numbers[1]) <= answer.break_load
    assert (
        text.index("Left out")
        < text.index("first damage")
        < text.index("first crack")
        < text.index("breaks in")
    )
    said = json.loads(json_text(answer))["said_aloud"]
    assert said["sentence"] == first
    assert said["stand_clear_N"] == pytest.approx(min(answer.break_load, answer.first_crack_load or 1e9))
    assert said["likely_N"] is None
    assert said["watch"] == place_to_watch(answer)
