"""Failure criteria and the grain angle."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from glueline.materials import find_wood, plane_strengths, wood_names
from glueline.materials.criteria import PlaneStrengths, hoffman, norris_interaction, quadratic
from glueline.materials.grain_angle import hankinson, hankinson_exponent, through_three

ANGLES = np.radians(np.linspace(10.0, 75.0, 131))
stresses = st.floats(-50.0, 50.0)


def within_hankinson(strength: np.ndarray, along: float, across: float) -> bool:
    """Between 0.95 of Hankinson with n = 1.5 and 1.05 of it with n = 2: Wood Handbook ch. 5, tension 1.5 to
    2."""
    low = 0.95 * hankinson(along, across, ANGLES, 1.5)
    high = 1.05 * hankinson(along, across, ANGLES, 2.0)
    return bool(np.all((low <= strength) & (strength <= high)))


def off_axis_tension(criterion: Callable[..., np.ndarray], strengths: PlaneStrengths) -> np.ndarray:
    """Strength of a bar pulled at ANGLES to its grain, MPa."""
    cosine, sine = np.cos(ANGLES), np.sin(ANGLES)
    return 1.0 / criterion(cosine**2, sine**2, cosine * sine, strengths)


@pytest.mark.parametrize("name", wood_names())
def test_off_axis_tension_by_the_quadratic_is_hankinsons(name: str) -> None:
    """Pulled at 10 to 75 degrees to the grain, every wood of the table, ends at bending strength and
    tension across."""
    wood = find_wood(name)
    strength = off_axis_tension(quadratic, plane_strengths(wood))
    assert within_hankinson(strength, wood.bending_strength, wood.tension_across)


# Where shear is strong beside tension across the grain, the criteria with a product of the two direct
# stresses rise over the band at 10 to 30 degrees. Known, kept as it is: these woods, no others.
NORRIS_TOO_STRONG = {
    "Sugar (hard) maple",
    "Red (soft) maple",
    "Black cherry",
    "Mahogany (African)",
    "Western redcedar",
    "Scots pine",
}
HOFFMAN_TOO_STRONG = {"Western redcedar"}


@pytest.mark.parametrize("name", wood_names())
def test_where_the_other_criteria_leave_the_band(name: str) -> None:
    wood = find_wood(name)
    ends = (wood.bending_strength, wood.tension_across)
    strengths = replace(plane_strengths(wood), compression_along=wood.compression_along)
    norris, hoffmans = (off_axis_tension(each, strengths) for each in (norris_interaction, hoffman))
    assert within_hankinson(norris, *ends) == (name not in NORRIS_TOO_STRONG)
    assert within_hankinson(hoffmans, *ends) == (name not in HOFFMAN_TOO_STRONG)


OAK = PlaneStrengths(105.0, 51.3, 5.5, 7.4, 13.8)
COMBINED = (quadratic, norris_interaction, hoffman)


@pytest.mark.parametrize("limit", COMBINED)
def test_each_strength_alone_is_met(limit: Callable[..., np.ndarray]) -> None:
    for stress in ((105.0, 0, 0), (-51.3, 0, 0), (0, 5.5, 0), (0, -7.4, 0), (0, 0, 13.8), (0, 0, -13.8)):
        assert float(limit(*stress, OAK)) == pytest.approx(1.0)


@given(stresses, stresses, stresses, st.floats(0.1, 10.0))
def test_share_grows_with_the_load(along: float, across: float, shear: float, load: float) -> None:
    for limit in COMBINED:
        once = float(limit(along, across, shear, OAK))
        assert once >= 0.0
        more = float(limit(load * along, load * across, load * shear, OAK))
        assert more == pytest.approx(load * once, rel=1e-6, abs=1e-9)


@given(stresses, stresses, stresses)
def test_hoffman_holds_at_the_limit(along: float, across: float, shear: float) -> None:
    """At the load it names, the polynomial of Hoffman 1967 itself is 1."""
    share = float(hoffman(along, across, shear, OAK))
    assume(share > 1e-3)
    one, two, three = along / share, across / share, shear / share
    value = (
        (one**2 - one * two) / (105.0 * 51.3)
        + two**2 / (5.5 * 7.4)
        + (three / 13.8) ** 2
        + one * (1 / 105.0 - 1 / 51.3)
        + two * (1 / 5.5 - 1 / 7.4)
    )
    assert value == pytest.approx(1.0, abs=1e-6)


def test_criteria_take_arrays() -> None:
    grid = np.linspace(-3.0, 3.0, 12).reshape(3, 4)
    assert all(limit(grid, grid, grid, OAK).shape == (3, 4) for limit in COMBINED)


def test_hoffman_refuses_strengths_that_leave_it_open() -> None:
    with pytest.raises(ValueError):
        hoffman(1.0, 1.0, 1.0, PlaneStrengths(5.0, 5.0, 50.0, 50.0, 5.0))


positive = st.floats(0.5, 50.0)
turn = st.floats(0.0, math.pi / 2)


@given(positive, positive, positive, turn)
def test_the_curve_goes_through_its_three_points_and_stays_between(
    along: float, at_45: float, across: float, angle: float
) -> None:
    assume(at_45 > 1.01 * along * across / (along + across))
    assert through_three(along, at_45, across, 0.0) == pytest.approx(along)
    assert through_three(along, at_45, across, math.pi / 4) == pytest.approx(at_45)
    assert through_three(along, at_45, across, math.pi / 2) == pytest.approx(across)
    least, most = min(along, at_45, across), max(along, at_45, across)
    assert least * (1 - 1e-12) <= through_three(along, at_45, across, angle) <= most * (1 + 1e-12)


@given(positive, positive, st.floats(1.2, 3.0))
def test_the_exponent_is_found_again(along: float, across: float, exponent: float) -> None:
    at_45 = float(hankinson(along, across, math.pi / 4, exponent))
    assert hankinson_exponent(along, at_45, across) == pytest.approx(exponent, rel=1e-9)


def test_no_curve_where_there_is_none() -> None:
    with pytest.raises(ValueError, match="too low"):
        hankinson_exponent(7.0, 2.9, 5.0)
    with pytest.raises(ValueError):
        hankinson(7.0, 0.0, 0.3, 2.0)
