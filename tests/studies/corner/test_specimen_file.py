"""Specimen files: what is read, and what is said about everything that is wrong."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from glueline.geometries import BOARD_A, BOARD_B, FingerJoint, SplinedMitre
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import toml_text

ROOT = Path(__file__).parents[3]
BOARDS = 'thickness = "19 mm"\nwidth = "90 mm"\nleg = "150 mm"\nwood = "hard maple"\n'
FINGER = f'[joint]\nkind = "finger"\nfingers = 9\n[boards]\n{BOARDS}'
MITRE = f'[joint]\nkind = "mitre"\n[boards]\n{BOARDS}'


def read(folder: Path, text: str | bytes, *changes: str) -> Specimen:
    """The specimen in ``text``, with changes as KEY=VALUE."""
    path = folder / "corner.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    pairs = [change.partition("=") for change in changes]
    return read_specimen(path, [(key, value) for key, _, value in pairs])


def refused(folder: Path, text: str | bytes, *changes: str) -> str:
    """What is said about a text that must be refused."""
    with pytest.raises(InputError) as caught:
        read(folder, text, *changes)
    return str(caught.value)


def test_the_examples_are_read() -> None:
    kinds = [read_specimen(example_path(name)).kind for name in EXAMPLES]
    assert kinds == ["butt", "mitre", "finger", "splined mitre"]
    splined = read_specimen(example_path("splined_mitre"))
    assert splined.joint == SplinedMitre(3, 3.2, 21.0, "black cherry")
    assert splined.woods["splines"].name == "Black cherry"
    assert splined.boards.leg == 150.0


def test_defaults(tmp_path: Path) -> None:
    found = read(tmp_path, FINGER)
    assert found.joint == FingerJoint(fingers=9)
    assert (found.boards.lay, found.sawn, found.moisture) == ("box", "flat", 12.0)
    assert (found.glue.name, found.arrangement.name) == ("pva", "diagonal compression")
    assert (found.workmanship.quality, found.workmanship.gap, found.workmanship.coverage) == (1.0, 0.0, 1.0)
    assert found.woods[BOARD_B] is found.woods[BOARD_A]
    assert found.warnings == ()


@pytest.mark.parametrize("kind", ["Splined-Mitre", "keyed mitre", " KEYED_mitre "])
def test_names_forgive_case_space_and_hyphen(tmp_path: Path, kind: str) -> None:
    measures = 'splines = 2\nspline_thickness = "1/8 in"\nspline_depth = "20 mm"'
    text = MITRE.replace('"mitre"', f'"{kind}"\n{measures}')
    found = read(tmp_path, text + '[load]\narrangement = "Diagonal-Tension"\n')
    assert found.kind == "splined mitre"
    assert found.arrangement.name == "diagonal tension"
    assert found.woods["splines"] == found.woods[BOARD_A]


def test_everything_wrong_is_said_at_once(tmp_path: Path) -> None:
    said = refused(
        tmp_path,
        """
[joint]
kind = "finger"
fingers = true
finger = 3
[boards]
thickness = 19
width = "-90 mm"
leg = "nan mm"
wood = "hard mapel"
lay = "bix"
moisture = "999 %"
[glue]
kind = "pvb"
gap = "3 mm"
coverage = "0 %"
[lode]
arrangement = "sideways"
""",
    )
    for expected in (
        "joint.fingers = true: must be a whole number",
        "joint.finger = 3: is not a key known here: did you mean fingers?",
        'boards.thickness = 19: has no unit: write it in quotes with its unit, such as "19 mm"',
        'boards.width = "-90 mm": must be above zero',
        'boards.leg = "nan mm": is not a number that can be measured',
        'boards.wood = "hard mapel": is not a wood known here: did you mean "Sugar (hard) maple"',
        'boards.lay = "bix": is not known here: did you mean "box"?',
        'boards.moisture = "999 %": cannot be used',
        'glue.kind = "pvb": is not a glue known here: did you mean "pva"',
        'glue.gap = "3 mm": should be 0 to 0.5 mm',
        'glue.coverage = "0 %": must be above zero',
        "lode = {...}: is not a key known here: did you mean load?",
    ):
        assert expected in said, said
    assert all(line.startswith(str(tmp_path / "corner.toml")) for line in said.splitlines())


def test_missing_keys_say_what_would_be_right(tmp_path: Path) -> None:
    said = refused(tmp_path, "[joint]\n")
    for key in ("joint.kind", "boards.thickness", "boards.width", "boards.leg", "boards.wood"):
        assert f"{key}: is missing" in said
    said = refused(tmp_path, FINGER.replace("fingers = 9\n", ""))
    assert "a finger corner needs joint.fingers or joint.finger_width" in said
    said = refused(tmp_path, MITRE.replace('"mitre"', '"splined mitre"'))
    for key in ("joint.splines", "joint.spline_thickness", "joint.spline_depth"):
        assert f"{key}: is missing" in said


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "is empty"),
        (b"  \n\n", "is empty"),
        (b"\xef\xbb\xbf", "is empty"),
        (b"kind = \n", "line 1"),
        (b"[joint]\nkind 'a'\n", "line 2, column"),
        (b"a = 1\na = 2\n", "is not valid TOML"),
        (b"\xff\xfe", "is not UTF-8"),
        (b"a = " + b"[" * 50_000, "is not valid TOML"),
        (b"a = " + b"9" * 5000, "is not valid TOML"),
        (b"#" * 1_000_001, "is larger than"),
        (b"joint = 3\n", "joint = 3: must be a table"),
        (b"[[joint]]\n", "joint = [...]: must be a table"),
    ],
)
def test_files_that_are_not_what_they_should_be(tmp_path: Path, content: bytes, expected: str) -> None:
    assert expected in refused(tmp_path, content)


def test_paths_that_lead_to_no_file(tmp_path: Path) -> None:
    for path, expected in (
        (tmp_path / "nothing.toml", "no such file"),
        (tmp_path, "is a directory"),
        ("a\0b", "cannot be read"),
        (tmp_path / ("x" * 5000), "cannot be read"),
    ):
        with pytest.raises(InputError, match=expected):
            read_specimen(path)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="is not a plain file"):
        read_specimen(pipe)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_permission(tmp_path: Path) -> None:
    path = tmp_path / "corner.toml"
    path.write_text(FINGER)
    path.chmod(0)
    with pytest.raises(InputError, match="no permission"):
        read_specimen(path)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ("joint.fingers=0", "at least 2"),
        ("joint.fingers=-3", "at least 2"),
        ("joint.fingers=9.0", "whole number"),
        ('joint.fingers="9"', "write 9, without quotes"),
        ("joint.fingers=" + "9" * 400, "at most 10000"),
        ("joint.fingers=1", "at least 2"),
        ("joint.fingers=60", "at most 45"),
        ("joint.finger_width=0 mm", "above zero"),
        ("joint.finger_width=inf", "has no unit"),
        ("boards.thickness=", "is empty"),
        ("boards.thickness=true", "must be a length"),
        ("boards.thickness=[1]", "must be a length"),
        ("boards.thickness=9999999999 mm", "too large"),
        ("boards.thickness=2.9 mm", "between 3 mm and 300 mm"),
        ("boards.leg=40 mm", "is too short"),
        ("boards.wood=3", "must be a text in quotes"),
        ("boards.wood=mahogany", "could be more than one wood"),
        ("boards.wood=" + "o" * 500, "too long"),
        ("boards.wood=nowhere/oak.toml", "no such file"),
        ("boards.moisture=12", "has no unit"),
        ("boards.moisture=0 %", "cannot be used"),
        ("boards.moisture=0.12", "has no unit"),
        ("glue.kind=none", "needs a glue"),
        ("glue.quality=0 %", "above zero"),
        ("glue.quality=900 %", "should be"),
        ("glue.end_grain=wet", "plain or sized"),
        ("load.arrangement=apex", 'did you mean "apex press"?'),
        ("fingers=9", "did you mean joint.fingers?"),
        ("board.wood=oak", "did you mean boards.wood"),
        ("=3", "is not a key known here"),
    ],
)
def test_changes_that_are_wrong_name_the_change(tmp_path: Path, change: str, expected: str) -> None:
    said = refused(tmp_path, FINGER, change)
    assert expected in said
    assert said.startswith(f"command line: --set {change.partition('=')[0]} = ")
    assert len(said.splitlines()) == 1


def test_values_of_changes_bare_or_quoted(tmp_path: Path) -> None:
    for value in ("red oak", '"red oak"', "'Northern red oak'"):
        assert read(tmp_path, FINGER, f"boards.wood={value}").woods[BOARD_A].name == "Northern red oak"
    assert read(tmp_path, FINGER, "boards.thickness=3/4 in").boards.thickness == 19.05
    assert read(tmp_path, FINGER, 'boards.thickness=3/4"').boards.thickness == 19.05


def test_fingers_or_finger_width(tmp_path: Path) -> None:
    both = FINGER.replace("fingers = 9", 'fingers = 9\nfinger_width = "10 mm"')
    assert "cannot stand beside joint.fingers" in refused(tmp_path, both)
    assert read(tmp_path, FINGER, "joint.finger_width=10 mm").joint == FingerJoint(finger_width=10.0)
    width = FINGER.replace("fingers = 9", 'finger_width = "10 mm"')
    assert read(tmp_path, width, "joint.fingers=5").joint == FingerJoint(fingers=5)
    said = refused(tmp_path, FINGER, "joint.fingers=5", "joint.finger_width=10 mm")
    assert "cannot stand beside" in said


def test_another_kind_of_joint_drops_what_it_has_no_use_for(tmp_path: Path) -> None:
    assert read(tmp_path, FINGER, "joint.kind=mitre").kind == "mitre"
    found = read_specimen(example_path("splined_mitre"), [("joint.kind", "finger"), ("joint.fingers", "7")])
    assert found.joint == FingerJoint(fingers=7)
    assert list(found.woods) == [BOARD_A, BOARD_B]
    said = refused(tmp_path, FINGER.replace("fingers", "fingerz"), "joint.kind=mitre")
    assert "joint.fingerz" in said


def test_thickness_b_only_where_the_boards_may_differ(tmp_path: Path) -> None:
    assert read(tmp_path, FINGER, "boards.thickness_b=12 mm").boards.thickness_b == 12.0
    said = refused(tmp_path, MITRE, "boards.thickness_b=12 mm")
    assert "equally thick" in said
    assert "butt or finger" in said


def test_geometry_is_told_in_the_units_of_the_file(tmp_path: Path) -> None:
    inches = FINGER.replace("19 mm", "3/4 in").replace("90 mm", "3 1/2 in").replace("150 mm", "2 in")
    said = refused(tmp_path, inches)
    assert 'boards.leg = "2 in": is too short for boards 3/4 in deep' in said
    assert "at least 2 1/4 in" in said
    assert "19 mm deep" in refused(tmp_path, FINGER, "boards.leg=2 in")


def test_limits_can_be_typed_as_they_are_shown(tmp_path: Path) -> None:
    splined = read_specimen(example_path("splined_mitre")).as_read
    text = toml_text(splined).replace("19 mm", "21 mm")
    assert "at most 28.6 mm" in refused(tmp_path, text, "joint.spline_depth=28.7 mm")
    assert read(tmp_path, text, "joint.spline_depth=28.6 mm").joint.spline_depth == 28.6
    inches = text.replace("21 mm", "3/4 in").replace("90 mm", "4 in").replace("150 mm", "6 in")
    assert "at least 1/8 in" in refused(tmp_path, inches, "joint.spline_depth=1/16 in")
    assert "at most 1 1/64 in" in refused(tmp_path, inches, "joint.spline_depth=1 1/16 in")
    assert read(tmp_path, inches, "joint.spline_depth=1 1/64 in").joint.spline_depth > 25


def test_boards_are_checked_even_if_the_joint_is_not_known(tmp_path: Path) -> None:
    said = refused(tmp_path, FINGER.replace('"finger"', '"fingre"').replace("150 mm", "20 mm"))
    assert 'did you mean "finger"?' in said
    assert "is too short" in said
    assert len(said.splitlines()) == 2


def test_moisture_moves_the_wood_and_warns(tmp_path: Path) -> None:
    usual = read(tmp_path, FINGER)
    damp, dry = read(tmp_path, FINGER, "boards.moisture=18 %"), read(tmp_path, FINGER, "boards.moisture=4 %")
    assert (
        damp.woods[BOARD_A].bending_strength
        < usual.woods[BOARD_A].bending_strength
        < dry.woods[BOARD_A].bending_strength
    )
    assert damp.woods[BOARD_B].moisture == 18.0
    assert ["damp" in damp.warnings[0], "dry" in dry.warnings[0]] == [True, True]


def test_a_specimen_written_out_reads_back_the_same(tmp_path: Path) -> None:
    (tmp_path / "oak.toml").write_text('like = "white oak"\ndensity = "700 kg/m3"\n')
    changes = ("boards.thickness=3/4 in", "glue.quality=80 %", f"boards.wood={tmp_path}/oak.toml")
    found = read(tmp_path, FINGER, *changes)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "copy.toml").write_text(specimen_toml(found))
    again = read_specimen(elsewhere / "copy.toml")
    assert (again.joint, again.boards, again.workmanship) == (found.joint, found.boards, found.workmanship)
    assert again.woods[BOARD_A] == found.woods[BOARD_A]


def test_awkward_values_survive_being_written() -> None:
    tables = {"a b": {"x": 'q"\\\n\t\x7f\u2028é', "y": [1, 2.5, True], "z": {"k": "v"}}, "n": -3}
    assert tomllib.loads(toml_text(tables)) == tables


def test_an_own_wood(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    wood = tmp_path / "mine" / "oak.toml"
    text = FINGER.replace("hard maple", "mine/oak.toml")
    wood.write_text('like = "white oak"\nname = "my oak"\ndensity = "700 kg/m3"\nstiffness = "11 GPa"\n')
    found = read(tmp_path, text)
    assert (found.woods[BOARD_A].name, found.woods[BOARD_A].density) == ("my oak", pytest.approx(700))
    assert found.woods[BOARD_A].modulus_along == pytest.approx(1.1 * 11_000)
    wood.write_text(
        'like = "white oak"\n[sag]\nspan = "36 in"\nweight = "10 kg"\nsag = "2.5 mm"\nthickness = "3/4 in"\n'
        'width = "90 mm"\n'
    )
    assert 8_000 < read(tmp_path, text).woods[BOARD_A].modulus_along < 20_000
    wood.write_text('like = "wite oak"\ndensty = "700 kg/m3"\nstiffness = 11\n[sag]\nspan = "1 mm"\n')
    said = refused(tmp_path, text)
    for expected in (
        f'{wood}: like = "wite oak": is not a wood known here: did you mean "White oak"',
        "densty",
        "did you mean density?",
        "stiffness = 11: has no unit",
        "sag.weight: is missing",
    ):
        assert expected in said, said
    wood.write_text('like = "white oak"\ndensity = "70 kg/m3"\n')
    assert "should lie between" in refused(tmp_path, text)
    wood.write_text("oak")
    assert f"{wood}: is not valid TOML" in refused(tmp_path, text)


def test_paths_on_the_command_line_are_relative_to_where_one_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = tmp_path / "here"
    here.mkdir()
    (here / "oak.toml").write_text('like = "white oak"\n')
    monkeypatch.chdir(here)
    assert read(tmp_path, FINGER, "boards.wood=oak.toml").woods[BOARD_A].name == "oak"
    assert "no such file" in refused(tmp_path, FINGER.replace("hard maple", "oak.toml"))


def test_an_own_glue(tmp_path: Path) -> None:
    glue = tmp_path / "glue.toml"
    text = FINGER + '[glue]\nkind = "glue.toml"\n'
    glue.write_text('like = "pva"\nquality = "80 %"\n[side_grain]\nopening_strength = 6.5\n')
    found = read(tmp_path, text).glue
    usual = read(tmp_path, FINGER).glue
    assert (found.name, found.quality, found.side_grain.opening_strength) == ("glue", 0.8, 6.5)
    assert found.side_grain.shear_strength == usual.side_grain.shear_strength
    assert "own glue file" in found.sources["side_grain.opening_strength"].source
    glue.write_text('name = "x"\nsofening = "linear"\nfilm_thickness = "much"\n')
    said = refused(tmp_path, text)
    for expected in (f"{glue}: sofening", "film_thickness = ", "side_grain", "opening_stiffness: missing"):
        assert expected in said, said
    glue.write_text('like = "none"\n')
    assert "dry joint" in refused(tmp_path, text)


def test_errors_reach_the_shell_as_one_message_and_status_2(tmp_path: Path) -> None:
    path = tmp_path / "corner.toml"
    path.write_text(FINGER)
    command = [sys.executable, "-m", "glueline.studies.commands", "predict", str(path), "--json"]
    done = subprocess.run(
        [*command, "--set", "joint.fingers=1"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("command line: --set joint.fingers = 1: must be at least 2")
    assert done.stderr.count("\n") == 1
