"""The corner as a sentence: it reads as one, every word of it is a key, and no slip raises anything."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from glueline.geometries import JOINTS
from glueline.materials import glue_names
from glueline.studies.commands import main
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.new_corner import Tables, usual_corner
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.json_text import json_line
from glueline.studies.files.key_changes import find_joint, joint_fields, value_at
from glueline.studies.files.toml_tables import read_toml
from glueline.studies.files.units import Units
from glueline.studies.page.sentence import read_sentence
from glueline.studies.page.sentence_ranges import MOST_STOPS, stops_of
from tests.studies.toy_joint import STRAPPED_BUTT

BOTH: tuple[Units, ...] = ("metric", "imperial")
SLIPS = [
    *("", " ", "“19 mm”", "9" * 400, "1e400", "nan", "-5", "0 mm", "\0", "\x1b[2J", "\ud800", "{a = 1}"),
    *("[1, 2]", "2026-01-01", "true", "3/0 in", '3/4"', "1:0", "./none.toml", "x" * 3000, "a = 1\nb = 2"),
    *("'''", "5", "½", "120 %", "15°", "hard maple", "white glue", "frame", "imperial", "999999 mm", "0x10"),
]
KEYS = ["units", "", "|", "joint", "joint.none", "glue.surfaces", "glue.surfaces.none.gap", "joint.a|joint.b"]


def example(name: str) -> Tables:
    """The tables of an example."""
    return read_toml(example_path(name))


def words(sentence: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Its words by their keys."""
    return {part["key"]: part for part in sentence["parts"] if "key" in part}


def edited(corner: Tables, key: str, value: str, units: Units = "metric") -> dict[str, Any]:
    """The sentence after an edit."""
    return read_sentence(corner, units, {"key": key, "value": value})


@pytest.fixture
def _toy() -> Iterator[None]:
    JOINTS[STRAPPED_BUTT.kind] = STRAPPED_BUTT
    yield
    del JOINTS[STRAPPED_BUTT.kind]


@pytest.mark.parametrize("units", BOTH)
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_kind_reads_as_a_sentence(name: str, units: Units) -> None:
    corner = example(name)
    sentence = edited(corner, "units", units)
    kind = find_joint(corner["joint"]["kind"])
    assert kind is not None
    assert sentence["plain"] == "".join(part["text"] for part in sentence["parts"])
    assert sentence["plain"].startswith(f"A {kind.kind} corner of hard maple, boards ")
    assert sentence["wrong"] == []
    assert "to be given" not in sentence["plain"]
    known = words(sentence)
    own = joint_fields(kind)
    void = {about.get("voids") for key, about in own.items() if corner["joint"].get(key) is True}
    single = {key for key, about in own.items() if "exclusive_with" not in about}
    assert {f"joint.{key}" for key in single - void} <= set(known)
    assert {f"joint.{key}" for key in corner["joint"]} <= set(known)
    mm = [word["text"] for word in known.values() if word["text"].endswith(" mm")]
    inches = [word["text"] for word in known.values() if word["text"].endswith(" in")]
    assert not (inches if units == "metric" else mm)
    if units == "imperial":
        return
    # What stands there, given again, changes nothing.
    for key, word in known.items():
        value = value_at(sentence["corner"], key)
        if value is not None and "." in key and isinstance(value, str):
            again = edited(sentence["corner"], key, value, units)
            assert (again["corner"], again["wrong"]) == (sentence["corner"], []), key
            assert words(again)[key]["text"] == word["text"]


def test_the_words_of_the_issue() -> None:
    sentence = read_sentence(example("finger"), "metric")
    first, _, rest = sentence["plain"].partition(". As usual: ")
    assert first == (
        "A finger corner of hard maple, boards 19 mm thick and 90 mm wide, legs 150 mm long, "
        "standing on edge as in a drawer, with 9 fingers, glued with white glue; "
        "the tips of the legs are pushed together, which closes the corner"
    )
    assert rest.startswith("told by its number of fingers, board B equally thick")
    shown = [part["text"] for part in sentence["parts"] if not part.get("optional")]
    assert "".join(shown) == f"{first}."


def test_every_glue_lay_and_load_is_a_word() -> None:
    corner = example("pocket_screw")
    for glue in glue_names():
        said = edited(corner, "glue.kind", glue)
        assert said["wrong"] == []
        assert ("glued with" in said["plain"].partition(";")[0]) == (glue != "none")
    for load, arrangement in ARRANGEMENTS.items():
        assert (
            f"; {arrangement.words}, which {arrangement.sense} the corner."
            in (edited(corner, "load.arrangement", load)["plain"])
        )
    assert "lying flat as in a door" in edited(corner, "boards.lay", "frame")["plain"]


def test_all_that_can_be_set_shows_in_the_first_sentence_and_goes_again() -> None:
    corner: Tables = example("finger")
    before = read_sentence(corner, "metric")
    keys = {
        "boards.thickness_b": ("16 mm", "board B 16 mm thick"),
        "boards.wood_b": ("rock maple", "board B of hard maple"),
        "boards.sawn": ("quarter", "quarter sawn"),
        "boards.moisture": ("15", "at 15 % moisture"),
        "glue.quality": ("80", "glue of 80 % quality"),
        "glue.gap": ("0.2", "a gap of 0.2 mm"),
        "glue.coverage": ("70 %", "glue on 70 % of the surfaces"),
        "glue.end_grain": ("sized", "end grain sized first"),
    }
    for key, (value, said) in keys.items():
        sentence = edited(corner, key, value)
        corner = sentence["corner"]
        assert sentence["wrong"] == [], key
        assert said.replace("hard maple", "rock maple") in sentence["plain"].partition(";")[0]
    corner = edited(corner, "glue.surfaces", "finger cheeks")["corner"]
    sentence = edited(corner, "glue.surfaces.finger cheeks.coverage", "50")
    assert "on the finger cheeks glue on 50 %" in sentence["plain"]
    corner = edited(sentence["corner"], "glue.surfaces.finger cheeks.coverage", "")["corner"]
    assert "surfaces" not in corner["glue"]
    for key in keys:
        corner = edited(corner, key, "")["corner"]
    assert read_sentence(corner, "metric")["plain"] == before["plain"]


def test_a_bare_number_takes_the_unit_that_stood_there() -> None:
    corner = example("finger")
    assert edited(corner, "boards.thickness", "20")["corner"]["boards"]["thickness"] == "20 mm"
    inches = edited(corner, "units", "imperial")
    assert (
        edited(inches["corner"], "boards.thickness", "5/8", "imperial")["corner"]["boards"]["thickness"]
        == "5/8 in"
    )
    assert edited(corner, "boards.thickness", "5/8", "imperial")["corner"]["boards"]["thickness"] == "5/8 in"
    asked = edited(corner, "boards.thickness", "5/8")
    assert asked["wrong"][0]["key"] == "boards.thickness"
    assert 'is it "5/8 in"?' in asked["wrong"][0]["message"]
    assert "read in mm" in words(asked)["boards.width"]["note"]
    assert edited(corner, "boards.thickness", "2 cm")["corner"]["boards"]["thickness"] == "2 cm"


def test_what_is_wrong_stands_at_its_word_and_is_kept() -> None:
    sentence = edited(example("finger"), "joint.fingers", "80")
    assert sentence["corner"]["joint"]["fingers"] == 80
    message = "gives fingers under 2 mm on 90 mm: at most 45"
    assert sentence["wrong"] == [{"key": "joint.fingers", "message": message}]
    assert words(sentence)["joint.fingers"]["wrong"] == message
    assert sentence["command"] == ""
    oak = edited(example("finger"), "boards.wood", "oka")
    assert "is not a wood known here" in words(oak)["boards.wood"]["wrong"]
    assert oak["plain"].startswith("A finger corner of oka,")


def test_a_wood_file_goes_by_its_name_and_its_slips_stand_at_its_word(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "our_ash.toml").write_text('like = "white ash"\ndensity = "700 kg/m3"\n')
    sentence = edited(example("butt"), "boards.wood", "our_ash.toml")
    assert sentence["wrong"] == []
    assert sentence["plain"].startswith("A butt corner of our_ash.toml, boards ")
    assert sentence["corner"]["boards"]["wood"] == str(tmp_path / "our_ash.toml")
    (tmp_path / "our_ash.toml").write_text('like = "white ahs"\n')
    assert (
        'like = "white ahs": is not a wood'
        in words(read_sentence(sentence["corner"], "metric"))["boards.wood"]["wrong"]
    )


def test_what_cannot_be_taken_is_as_usual() -> None:
    mitred = edited(edited(example("dowel"), "joint.through", "no")["corner"], "joint.base", "mitre")
    assert [each["key"] for each in mitred["wrong"]] == ["joint.dowel_depth"]
    assert "a dowel depth in board A of the usual size, " in mitred["plain"]


def test_of_two_measures_one_is_chosen() -> None:
    corner = example("finger")
    both = "joint.fingers|joint.finger_width"
    wide = edited(corner, both, "joint.finger_width")
    assert wide["wrong"] == []
    assert set(wide["corner"]["joint"]) == {"kind", "finger_width"}
    assert words(wide)[both]["text"] == "finger width"
    back = edited(wide["corner"], both, "joint.fingers")
    assert back["corner"]["joint"] == {"kind": "finger", "fingers": 5}  # the usual number


def test_a_through_tenon_has_no_depth_of_its_own() -> None:
    deep = edited(example("mortise_and_tenon"), "joint.tenon_depth", "30")
    through = edited(deep["corner"], "joint.through", "yes")
    assert through["wrong"] == []
    assert "joint.tenon_depth" not in words(through)
    assert "a passage through board A" in through["plain"]


@pytest.mark.parametrize("kind", JOINTS)
def test_another_kind_keeps_the_boards(kind: str) -> None:
    for name in ("finger", "half_lap"):
        corner = edited(example(name), "boards.wood", "walnut")["corner"]
        sentence = edited(corner, "joint.kind", kind)
        assert sentence["wrong"] == []
        boards = sentence["corner"]["boards"]
        assert (boards["thickness"], boards["width"], boards["wood"]) == (
            "19 mm",
            corner["boards"]["width"],
            "walnut",
        )
        assert boards.get("lay", JOINTS[kind].lays[0]) in JOINTS[kind].lays


def test_other_units_are_sensible_cuts_that_a_file_keeps() -> None:
    inches = edited(example("splined_mitre"), "units", "imperial")
    assert inches["units"] == "imperial"
    boards, joint = inches["corner"]["boards"], inches["corner"]["joint"]
    assert [boards[size] for size in ("thickness", "width", "leg")] == ["3/4 in", "3 17/32 in", "5 29/32 in"]
    assert (joint["spline_thickness"], joint["spline_depth"]) == ("1/8 in", "13/16 in")
    back = edited(inches["corner"], "units", "metric", "imperial")
    assert back["corner"]["boards"]["thickness"] == "19 mm"
    same = edited(back["corner"], "units", "metric")
    assert same["corner"] == back["corner"]
    assert edited(example("butt"), "units", "furlongs")["wrong"] == [
        {"key": "units", "message": "must be metric or imperial"}
    ]


@pytest.mark.usefixtures("_toy")
def test_a_joint_of_no_trade_needs_no_line() -> None:
    asked = edited(example("butt"), "joint.kind", "strapped butt")
    assert "with to be given straps and a thickness of the straps of to be given" in asked["plain"]
    assert [each["key"] for each in asked["wrong"]] == ["joint.straps", "joint.strap_thickness"]
    corner = edited(asked["corner"], "joint.straps", "1")["corner"]
    done = edited(corner, "joint.strap_thickness", "6")
    assert done["wrong"] == []
    assert "with 1 strap and a thickness of the straps of 6 mm, glued" in done["plain"]
    assert "the boards' wood as the pad wood" in done["plain"]
    assert "--set 'joint.kind=strapped butt'" in done["command"]
    assert stops_of(done["corner"], "metric", "joint.straps")["stops"][:2] == ["1", "2"]
    edited(done["corner"], "joint.pad_wood", "walnut")


def commands(line: str) -> Iterator[list[str]]:
    """The words of each command of a line."""
    command: list[str] = []
    for word in [*shlex.split(line), "&&"]:
        if word == "&&":
            yield command
            command = []
        else:
            command.append(word)


@pytest.mark.parametrize(
    ("name", "edits"),
    [
        ("dowel", {"boards.wood_b": "red oak", "units": "imperial"}),
        ("half_lap", {"glue.surfaces": "lap face", "boards.moisture": "9"}),
        ("finger", {"joint.finger_width": "12.5", "boards.lay": "box", "glue.kind": "white glue"}),
    ],
)
@pytest.mark.parametrize("from_file", [True, False])
def test_the_command_gives_the_same_answer(
    name: str,
    edits: dict[str, str],
    from_file: bool,
    tmp_path: Any,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    from glueline import predict

    monkeypatch.chdir(tmp_path)
    file = str(example_path(name)) if from_file else None
    sentence = read_sentence(example(name), "metric", file=file)
    for key, value in edits.items():
        edit = {"key": key, "value": value}
        sentence = read_sentence(sentence["corner"], sentence["units"], edit, file)
    assert (sentence["wrong"], sentence["command_note"]) == ([], None)
    *before, last = commands(sentence["command"])
    assert (len(before) == 0) == from_file
    for each in before:
        assert main(each[1:]) == 0
    capsys.readouterr()
    assert main([*last[1:], "--method", "elastic", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["break_load_N"]
    assert (
        found == predict(specimen_of("corner.toml", sentence["corner"]), method="elastic").answer.break_load
    )


def test_a_command_too_long_to_copy_gives_way_to_a_saved_file() -> None:
    corner = example("loose_tenon")
    for surface in ("butt face", "outer tenon faces in board A", "outer tenon faces in board B"):
        for key, value in (("coverage", "80 %"), ("gap", "0.1 mm"), ("quality", "85 %")):
            corner = edited(corner, f"glue.surfaces.{surface}.{key}", value)["corner"]
    sentence = read_sentence(corner, "metric")
    assert sentence["wrong"] == []
    assert sentence["command"] == "glueline predict corner.toml"
    assert "Save the corner as corner.toml first" in sentence["command_note"]


@settings(max_examples=40, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(
    kind=st.sampled_from(sorted(JOINTS)),
    units=st.sampled_from(BOTH),
    edits=st.lists(st.tuples(st.integers(0, 60), st.sampled_from(SLIPS) | st.text(max_size=12)), max_size=3),
    asked=st.sampled_from(KEYS),
)
def test_no_slip_raises(kind: str, units: Units, edits: list[tuple[int, str]], asked: str) -> None:
    corner: Tables = usual_corner(JOINTS[kind], units)
    keys = [*words(read_sentence(corner, units)), asked]
    for place, value in edits:
        key = keys[place % len(keys)]
        sentence = read_sentence(corner, units, {"key": key, "value": value})
        assert "".join(part["text"] for part in sentence["parts"]) == sentence["plain"]
        assert sentence["plain"].isprintable()
        assert all(part["text"] for part in sentence["parts"])
        corner, units = json.loads(json.dumps(sentence["corner"], allow_nan=False)), sentence["units"]
        told = [each["message"] for each in sentence["wrong"]]
        assert all(each["message"] in told for each in read_sentence(corner, units)["wrong"])
        stops = stops_of(corner, units, key)
        assert len(stops["stops"]) <= MOST_STOPS
        keys = [*words(sentence), asked]


@pytest.mark.parametrize(
    "corner",
    [
        {"joint": 3, "boards": [], "other": None},
        {"joint": {"kind": "\ud800", "\0": [1, None]}, "glue": {"surfaces": {"": {"gap": 10**400}}}},
        {"joint": {"kind": "finger", "fingers": 1e308}, "boards": {"lay": float("nan"), "width": {"a": {}}}},
    ],
)
def test_a_corner_that_no_file_holds_is_told_and_can_be_sent(corner: dict[str, Any]) -> None:
    sentence = edited(corner, "joint.kind", "bridle")
    assert sentence["wrong"]
    assert sentence["plain"].isprintable()
    json_line(sentence)
    assert stops_of(corner, "imperial", "boards.thickness")["stops"] == []


def test_of_two_that_exclude_each_other_either_can_go() -> None:
    corner = {**example("finger"), "joint": {"kind": "finger", "fingers": 5, "finger_width": "18 mm"}}
    sentence = read_sentence(corner, "metric")
    assert "cannot stand beside joint.fingers" in words(sentence)["joint.finger_width"]["wrong"]
    for key, left in (("joint.fingers", "finger_width"), ("joint.finger_width", "fingers")):
        done = edited(corner, key, "")
        assert (done["wrong"], set(done["corner"]["joint"])) == ([], {"kind", left})
