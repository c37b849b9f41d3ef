"""--set KEY=VALUE: what a change means, what it drops, and how it is refused."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from glueline.geometries import BOARD_A, BOARD_B, JOINTS, Butt, FingerJoint
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.files.key_changes import all_joint_fields, changed_value, joint_fields, known_keys
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed, one, plain_corner


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("red oak", "red oak"),
        ('"red oak"', "red oak"),
        ("'red oak'", "red oak"),
        (" red oak ", "red oak"),
        ("5", 5),
        ("3/4 in", "3/4 in"),
        ("19 mm", "19 mm"),
        ('3/4"', '3/4"'),
        ("true", True),
        ("", ""),
        ("1\nx = 2", "1\nx = 2"),
        ("red oak # best", "red oak # best"),
    ],
)
def test_values_bare_or_quoted(text: str, value: object) -> None:
    """As TOML where it is TOML, else as it stands."""
    assert changed_value(text) == value


@pytest.mark.parametrize("typed", ["red oak", '"red oak"'])
def test_another_wood(typed: str, makers_folder: MakersFolder) -> None:
    """The contract's own example; the file is left as it was."""
    before = makers_folder.write(FINGER).read_bytes()
    corner = read_specimen(makers_folder.file, [("boards.wood", typed)])
    assert corner.woods[BOARD_A].name == corner.woods[BOARD_B].name == "Northern red oak"
    assert corner.as_read["boards"]["wood"] == "red oak"
    assert makers_folder.file.read_bytes() == before


def test_one_of_two_drops_the_other(makers_folder: MakersFolder) -> None:
    """Fingers and finger_width, both ways."""
    by_width = makers_folder.read(FINGER, [("joint.finger_width", "10 mm")])
    assert by_width.joint == FingerJoint(finger_width=10.0)
    assert "fingers" not in by_width.as_read["joint"]
    widths = changed(FINGER, joint__fingers=None, joint__finger_width="10 mm")
    assert makers_folder.read(widths, [("joint.fingers", "5")]).joint == FingerJoint(5)


def test_one_of_two_mends_a_file_with_both(makers_folder: MakersFolder) -> None:
    """Both in the file is an error, and both as changes, but one change says which was meant."""
    both = changed(FINGER, joint__finger_width="10 mm")
    assert one(makers_folder.wrong(both)).key == "joint.finger_width"
    assert makers_folder.read(both, [("joint.fingers", "5")]).joint == FingerJoint(5)
    problem = one(makers_folder.wrong(FINGER, [("joint.fingers", "5"), ("joint.finger_width", "10 mm")]))
    assert "cannot stand beside" in problem.message


def test_another_joint_drops_what_it_does_not_know(makers_folder: MakersFolder) -> None:
    """Only measures from the file, and only those of other joints."""
    assert makers_folder.read(FINGER, [("joint.kind", "butt")]).joint == Butt()
    assert makers_folder.read(SPLINED, [("joint.kind", "mitre")]).as_read["joint"] == {"kind": "mitre"}
    changes = [("joint.kind", "finger"), ("joint.fingers", "7")]
    assert makers_folder.read(SPLINED, changes).joint == FingerJoint(7)
    changes = [("joint.fingers", "7"), ("joint.kind", "finger")]
    assert makers_folder.read(SPLINED, changes).joint == FingerJoint(7)
    typo = changed(FINGER, joint__figners=3)
    assert one(makers_folder.wrong(typo, [("joint.kind", "butt")])).key == "joint.figners"
    problem = one(makers_folder.wrong(FINGER, [("joint.kind", "butt"), ("joint.fingers", "7")]))
    assert problem.key == "--set joint.fingers"


def test_the_last_change_of_a_key_counts(makers_folder: MakersFolder) -> None:
    """As on any command line."""
    assert makers_folder.read(FINGER, [("joint.fingers", "5"), ("joint.fingers", "7")]).joint == FingerJoint(
        7
    )


def test_a_table_that_the_file_has_not(makers_folder: MakersFolder) -> None:
    """Is made."""
    assert makers_folder.read(FINGER, [("load.arrangement", "apex press")]).arrangement.name == "apex press"


@pytest.mark.parametrize("key", known_keys())
def test_every_key_of_the_contract_can_be_changed(key: str, makers_folder: MakersFolder) -> None:
    """Known, so complained of for its value only."""
    for problem in makers_folder.wrong(FINGER, [(key, "[]")]):
        of_others = set(all_joint_fields()) - set(joint_fields(JOINTS["finger"]))
        assert "not a key" not in problem.message or key in {f"joint.{name}" for name in of_others}


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("fingers", "did you mean joint.fingers"),
        ("joint.figners", "did you mean fingers"),
        ("board.wood", "did you mean boards.wood"),
        ("boards", "TABLE.KEY"),
        ("", "TABLE.KEY"),
        (".", "TABLE.KEY"),
        ("a.b.c", "TABLE.KEY"),
        ("joint.kind.x", "did you mean kind"),
    ],
)
def test_keys_nobody_knows(key: str, said: str, makers_folder: MakersFolder) -> None:
    """The nearest one is named."""
    problem = one(makers_folder.wrong(FINGER, [(key, "5")]))
    assert problem.file == "command line"
    assert said in problem.message


def test_what_was_typed_is_shown_as_typed(makers_folder: MakersFolder) -> None:
    """And the command line is named, not the file."""
    problem = one(makers_folder.wrong(FINGER, [("boards.thickness", "19")]))
    assert (problem.file, problem.key, problem.value) == ("command line", "--set boards.thickness", "19")
    assert '"19 mm"' in problem.message


def test_mistakes_of_file_and_changes_together(makers_folder: MakersFolder) -> None:
    """All at once."""
    problems = makers_folder.wrong(
        changed(FINGER, boards__leg="150"), [("boards.width", "wide"), ("joint.x", "1")]
    )
    assert {(problem.file, problem.key) for problem in problems} == {
        (str(makers_folder.file), "boards.leg"),
        ("command line", "--set boards.width"),
        ("command line", "--set joint.x"),
    }


def test_a_changed_path_is_relative_to_here(
    makers_folder: MakersFolder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever types a path means the directory they are in; whoever writes a file means the file's."""
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    (here / "mine.toml").write_text('like = "ash"\nname = "ash here"\n', encoding="utf-8")
    (there / "mine.toml").write_text('like = "ash"\nname = "ash there"\n', encoding="utf-8")
    inside = MakersFolder(there)
    monkeypatch.chdir(here)
    written = changed(FINGER, boards__wood="mine.toml")
    assert inside.read(written).woods[BOARD_A].name == "ash there"
    assert inside.read(written, [("boards.wood", "mine.toml")]).woods[BOARD_A].name == "ash here"
    beside = os.path.relpath(inside.write(written))
    assert read_specimen(beside).woods[BOARD_A].name == "ash there"
    out = tmp_path / "elsewhere.toml"
    out.write_text(specimen_toml(read_specimen(beside)), encoding="utf-8")
    assert read_specimen(out).woods[BOARD_A].name == "ash there"


TENONED = changed(
    plain_corner("mortise and tenon"), boards__lay="frame", boards__width="60 mm", joint__tenon_depth="30 mm"
)
DOWELLED = changed(plain_corner("dowel"), joint__dowel_depth_in_a="12 mm")


@pytest.mark.parametrize(
    ("corner", "void"), [(TENONED, "tenon_depth"), (DOWELLED, "dowel_depth_in_a")], ids=["tenon", "dowel"]
)
def test_what_goes_through_has_no_depth(
    corner: dict[str, dict[str, Any]], void: str, makers_folder: MakersFolder
) -> None:
    """A change to a yes drops the file's depth, a no keeps it; the other way round says what to write."""
    assert void not in makers_folder.read(corner, [("joint.through", "true")]).as_read["joint"]
    assert void in makers_folder.read(corner, [("joint.through", "false")]).as_read["joint"]
    deep = corner["joint"][void]
    through = {**corner, "joint": {"kind": corner["joint"]["kind"], "through": True}}
    problem = one(makers_folder.wrong(through, [(f"joint.{void}", deep)]))
    assert "leave it out, or joint.through = false" in problem.message
    both = [(f"joint.{void}", deep), ("joint.through", "false")]
    assert makers_folder.read(through, both).as_read["joint"][void] == deep
