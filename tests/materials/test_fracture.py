"""Moduli and lengths that go with a crack along the grain."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.materials import critical_length, find_wood, mode_moduli


def tangential_opening(name: str) -> tuple[float, float]:
    """E_I and E_II of the TL system: the crack opens tangentially and runs along the grain."""
    wood = find_wood(name)
    return mode_moduli(wood.modulus_along, wood.modulus_tangential, wood.shear_modulus_lt, wood.poisson_lt)


# E_I worked out by hand from Wood Handbook Tables 5-1 to 5-3a by Sih, Paris and Irwin 1965.
@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("white oak", 1670),
        ("red oak", 1830),
        ("sugar maple", 1480),
        ("yellow-poplar", 1030),
        ("loblolly pine", 1740),
        ("douglas-fir", 1440),
    ],
)
def test_opening_modulus(name: str, expected: float) -> None:
    opening, sliding = tangential_opening(name)
    assert opening == pytest.approx(expected, rel=0.005)
    assert 4900 < sliding < 6500


# Initiation energies from the K_Ic of Wood Handbook Table 5-10 (kPa m^0.5, TL), G = K^2 / E_I in N/mm.
@pytest.mark.parametrize(
    ("name", "intensity", "energy"),
    [
        ("red oak", 410, 0.09),
        ("sugar maple", 480, 0.16),
        ("yellow-poplar", 517, 0.26),
        ("douglas-fir", 320, 0.07),
    ],
)
def test_handbook_intensity_gives_the_energy_of_initiation(
    name: str, intensity: float, energy: float
) -> None:
    in_mm = intensity * 1e-3 * math.sqrt(1000.0)
    found = in_mm**2 / tangential_opening(name)[0]
    assert found == pytest.approx(energy, abs=0.005)
    assert (
        found < find_wood(name).splitting_toughness
    )  # the work of fracture counts the bridging fibres as well


def test_isotropic_limit() -> None:
    """An isotropic sheet in plane stress has E_I = E_II = E (Irwin)."""
    modulus, nu = 3000.0, 0.3
    assert mode_moduli(modulus, modulus, modulus / (2 * (1 + nu)), nu) == pytest.approx((modulus, modulus))


@given(st.floats(5e3, 2e4), st.floats(0.03, 0.2), st.floats(0.04, 0.15), st.floats(0.2, 0.6))
def test_ratio_of_the_two_moduli(along: float, across: float, shear: float, nu: float) -> None:
    """E_II / E_I = sqrt(E1 / E2) whatever the rest."""
    opening, sliding = mode_moduli(along, across * along, shear * along, nu)
    assert sliding / opening == pytest.approx(math.sqrt(1 / across))


def test_mean_stress_lengths_of_white_oak() -> None:
    """About 10 mm at 7 MPa and 0.45 N/mm opening tangentially, 20 mm at 5.5 and 0.35 opening radially."""
    wood = find_wood("white oak")
    radial = mode_moduli(wood.modulus_along, wood.modulus_radial, wood.shear_modulus_lr, wood.poisson_lr)[0]
    assert critical_length(tangential_opening("white oak")[0], 0.45, 7.0) == pytest.approx(10.0, rel=0.05)
    assert critical_length(radial, 0.35, 5.5) == pytest.approx(20.0, rel=0.1)


def test_impossible_constants_are_refused() -> None:
    for constants in ((0.0, 900.0, 1000.0, 0.4), (13000.0, -1.0, 1000.0, 0.4), (100.0, 1e6, 1e6, 5.0)):
        with pytest.raises(ValueError):
            mode_moduli(*constants)
    with pytest.raises(ValueError):
        critical_length(1600.0, 0.0, 7.0)
