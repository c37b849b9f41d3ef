"""The least change: by hand on made-up answers, and for real."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from math import exp, log

import pytest

from glueline.studies.corner.specimen import Specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.goals import Goal, Reach, WoodFirst, lower_load
from glueline.studies.sweeps.least import Sought, changes_of, least_change, wood_volume
from glueline.studies.sweeps.points import cross
from glueline.studies.sweeps.tables import sought_text
from glueline.studies.sweeps.vary import parse_varied
from glueline.studies.sweeps.worker import Computed
from tests.studies.command_lines import called, glueline
from tests.studies.made_up_answers import made_up
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed
from tests.studies.sweeps.fake_lanes import FakeLane, answer_of

Answering = Callable[[Specimen], Computed]


def sought(
    makers_folder: MakersFolder, texts: Sequence[str], goal: Goal, answering: Answering, lanes: int = 1
) -> Sought:
    """What is found for answers by formula; the number of lanes must not show."""
    varied = parse_varied(texts)
    points = cross(str(makers_folder.file), (), varied)
    distances = changes_of(str(makers_folder.file), (), varied[0], points)
    return least_change(points, distances, goal, Request(), [FakeLane(answering) for _ in range(lanes)])


def tried(found: Sought) -> list[str]:
    return [each.point.values["joint.splines"] for each in found.tried]


def by_splines(specimen: Specimen) -> Computed:
    """Made up: glue holds 400 N a spline, wood 2000 N; the band is a tenth either way."""
    load = 400.0 * specimen.joint.splines
    wood = 2000.0
    least = min(load, wood)
    return answer_of(
        least,
        "wood" if load > wood else "glue",
        glue_load=load,
        wood_load=wood,
        band=(0.9 * least, 1.1 * least),
    )


@pytest.mark.parametrize("lanes", [1, 2, 5])
def test_a_monotone_case_by_hand(makers_folder: MakersFolder, lanes: int) -> None:
    """From three splines on, the sixth is the first whose 2400 N of glue outdo 2000 N of wood."""
    makers_folder.write(SPLINED)
    found = sought(makers_folder, ["joint.splines=1:9"], WoodFirst(), by_splines, lanes)
    assert found.meets_goal
    assert dict(found.best.point.values) == {"joint.splines": "6"}
    assert tried(found) == ["3", "2", "4", "1", "5", "6"]
    assert found.to_json()["break_load_N"] == 2000.0
    assert found.to_json()["breaks_in"] == "wood"
    assert len(found.to_json()["tried"]) == 6


@pytest.mark.parametrize(("load", "splines"), [(1000.0, "3"), (1080.0, "3"), (1081.0, "4"), (1700.0, "5")])
def test_a_load_is_reached_by_the_low_end_of_the_band(
    makers_folder: MakersFolder, load: float, splines: str
) -> None:
    makers_folder.write(SPLINED)
    found = sought(makers_folder, ["joint.splines=1:9"], Reach(load), by_splines)
    assert found.meets_goal
    assert found.best.point.values["joint.splines"] == splines


def test_the_least_change_may_go_down(makers_folder: MakersFolder) -> None:
    """Made up: fewer splines are better, so the nearest below is found before any above."""
    makers_folder.write(changed(SPLINED, joint__splines=5))
    found = sought(
        makers_folder,
        ["joint.splines=1:9"],
        WoodFirst(),
        lambda specimen: answer_of(100.0, "wood" if specimen.joint.splines in (2, 9) else "glue"),
    )
    assert found.best.point.values["joint.splines"] == "2"
    assert tried(found) == ["5", "4", "6", "3", "7", "2", "8"]


def test_ties_go_to_the_least_glue_then_the_least_wood_then_the_first(makers_folder: MakersFolder) -> None:
    makers_folder.write(SPLINED)
    texts = ["joint.splines=2,4", "boards.width=80 mm,70 mm", "glue.quality=90 %,100 %"]

    def area(specimen: Specimen) -> float:
        return 500.0 if specimen.joint.splines == 4 else 600.0

    found = sought(
        makers_folder, texts, WoodFirst(), lambda specimen: answer_of(100.0, "wood", area=area(specimen))
    )
    assert dict(found.best.point.values) == {
        "joint.splines": "4",
        "boards.width": "70 mm",
        "glue.quality": "90 %",
    }
    assert len(found.tried) == 8


def test_where_none_does_the_nearest_is_named(makers_folder: MakersFolder) -> None:
    makers_folder.write(SPLINED)
    found = sought(makers_folder, ["joint.splines=1:4,99"], WoodFirst(), by_splines, lanes=3)
    assert not found.meets_goal
    assert found.best.point.values["joint.splines"] == "4"
    assert found.to_json()["found"] is False
    assert found.to_json()["values"] == {"joint.splines": "4"}
    assert [each["status"] for each in found.to_json()["tried"]].count("failed") == 1
    text = sought_text(found, WoodFirst(), ["joint.splines"], "metric")
    assert "there is none" in text
    assert "The nearest: joint.splines = 4" in text
    assert text.startswith("Stand clear from")
    assert "80 %" in text
    assert "local codes" in text
    found = sought(makers_folder, ["joint.splines=1:4"], Reach(2000.0), by_splines)
    assert found.best.point.values["joint.splines"] == "4"
    text = sought_text(found, Reach(2000.0), ["joint.splines"], "imperial")
    assert "95 % of such corners hold 449.6 lbf (in a bench test, not in service)" in text


@pytest.mark.parametrize(
    ("texts", "column", "order"),
    [
        (["joint.splines=4,2,1,3"], 0, ["1", "2", "3", "4"]),
        (["boards.width=10 cm,80 mm,3 1/2 in"], 0, ["80 mm", "3 1/2 in", "10 cm"]),
        (["boards.wood=red oak,beech"], 0, ["red oak", "beech"]),
        (["boards.wood=red oak,beech", "joint.splines=3,2"], 1, ["2", "3", "2", "3"]),
    ],
)
def test_what_was_tried_is_listed_in_order_of_the_key(
    texts: list[str], column: int, order: list[str], makers_folder: MakersFolder
) -> None:
    """By size, whatever the change it took; names stay as given. The JSON keeps the order of trying."""
    makers_folder.write(SPLINED)
    found = sought(makers_folder, texts, WoodFirst(), lambda _: answer_of(100.0))
    keys = [text.partition("=")[0] for text in texts]
    table = sought_text(found, WoodFirst(), keys, "metric").split("\n\n")[2].splitlines()
    assert [re.split(r"  +", row)[column] for row in table[2:]] == order
    tried = [each["values"] for each in found.to_json()["tried"]]
    assert tried == [dict(each.point.values) for each in found.tried]


def test_without_any_answer_it_fails(makers_folder: MakersFolder) -> None:
    makers_folder.write(SPLINED)
    with pytest.raises(ComputationError, match="not one of 2 points"):
        sought(makers_folder, ["joint.splines=1,2"], WoodFirst(), lambda _: Computed(None, "the path ends"))


def test_an_answer_whose_scatter_could_not_be_found_does_not_reach(makers_folder: MakersFolder) -> None:
    """The others are still looked at; where none has any, that is said."""
    makers_folder.write(SPLINED)

    def only_five(specimen: Specimen) -> Computed:
        return by_splines(specimen) if specimen.joint.splines == 5 else answer_of(5000.0)

    goal = Reach(1800.0)
    found = sought(makers_folder, ["joint.splines=4,5"], goal, only_five)
    assert (found.meets_goal, dict(found.best.point.values)) == (True, {"joint.splines": "5"})
    none = sought(makers_folder, ["joint.splines=4,5"], goal, lambda _: answer_of(5000.0))
    assert not none.meets_goal
    assert "its scatter could not be found" in sought_text(none, goal, ["joint.splines"], "metric")


@pytest.mark.usefixtures("no_predicting")
@pytest.mark.parametrize(
    ("further", "cause", "other"),
    [
        (["--no-band"], "--no-band leaves it out", "elastic"),
        (["--method", "elastic"], "the elastic answer has none: use --method progressive", "--no-band"),
        (["--method", "elastic", "--no-band"], "the elastic answer has none", "--no-band"),
    ],
)
def test_a_load_cannot_be_reached_without_scatter(
    further: list[str],
    cause: str,
    other: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The real cause is named before anything is predicted."""
    words = ["--vary", "joint.splines=1:9", "--reach", "2 kN"]
    done = called(capsys, "least", str(example_path("splined_mitre")), *words, *further)
    assert done.returncode == 2
    (said,) = done.stderr.splitlines()
    assert cause in said
    assert other not in said


def test_other_shares_follow_the_lognormal_with_both_ends() -> None:
    """Half reach the geometric mean; 84.13 % lie a standard deviation below (table of the normal)."""
    band = (500.0, 900.0)
    assert lower_load(band, 95.0) == 500.0
    assert lower_load(band, 50.0) == pytest.approx((500.0 * 900.0) ** 0.5, rel=1e-12)
    deviation = (log(900.0) - log(500.0)) / (2 * 1.6449)
    assert lower_load(band, 84.13) == pytest.approx((500.0 * 900.0) ** 0.5 * exp(-deviation), rel=1e-4)
    assert lower_load(band, 95.0 + 1e-9) == pytest.approx(500.0, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "own", "changes"),
    [
        ("boards.thickness=18 mm,20 mm,3/4 in", "19 mm", [1.0, 1.0, 0.05]),
        ("joint.splines=1,3,8", 3, [2.0, 0.0, 5.0]),
        ("boards.wood=teak,Hard Maple,red oak", "hard maple", [1.0, 0.0, 3.0]),
        ("glue.quality=80 %,100 %", None, [1.0, 2.0]),
        ("glue.quality=80 %,100 %", "90 %", [10.0, 10.0]),
        ("boards.lay=frame,box", "box", [1.0, 0.0]),
        # A surface without coverage of its own has that of the corner.
        ("glue.surfaces.mitre.coverage=60 %,85 %", None, [30.0, 5.0]),
        ("glue.surfaces.mitre.coverage=60 %,85 %", "70 %", [10.0, 15.0]),
    ],
)
def test_a_change_is_counted_from_the_file(
    makers_folder: MakersFolder, text: str, own: object, changes: list[float]
) -> None:
    key = text.partition("=")[0]
    if key.startswith("glue.surfaces"):
        mitre = {} if own is None else {"coverage": own}
        tables = changed(SPLINED, glue__coverage="90 %", glue__surfaces={"mitre": mitre})
    else:
        tables = changed(SPLINED, **{key.replace(".", "__"): own})
    makers_folder.write(tables)
    points = cross(str(makers_folder.file), (), parse_varied([text]))
    found = changes_of(str(makers_folder.file), (), parse_varied([text])[0], points)
    assert list(found.values()) == pytest.approx(changes)


def test_set_moves_where_the_change_is_counted_from(makers_folder: MakersFolder) -> None:
    makers_folder.write(SPLINED)
    (varied,) = parse_varied(["joint.splines=1,6"])
    points = cross(str(makers_folder.file), [("joint.splines", "5")], [varied])
    assert changes_of(str(makers_folder.file), [("joint.splines", "5")], varied, points) == {0: 4.0, 1: 1.0}


def test_wood_is_what_fills_the_corner(makers_folder: MakersFolder) -> None:
    """By hand: two boards less the corner square that only one fills, which fingers and splines fill too."""
    for tables in (FINGER, SPLINED, changed(FINGER, joint__fingers=None, joint__kind="butt")):
        specimen = makers_folder.read(tables)
        assert wood_volume(specimen) == pytest.approx(90.0 * 19.0 * (2 * 150.0 - 19.0), rel=1e-6)


def test_the_command_prints_one_object() -> None:
    words = [
        "least",
        str(example_path("splined_mitre")),
        "--vary",
        "joint.splines=2,3",
        "--method",
        "elastic",
    ]
    done = glueline(*words, "--wood-first", "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert set(answer) == {"found", "values", "break_load_N", "breaks_in", "tried"}
    assert answer["found"] is False
    assert [each["values"]["joint.splines"] for each in answer["tried"]] == ["3", "2"]
    assert answer["break_load_N"] == max(each["break_load_N"] for each in answer["tried"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--vary", "joint.splines=1:9"], "--wood-first"),
        (["--vary", "joint.splines=1:9", "--wood-first", "--reach", "2 kN"], "not allowed"),
        (["--vary", "joint.splines=1:9", "--wood-first", "--confidence", "90"], "belongs to --reach"),
        (["--vary", "joint.splines=1:9", "--reach", "2"], "has no unit"),
        (["--vary", "joint.splines=1:9", "--reach=-2 kN"], "above zero"),
        (["--vary", "joint.splines=1:9", "--reach", "2 kN", "--confidence", "100"], "from 50 to 99"),
        (["--vary", "joint.splines=1:9", "--reach", "2 kN", "--confidence", "often"], "from 50 to 99"),
        (["--vary", "joint.splines=1:", "--wood-first"], "does not end"),
        (["--vary", "joint.splines=88,99", "--wood-first"], "do not fit"),
    ],
)
def test_wrong_input_gets_one_message(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    done = called(capsys, "least", str(example_path("splined_mitre")), *words, "--json")
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


@pytest.mark.slow
def test_a_load_is_reached_for_real() -> None:
    """Progressive, with the band: the answer named is the first whose low end reaches what was asked."""
    words = ["least", str(example_path("butt")), "--vary", "boards.width=70 mm,80 mm,90 mm", "--json"]
    done = glueline(*words, "--reach", "0.26 kN")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["found"] is True
    lows = [each["band_N"][0] for each in answer["tried"]]
    assert all(low < 260 for low in lows[:-1])
    assert lows[-1] >= 260
    assert answer["values"] == answer["tried"][-1]["values"]


def test_without_glue_it_is_the_fasteners_that_hold() -> None:
    """Words and nearness go by what is there; with glue by what holds at the break."""
    dry = made_up(400.0, breaks_in="fastener", glue_load=None, fastener_load=400.0, wood_load=1600.0)
    assert WoodFirst().nearness(dry) == pytest.approx(0.25)
    assert WoodFirst().reached(dry, "metric") == "fasteners hold 25 % of what the wood needs to break"
    outlived = made_up(800.0, breaks_in="fastener", glue_load=500.0, fastener_load=800.0, wood_load=1600.0)
    assert WoodFirst().nearness(outlived) == pytest.approx(0.5)
    glued = made_up(500.0, fastener_load=400.0, wood_load=1600.0)
    assert WoodFirst().reached(glued, "metric").startswith("glue holds 31 %")
