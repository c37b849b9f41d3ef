"""Keys that may be left to the boards: read, filled in, shown; yes or no, choices, slopes; one lay."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import pytest

from glueline.geometries import JOINTS, Dovetail, MortiseAndTenon
from glueline.studies.bench_day.plan.cut_list import blanks_of
from glueline.studies.commands import main
from glueline.studies.corner.proportions import proportions_note, said
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import example_path
from glueline.studies.files.key_changes import joint_fields
from glueline.studies.sweeps.points import cross
from glueline.studies.sweeps.sweep_words import key_words
from glueline.studies.sweeps.vary import parse_varied
from tests.studies.makers_folder import MakersFolder, changed, one, plain_corner

TENON, TAILS = plain_corner("mortise and tenon"), plain_corner("dovetail")
ONE_LAY = [kind for kind, joint in JOINTS.items() if len(joint.lays) == 1]
ALL_LEFT_OUT = [
    kind
    for kind, joint in JOINTS.items()
    if not any(about["required"] for about in joint_fields(joint).values())
]


def test_the_first_four_need_their_counts_and_the_others_nothing() -> None:
    assert set(JOINTS) - set(ALL_LEFT_OUT) == {"finger", "splined mitre"}


@pytest.mark.parametrize("kind", ALL_LEFT_OUT)
def test_a_kind_is_read_from_its_name_alone(kind: str, makers_folder: MakersFolder) -> None:
    corner = makers_folder.read(plain_corner(kind))
    assert corner.boards.lay == JOINTS[kind].lays[0]
    assert {each.key for each in corner.left_out} == {
        name
        for name, about in joint_fields(JOINTS[kind]).items()
        if "default" in about and about["quantity"] != "wood name"
    }
    again = read_specimen(makers_folder.write_text(specimen_toml(corner)))
    assert dataclasses.replace(again, path=corner.path) == corner


def test_what_is_given_is_not_left_out(makers_folder: MakersFolder) -> None:
    corner = makers_folder.read(changed(TENON, joint__tenon_width="50 mm", joint__haunch=True))
    assert corner.joint == MortiseAndTenon(tenon_width=50.0, haunch=True)
    assert (
        said(corner.left_out, "metric")
        == "tenon thickness 6.333 mm, tenon depth 60 mm, no passage through board A"
    )
    tails = makers_folder.read(changed(TAILS, joint__slope="1:4", joint__tails_on="b"))
    assert tails.joint == Dovetail(slope=0.25, tails_on="B")
    assert said(tails.left_out, "imperial") == "number of tails 3, width of a half pin 0.197 in"
    fitted = makers_folder.read(plain_corner("slot fitting"))
    # By hand: 400 N over 4.448 N a pound, 400 N/mm times 25.4 mm an inch more.
    assert said(fitted.left_out, "imperial").endswith("strength 89.92 lbf, fitting stiffness 2284 lbf/in")


def test_a_proportion_follows_boards_that_change(makers_folder: MakersFolder) -> None:
    thick = makers_folder.read(TENON, [("boards.thickness", "24 mm")])
    assert {each.key: each.value for each in thick.left_out}["tenon_thickness"] == pytest.approx(8.0)


@pytest.mark.parametrize("kind", ONE_LAY)
def test_the_other_lay_is_refused_in_words(kind: str, makers_folder: MakersFolder) -> None:
    (own,) = JOINTS[kind].lays
    other = "frame" if own == "box" else "box"
    problem = one(makers_folder.wrong(changed(plain_corner(kind), boards__lay=other)))
    assert (problem.key, problem.value) == ("boards.lay", f'"{other}"')
    assert f'must be "{own}"' in problem.message
    assert "as in a" in problem.message
    assert makers_folder.read(changed(plain_corner(kind), boards__lay=own)).boards.lay == own


@pytest.mark.parametrize(
    ("base", "change", "key", "words"),
    [
        (TENON, {"joint__through": "true"}, "joint.through", "without quotes"),
        (TENON, {"joint__through": 1}, "joint.through", "true or false"),
        (TENON, {"joint__haunch": []}, "joint.haunch", "true or false"),
        (TENON, {"joint__tenon_width": 40}, "joint.tenon_width", '"40 mm"'),
        (TENON, {"joint__through": True, "joint__tenon_depth": "30 mm"}, "joint.tenon_depth", "90 mm"),
        (TAILS, {"joint__tails_on": "C"}, "joint.tails_on", "A or B"),
        (TAILS, {"joint__tails_on": True}, "joint.tails_on", "quotes"),
        (TAILS, {"joint__slope": 7}, "joint.slope", '"1:7"'),
        (TAILS, {"joint__slope": "7:1"}, "joint.slope", '"1:7"'),
        (TAILS, {"joint__slope": "1:0"}, "joint.slope", '"1:7"'),
        (TAILS, {"joint__slope": "0:7"}, "joint.slope", '"1:7"'),
        (TAILS, {"joint__slope": "steep"}, "joint.slope", '"1:7"'),
        (TAILS, {"joint__slope": "1:2"}, "joint.slope", "1:3"),
        (TAILS, {"joint__tails": 0}, "joint.tails", "at least 1"),
    ],
)
def test_what_is_wrong_with_a_value_is_said(
    base: dict[str, dict[str, object]],
    change: dict[str, object],
    key: str,
    words: str,
    makers_folder: MakersFolder,
) -> None:
    problem = one(makers_folder.wrong(changed(base, **change)))
    assert problem.key == key
    assert words in problem.message


def test_they_are_set_and_varied(makers_folder: MakersFolder) -> None:
    """Also a slope, whose colon is no range."""
    assert makers_folder.read(TENON, [("joint.through", "true")]).joint.through is True
    assert makers_folder.read(TAILS, [("joint.slope", "1:6")]).joint.slope == pytest.approx(1 / 6)
    varied = parse_varied(["joint.slope=1:4,1:7", "joint.tails=2:3", "joint.tails_on=A,B"])
    points = cross(str(makers_folder.write(TAILS)), [], varied)
    joints = [point.specimen.joint for point in points if point.specimen is not None]
    assert len(joints) == 8
    assert {joint.slope for joint in joints} == {1 / 4, 1 / 7}
    assert {(joint.tails, joint.tails_on) for joint in joints} == {(2, "A"), (2, "B"), (3, "A"), (3, "B")}
    assert key_words("joint.slope") == "slope of the tails"
    yes, no = cross(str(makers_folder.write(TENON)), [], parse_varied(["joint.through=true,false"]))
    assert yes.specimen is not None
    assert no.specimen is not None
    assert (yes.specimen.joint.through, no.specimen.joint.through) == (True, False)


def test_another_kind_in_a_file_brings_its_own_defaults(makers_folder: MakersFolder) -> None:
    corner = makers_folder.read(plain_corner("finger"), [("joint.kind", "dovetail")])
    assert corner.joint == Dovetail()


def test_they_are_on_the_cut_list_and_in_the_record(
    makers_folder: MakersFolder, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    corner = makers_folder.read(TENON)
    blank = blanks_of("tenon", corner, 3.0, 1.0)[0]
    assert "tenon width 60 mm" in blank.ends("metric")
    out = tmp_path / "out"
    assert main(["predict", str(makers_folder.file), "--method", "elastic", "--out", str(out)]) == 0
    assert "Left to common practice, which has no source: tenon thickness 6.333 mm" in capsys.readouterr().out
    (recorded,) = json.loads((out / "provenance.json").read_text())["corners"]
    assert recorded["left_out"] == {
        "joint.tenon_thickness": "6.3333333 mm",
        "joint.tenon_width": "60 mm",
        "joint.tenon_depth": "60 mm",
        "joint.through": False,
        "joint.haunch": False,
    }


def test_a_corner_that_leaves_nothing_out_says_nothing() -> None:
    assert read_specimen(example_path("butt")).left_out == ()
    assert proportions_note(()) == ()
