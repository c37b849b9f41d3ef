"""Rules that complete a row of the wood table where the sources are silent.

Each rule returns a value with the provenance that says it is not a measurement.
"""

from __future__ import annotations

from glueline.materials.provenance import Provenance

REFERENCE_GRAVITY = 0.68
"""Specific gravity of white oak at 12 %, on which the toughness rules are anchored."""

Sourced = tuple[float, Provenance]


def density(gravity: float) -> Sourced:
    """Density at 12 % in kg/m3: oven-dry mass over volume at 12 %, plus the water."""
    return 1000.0 * gravity * 1.12, Provenance("1000 x specific gravity at 12 % x 1.12", "derived")


def modulus_along(bending_modulus: float) -> Sourced:
    """E_L in MPa from the tabled modulus of a centre-loaded beam of span 14 depths (Table 5-3a, footnote)."""
    return 1.10 * bending_modulus, Provenance(
        "1.10 x bending modulus: takes out the shear deflection of the test "
        "(Wood Handbook, FPL-GTR-190, Table 5-3a)",
        "derived",
    )


def from_ratio(along: float, ratio: float, source: Provenance) -> Sourced:
    """A modulus in MPa from its ratio to E_L; the mark is that of the ratio where that was not read."""
    mark = "derived" if source.mark in ("read in source", "derived") else source.mark
    return along * ratio, Provenance(f"E_L x ratio; ratio: {source.source}", mark)


def tension_across(gravity: float, hardwood: bool) -> Sourced:
    """Strength in tension across the grain at 12 %, MPa, where no test is tabled.

    Hardwoods: 10.54 SG^1.37, a power-law fit to 37 hardwood rows of Wood Handbook Table 5-3a, one standard
    deviation a factor of 1.20. Softwoods: 6.80 SG^1.17, fit to the six softwood rows kept here.
    """
    if hardwood:
        return 10.54 * gravity**1.37, Provenance(
            "no test tabled: 10.54 SG^1.37, fit to 37 hardwood rows of Wood Handbook Table 5-3a, "
            "one standard deviation a factor of 1.20",
            "estimate",
        )
    return 6.80 * gravity**1.17, Provenance(
        "no test tabled: 6.80 SG^1.17, fit to six softwood rows of Wood Handbook Table 5-3a", "estimate"
    )


def compression_across(gravity: float, hardwood: bool) -> Sourced:
    """Stress at the proportional limit in compression across the grain at 12 %, MPa, where none is tabled.

    Power-law fits to the twelve hardwood and six softwood handbook rows kept here.
    """
    if hardwood:
        return 20.3 * gravity**2.02, Provenance(
            "no test tabled: 20.3 SG^2.02, fit to twelve hardwood rows of Wood Handbook Table 5-3a, "
            "one standard deviation a factor of 1.16",
            "estimate",
        )
    return 14.1 * gravity**1.37, Provenance(
        "no test tabled: 14.1 SG^1.37, fit to six softwood rows of Wood Handbook Table 5-3a", "estimate"
    )


def rolling_share(broad_rayed: bool) -> float:
    """Rolling shear strength over shear strength along the grain, where no test is tabled."""
    return 0.40 if broad_rayed else 0.25


def rolling_shear_strength(shear_strength: float, broad_rayed: bool) -> Sourced:
    """Rolling shear strength, MPa.

    0.25 of the shear strength along the grain, inside the 0.18 to 0.28 of the Wood Handbook, ch. 5; 0.40
    for woods with broad rays, after the 5.6 MPa of Aicher, Christian and Hirsch (2016) on European beech.
    """
    share = rolling_share(broad_rayed)
    return share * shear_strength, Provenance(
        f"{share:g} x shear strength"
        + (
            " (broad rays: after beech, Aicher et al. 2016)"
            if broad_rayed
            else " (Wood Handbook, ch. 5: 0.18 to 0.28)"
        ),
        "judgement",
    )


def splitting_toughness(gravity: float) -> Sourced:
    """Work of fracture in opening along the grain, N/mm: 0.45 for white oak, in proportion to gravity."""
    return 0.45 * gravity / REFERENCE_GRAVITY, Provenance(
        "0.45 x SG / 0.68: near the 0.46 of beech in opening (Gómez-Royuela et al. 2022), "
        "in proportion to gravity",
        "judgement",
    )


def shear_toughness(gravity: float) -> Sourced:
    """Work of fracture in sliding along the grain, N/mm: 1.6 for white oak, in proportion to gravity."""
    return 1.6 * gravity / REFERENCE_GRAVITY, Provenance(
        "1.6 x SG / 0.68: near the 1.54 of eucalyptus in sliding (Majano-Majano et al. 2020), "
        "in proportion to gravity",
        "judgement",
    )


def rolling_toughness(along: float) -> Sourced:
    """Work of fracture in sliding across the grain, N/mm: half of that along it; no test was found."""
    return 0.5 * along, Provenance("0.5 x shear toughness: no test found", "judgement")


def green_value(at_12: float, median_ratio: float, hardwood: bool) -> Sourced:
    """A property of unseasoned wood where no green row is tabled: the median ratio of the tabled woods."""
    kind = "hardwoods" if hardwood else "softwoods"
    return at_12 * median_ratio, Provenance(
        f"no green row: {median_ratio:.2f} x the value at 12 %, the median of the tabled {kind}", "estimate"
    )
