"""Break loads at the ends of what can be believed of the glue rows: against full solves, and their rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from glueline import predict, read_specimen
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.limit import NOTHING
from glueline.studies.corner.model import build_corner
from glueline.studies.examples import example_path
from glueline.studies.files.json_text import json_text, read_json
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.credible_range import STRONG, TELLS, end_in_full, ends_of
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.range_words import HEAD, range_words
from glueline.studies.show.tables import prediction_table
from tests.studies.corners import JOINTS, specimen
from tests.studies.made_up_answers import made_up
from tests.studies.predict.range_ends import ENDS, FLAG, KEPT, full_ends

ROWS = {
    "butt": ["end_grain"],
    "mitre": ["grain_45"],
    "finger": ["side_grain", "end_grain", "crossed"],
    "splined mitre": ["side_grain", "grain_45", "crossed"],
}


@pytest.mark.parametrize(
    ("kind", "arrangement"),
    [
        ("mitre", "diagonal tension"),
        ("finger", "diagonal compression"),
    ],
)
def test_ends_are_those_of_full_solves(kind: str, arrangement: str) -> None:
    """Within 3 %; of the splined mitre a strong end parts along a split line."""
    found = predict(specimen(kind, arrangement))
    ranges = found.answer.ranges
    assert ranges is not None
    assert list(ranges) == ROWS[kind]
    for (row, end), full in full_ends(found).items():
        said = ranges[next(name for name in ranges if name == row)][ENDS.index(end)]
        assert full is not None
        assert said == pytest.approx(full.break_load, rel=FLAG), (row, end)
        if full.breaks_in == "glue":
            sign = ENDS.index(end) or -1
            assert sign * (said / found.break_load - 1) >= 0
    assert read_json(json_text(found.answer), Answer) == found.answer


@pytest.mark.slow
def test_strong_ends_are_those_of_full_solves_where_wood_gives_long_before_glue() -> None:
    """A bridle whose tenon breaks by bending at four fifths of what its glue would carry."""
    found = predict(read_specimen(example_path("bridle")))
    assert found.critical.kind == "wood"
    plain = build_corner(found.specimen)
    for row, (_, strong) in (found.ranges or {}).items():
        assert strong == pytest.approx(end_in_full(plain, row, STRONG).break_load, rel=0.01), row


def test_the_kept_table_has_no_end_that_is_off() -> None:
    """Both ends of every row, of corners in which glue gives and of some in which wood does."""
    rows = [
        line
        for line in KEPT.read_text(encoding="utf-8").splitlines()
        if " weak " in line or " strong " in line
    ]
    errors = [float(line.split()[-1]) for line in rows]
    assert len(rows) > 80
    assert max(abs(error) for error in errors) < 100 * FLAG
    assert {line.split()[-2] for line in rows} == {"glue", "wood"}


@pytest.mark.parametrize("kind", JOINTS)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_an_elastic_load_lies_between_its_ends(kind: str, arrangement: str) -> None:
    """Elastic limits grow with strength and toughness alike, by no more than their factor."""
    found = predict(specimen(kind, arrangement), method="elastic").answer
    assert found.ranges is not None
    assert list(found.ranges) == ROWS[kind]
    glue = specimen(kind).glue
    for row, (weak, strong) in found.ranges.items():
        assert weak <= found.break_load <= strong
        if row != "crossed":
            believed = getattr(glue, row)
            assert believed.credible_low * found.break_load <= weak * (1 + 1e-9)
            assert strong <= believed.credible_high * found.break_load * (1 + 1e-9)
    if kind in ("butt", "mitre") and found.wood_load > 3 * found.glue_load:
        ((weak, strong),) = found.ranges.values()
        (believed,) = (getattr(glue, row) for row in found.ranges)
        assert weak / found.break_load == pytest.approx(believed.credible_low, rel=0.01)
        assert strong / found.break_load == pytest.approx(believed.credible_high, rel=0.01)


def test_without_a_band_there_are_no_ranges() -> None:
    assert predict(specimen("butt"), band=False).answer.ranges is None


def test_a_row_that_is_not_doubted_has_no_range() -> None:
    """And an own range moves the ends: a butt's load goes with its end-grain row."""
    plain = specimen("butt")
    sure = replace(plain.glue.end_grain, credible_low=1.0, credible_high=1.0)
    assert ends_of(build_corner(replace(plain, glue=replace(plain.glue, end_grain=sure)), 4.0)) == {}
    wide = replace(plain.glue.end_grain, credible_low=0.3, credible_high=2.0)
    doubted = replace(plain, glue=replace(plain.glue, end_grain=wide))
    (weak, strong), before = (
        (predict(doubted, method="elastic").answer.ranges or {})["end_grain"],
        predict(plain, method="elastic").break_load,
    )
    assert weak / before == pytest.approx(0.3, rel=0.01)
    assert strong / before == pytest.approx(2.0, rel=0.01)
    assert weak > NOTHING


def test_the_ends_change_only_what_the_row_holds() -> None:
    corner = build_corner(specimen("splined mitre"), 4.0)
    ends = ends_of(corner)
    assert {row: sorted(weak) for row, (weak, _) in ends.items()} == {
        "side_grain": ["spline cheeks in board A", "spline cheeks in board B"],
        "grain_45": ["mitre", "slot floors in board A", "slot floors in board B"],
        "crossed": ["spline cheeks in board A", "spline cheeks in board B"],
    }
    for row, factor in (("side_grain", 1.40), ("grain_45", 1.52)):
        for name, strong in ends[next(each for each in ends if each == row)][1].items():
            assert corner.connection(name).growth_to(strong) == pytest.approx(factor)


@pytest.fixture(scope="module")
def beyond_reach() -> Prediction:
    """A butt, whose one end lies far beyond the runs of its scatter."""
    plain = specimen("butt")
    wide = replace(plain.glue.end_grain, credible_low=0.35)
    return predict(replace(plain, glue=replace(plain.glue, end_grain=wide)))


def test_an_end_beyond_the_runs_is_followed(beyond_reach: Prediction) -> None:
    full = full_ends(beyond_reach)["end_grain", "weak"]
    assert full is not None
    assert (beyond_reach.answer.ranges or {})["end_grain"][0] == pytest.approx(full.break_load, rel=TELLS)


def test_words_put_the_widest_first_and_say_what_they_are() -> None:
    ranges = {"side_grain": (998.0, 1002.0), "grain_45": (600.0, 1500.0), "crossed": (900.0, 1100.0)}
    answer = made_up(1000.0, ranges=ranges)
    words = range_words(answer, "metric")
    assert words[0] == HEAD
    assert "judgement" in HEAD
    assert "other than the band" in HEAD
    assert words[1] == (
        "If the 45 degree glue is at the weak end of what can be believed: 600 N; at the strong end: 1500 N."
    )
    assert "between boards whose grain crosses" in words[2]
    assert words[3] == "Whether the side-grain glue is weak or strong changes nothing: 1000 N."
    assert "\n".join(words) in prediction_table(answer, "metric")
    assert range_words(made_up(), "metric") == []
    assert "lbf" in range_words(answer, "imperial")[1]


def test_words_say_where_stronger_glue_carries_less() -> None:
    answer = made_up(1000.0, ranges={"grain_45": (900.0, 700.0)})
    assert "Stronger does not carry more here" in range_words(answer, "metric")[1]
