"""glueline list: the tables of woods, glues and joints, for people and as JSON, run as people run it."""

from __future__ import annotations

import json
import re
from dataclasses import astuple
from pathlib import Path
from typing import Any

import pytest

from glueline.geometries import JOINTS
from glueline.materials import glue_names, wood_names
from glueline.studies.commands.joint_words import fitting_range, joints_object
from glueline.studies.commands.list_tables import LETTERS
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections import FASTENER_MODES, GLUE_MODES
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.examples import EXAMPLES, example_path
from tests.studies.command_lines import glueline


def text(*arguments: str) -> str:
    """What ``glueline list`` prints."""
    done = glueline("list", *arguments)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def parsed(what: str) -> Any:
    """What ``glueline list WHAT --json`` prints, and nothing else."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(text(what, "--json"), parse_constant=refuse)


def test_woods_carry_marks_and_a_legend() -> None:
    shown = text("woods")
    for name in wood_names():
        assert f"\n{name} " in shown
    oak = next(line for line in shown.splitlines() if line.startswith("White oak"))
    assert "105 r" in oak  # bending strength as printed in the handbook
    assert "13.5 d" in oak  # 1.10 x 12.3 GPa
    for mark, letter in LETTERS.items():
        assert f"{letter} {mark}" in shown


def test_woods_in_imperial() -> None:
    oak = next(line for line in text("woods", "--units", "imperial").splitlines() if "White oak" in line)
    assert "15229 r" in oak  # 105 MPa in psi
    assert "47.6 d" in oak  # 762 kg/m3 in lb/ft3


@pytest.mark.parametrize("what", ["woods", "glues"])
def test_sources_are_printed_only_when_asked_for(what: str) -> None:
    short, long = text(what), text(what, "--sources")
    assert long.startswith(short.rstrip("\n"))
    assert "judgement" in short
    assert "Handbook" in long
    assert "Handbook" not in short


def test_every_wood_in_json_has_value_mark_and_source() -> None:
    woods = parsed("woods")["woods"]
    assert [wood["name"] for wood in woods] == list(wood_names())
    for wood in woods:
        assert wood["properties"]["bending_strength"]["unit"] == "MPa"
        for about in wood["properties"].values():
            assert about["value"] > 0
            assert about["mark"] in LETTERS
            assert about["source"]
            assert about["unit"]


def test_glues() -> None:
    shown = text("glues")
    for name in glue_names():
        assert f"\n{name}" in shown
    found = {glue["name"]: glue for glue in parsed("glues")["glues"]}
    assert set(found) == set(glue_names())
    assert (found["pva"]["opening_stiffness"], found["pva"]["shear_stiffness"]) == (8000, 2200)
    assert found["pva"]["sources"]["side_grain"]["mark"] in LETTERS
    assert "million lbf/in3" in text("glues", "--units", "imperial")


def test_joints_show_keys_surfaces_ranges_and_the_fixed_words() -> None:
    shown = text("joints")
    for kind in JOINTS.values():
        assert f"{kind.kind} (" in shown
        for place in (*kind.places, *(words.name for words in kind.surfaces)):
            assert place in shown
    for words in (*GLUE_MODES, *WOOD_MODES, *FASTENER_MODES, *ARRANGEMENTS, YIELD, CAUTIONS):
        assert words in shown
    assert "joint.fingers: number of fingers, both boards' together" in shown
    assert "or joint.finger_width instead; 2 to 45" in shown
    assert "3 mm to 25.8 mm" in shown
    assert "Any surface can have its own quality, gap and coverage" in shown
    assert "; 3/32 in to 3 29/64 in" in text("joints", "--units", "imperial")


def test_joints_in_json() -> None:
    found = parsed("joints")
    joints = {joint["kind"]: joint for joint in found["joints"]}
    assert list(joints) == list(JOINTS)
    assert joints["finger"]["where"] == list(JOINTS["finger"].places)
    assert joints["finger"]["keys"]["fingers"]["range_on_example"] == [2, 45]
    assert joints["finger"]["keys"]["fingers"]["instead_of"] == "finger_width"
    assert joints["splined mitre"]["keys"]["spline_wood"]["range_on_example"] is None
    assert found["surface_keys"] == ["quality", "gap", "coverage"]
    modes = found["mode"]
    assert modes["glue"] == list(GLUE_MODES)
    assert set(modes["wood"]) | set(modes["fastener"]) == {*WOOD_MODES, *FASTENER_MODES}
    assert not set(modes["wood"]) & set(modes["fastener"])


def test_ranges_agree_with_the_check_of_the_joint() -> None:
    """The deepest slot leaves 1 mm to the inner corner, 19 mm x sqrt 2 from the outer one."""
    least, most = fitting_range(JOINTS["splined mitre"], "spline_depth", "length") or (0.0, 0.0)
    assert least == 3.0
    assert most <= 19 * 2**0.5 - 1 < most + 0.1


def test_cautions_promise_nothing() -> None:
    for words in ("clear", "never says", "fit for use", "local codes"):
        assert words in CAUTIONS
    for words in ("energy", "eye protection", "catch blocks", "keep clear"):
        assert words in CAUTIONS
    assert "not as a break" in YIELD


def joint_examples() -> list[str]:
    """Kinds that have an example, all that ship do."""
    names = [
        kind.kind for kind in JOINTS.values() if kind.kind.replace(" ", "_").replace("-", "_") in EXAMPLES
    ]
    assert len(names) == len(EXAMPLES)
    return names


@pytest.mark.parametrize("name", joint_examples())
def test_every_kind_is_drawn_and_its_table_reads_back(name: str, tmp_path: Path) -> None:
    drawn = next(each for each in joints_object()["joints"] if each["kind"] == name)["drawing"]
    table = drawn.index("[joint]")
    example = example_path(name.replace(" ", "_").replace("-", "_"))
    _, boards, rest = example.read_text(encoding="utf-8").partition("\n[boards]")
    (tmp_path / "again.toml").write_text("\n".join(drawn[table:]) + boards + rest, encoding="utf-8")
    was, again = read_specimen(example), read_specimen(tmp_path / "again.toml")
    assert again.kind == was.kind == name
    for one, other in zip(
        *(astuple(JOINTS[name].filled(x.joint, x.boards)) for x in (again, was)), strict=True
    ):
        assert one == (pytest.approx(other, rel=1e-7) if isinstance(other, float) else other)
    key = next(line for line in drawn[:table] if line.startswith("A: "))
    letters = {part.partition(": ")[0] for part in key.split(", ")}
    shown = set("".join(drawn[: drawn.index("")])) - {" "}
    assert shown == letters
    assert all(line.isascii() and len(line) < 100 and line == line.rstrip() for line in drawn)


def test_bars_keep_the_proportions_of_the_specimen() -> None:
    """A bridle's tenon of 7 mm in 19 mm, and three splines of 3.2 mm in 90 mm of width."""
    drawn = {each["kind"]: each["drawing"] for each in joints_object()["joints"]}
    bars = {
        kind: lines[lines.index(next(w for w in lines if w.startswith("across"))) + 1]
        for kind, lines in drawn.items()
        if any(line.startswith("across") for line in lines)
    }
    assert bars["bridle"].count("B") / len(bars["bridle"]) == pytest.approx(7 / 19, abs=0.02)
    assert len(re.findall("s+", bars["splined mitre"])) == 3
    assert len(re.findall("d+", bars["dowel"])) == 3
    assert len(re.findall("[AB]s+[AB]", bars["pocket screw"])) == 2
    assert "butt" not in bars
