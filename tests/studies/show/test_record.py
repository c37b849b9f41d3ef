"""What a directory keeps beside its answers: versions, inputs, and the source of every value used."""

from __future__ import annotations

import json
import os
from pathlib import Path

import numpy
import pytest
import scipy

from glueline import predict, read_specimen
from glueline.materials import MARKS, find_glue, find_wood, glue_names, glue_source
from glueline.materials.wood import PROPERTIES
from glueline.studies.commands import main
from glueline.studies.corner.connections.cheek import GluedCheek
from glueline.studies.corner.connections.glue_line import GluedLine
from glueline.studies.corner.material_values import NOT_STATED, Material, MaterialValue
from glueline.studies.corner.materials_used import materials_used, merged
from glueline.studies.corner.model import build_corner
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.json_text import read_json
from glueline.studies.files.own_files import read_glue_file
from glueline.studies.predict.request import Request
from glueline.studies.show.record import LIBRARIES, Record, record_text, recorded_corner, versions
from glueline.studies.show.write_results import provenance_text
from tests.studies.makers_folder import MakersFolder


def used(name: str, *changes: tuple[str, str]) -> list[Material]:
    return list(materials_used(build_corner(read_specimen(str(example_path(name)), changes))))


def values(entry: Material) -> dict[str, MaterialValue]:
    return {value.key: value for value in entry.values}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_value_of_the_examples_has_a_source(name: str) -> None:
    """Packaged woods and glues leave no number without source and mark, bonds included."""
    entries = used(name)
    assert {entry.kind for entry in entries} == {"wood", "glue", "bond"}
    for entry in entries:
        assert entry.values, entry.name
        for value in entry.values:
            if value.value is None:
                continue  # a limit that does not act
            assert value.mark in MARKS, (entry.name, value.key)
            assert value.source != NOT_STATED
            assert len(value.source) > 10


def test_a_wood_is_recorded_as_it_was_used() -> None:
    boards = used("butt")[0]
    maple = find_wood("hard maple")
    assert boards.used_for == ("board A", "board B")
    assert {key: value.value for key, value in values(boards).items()} == {
        key: getattr(maple, key) for key in PROPERTIES
    }
    assert values(boards)["bending_strength"].unit == "MPa"
    assert values(boards)["density"].unit == "kg/m3"
    assert values(boards)["poisson_lr"].unit == "1"
    assert values(boards)["bending_strength"].cov == maple.cov["bending_strength"]


def test_moist_wood_says_from_where_and_by_which_rule_it_was_moved() -> None:
    boards = used("butt", ("boards.moisture", "9 %"))[0]
    maple = find_wood("hard maple")
    assert "eq. 5-3" in boards.notes[0]
    bending = values(boards)["bending_strength"]
    assert bending.at_12_percent == maple.bending_strength
    assert bending.value > maple.bending_strength
    assert values(boards)["green_bending_strength"].value == maple.green["bending_strength"]
    assert values(boards)["intersection_moisture"].unit == "%"
    assert not used("butt")[0].notes


@pytest.mark.parametrize("name", [name for name in glue_names() if find_glue(name).holds])
def test_every_tabled_glue_speaks_for_its_numbers(name: str) -> None:
    entry = next(each for each in used("finger", ("glue.kind", name)) if each.kind == "glue")
    quiet = {value.key for value in entry.values if value.source == NOT_STATED}
    # A limit that does not act (inf) needs none.
    assert quiet <= {value.key for value in entry.values if value.value is None}
    assert all(value.unit == "1" for value in entry.values if value.key.startswith("crossed."))


def test_sources_of_a_film_are_as_good_as_the_least_of_what_they_rest_on() -> None:
    glue = find_glue("epoxy")
    source = glue_source(glue, "opening_stiffness")
    assert source is not None
    assert source.mark == "from memory"
    assert "modulus" in source.source
    assert "thickness" in source.source


def test_a_number_of_ones_own_does_not_rest_on_the_base_glues_source(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(
        'like = "pva"\nopening_stiffness = 9000\n[side_grain]\nopening_strength = 6\nshear_strength = 13\n'
        '[sources]\n"side_grain.shear_strength" = "my own lap joints"\n'
    )
    glue = read_glue_file(str(file))
    said = {
        key: (glue_source(glue, key) or find_glue("pva").sources["side_grain"]).source
        for key in ("opening_stiffness", "shear_stiffness", "side_grain.opening_strength")
    }
    assert "own glue file" in said["opening_stiffness"]
    assert "own glue file" in said["side_grain.opening_strength"]
    assert said["shear_stiffness"] == find_glue("pva").sources["stiffness"].source
    own = glue_source(glue, "side_grain.shear_strength")
    assert own is not None
    assert own.source == "my own lap joints"


def test_bonds_are_recorded_as_the_solver_had_them() -> None:
    corner = build_corner(read_specimen(str(example_path("splined_mitre"))))
    entries = {entry.name: entry for entry in materials_used(corner) if entry.kind == "bond"}
    assert list(entries) == [each.name for each in corner.connections]
    for each in corner.connections:
        recorded = values(entries[each.name])
        assert isinstance(each, GluedLine | GluedCheek)
        assert recorded["shear_stiffness"].value == each.bond.shear_stiffness
        if isinstance(each, GluedLine):
            assert recorded["opening_strength"].value == each.bond.opening_strength
        else:
            side = each.surface.minus
            assert recorded[f"{side}.rolling_strength"].value == each.bond.sides[0].rolling_strength


def test_workmanship_is_recorded_with_the_glue() -> None:
    entry = next(
        each
        for each in used(
            "mitre", ("glue.gap", "0.15 mm"), ("glue.end_grain", "sized"), ("boards.moisture", "18 %")
        )
        if each.kind == "glue"
    )
    notes = " ".join(entry.notes)
    assert "gap 0.15 mm" in notes
    assert "sized end grain" in notes
    assert "moist share" in notes
    assert values(entry)["sized_end_grain"].value == 2.0


def test_workmanship_of_a_surface_is_recorded_with_the_glue_and_its_bond() -> None:
    own = (
        ("glue.gap", "0.15 mm"),
        ("glue.surfaces.finger cheeks.coverage", "60 %"),
        ("glue.surfaces.finger cheeks.quality", "90 %"),
    )
    entries = {entry.name: entry for entry in used("finger", *own)}
    assert "As glued: gap 0.15 mm." in entries["pva"].notes
    assert "As glued on the finger cheeks: quality 90 %, coverage 60 %." in entries["pva"].notes
    said = {name: " ".join(entry.notes) for name, entry in entries.items() if entry.kind == "bond"}
    assert "60 % of the face" in said["finger cheeks"]
    assert not any("of the face" in words for name, words in said.items() if name != "finger cheeks")
    corner = build_corner(read_specimen(str(example_path("finger")), own))
    record = read_json(record_text([recorded_corner(corner)], "metric", Request()), Record)
    assert record.corners[0].specimen["glue"]["surfaces"] == {
        "finger cheeks": {"coverage": "60 %", "quality": "90 %"}
    }


def test_equal_materials_of_several_corners_are_told_once() -> None:
    corners = [
        recorded_corner(build_corner(read_specimen(str(example_path(name)))), name)
        for name in ("butt", "mitre")
    ]
    entries = merged(entry for corner in corners for entry in corner.materials)
    assert [entry.kind for entry in entries] == ["wood", "glue", "bond", "bond"]
    assert entries[0].used_for == (
        "butt: board A",
        "butt: board B",
        "mitre: board A",
        "mitre: board B",
    )
    assert corners[0].materials[0].used_for == ("butt: board A", "butt: board B")


def test_versions_are_those_at_work() -> None:
    found = versions()
    assert found["numpy"] == numpy.__version__
    assert found["scipy"] == scipy.__version__
    assert set(found) <= {"glueline", "python", *LIBRARIES}
    assert {"glueline", "python", "gmsh", "matplotlib"} <= set(found)


def test_the_record_is_plain_json_and_the_same_every_time() -> None:
    """An endless limit of a glue is null; nothing in it depends on when or how fast it was made."""
    file = str(example_path("finger"))
    first, second = (
        provenance_text(predict(read_specimen(file), method="elastic"), "metric", Request()) for _ in range(2)
    )
    assert first == second
    record = json.loads(first, parse_constant=lambda word: pytest.fail(f"{word} is not JSON"))
    assert record["corners"][0]["specimen"]["joint"] == {"kind": "finger", "fingers": 9}
    assert read_json(first, Record).request == Request()


def test_predict_writes_the_record_and_leaves_the_contract_alone(
    makers_folder: MakersFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    out = makers_folder.folder / "out"
    file = str(makers_folder.copy_example("butt"))
    assert main(["predict", file, "--method", "elastic", "--json", "--out", str(out), "--seed", "7"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert not {"versions", "materials", "provenance"} & set(answer)
    record = json.loads((out / "provenance.json").read_text())
    assert record["request"]["seed"] == 7
    assert record["solver"] == answer["solver"]
    assert record["corners"][0]["file"] == file


def test_a_name_in_another_encoding_can_be_recorded(
    makers_folder: MakersFolder, capsys: pytest.CaptureFixture[str]
) -> None:
    name = os.fsdecode(os.fsencode(makers_folder.folder) + b"/corner_\xff.toml")
    try:
        Path(name).write_bytes(example_path("butt").read_bytes())
    except OSError:
        pytest.skip("the file system takes UTF-8 names only")
    out = makers_folder.folder / "out"
    assert main(["rank", name, "--method", "elastic", "--json", "--out", str(out)]) == 0
    (corner,) = json.loads(capsys.readouterr().out)["corners"]
    assert corner["file"].endswith("corner_\\udcff.toml")
    assert corner["label"].isprintable()
    assert json.loads((out / "provenance.json").read_text())["corners"][0]["file"] == corner["file"]


def test_record_text_holds_what_it_is_told() -> None:
    corner = recorded_corner(build_corner(read_specimen(str(example_path("butt")))))
    record = json.loads(record_text([corner], "imperial", Request("elastic")))
    assert record["units"] == "imperial"
    assert record["method"] == "elastic"
    assert record["corners"][0]["label"] == "butt"
