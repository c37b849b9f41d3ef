"""Makers' own wood and glue files: what they move, and what is said of a wrong one, by its own name."""

from __future__ import annotations

from typing import Any

import pytest

from glueline.geometries import BOARD_A, BOARD_B
from glueline.materials import find_glue, find_wood, glue_to_tables
from glueline.studies.files.toml_tables import toml_text
from tests.studies.makers_folder import FINGER, MakersFolder, changed, one

OWN_WOOD = changed(FINGER, boards__wood="woods/mine.toml")
OWN_GLUE = changed(FINGER, glue__kind="mine.toml")


def write_wood(makers_folder: MakersFolder, text: str) -> str:
    """Write the wood file; its path."""
    (makers_folder.folder / "woods").mkdir(exist_ok=True)
    file = makers_folder.folder / "woods" / "mine.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


def write_glue(makers_folder: MakersFolder, text: str) -> str:
    """Write the glue file; its path."""
    file = makers_folder.folder / "mine.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


@pytest.mark.parametrize("stiffness", ["12 GPa", "12000 MPa", "12000 N/mm2", "1740453 psi"])
def test_stiffness(stiffness: str, makers_folder: MakersFolder) -> None:
    """A bending modulus as tables give it: 1.10 of it along the grain."""
    write_wood(makers_folder, f'like = "white oak"\nstiffness = "{stiffness}"\n')
    wood = makers_folder.read(OWN_WOOD).woods[BOARD_A]
    assert wood.modulus_along == pytest.approx(13200, rel=1e-6)
    assert wood.name == "mine"


@pytest.mark.parametrize("density", ["700 kg/m3", "0.7 g/cm3", "43.6996 lb/ft3"])
def test_density(density: str, makers_folder: MakersFolder) -> None:
    """Named, and lighter than the wood it is like."""
    write_wood(makers_folder, f'like = "White Oak"\nname = "my oak"\ndensity = "{density}"\n')
    wood = makers_folder.read(OWN_WOOD).woods[BOARD_A]
    assert wood.name == "my oak"
    assert wood.density == pytest.approx(700, rel=1e-5)
    assert wood.bending_strength < find_wood("white oak").bending_strength


def test_sag(makers_folder: MakersFolder) -> None:
    """Ten kilograms on a metre of board: the beam formula, and a little more for the shear in it."""
    write_wood(
        makers_folder,
        'like = "white oak"\n[sag]\nspan = "1 m"\nweight = "10 kg"\nsag = "3 mm"\n'
        'thickness = "19 mm"\nwidth = "90 mm"\n',
    )
    oak = find_wood("white oak")
    bending = 98.0665 * 1000**3 / (48 * 90 * 19**3 / 12 * 3)
    wood = makers_folder.read(OWN_WOOD).woods[BOARD_A]
    assert wood.modulus_along == pytest.approx(bending, rel=0.02)
    assert wood.modulus_along > bending
    assert wood.bending_strength != oak.bending_strength


def test_one_file_for_both_boards(makers_folder: MakersFolder) -> None:
    """And its mistakes are told once."""
    both = changed(OWN_WOOD, boards__wood_b="woods/mine.toml")
    write_wood(makers_folder, 'like = "ash"\n')
    corner = makers_folder.read(both)
    assert corner.woods[BOARD_A] == corner.woods[BOARD_B]
    path = write_wood(makers_folder, 'like = "ashh tree"\n')
    problem = one(makers_folder.wrong(both))
    assert (problem.file, problem.key) == (path, "like")


SAG = 'span = "1 m"\nweight = "10 kg"\nsag = "3 mm"\nthickness = "19 mm"\nwidth = "90 mm"\n'


@pytest.mark.parametrize(
    ("text", "keys", "said"),
    [
        ('density = "700 kg/m3"\n', ["like"], "white oak"),
        ('like = "wite oak"\n', ["like"], "White oak"),
        ('like = "ash"\ndensity = 700\n', ["density"], '"700 kg/m3"'),
        ('like = "ash"\ndensity = "700 g"\n', ["density"], "kg/m3"),
        ('like = "ash"\ndensity = "7000 kg/m3"\n', ["density"], "between"),
        ('like = "ash"\nstiffness = "12 N"\n', ["stiffness"], "GPa"),
        ('like = "ash"\nstiffness = "-1 GPa"\n', ["stiffness"], "above zero"),
        ('like = "ash"\nstifness = "12 GPa"\n', ["stifness"], "did you mean stiffness"),
        ('like = "ash"\nname = 3\n', ["name"], "quotes"),
        ('like = "ash"\nsag = "3 mm"\n', ["sag"], "table [sag]"),
        ('like = "ash"\n[sag]\nspan = "1 m"\n', ["sag.weight", "sag.sag", "sag.thickness", "sag.width"], ""),
        (f'like = "ash"\nstiffness = "12 GPa"\n[sag]\n{SAG}', ["stiffness"], "one of the two"),
        (f'like = "ash"\n[sag]\n{SAG}'.replace('"1 m"', '"0.1 m"'), ["sag"], "thicknesses"),
        (f'like = "ash"\n[sag]\n{SAG}'.replace('"3 mm"', '"300 mm"'), ["sag"], "span"),
        (f'like = "ash"\n[sag]\n{SAG}'.replace('"3 mm"', '"0.01 mm"'), ["sag"], "between"),
        (f'like = "ash"\n[sag]\n{SAG}depth = "1 mm"\n', ["sag.depth"], "width"),
        ("", [""], "empty"),
        ("like = ash\n", ["line 1"], "no quotes"),
    ],
)
def test_wrong_wood_files(text: str, keys: list[str], said: str, makers_folder: MakersFolder) -> None:
    """The wood file is named, and its key."""
    path = write_wood(makers_folder, text)
    problems = makers_folder.wrong(OWN_WOOD)
    assert [(problem.file, problem.key) for problem in problems] == [(path, key) for key in keys]
    assert said in problems[0].message


def test_a_whole_glue_file(makers_folder: MakersFolder) -> None:
    """A row of the glue table written out is the same glue."""
    pva = find_glue("pva")
    write_glue(makers_folder, toml_text({**glue_to_tables(pva), "name": "my pva"}))
    mine = makers_folder.read(OWN_GLUE).glue
    assert mine.name == "my pva"
    for row in ("side_grain", "grain_45", "end_grain"):
        assert getattr(mine, row) == getattr(pva, row)


def test_a_glue_file_with_what_differs(makers_folder: MakersFolder) -> None:
    """``like`` and what is one's own: the rest, and its sources, as they were."""
    write_glue(makers_folder, 'like = "pva"\nquality = 0.8\n[end_grain]\nopening_strength = 4.0\n')
    pva, mine = find_glue("pva"), makers_folder.read(OWN_GLUE).glue
    assert (mine.quality, mine.end_grain.opening_strength) == (0.8, 4.0)
    assert mine.end_grain.shear_strength == pva.end_grain.shear_strength
    assert mine.side_grain == pva.side_grain
    assert find_glue("pva") == pva


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('like = "pav"\n', "like"),
        ('like = "none"\n', "like"),
        ("like = 4\n", "like"),
        ('like = "pva"\nqualty = 0.8\n', "qualty"),
        ('like = "pva"\nquality = "good"\n', "quality"),
        ('like = "pva"\nquality = nan\n', "quality"),
        ('like = "pva"\nquality = -1\n', "quality"),
        ('like = "pva"\nend_grain = 4\n', "end_grain"),
        ('like = "pva"\n[end_grain]\ncov = true\n', "end_grain.cov"),
        ('like = "pva"\n[end_grain]\nopening = 3\n', "end_grain.opening"),
        ('like = "pva"\nsoftening = "sudden"\n', "softening"),
        ("like pva\n", "line 1"),
    ],
)
def test_wrong_glue_files(text: str, key: str, makers_folder: MakersFolder) -> None:
    """The glue file is named, and its key."""
    path = write_glue(makers_folder, text)
    problem = one(makers_folder.wrong(OWN_GLUE))
    assert (problem.file, problem.key) == (path, key)


def test_a_glue_file_with_nothing_in_it_names_all_it_needs(makers_folder: MakersFolder) -> None:
    """Every key that a row of the glue table has."""
    path = write_glue(makers_folder, "# mine\n")
    problems = makers_folder.wrong(OWN_GLUE)
    assert {problem.file for problem in problems} == {path}
    keys = {problem.key for problem in problems}
    assert {"name", "film_thickness", "opening_stiffness", "shear_stiffness"} <= keys
    assert {"side_grain", "grain_45", "end_grain"} <= {key.partition(".")[0] for key in keys}


@pytest.mark.parametrize("table", [FINGER])
def test_a_specimen_given_as_a_wood_or_glue_file(table: dict[str, Any], makers_folder: MakersFolder) -> None:
    """A slip that names the wrong file is told, not followed."""
    makers_folder.write(table)
    problems = makers_folder.wrong(changed(table, boards__wood="corner.toml", glue__kind="corner.toml"))
    assert {problem.file for problem in problems} == {str(makers_folder.file)}
    assert "like" in {problem.key for problem in problems}
