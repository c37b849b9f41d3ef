"""Specimen files: what is refused, and that all of it is said at once."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import pytest

from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import toml_value
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed, one

BUTT = changed(FINGER, joint__kind="butt", joint__fingers=None)


WRONG: list[tuple[dict[str, Any], str, str]] = [
    # changes to a finger corner, key complained of, a word that says what would be right
    ({"joint__kind": None}, "joint.kind", "finger"),
    ({"joint__kind": "fingr"}, "joint.kind", "finger"),
    ({"joint__kind": "scarf"}, "joint.kind", "splined mitre"),
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
    ({"joint__fingers": None, "joint__finger_width": float("inf")}, "joint.finger_width", "has no unit"),
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
    ({"boards__thickness": [1]}, "boards.thickness", "a length"),
    ({"boards__thickness": ""}, "boards.thickness", "is empty"),
    ({"boards__thickness": "9999999999 mm"}, "boards.thickness", "too large"),
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
    ({"boards__wood": "mahogany"}, "boards.wood", "could be more than one wood"),
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
    ({"glue__end_grain": "wet"}, "glue.end_grain", "plain or sized"),
    ({"glue__brand": "best"}, "glue.brand", "quality"),
    ({"load__arrangement": "diagonal"}, "load.arrangement", "diagonal compression"),
    ({"load__arrangement": "apex"}, "load.arrangement", 'did you mean "apex press"'),
    ({"load__arrangement": "cantilever up"}, "load.arrangement", "cantilever in"),
    ({"load__force": "100 N"}, "load.force", "arrangement"),
]


@pytest.mark.parametrize(("keys", "key", "said"), WRONG, ids=[str(each[0])[:50] for each in WRONG])
def test_one_mistake_is_said_once(
    keys: dict[str, Any], key: str, said: str, makers_folder: MakersFolder
) -> None:
    """File, key, the value as typed, and what would be right."""
    problem = one(makers_folder.wrong(changed(FINGER, **keys)))
    assert problem.file == str(makers_folder.file)
    assert problem.key == key
    assert said in problem.message
    value = keys.get(key.replace(".", "__"))
    if isinstance(value, str) and 0 < len(value) < 50:
        assert problem.value == f'"{value}"'
    if value is None:
        assert problem.value is None
    elif len(keys) == 1 and key != "joint.finger_width":
        change = one(makers_folder.wrong(FINGER, [(key, toml_value(value))]))
        assert (change.file, change.key) == ("command line", f"--set {key}")
        assert said in change.message


@pytest.mark.parametrize(
    ("keys", "key", "said"),
    [
        ({"joint__splines": None}, "joint.splines", "is missing"),
        ({"joint__spline_thickness": None}, "joint.spline_thickness", "is missing"),
        ({"joint__spline_depth": None}, "joint.spline_depth", "is missing"),
        ({"joint__spline_depth": "30 mm"}, "joint.spline_depth", "past the inner corner"),
        ({"joint__spline_wood": "chery tree"}, "joint.spline_wood", "cherry"),
    ],
)
def test_splines(keys: dict[str, Any], key: str, said: str, makers_folder: MakersFolder) -> None:
    problem = one(makers_folder.wrong(changed(SPLINED, **keys)))
    assert problem.key == key
    assert said in problem.message


def test_boards_are_checked_even_if_the_joint_is_not_known(makers_folder: MakersFolder) -> None:
    problems = makers_folder.wrong(changed(FINGER, joint__kind="fingre", boards__leg="20 mm"))
    assert [problem.key for problem in problems] == ["joint.kind", "boards.leg"]
    assert 'did you mean "finger"?' in problems[0].message
    assert "is too short" in problems[1].message


def test_everything_wrong_at_once(makers_folder: MakersFolder) -> None:
    """Eleven mistakes in eleven lines, none hiding another."""
    makers_folder.write_text(
        '[joint]\nkind = "finger"\nfingers = "nine"\n'
        '[boards]\nthickness = 19\nwidth = "90"\nleg = "-150 mm"\nlay = "flat"\nwood = "mapel"\n'
        'wood_b = "x.toml"\nmoisture = "300 %"\n'
        '[glue]\nkind = "pvc"\ngape = "0 mm"\n[load]\narrangement = "up"\n'
    )
    problems = makers_folder.wrong_file(makers_folder.file)
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


def test_an_almost_empty_file_names_all_it_needs(makers_folder: MakersFolder) -> None:
    """Required: kind, thickness, width, leg, wood."""
    problems = makers_folder.wrong_file(makers_folder.write_text("# nothing yet\n"))
    assert [problem.key for problem in problems] == [
        "joint.kind",
        "boards.thickness",
        "boards.width",
        "boards.leg",
        "boards.wood",
    ]


def test_geometry_speaks_the_units_of_the_file(makers_folder: MakersFolder) -> None:
    """Inches where most lengths are in inches."""
    inches = changed(
        FINGER, boards__thickness="3/4 in", boards__width='3-1/2"', boards__leg="1 in", joint__fingers=5
    )
    message = one(makers_folder.wrong(inches)).message
    assert "3/4 in" in message
    assert "2 1/4 in" in message
    assert "mm" not in message
    assert "57 mm" in one(makers_folder.wrong(changed(FINGER, boards__leg="1 in"))).message


def test_tables_that_are_none(makers_folder: MakersFolder) -> None:
    """A key where a table belongs, a table nobody knows, a key outside any table."""
    problems = makers_folder.wrong_file(
        makers_folder.write_text(
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
        (b"[joint]\nkind = finger\n", "line 2: `kind = finger` has no quotes"),
        (b"[joint]\nkind = 'f\xe9'\n", "line 2"),
        (b"\xff\xfe[\x00j\x00", "UTF-8"),
        (b"[joint]\nkind = \x00\n", "TOML"),
        (b"a = " + b"[" * 5000, "TOML"),
        (b"a = " + b"9" * 5000, "TOML"),
        (b"#" * 1_000_001, "100 kB"),
    ],
    ids=range(12),
)
def test_files_that_are_no_toml(content: bytes, said: str, makers_folder: MakersFolder) -> None:
    """Said with the place where that can be known."""
    makers_folder.file.write_bytes(content)
    problem = one(makers_folder.wrong_file(makers_folder.file))
    assert said in str(problem)
    assert problem.file == str(makers_folder.file)


def test_paths_that_are_no_files(makers_folder: MakersFolder) -> None:
    """A missing file, a directory, a path through a file, a device, a name with a zero byte."""
    makers_folder.write(BUTT)
    for path, said in (
        (makers_folder.folder / "missing.toml", "no such file"),
        (makers_folder.folder, "directory"),
        (makers_folder.file / "x.toml", "cannot be read"),
        (Path("/dev/null"), "not a plain file"),
        (Path("a\x00b"), "cannot be read"),
        (Path("x" * 5000), "cannot be read"),
        (makers_folder.folder / "new\nline.toml", "no such file"),
    ):
        assert said in one(makers_folder.wrong_file(path)).message


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_that_may_not_be_read(makers_folder: MakersFolder) -> None:
    """Said plainly."""
    makers_folder.write(BUTT).chmod(0)
    assert "no permission" in one(makers_folder.wrong_file(makers_folder.file)).message


@pytest.mark.skipif(sys.platform == "win32", reason="no such pipes there")
def test_a_pipe_does_not_hang(makers_folder: MakersFolder) -> None:
    """Opening one would wait for a writer for ever."""
    os.mkfifo(makers_folder.file)
    assert "not a plain file" in one(makers_folder.wrong_file(makers_folder.file)).message
