"""The glue table, and glue files of a maker's own."""

from __future__ import annotations

import copy
import math
import pickle
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.materials import (
    MARKS,
    GlueTableError,
    find_glue,
    glue_from_tables,
    glue_names,
    glue_source,
    glue_to_tables,
)
from glueline.materials.grain_angle import hankinson_exponent
from tests.materials.make_glue_rows import films, glue_from_film

GLUED = [name for name in glue_names() if name != "none"]
NUMBERS = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
ROWS = ("side_grain", "grain_45", "end_grain")
PVA = find_glue("pva")


def test_pva_is_the_recommended_set() -> None:
    """White oak, good PVA: opening and shear stiffness N/mm3; rows MPa, MPa, N/mm, N/mm, share."""
    assert (PVA.opening_stiffness, PVA.shear_stiffness) == (8000, 2200)
    rows = [[getattr(getattr(PVA, row), key) for key in (*NUMBERS, "cov")] for row in ROWS]
    assert rows == [[7, 14, 0.45, 1.6, 0.18], [6.5, 10, 0.3, 1.0, 0.25], [5, 7, 0.2, 0.6, 0.30]]
    assert (PVA.film_opening_strength, PVA.film_shear_strength) == (10, 18)
    assert (PVA.crossed.rolling_share, PVA.crossed.broad_rayed_share, PVA.crossed.toughness_share) == (
        0.25,
        0.4,
        0.5,
    )


def test_the_film_rule_gives_the_recommended_stiffnesses() -> None:
    """0.1 mm of 600 MPa: E/t = 6000 free, 9600 held sideways, so about 8000 in opening; G/t = 2200 in
    shear."""
    film = films()["pva"]
    assert film.opening_stiffness == pytest.approx(8000, rel=0.03)
    assert film.shear_stiffness == pytest.approx(2200, rel=0.02)
    assert film.modulus / film.thickness == pytest.approx(6000)


# Row by row the values with their ranges, as recommended with the rows: MPa, MPa, N/mm, N/mm.
RANGES = {
    "side_grain": ((7, 5.5, 9), (14, 12, 18), (0.45, 0.3, 0.7), (1.6, 1, 2.4)),
    "grain_45": ((6.5, 4, 10), (10, 7, 13), (0.3, 0.15, 0.5), (1, 0.6, 1.6)),
    "end_grain": ((5, 2.5, 7), (7, 4, 10), (0.2, 0.1, 0.35), (0.6, 0.3, 1)),
}


@pytest.mark.parametrize("row", ROWS)
def test_what_can_be_believed_of_a_row_is_the_mean_of_its_ranges(row: str) -> None:
    """Geometric means of the four ratios, to two decimals; every tabled glue has them, and a source."""
    ends = [math.prod(each[end] / each[0] for each in RANGES[row]) ** 0.25 for end in (1, 2)]
    assert [getattr(getattr(PVA, row), key) for key in NUMBERS] == [each[0] for each in RANGES[row]]
    for name in GLUED:
        glue = find_glue(name)
        believed = getattr(glue, row)
        assert [believed.credible_low, believed.credible_high] == [round(end, 2) for end in ends]
        source = glue_source(glue, f"{row}.credible_low")
        assert source == glue.sources["credible"]


def test_a_makers_row_may_say_what_can_be_believed_of_it() -> None:
    tables = own_glue()
    tables["end_grain"] |= {"credible_low": "60 %", "credible_high": 1.2}
    mine = glue_from_tables(tables)
    assert (mine.end_grain.credible_low, mine.end_grain.credible_high) == (0.6, 1.2)
    assert (mine.grain_45.credible_low, mine.grain_45.credible_high) == (0.6, 1.52)  # as pva
    assert glue_from_tables(glue_to_tables(mine)) == mine
    stated = glue_source(mine, "grain_45.credible_high")
    assert stated is not None
    assert "as pva" in stated.source


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("credible_low", 1.2, "a share from 0.05 to 1"),
        ("credible_low", 0, "a share from 0.05 to 1"),
        ("credible_high", 0.9, "a share from 1 to 10"),
        ("credible_high", "strong", "a share from 1 to 10"),
        ("credible", [0.7, 1.4], "the nearest is side_grain.credible_"),
    ],
)
def test_what_cannot_be_believed_of_a_row_is_refused(key: str, value: object, said: str) -> None:
    error = changed(lambda tables: tables["side_grain"].update({key: value}))
    ((found, shown, message),) = error.problems
    assert (found, shown) == (f"side_grain.{key}", value)
    assert said in message


@pytest.mark.parametrize("name", [name for name in GLUED if name != "pva"])
def test_every_other_glue_follows_from_its_film_by_the_one_rule(name: str) -> None:
    tabled, ruled = find_glue(name), glue_from_film(name, films()[name], PVA)
    for key in (
        "film_thickness",
        "opening_stiffness",
        "shear_stiffness",
        *(f"film_{each}" for each in NUMBERS),
    ):
        assert getattr(tabled, key) == pytest.approx(getattr(ruled, key), rel=5e-3), key
    for row in ROWS:
        for key in NUMBERS:
            assert getattr(getattr(tabled, row), key) == pytest.approx(
                getattr(getattr(ruled, row), key), rel=5e-3
            )


# Holzforschung 2020, hf-2020-0141, three-point end-notched flexure of bonded beech, G_IIc in N/mm.
@pytest.mark.parametrize(
    ("name", "measured"),
    [("emulsion polymer isocyanate", 1.8), ("melamine-urea-formaldehyde", 2.33), ("resorcinol", 1.59)],
)
def test_no_glue_is_tougher_than_bonded_beech_was(name: str, measured: float) -> None:
    assert find_glue(name).side_grain.shear_toughness <= measured


@pytest.mark.parametrize("name", GLUED)
def test_every_glue_has_sources_and_three_rows_that_make_a_curve(name: str) -> None:
    glue = find_glue(name)
    for row in ROWS:
        assert row in glue.sources, row
    assert all(each.mark in MARKS and each.source for each in glue.sources.values())
    for key in NUMBERS:
        values = [getattr(getattr(glue, row), key) for row in ROWS]
        assert hankinson_exponent(*values) > 0.0
        assert values == sorted(values, reverse=True)
    for row in ROWS:
        for mode in ("opening", "shear"):
            strength = getattr(getattr(glue, row), f"{mode}_strength")
            stored = strength**2 / 2.0 / getattr(glue, f"{mode}_stiffness")
            assert getattr(getattr(glue, row), f"{mode}_toughness") > 10.0 * stored
    crossed = glue.crossed
    assert crossed.low <= crossed.rolling_share <= crossed.high
    assert crossed.broad_rayed_low <= crossed.broad_rayed_share <= crossed.broad_rayed_high


@pytest.mark.parametrize("name", GLUED)
def test_written_and_read_again(name: str) -> None:
    glue = find_glue(name)
    assert glue_from_tables(glue_to_tables(glue)) == glue
    assert pickle.loads(pickle.dumps(glue)) == glue


def own_glue() -> dict[str, Any]:
    """A maker's file with the keys that are needed and no more."""
    row = {
        "opening_strength": 6.0,
        "shear_strength": 11.0,
        "opening_toughness": 0.4,
        "shear_toughness": 1.2,
        "cov": 0.2,
    }
    return {
        "name": "mine",
        "film_thickness": 0.1,
        "opening_stiffness": 8000,
        "shear_stiffness": 2200.0,
        "softening": "linear",
        "quality": 1.0,
        "side_grain": dict(row),
        "grain_45": dict(row),
        "end_grain": dict(row),
        "sources": {"side_grain": "twelve lap joints in the shop"},
    }


def test_a_makers_glue_takes_the_rest_from_pva() -> None:
    glue = glue_from_tables(own_glue())
    assert glue.crossed == PVA.crossed
    assert glue.film_opening_strength >= glue.side_grain.opening_strength
    assert glue.sources["side_grain"].source == "twelve lap joints in the shop"


def test_modes_mix_linearly_unless_a_file_has_an_exponent() -> None:
    """It is read, written back, handed to bonds, and refused where it is no exponent."""
    assert glue_from_tables(own_glue()).mixing_exponent is None
    assert "mixing_exponent" not in glue_to_tables(PVA)
    mine = glue_from_tables(own_glue() | {"mixing_exponent": 2.5})
    assert mine.mixing_exponent == 2.5
    assert glue_from_tables(glue_to_tables(mine)) == mine
    error = changed(lambda tables: tables.update(mixing_exponent=0.5))
    assert [(key, message) for key, _, message in error.problems] == [
        ("mixing_exponent", "a number from 1 to 10")
    ]


def changed(change: Callable[[dict[str, Any]], object]) -> GlueTableError:
    tables = own_glue()
    change(tables)
    with pytest.raises(GlueTableError) as caught:
        glue_from_tables(tables)
    assert isinstance(caught.value, ValueError)
    return caught.value


@pytest.mark.parametrize(
    "value", [math.nan, -8000.0, 0.0, math.inf, "eight thousand", None, True, [8000], 1e12]
)
def test_numbers_that_cannot_be(value: object) -> None:
    error = changed(lambda tables: tables.update(opening_stiffness=value))
    assert [key for key, _, _ in error.problems] == ["opening_stiffness"]


def test_every_problem_at_once() -> None:
    def spoil(tables: dict[str, Any]) -> None:
        del tables["film_thickness"]
        tables["shear_stifness"] = tables.pop("shear_stiffness")
        tables["softening"] = "sudden"
        tables["side_grain"]["cov"] = -1
        tables["end_grain"]["opening_strenght"] = tables["end_grain"].pop("opening_strength")
        tables["grain_45"] = 6.0

    error = changed(spoil)
    found = {key: message for key, _, message in error.problems}
    assert {"film_thickness", "shear_stiffness", "softening", "side_grain.cov", "grain_45"} <= set(found)
    assert "shear_stiffness" in found["shear_stifness"]
    assert "opening_strength" in found["end_grain.opening_strenght"]
    assert all(key in str(error) for key in found)
    assert pickle.loads(pickle.dumps(error)).problems == error.problems


def test_a_mitre_too_weak_for_any_curve_is_refused() -> None:
    error = changed(lambda tables: tables["grain_45"].update(opening_strength=2.0))
    assert [key for key, _, _ in error.problems] == ["grain_45.opening_strength"]


def test_a_toughness_below_the_energy_at_the_peak_is_refused() -> None:
    error = changed(lambda tables: tables["end_grain"].update(shear_toughness=0.02))
    assert "end_grain.shear_toughness" in [key for key, _, _ in error.problems]


def test_a_dry_joint_is_no_name_for_a_glue() -> None:
    assert [key for key, _, _ in changed(lambda tables: tables.update(name="None")).problems] == ["name"]


paths = st.sampled_from(
    [(key,) for key in own_glue()] + [(row, key) for row in ROWS for key in (*NUMBERS, "cov")]
)
values = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8),
    st.lists(st.floats(), max_size=2),
    st.dictionaries(st.text(max_size=4), st.floats(), max_size=2),
)  # fmt: skip


@given(paths, values)
def test_any_slip_is_a_list_of_problems_or_a_glue_of_finite_numbers(
    path: tuple[str, ...], value: object
) -> None:
    tables = copy.deepcopy(own_glue())
    table = tables
    for key in path[:-1]:
        table = table[key]
    table[path[-1]] = value
    try:
        glue = glue_from_tables(tables)
    except GlueTableError as error:
        listed = error.problems
    else:
        listed = []
        assert all(math.isfinite(getattr(getattr(glue, row), key)) for row in ROWS for key in NUMBERS)
    assert all(len(problem) == 3 and problem[0] and problem[2] for problem in listed)
