"""glueline list: the tables of woods, glues and joints, for people and as JSON, run as people run it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from glueline.geometries import JOINTS
from glueline.materials import glue_names, wood_names
from glueline.studies.commands.joint_words import fitting_range
from glueline.studies.commands.list_tables import LETTERS
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections import GLUE_MODES
from glueline.studies.corner.vocabulary import CAUTIONS, YIELD
from glueline.studies.corner.wood_modes import WOOD_MODES

ROOT = Path(__file__).parents[3]


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """``glueline list`` in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "glueline.studies.commands", "list", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def text(*arguments: str) -> str:
    """What ``glueline list`` prints."""
    done = run(*arguments)
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
    for words in (*GLUE_MODES, *WOOD_MODES, *ARRANGEMENTS, YIELD, CAUTIONS):
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
    assert found["mode"] == {"glue": list(GLUE_MODES), "wood": list(WOOD_MODES)}


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
