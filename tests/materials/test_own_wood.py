"""A maker's own wood."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.materials import Sag, Wood, at_moisture, compliance, find_wood, like_wood, wood_names
from glueline.materials.own_wood import modulus_from_sag
from glueline.materials.wood import MODULI, STRENGTHS, is_positive_definite

OAK = find_wood("white oak")
woods = st.sampled_from(wood_names()).map(find_wood)


def board(wood: Wood, span: float, thickness: float, width: float, weight: float) -> Sag:
    """The sag that Timoshenko's beam gives: W L^3 / (48 E I) + 1.2 W L / (4 G A)."""
    shear = (wood.shear_modulus_lr + wood.shear_modulus_lt) / 2.0
    bending = weight * span**3 / (48.0 * wood.modulus_along * width * thickness**3 / 12.0)
    return Sag(
        span, weight, bending + 1.2 * weight * span / (4.0 * shear * thickness * width), thickness, width
    )


@given(woods, st.floats(10.0, 60.0), st.floats(10.0, 30.0))
def test_the_sag_of_a_known_board_gives_back_its_modulus(
    wood: Wood, slenderness: float, thickness: float
) -> None:
    sag = board(wood, slenderness * thickness, thickness, 90.0, 5.0)
    assert modulus_from_sag(sag, wood) == pytest.approx(wood.modulus_along, rel=1e-9)


def test_the_handbook_beam_needs_about_a_tenth() -> None:
    """At span over depth 14 the handbook adds 10 % to a bending modulus to take out shear (Table 5-3a
    footnote)."""
    plain = 100.0 * 266.0**3 / (48.0 * 90.0 * 19.0**3 / 12.0)
    assert modulus_from_sag(Sag(266.0, 100.0, 1.0, 19.0, 90.0), OAK) / plain == pytest.approx(1.10, abs=0.03)


def test_the_base_numbers_give_the_base_wood() -> None:
    """White oak with white oak's tabled bending modulus of 12300 MPa and density is white oak."""
    same = like_wood(OAK, name="mine", density=OAK.density, stiffness=12300.0)
    for key in (*MODULI, *STRENGTHS, "density", "splitting_toughness"):
        assert getattr(same, key) == pytest.approx(getattr(OAK, key))


def test_strength_follows_density_as_between_species() -> None:
    """Wood Handbook Table 5-11a, hardwoods at 12 %, from memory: bending strength with gravity to the power
    1.13."""
    light = like_wood(OAK, name="mine", density=0.9 * OAK.density)
    assert light.bending_strength / OAK.bending_strength == pytest.approx(0.9**1.13)
    assert light.modulus_along / OAK.modulus_along == pytest.approx(0.9**0.70)
    assert light.splitting_toughness / OAK.splitting_toughness == pytest.approx(0.9)
    assert light.tension_across < OAK.tension_across
    assert light.provenance["bending_strength"].mark != "read in source"
    assert light.provenance["poisson_lr"] == OAK.provenance["poisson_lr"]


def test_a_measured_stiffness_moves_all_moduli_alike() -> None:
    stiff = like_wood(OAK, name="mine", stiffness=1.2 * 12300.0)
    for key in MODULI:
        assert getattr(stiff, key) / getattr(OAK, key) == pytest.approx(1.2)
    assert OAK.bending_strength < stiff.bending_strength < 1.2 * OAK.bending_strength
    assert stiff.shear_strength == OAK.shear_strength


@given(woods, st.floats(0.6, 1.6), st.floats(0.6, 1.6), st.floats(4.0, 22.0))
def test_own_woods_are_woods_and_take_moisture(
    base: Wood, density: float, stiffness: float, moisture: float
) -> None:
    own = like_wood(
        base, name="mine", density=density * base.density, stiffness=stiffness * base.modulus_along / 1.10
    )
    assert own.name == "mine"
    assert is_positive_definite(compliance(own))
    moved = at_moisture(own, moisture)
    expected = at_moisture(base, moisture).bending_strength / base.bending_strength
    assert moved.bending_strength / own.bending_strength == pytest.approx(expected)


@pytest.mark.parametrize(
    "slip",
    [
        {"density": -700.0},
        {"density": 0.68},
        {"density": math.nan},
        {"stiffness": 12.3},
        {"stiffness": 1.23e7},
        {"stiffness": 12000.0, "sag": Sag(900.0, 50.0, 3.0, 19.0, 90.0)},
    ],
)
def test_slips_are_refused(slip: dict[str, float]) -> None:
    with pytest.raises(ValueError) as refused:
        like_wood(OAK, name="mine", **slip)
    assert not re.search(r"between.*e\+", str(refused.value))  # limits are never shown in powers of ten


def test_a_sag_test_that_says_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"span[\s\S]*sag"):
        Sag(0.0, 50.0, -1.0, 19.0, 90.0)
    with pytest.raises(ValueError, match="shear"):
        Sag(100.0, 50.0, 0.1, 19.0, 90.0)
