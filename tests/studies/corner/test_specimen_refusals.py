"""Specimen files: what they mean, what is refused, and that all of it is said at once."""

from __future__ import annotations

import dataclasses
import os
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

from glueline.geometries import BOARD_A, BOARD_B, JOINTS, Butt, FingerJoint, Mitre, SplinedMitre
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.failures import InputError
from tests.studies.makers_folder import FINGER, SPLINED, Bench, changed, one

BUTT = changed(FINGER, joint__kind="butt", joint__fingers=None)


def test_the_contracts_own_specimen(bench: Bench) -> None:
    """The file of section 8 of the contract, read key by key."""
    tables = changed(
        FINGER,
        boards__thickness_b="12 mm",
        boards__lay="box",
        boards__wood_b="white oak",
        boards__sawn="quarter",
        boards__moisture="10 %",
        glue__kind="pva",
        glue__quality="80 %",
        glue__gap="0.1 mm",
        glue__coverage="90 %",
        glue__end_grain="sized",
        load__arrangement="apex press",
    )
    corner = bench.read(tables)
    assert corner.kind == "finger"
    assert corner.joint == FingerJoint(9)
    assert (corner.boards.thickness, corner.boards.thickness_b) == (19.0, 12.0)
    assert (corner.boards.width, corner.boards.leg, corner.boards.lay) == (90.0, 150.0, "box")
    assert (corner.woods[BOARD_A].name, corner.woods[BOARD_B].name) == ("Sugar (hard) maple", "White oak")
    assert corner.woods[BOARD_A].moisture == corner.woods[BOARD_B].moisture == corner.moisture == 10.0
    assert corner.sawn == "quarter"
    assert corner.glue.name == "pva"
    assert (corner.workmanship.quality, corner.workmanship.gap) == (0.8, 0.1)
    assert (corner.workmanship.coverage, corner.workmanship.end_grain) == (0.9, "sized")
    assert corner.arrangement.name == "apex press"


def test_defaults(bench: Bench) -> None:
    """Lay box, sawn flat, 12 %, pva, sound gluing, diagonal compression."""
    corner = bench.read(BUTT)
    assert (corner.boards.lay, corner.sawn, corner.moisture) == ("box", "flat", 12.0)
    assert (corner.glue.name, corner.arrangement.name) == ("pva", "diagonal compression")
    sound = corner.workmanship
    assert (sound.quality, sound.gap, sound.coverage, sound.end_grain) == (1.0, 0.0, 1.0, "plain")
    assert corner.boards.thickness_b is None
    assert corner.woods[BOARD_B] == corner.woods[BOARD_A]
    assert corner.warnings == ()


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples(name: str) -> None:
    """The packaged corners read without a warning and say that they are invented."""
    corner = read_specimen(example_path(name))
    assert corner.warnings == ()
    assert "nvented" in example_path(name).read_text(encoding="utf-8").splitlines()[0]
    kinds = {"butt": Butt, "mitre": Mitre, "finger": FingerJoint, "splined_mitre": SplinedMitre}
    assert isinstance(corner.joint, kinds[name])


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_specimen_is_written_out_and_read_back(name: str, bench: Bench) -> None:
    """What --out writes as the specimen gives the same specimen."""
    first = read_specimen(example_path(name), [("boards.wood", "red oak"), ("glue.quality", "90 %")])
    second = read_specimen(bench.write_text(specimen_toml(first)))
    assert dataclasses.replace(second, path=first.path) == first


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Keyed Mitre", "splined mitre"),
        ("  splined   mitre ", "splined mitre"),
        ("splined-mitre", "splined mitre"),
        ("splined_mitre", "splined mitre"),
        ("SPLINED MITRE", "splined mitre"),
    ],
)
def test_joint_names_are_forgiving(typed: str, kind: str, bench: Bench) -> None:
    """Aliases, case, spaces, hyphens."""
    assert bench.read(changed(SPLINED, joint__kind=typed)).kind == kind


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement(arrangement: str, bench: Bench) -> None:
    """As named and in capitals."""
    assert bench.read(changed(BUTT, load__arrangement=arrangement)).arrangement.name == arrangement
    assert bench.read(changed(BUTT, load__arrangement=arrangement.upper())).arrangement.name == arrangement


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("hard maple", "Sugar (hard) maple"),
        ("soft maple", "Red (soft) maple"),
        ("Red Oak", "Northern red oak"),
        ("poplar", "Yellow-poplar"),
        ("cherry", "Black cherry"),
        ("WALNUT", "Black walnut"),
        ("ash", "White ash"),
        ("beech", "American beech"),
        ("white oak", "White oak"),
        ("hickory", "Hickory (shagbark)"),
    ],
)
def test_shop_names(typed: str, name: str, bench: Bench) -> None:
    """The names that the contract lists."""
    assert bench.read(changed(BUTT, boards__wood=typed)).woods[BOARD_A].name == name


WRONG: list[tuple[dict[str, Any], str, str]] = [
    # changes to a finger corner, key complained of, a word that says what would be right
    ({"joint__kind": None}, "joint.kind", "finger"),
    ({"joint__kind": "fingr"}, "joint.kind", "finger"),
    ({"joint__kind": "dovetail"}, "joint.kind", "splined mitre"),
    ({"joint__kind": ""}, "joint.kind", "finger"),
    ({"joint__kind": 3}, "joint.kind", "quotes"),
    ({"joint__kind": ["finger"]}, "joint.kind", "quotes"),
    ({"joint__fingers": None}, "joint.fingers", "joint.finger_width"),
    ({"joint__fingers": "9"}, "joint.fingers", "without quotes"),
    ({"joint__fingers": 9.0}, "joint.fingers", "whole number"),
    ({"joint__fingers": True}, "joint.fingers", "whole number"),
    ({"joint__fingers": 0}, "joint.fingers", "at least 2"),
    ({"joint__fingers": -3}, "joint.fingers", "at least 2"),
    ({"joint__fingers": 1}, "joint.fingers", "at least 2"),
    ({"joint__fingers": 46}, "joint.fingers", "at most 45"),
    ({"joint__fingers": 10**30}, "joint.fingers", "whole number"),
    ({"joint__fingers": None, "joint__finger_width": "1 mm"}, "joint.finger_width", "2 mm"),
    ({"joint__fingers": None, "joint__finger_width": 10}, "joint.finger_width", '"10 mm"'),
    ({"joint__fingers": None, "joint__finger_width": "89 mm"}, "joint.finger_width", "88 mm"),
    ({"joint__finger_width": "10 mm"}, "joint.finger_width", "one of the two"),
    ({"joint__splines": 3}, "joint.splines", "finger"),
    ({"joint__figners": 3}, "joint.figners", "did you mean fingers"),
    ({"boards__thickness": None}, "boards.thickness", "19 mm"),
    ({"boards__width": None}, "boards.width", "mm"),
    ({"boards__leg": None}, "boards.leg", "outside corner to leg tip"),
    ({"boards__wood": None}, "boards.wood", "hard maple"),
    ({"boards__thickness": 19}, "boards.thickness", '"19 mm"'),
    ({"boards__thickness": 19.5}, "boards.thickness", '"19.5 mm"'),
    ({"boards__thickness": True}, "boards.thickness", "a length"),
    ({"boards__thickness": "19"}, "boards.thickness", '"19 mm"'),
    ({"boards__thickness": "0 mm"}, "boards.thickness", "above zero"),
    ({"boards__thickness": "-19 mm"}, "boards.thickness", "above zero"),
    ({"boards__thickness": "nan mm"}, "boards.thickness", "not a number"),
    ({"boards__thickness": float("nan")}, "boards.thickness", "unit"),
    ({"boards__thickness": float("inf")}, "boards.thickness", "unit"),
    ({"boards__thickness": "19 kg"}, "boards.thickness", "mm"),
    ({"boards__thickness": "2 mm", "boards__leg": "100 mm"}, "boards.thickness", "3 mm"),
    ({"boards__thickness": "999999 km"}, "boards.thickness", "mm"),
    ({"boards__thickness": "0.4 m", "boards__leg": "1300 mm"}, "boards.thickness", "300 mm"),
    ({"boards__thicknes": "19 mm"}, "boards.thicknes", "did you mean thickness"),
    ({"boards__leg": "30 mm"}, "boards.leg", "57 mm"),
    ({"boards__lay": "boks"}, "boards.lay", 'did you mean "box"'),
    ({"boards__lay": 1}, "boards.lay", "quotes"),
    ({"boards__sawn": "rift"}, "boards.sawn", "flat or quarter"),
    ({"boards__wood": "hard mapel"}, "boards.wood", "maple"),
    ({"boards__wood": "oak"}, "boards.wood", "oak"),
    ({"boards__wood": ""}, "boards.wood", "hard maple"),
    ({"boards__wood": 7}, "boards.wood", "quotes"),
    ({"boards__wood_b": "unobtainium"}, "boards.wood_b", "list woods"),
    ({"boards__wood": "x" * 5000}, "boards.wood", "too long"),
    ({"boards__wood": "missing.toml"}, "boards.wood", "no such file"),
    ({"boards__wood": "./"}, "boards.wood", "directory"),
    ({"boards__moisture": 12}, "boards.moisture", '"12 %"'),
    ({"boards__moisture": "12"}, "boards.moisture", "%"),
    ({"boards__moisture": "0.5 %"}, "boards.moisture", "2 %"),
    ({"boards__moisture": "-1 %"}, "boards.moisture", "below zero"),
    ({"boards__moisture": "900 %"}, "boards.moisture", "200 %"),
    ({"glue__kind": "pav"}, "glue.kind", "pva"),
    ({"glue__kind": "none"}, "glue.kind", "nothing to hold"),
    ({"glue__kind": "missing.toml"}, "glue.kind", "no such file"),
    ({"glue__quality": "0 %"}, "glue.quality", "above zero"),
    ({"glue__quality": "900 %"}, "glue.quality", "at most"),
    ({"glue__quality": 1.0}, "glue.quality", "%"),
    ({"glue__gap": "2 mm"}, "glue.gap", "0.5 mm"),
    ({"glue__gap": "-0.1 mm"}, "glue.gap", "below zero"),
    ({"glue__coverage": "101 %"}, "glue.coverage", "at most 1"),
    ({"glue__coverage": "half"}, "glue.coverage", "%"),
    ({"glue__end_grain": "size"}, "glue.end_grain", 'did you mean "sized"'),
    ({"glue__brand": "best"}, "glue.brand", "quality"),
    ({"load__arrangement": "diagonal"}, "load.arrangement", "diagonal compression"),
    ({"load__arrangement": "cantilever up"}, "load.arrangement", "cantilever in"),
    ({"load__force": "100 N"}, "load.force", "arrangement"),
]


@pytest.mark.parametrize(("keys", "key", "said"), WRONG, ids=[str(each[0])[:50] for each in WRONG])
def test_one_mistake_is_said_once(keys: dict[str, Any], key: str, said: str, bench: Bench) -> None:
    """File, key, the value as typed, and what would be right."""
    problem = one(bench.wrong(changed(FINGER, **keys)))
    assert problem.file == str(bench.file)
    assert problem.key == key
    assert said in problem.message
    value = keys.get(key.replace(".", "__"))
    if isinstance(value, str) and 0 < len(value) < 50:
        assert problem.value == f'"{value}"'
    if value is None:
        assert problem.value is None


def test_splines(bench: Bench) -> None:
    """Keys of a splined mitre, and what does not fit."""
    corner = bench.read(SPLINED)
    assert corner.joint == SplinedMitre(3, 3.2, 21.0, "black cherry")
    assert corner.woods["splines"].name == "Black cherry"
    plain = bench.read(changed(SPLINED, joint__spline_wood=None))
    assert plain.woods["splines"] == plain.woods[BOARD_A]
    assert one(bench.wrong(changed(SPLINED, joint__splines=None))).key == "joint.splines"
    assert "past the inner corner" in one(bench.wrong(changed(SPLINED, joint__spline_depth="30 mm"))).message
    assert one(bench.wrong(changed(SPLINED, joint__spline_wood="chery tree"))).key == "joint.spline_wood"


@pytest.mark.parametrize("kind", list(JOINTS))
def test_thickness_b_only_where_it_has_a_place(kind: str, bench: Bench) -> None:
    """Refused plainly elsewhere."""
    base = {"butt": BUTT, "finger": FINGER, "splined mitre": SPLINED}.get(
        kind, changed(BUTT, joint__kind=kind)
    )
    tables = changed(base, boards__thickness_b="12 mm")
    if JOINTS[kind].allows_thickness_b:
        assert bench.read(tables).boards.thickness_b == 12.0
    else:
        problem = one(bench.wrong(tables))
        assert problem.key == "boards.thickness_b"
        assert "butt or finger" in problem.message


def test_everything_wrong_at_once(bench: Bench) -> None:
    """Eleven mistakes in eleven lines, none hiding another."""
    bench.write_text(
        '[joint]\nkind = "finger"\nfingers = "nine"\n'
        '[boards]\nthickness = 19\nwidth = "90"\nleg = "-150 mm"\nlay = "flat"\nwood = "mapel"\n'
        'wood_b = "x.toml"\nmoisture = "300 %"\n'
        '[glue]\nkind = "pvc"\ngape = "0 mm"\n[load]\narrangement = "up"\n'
    )
    problems = bench.wrong_file(bench.file)
    assert {problem.key for problem in problems} == {
        "joint.fingers",
        "boards.thickness",
        "boards.width",
        "boards.leg",
        "boards.lay",
        "boards.wood",
        "boards.wood_b",
        "boards.moisture",
        "glue.kind",
        "glue.gape",
        "load.arrangement",
    }
    assert len(str(InputError(problems)).splitlines()) == len(problems) == 11


def test_an_almost_empty_file_names_all_it_needs(bench: Bench) -> None:
    """Required: kind, thickness, width, leg, wood."""
    problems = bench.wrong_file(bench.write_text("# nothing yet\n"))
    assert [problem.key for problem in problems] == [
        "joint.kind",
        "boards.thickness",
        "boards.width",
        "boards.leg",
        "boards.wood",
    ]


def test_geometry_speaks_the_units_of_the_file(bench: Bench) -> None:
    """Inches where most lengths are in inches."""
    inches = changed(
        FINGER, boards__thickness="3/4 in", boards__width='3-1/2"', boards__leg="1 in", joint__fingers=5
    )
    message = one(bench.wrong(inches)).message
    assert "3/4 in" in message
    assert "2 1/4 in" in message
    assert "mm" not in message
    assert "57 mm" in one(bench.wrong(changed(FINGER, boards__leg="1 in"))).message


def test_tables_that_are_none(bench: Bench) -> None:
    """A key where a table belongs, a table nobody knows, a key outside any table."""
    problems = bench.wrong_file(
        bench.write_text(
            'name = "corner"\nglue = "pva"\n[joint]\nkind = "butt"\n[board]\nthickness = "19 mm"\n'
            '[[load]]\narrangement = "apex press"\n'
            '[boards]\nthickness = "19 mm"\nwidth = "90 mm"\nleg = "150 mm"\nwood = "ash"\n'
        )
    )
    said = {problem.key: problem.message for problem in problems}
    assert set(said) == {"name", "glue", "board", "load"}
    assert "[glue]" in said["glue"]
    assert "did you mean boards" in said["board"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"[joint\nkind = 1", "line 1"),
        (b"[joint]\nkind = 'finger'\nkind = 'butt'\n", "line 3"),
        (b"[joint]\nkind = finger\n", "line 2, column 8"),
        (b"[joint]\nkind = 'f\xe9'\n", "line 2"),
        (b"\xff\xfe[\x00j\x00", "UTF-8"),
        (b"[joint]\nkind = \x00\n", "TOML"),
        (b"a = " + b"[" * 5000, "TOML"),
        (b"a = " + b"9" * 5000, "TOML"),
        (b"#" * 1_000_001, "1000 kB"),
    ],
    ids=range(12),
)
def test_files_that_are_no_toml(content: bytes, said: str, bench: Bench) -> None:
    """Said with the place where that can be known."""
    bench.file.write_bytes(content)
    problem = one(bench.wrong_file(bench.file))
    assert said in problem.message
    assert problem.file == str(bench.file)


def test_a_byte_order_mark_is_forgiven(bench: Bench) -> None:
    """Some editors write one; others end lines by carriage returns."""
    text = bench.write(BUTT).read_text(encoding="utf-8")
    bench.file.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_specimen(bench.file).kind == "butt"


def test_paths_that_are_no_files(bench: Bench) -> None:
    """A missing file, a directory, a path through a file, a device, a name with a zero byte."""
    bench.write(BUTT)
    for path, said in (
        (bench.folder / "missing.toml", "no such file"),
        (bench.folder, "directory"),
        (bench.file / "x.toml", "cannot be read"),
        (Path("/dev/null"), "not a plain file"),
        (Path("a\x00b"), "cannot be read"),
        (Path("x" * 5000), "cannot be read"),
        (bench.folder / "new\nline.toml", "no such file"),
    ):
        assert said in one(bench.wrong_file(path)).message


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read(bench: Bench) -> None:
    """Said plainly."""
    bench.write(BUTT).chmod(0)
    assert "no permission" in one(bench.wrong_file(bench.file)).message


@pytest.mark.skipif(sys.platform == "win32", reason="no such pipes there")
def test_a_pipe_does_not_hang(bench: Bench) -> None:
    """Opening one would wait for a writer for ever."""
    os.mkfifo(bench.file)
    assert "not a plain file" in one(bench.wrong_file(bench.file)).message


def test_warnings(bench: Bench) -> None:
    """Damp and very dry wood are read, with a word about it."""
    assert len(bench.read(changed(BUTT, boards__moisture="18 %")).warnings) == 1
    assert len(bench.read(changed(BUTT, boards__moisture="3 %")).warnings) == 1
    assert bench.read(changed(BUTT, boards__moisture="16 %")).warnings == ()
    assert bench.read(changed(BUTT, boards__moisture="18 %")).moisture == 18.0


def test_as_read_holds_what_was_typed(bench: Bench) -> None:
    """Not what it became."""
    corner = bench.read(changed(BUTT, boards__thickness="3/4 in"))
    assert corner.as_read["boards"]["thickness"] == "3/4 in"
    assert tomllib.loads(specimen_toml(corner)) == corner.as_read
