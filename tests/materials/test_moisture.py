"""Moisture against the handbook's formula and against an older, independent rule."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.materials import Wood, at_moisture, find_wood, wood_names
from glueline.materials.wood import MODULI, STRENGTHS

woods = st.sampled_from(wood_names()).map(find_wood)
moistures = st.floats(2.0, 60.0)


def test_worked_example() -> None:
    """White oak, modulus of rupture 105 MPa at 12 % and 57 green, Mp 25: 127 MPa at 8 % (Wood Handbook eq.
    5-3)."""
    assert at_moisture(find_wood("white oak"), 8.0).bending_strength == pytest.approx(127.0, abs=0.5)


# ANC-18 (1951), rise per 1 % of moisture in %: property x (1 + p)^(change); bending strength, modulus,
# compression along, compression across. Another laboratory's rule on other data, over 4 % of moisture:
# apart by up to 2, 3 and 4 % in the first three, and by up to 6 % (Douglas-fir) in compression across,
# which scatters most.
ANC_18 = {
    "yellow birch": (4.8, 2.0, 6.1, 5.6),
    "douglas-fir": (3.7, 1.8, 5.5, 5.0),
    "sitka spruce": (3.9, 1.7, 5.3, 4.3),
    "eastern white pine": (4.8, 2.0, 5.7, 5.6),
}


AGREEMENT = {
    "bending_strength": 0.02,
    "modulus_along": 0.03,
    "compression_along": 0.04,
    "compression_across": 0.06,
}


@pytest.mark.parametrize(("name", "rises"), ANC_18.items())
def test_against_the_older_rule(name: str, rises: tuple[float, ...]) -> None:
    wood, drier = find_wood(name), at_moisture(find_wood(name), 8.0)
    for (key, apart), rise in zip(AGREEMENT.items(), rises, strict=True):
        ratio = getattr(drier, key) / getattr(wood, key)
        assert ratio == pytest.approx((1 + rise / 100) ** 4, rel=apart), key


@given(woods, moistures, moistures)
def test_there_and_back(wood: Wood, first: float, second: float) -> None:
    """By way of any moisture, green included, a wood comes to the same numbers."""
    direct, roundabout = at_moisture(wood, second), at_moisture(at_moisture(wood, first), second)
    home = at_moisture(roundabout, 12.0)
    for key in (*MODULI, *STRENGTHS, "density"):
        assert getattr(roundabout, key) == pytest.approx(getattr(direct, key), rel=1e-9)
        assert getattr(home, key) == pytest.approx(getattr(wood, key), rel=1e-9)


@given(woods, moistures, moistures)
def test_wetter_is_never_stronger_nor_stiffer(wood: Wood, first: float, second: float) -> None:
    drier, wetter = (at_moisture(wood, each) for each in sorted((first, second)))
    for key in (*MODULI, *STRENGTHS):
        assert getattr(wetter, key) <= getattr(drier, key) * (1 + 1e-12), key


@pytest.mark.parametrize("name", wood_names())
def test_beyond_the_intersection_a_wood_is_green(name: str) -> None:
    wood = find_wood(name)
    for moisture in (wood.intersection_moisture, 80.0):
        wet = at_moisture(wood, moisture)
        for key in wood.green:
            assert getattr(wet, key) == pytest.approx(wood.green[key], rel=1e-9)
    almost = at_moisture(wood, wood.intersection_moisture - 1e-6)
    assert almost.bending_strength == pytest.approx(wood.green["bending_strength"], rel=1e-5)


@given(woods, moistures)
def test_what_moves_and_what_stays(wood: Wood, moisture: float) -> None:
    """All moduli in one ratio; tension across the grain and the toughnesses do not follow the formula
    reliably."""
    moved = at_moisture(wood, moisture)
    ratio = moved.modulus_along / wood.modulus_along
    for key in MODULI:
        assert getattr(moved, key) == pytest.approx(getattr(wood, key) * ratio)
    for key in (
        "tension_across",
        "splitting_toughness",
        "shear_toughness",
        "rolling_toughness",
        "poisson_lt",
    ):
        assert getattr(moved, key) == getattr(wood, key)
    assert moved.rolling_shear_strength / moved.shear_strength == pytest.approx(
        wood.rolling_shear_strength / wood.shear_strength
    )
    assert moved.moisture == moisture


@pytest.mark.parametrize("moisture", [-5.0, 0.0, 1.9, 201.0, math.nan, math.inf])
def test_moistures_that_cannot_be_are_refused(moisture: float) -> None:
    with pytest.raises(ValueError, match="2 %"):
        at_moisture(find_wood("white oak"), moisture)


def test_woods_without_a_green_row_say_that_theirs_is_an_estimate() -> None:
    for name in ("European beech", "European oak", "Scots pine", "Norway spruce"):
        assert find_wood(name).provenance["green_bending_strength"].mark == "estimate"
        ratio = find_wood(name).green["bending_strength"] / find_wood(name).bending_strength
        assert 0.5 < ratio < 0.7  # as the tabled woods
