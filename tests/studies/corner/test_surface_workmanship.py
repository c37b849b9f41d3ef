"""Surfaces that were glued otherwise: what a file and --set may say of them, and what is refused."""

from __future__ import annotations

import copy
import dataclasses
import tomllib
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glueline.geometries import JOINTS
from glueline.materials import SurfaceWorkmanship, Workmanship
from glueline.materials.workmanship import SURFACE_KEYS, WIDEST_GAP
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen, specimen_toml
from glueline.studies.files.key_changes import dotted, key_parts, known_keys, surfaces_of
from glueline.studies.files.toml_tables import toml_text
from tests.studies.makers_folder import FINGER, SPLINED, MakersFolder, changed, one, plain_corner

CHEEKS = "finger cheeks"
CORNERS = pytest.mark.parametrize("kind", list(JOINTS))
IN_ONE_FOLDER = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def with_surfaces(base: dict[str, Any], **surfaces: Any) -> dict[str, Any]:
    """Tables with surfaces by name, underlines for their spaces."""
    tables = copy.deepcopy(base)
    tables.setdefault("glue", {})["surfaces"] = {
        name.replace("_", " "): values for name, values in surfaces.items()
    }
    return tables


def again(corner: Specimen, makers_folder: MakersFolder) -> Specimen:
    """The specimen as written out and read."""
    written = read_specimen(makers_folder.write_text(specimen_toml(corner)))
    return dataclasses.replace(written, path=corner.path)


@CORNERS
@given(data=st.data())
@IN_ONE_FOLDER
def test_any_keys_of_any_surfaces(kind: str, makers_folder: MakersFolder, data: st.DataObject) -> None:
    """What is given stands in place of [glue], what is not follows it; it is written out and read back."""
    shares, gaps = st.integers(1, 100), st.integers(0, int(100 * WIDEST_GAP))
    values = {
        "quality": st.builds("{} %".format, st.integers(1, 200)),
        "coverage": st.builds("{} %".format, shares),
        "gap": st.builds(lambda hundredths: f"{hundredths / 100} mm", gaps),
    }
    some = st.fixed_dictionaries({}, optional=values)
    general = data.draw(some)
    own = data.draw(st.dictionaries(st.sampled_from(surfaces_of(JOINTS[kind])), some))
    corner = makers_folder.read({**plain_corner(kind), "glue": {**general, "surfaces": own}})
    number = {
        key: lambda text, key=key: float(text.split()[0]) / (1 if key == "gap" else 100) for key in values
    }
    for surface in surfaces_of(JOINTS[kind]):
        made = corner.workmanship_on(surface)
        for key in SURFACE_KEYS:
            text = own.get(surface, {}).get(key, general.get(key))
            expected = getattr(Workmanship(), key) if text is None else number[key](text)
            assert getattr(made, key) == pytest.approx(expected, rel=1e-12)
    assert again(corner, makers_folder) == corner
    assert list(corner.surface_workmanship) == [name for name in surfaces_of(JOINTS[kind]) if own.get(name)]


def test_end_grain_is_that_of_the_whole_corner(makers_folder: MakersFolder) -> None:
    tables = with_surfaces(changed(FINGER, glue__end_grain="sized"), finger_cheeks={"coverage": "60 %"})
    corner = makers_folder.read(tables)
    assert corner.workmanship_on(CHEEKS) == Workmanship(coverage=0.6, end_grain="sized")
    assert corner.workmanship_on("notch floors of board A") == Workmanship(end_grain="sized")
    tables["glue"]["surfaces"][CHEEKS]["end_grain"] = "sized"
    problem = one(makers_folder.wrong(tables))
    assert problem.key == "glue.surfaces.finger cheeks.end_grain"
    assert '[glue.surfaces."finger cheeks"] may hold coverage, gap, quality' in problem.message


WRONG = [
    ({"finger cheeks": {"coverage": "half"}}, "finger cheeks.coverage", '"half"', "%"),
    ({"finger cheeks": {"coverage": "0 %"}}, "finger cheeks.coverage", '"0 %"', "above zero"),
    ({"finger cheeks": {"coverage": "101 %"}}, "finger cheeks.coverage", '"101 %"', "at most 1"),
    ({"finger cheeks": {"coverage": 0.6}}, "finger cheeks.coverage", "0.6", "%"),
    ({"finger cheeks": {"gap": "2 mm"}}, "finger cheeks.gap", '"2 mm"', "0.5 mm"),
    ({"finger cheeks": {"gap": "-1 mm"}}, "finger cheeks.gap", '"-1 mm"', "below zero"),
    ({"finger cheeks": {"quality": "900 %"}}, "finger cheeks.quality", '"900 %"', "at most 2"),
    ({"finger cheeks": {"covrage": "9 %"}}, "finger cheeks.covrage", '"9 %"', "did you mean coverage"),
    ({"finger cheks": {"gap": "0 mm"}}, "finger cheks", "{...}", 'did you mean "finger cheeks"'),
    ({"mitre": {"gap": "0 mm"}}, "mitre", "{...}", "not a surface of a finger corner"),
    ({"": {}}, "", "{}", "notch floors of board B, notch floors of board A or finger cheeks"),
    ({"finger cheeks": "60 %"}, "finger cheeks", '"60 %"', "must be a table"),
    ({"finger cheeks": {}, "Finger-Cheeks": {}}, "Finger-Cheeks", "{}", "once more"),
]


@pytest.mark.parametrize(("surfaces", "key", "value", "said"), WRONG, ids=[str(each[1]) for each in WRONG])
def test_one_mistake_is_said_once(
    surfaces: dict[str, Any], key: str, value: str, said: str, makers_folder: MakersFolder
) -> None:
    """File, key, value, what would be right."""
    problem = one(makers_folder.wrong({**FINGER, "glue": {"surfaces": surfaces}}))
    assert problem.file == str(makers_folder.file)
    assert problem.key == f"glue.surfaces.{key}".rstrip(".")
    assert problem.value == value
    assert said in problem.message


@pytest.mark.parametrize("key", SURFACE_KEYS)
@pytest.mark.parametrize("value", ["nothing", "0 %", "-3 %", "300 %", "7 mm", 5, True, [1]])
def test_a_surface_is_refused_as_the_whole_corner_is(
    key: str, value: Any, makers_folder: MakersFolder
) -> None:
    """The same limits, the same words."""
    general = one(makers_folder.wrong(changed(FINGER, **{f"glue__{key}": value})))
    own = one(makers_folder.wrong(with_surfaces(FINGER, finger_cheeks={key: value})))
    assert (own.message, own.value) == (general.message, general.value)
    assert own.key == f"glue.surfaces.finger cheeks.{key}"


def test_all_mistakes_at_once(makers_folder: MakersFolder) -> None:
    tables = with_surfaces(
        changed(FINGER, glue__gap="9 mm", boards__leg="1 mm"),
        finger_cheeks={"coverage": "half", "gap": "9 mm"},
        finger_cheks={"quality": 3},
    )
    found = [problem.key for problem in makers_folder.wrong(tables)]
    assert sorted(found) == [
        "boards.leg",
        "glue.gap",
        "glue.surfaces.finger cheeks.coverage",
        "glue.surfaces.finger cheeks.gap",
        "glue.surfaces.finger cheks",
        "glue.surfaces.finger cheks.quality",
    ]


def test_surfaces_are_tables(makers_folder: MakersFolder) -> None:
    problem = one(makers_folder.wrong(changed(FINGER, glue__surfaces="60 %")))
    assert problem.key == "glue.surfaces"
    assert '[glue.surfaces."finger cheeks"]' in problem.message


@pytest.mark.parametrize(
    "key",
    [
        "glue.surfaces.finger cheeks.coverage",
        'glue.surfaces."finger cheeks".coverage',
        " glue.surfaces.'Finger-cheeks'.coverage ",
        "glue.surfaces.FINGER_CHEEKS. coverage",
    ],
)
@pytest.mark.parametrize("written", ["finger cheeks", "Finger_Cheeks"])
def test_a_change_reaches_a_surface_however_it_is_written(
    key: str, written: str, makers_folder: MakersFolder
) -> None:
    """And leaves what else the file says of it; the file itself stays."""
    assert dotted(key) == "glue.surfaces.finger cheeks.coverage"
    file = {**FINGER, "glue": {"surfaces": {written: {"coverage": "90 %", "gap": "0.1 mm"}}}}
    corner = makers_folder.read(file, [(key, "60 %")])
    assert corner.surface_workmanship == {CHEEKS: SurfaceWorkmanship(coverage=0.6, gap=0.1)}
    assert again(corner, makers_folder) == corner
    assert makers_folder.read(FINGER, [(key, "60 %")]).surface_workmanship[CHEEKS].coverage == 0.6
    problem = one(makers_folder.wrong(file, [(key, "60")]))
    assert (problem.file, problem.key) == ("command line", "--set glue.surfaces.finger cheeks.coverage")
    assert problem.value == "60"


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("glue.surfaces", "glue.surfaces.SURFACE.KEY"),
        ("glue.surfaces.finger cheeks", "glue.surfaces.SURFACE.KEY"),
        ("glue.surfaces..coverage", "glue.surfaces.SURFACE.KEY"),
        ("glue.surfaces.finger cheeks.", "glue.surfaces.SURFACE.KEY"),
        ("surfaces.finger cheeks.coverage", "did you mean glue.surfaces.finger cheeks.coverage"),
        ("glue.surfaces.finger cheks.coverage", 'did you mean "finger cheeks"'),
        ("glue.surfaces.mitre.coverage", "not a surface of a finger corner"),
        ("glue.surfaces.finger cheeks.covrage", "did you mean coverage"),
    ],
)
def test_changes_that_reach_no_surface(key: str, said: str, makers_folder: MakersFolder) -> None:
    problem = one(makers_folder.wrong(FINGER, [(key, "60 %")]))
    assert (problem.file, problem.key, problem.value) == ("command line", f"--set {key}", "60 %")
    assert said in problem.message


def test_another_joint_drops_the_surfaces_it_has_not(makers_folder: MakersFolder) -> None:
    """As it drops the measures of the old one: those of the file only, and no slip of the pen."""
    own = {"coverage": "60 %"}
    splined = with_surfaces(SPLINED, mitre=own, spline_cheeks_in_board_A=own)
    corner = makers_folder.read(splined, [("joint.kind", "mitre")])
    assert list(corner.surface_workmanship) == ["mitre"]
    assert corner.as_read["glue"]["surfaces"] == {"mitre": own}
    fingers = with_surfaces(FINGER, finger_cheeks=own)
    butt = makers_folder.read(fingers, [("joint.kind", "butt")])
    assert "surfaces" not in butt.as_read["glue"]
    assert butt.surface_workmanship == {}
    typed = ("glue.surfaces.finger cheeks.gap", "0.1 mm")
    for changes in ([("joint.kind", "butt"), typed], [typed, ("joint.kind", "butt")]):
        assert one(makers_folder.wrong(fingers, changes)).key == f"--set {typed[0]}"
    slip = with_surfaces(FINGER, finger_cheks=own)
    assert one(makers_folder.wrong(slip, [("joint.kind", "butt")])).key == "glue.surfaces.finger cheks"


@given(st.text(max_size=30), st.sampled_from(known_keys()))
def test_every_known_key_leads_somewhere(text: str, known: str) -> None:
    """Two or four parts; any other text is refused or leads to a table of a specimen."""
    assert ".".join(key_parts(known)) == known
    assert len(key_parts(text)) in (0, 2, 4)
    assert len(key_parts(f"glue.surfaces.{text}")) in (0, 4)


nested = st.recursive(
    st.one_of(st.integers(), st.text(max_size=5), st.lists(st.booleans(), max_size=2)),
    lambda inside: st.dictionaries(st.text(max_size=5), inside, max_size=3),
    max_leaves=12,
)


@given(st.dictionaries(st.text(max_size=5), nested, max_size=4))
def test_tables_within_tables_survive_being_written(tables: dict[str, Any]) -> None:
    assert tomllib.loads(toml_text(tables)) == tables


def test_surfaces_are_written_as_tables(makers_folder: MakersFolder) -> None:
    """So that a maker can go on with what --out wrote."""
    text = specimen_toml(makers_folder.read(FINGER, [("glue.surfaces.finger cheeks.coverage", "60 %")]))
    assert '[glue.surfaces."finger cheeks"]\ncoverage = "60 %"\n' in text


def test_a_surface_keeps_to_the_limits_of_workmanship() -> None:
    """Also where none has read it from a file; all that is wrong at once."""
    with pytest.raises(ValueError, match=r"gap = 0.9 mm.*coverage = 0 "):
        SurfaceWorkmanship(gap=0.9, coverage=0.0)


def test_a_surface_that_this_corner_lacks_is_said_to_change_nothing(makers_folder: MakersFolder) -> None:
    """A kind may have surfaces that its corner has not: dowels of a frame in a box."""
    lacking, there = "dowel 1 in board A", "dowels in board A"
    tables = {**plain_corner("dowel"), "glue": {"surfaces": {lacking: {"coverage": "50 %"}}}}
    (note,) = (each for each in makers_folder.read(tables).warnings if "changes nothing" in each)
    assert lacking in note
    tables["glue"] = {"surfaces": {there: {"coverage": "50 %"}}}
    assert not any("changes nothing" in each for each in makers_folder.read(tables).warnings)
