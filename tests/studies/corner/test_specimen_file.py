"""Specimen files: what is read from them."""

from __future__ import annotations

import dataclasses
import tomllib

import pytest

from glueline.geometries import BOARD_A, BOARD_B, JOINTS, FingerJoint, SplinedMitre
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import toml_text
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed, one, plain_corner

BUTT = changed(FINGER, joint__kind="butt", joint__fingers=None)


def test_the_contracts_own_specimen(makers_folder: MakersFolder) -> None:
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
    corner = makers_folder.read(tables)
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


def test_defaults(makers_folder: MakersFolder) -> None:
    """Lay box, sawn flat, 12 %, pva, sound gluing, diagonal compression."""
    corner = makers_folder.read(BUTT)
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
    assert corner.kind.replace(" ", "_").replace("-", "_") == name
    assert isinstance(corner.joint, JOINTS[corner.kind].parameters)


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_specimen_is_written_out_and_read_back(name: str, makers_folder: MakersFolder) -> None:
    """What --out writes as the specimen gives the same specimen."""
    first = read_specimen(example_path(name), [("boards.wood", "red oak"), ("glue.quality", "90 %")])
    second = read_specimen(makers_folder.write_text(specimen_toml(first)))
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
def test_joint_names_are_forgiving(typed: str, kind: str, makers_folder: MakersFolder) -> None:
    """Aliases, case, spaces, hyphens."""
    assert makers_folder.read(changed(SPLINED, joint__kind=typed)).kind == kind


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement(arrangement: str, makers_folder: MakersFolder) -> None:
    """As named, in capitals and with hyphens."""
    assert makers_folder.read(changed(BUTT, load__arrangement=arrangement)).arrangement.name == arrangement
    loud = arrangement.upper().replace(" ", "-")
    assert makers_folder.read(changed(BUTT, load__arrangement=loud)).arrangement.name == arrangement


def test_splines(makers_folder: MakersFolder) -> None:
    """Their wood is board A's where none is named."""
    corner = makers_folder.read(SPLINED)
    assert corner.joint == SplinedMitre(3, 3.2, 21.0, "black cherry")
    assert corner.woods["splines"].name == "Black cherry"
    unnamed = makers_folder.read(changed(SPLINED, joint__spline_wood=None))
    assert unnamed.woods["splines"] == unnamed.woods[BOARD_A]


@pytest.mark.parametrize("kind", list(JOINTS))
def test_thickness_b_only_where_it_has_a_place(kind: str, makers_folder: MakersFolder) -> None:
    """Refused plainly elsewhere."""
    tables = changed(plain_corner(kind), boards__thickness_b="12 mm")
    if JOINTS[kind].allows_thickness_b:
        assert makers_folder.read(tables).boards.thickness_b == 12.0
    else:
        problem = one(makers_folder.wrong(tables))
        assert problem.key == "boards.thickness_b"
        assert "equally thick" in problem.message
        assert "butt, finger" in problem.message


def test_a_byte_order_mark_is_forgiven(makers_folder: MakersFolder) -> None:
    """Some editors write one; others end lines by carriage returns."""
    text = makers_folder.write(BUTT).read_text(encoding="utf-8")
    makers_folder.file.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_specimen(makers_folder.file).kind == "butt"


def test_moisture_moves_the_wood_and_warns(makers_folder: MakersFolder) -> None:
    """Damp and very dry wood are read, with a word about it."""
    damp, limit, dry = (
        makers_folder.read(changed(BUTT, boards__moisture=moisture)) for moisture in ("18 %", "16 %", "3 %")
    )
    assert damp.moisture == damp.woods[BOARD_A].moisture == damp.woods[BOARD_B].moisture == 18.0
    assert (
        damp.woods[BOARD_A].bending_strength
        < limit.woods[BOARD_A].bending_strength
        < dry.woods[BOARD_A].bending_strength
    )
    assert (len(damp.warnings), len(limit.warnings), len(dry.warnings)) == (1, 0, 1)
    assert "damp" in damp.warnings[0]
    assert "dry" in dry.warnings[0]


def test_as_read_holds_what_was_typed(makers_folder: MakersFolder) -> None:
    """Not what it became."""
    corner = makers_folder.read(changed(BUTT, boards__thickness="3/4 in"))
    assert corner.as_read["boards"]["thickness"] == "3/4 in"
    assert tomllib.loads(specimen_toml(corner)) == corner.as_read


def test_limits_can_be_typed_as_they_are_shown(makers_folder: MakersFolder) -> None:
    """In both units, rounded to their allowed side."""
    boards = changed(SPLINED, boards__thickness="21 mm")
    inches = changed(SPLINED, boards__thickness="3/4 in", boards__width="4 in", boards__leg="6 in")
    for tables, wrong, limit in (
        (boards, "28.7 mm", "at most 28.6 mm"),
        (inches, "1/16 in", "at least 1/8 in"),
        (inches, "1 1/16 in", "at most 1 1/64 in"),
    ):
        assert limit in one(makers_folder.wrong(tables, [("joint.spline_depth", wrong)])).message
        makers_folder.read(tables, [("joint.spline_depth", limit.split(maxsplit=2)[2])])


def test_awkward_values_survive_being_written() -> None:
    tables = {"a b": {"x": 'q"\\\n\t\x7f\u2028é', "y": [1, 2.5, True], "z": {"k": "v"}}, "n": -3}
    assert tomllib.loads(toml_text(tables)) == tables


def test_a_rig_file_is_called_one() -> None:
    with pytest.raises(InputError) as refused:
        read_specimen(example_path("butt").with_name("bench_rig.toml"))
    (problem,) = refused.value.problems
    assert "is that of a rig" in problem.message
