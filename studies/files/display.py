"""Factors, unit names and formats for showing numbers in metric or imperial units."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import partial

from glueline.studies.files.units import (
    MM_PER_INCH,
    MPA_PER_PSI,
    N_PER_LBF,
    POUND,
    Units,
    format_force,
    format_length,
    format_moment,
    format_stress,
    significant,
)

KG_PER_LB = float(POUND)

PROPERTY_UNITS = {
    "density": "kg/m3",
    "film_thickness": "mm",
    "opening_stiffness": "N/mm3",
    "shear_stiffness": "N/mm3",
    "toughness": "N/mm",
    "modulus": "MPa",
    "strength": "MPa",
    "compression": "MPa",
    "tension": "MPa",
}
"""Units of the code by a part of a property's key; the first that is found in it counts."""

IMPERIAL_UNITS = {
    "MPa": ("psi", MPA_PER_PSI),
    "N/mm": ("lbf/in", N_PER_LBF / MM_PER_INCH),
    "N/mm3": ("lbf/in3", N_PER_LBF / MM_PER_INCH**3),
    "kg/m3": ("lb/ft3", KG_PER_LB / (12 * MM_PER_INCH / 1000) ** 3),
    "mm": ("in", MM_PER_INCH),
}
"""Imperial unit of a unit of the code, and how many of the code's go into it."""

UNIT_WORDS = {"N/mm3": "N/mm³", "kg/m3": "kg/m³", "lbf/in3": "lbf/in³", "lb/ft3": "lb/ft³"}


def percent(share: float) -> str:
    """A share as a whole percentage."""
    return f"{100 * share:.0f} %"


def length_factor(units: Units) -> float:
    """Shown length per mm."""
    return 1.0 if units == "metric" else 1 / MM_PER_INCH


def length_unit(units: Units) -> str:
    """Name of the shown unit of length."""
    return "mm" if units == "metric" else "in"


def force_factor(units: Units) -> float:
    """Shown force per N."""
    return 1.0 if units == "metric" else 1 / N_PER_LBF


def force_unit(units: Units) -> str:
    """Name of the shown unit of force."""
    return "N" if units == "metric" else "lbf"


def weight_unit(units: Units) -> str:
    """Name of the shown unit of weight that is stacked."""
    return "kg" if units == "metric" else "lb"


def weight_size(units: Units) -> float:
    """kg that one shown unit of weight is."""
    return 1.0 if units == "metric" else KG_PER_LB


def format_weight(kg: float, units: Units) -> str:
    """A weight in kg as text with its unit."""
    return f"{significant(kg / weight_size(units), 4)} {weight_unit(units)}"


def stress_factor(units: Units) -> float:
    """Shown stress per MPa."""
    return 1.0 if units == "metric" else 1 / MPA_PER_PSI


def stress_unit(units: Units) -> str:
    """Name of the shown unit of stress."""
    return "MPa" if units == "metric" else "psi"


def property_unit(key: str) -> str:
    """Unit in the code of a material's number by its key: ``"1"`` for a ratio, a share or a count."""
    if key.startswith("poisson") or "share" in key:
        return "1"
    if key == "intersection_moisture":
        return "%"
    for part, unit in PROPERTY_UNITS.items():
        if part in key:
            return unit
    return "1"


def shown_unit(unit: str, units: Units) -> tuple[str, float]:
    """The unit in which a number in a unit of the code is shown, and how many of the code's go into it."""
    return (unit, 1.0) if units == "metric" else IMPERIAL_UNITS.get(unit, (unit, 1.0))


def format_property(value: float, unit: str, units: Units) -> str:
    """A material's number given in a unit of the code, as text with its unit."""
    shown, factor = shown_unit(unit, units)
    text = significant(value / factor, 4)
    return text if shown == "1" else f"{text} {UNIT_WORDS.get(shown, shown)}"


def format_area(area: float, units: Units) -> str:
    """An area in mm2 as text."""
    if units == "metric":
        return f"{area / 100:.3g} cm²"
    return f"{area / MM_PER_INCH**2:.3g} in²"


def format_compliance(compliance: float, units: Units) -> str:
    """Displacement per load in mm/N as text, per kN or per 100 lbf."""
    if units == "metric":
        return f"{compliance * 1000:.3g} mm per kN"
    return f"{compliance * N_PER_LBF / MM_PER_INCH * 100:.3g} in per 100 lbf"


def format_energy(energy: float, units: Units) -> str:
    """An energy in N mm as text, in J or foot-pounds, written as a moment is."""
    if units == "metric":
        return f"{significant(energy / 1000, 3)} J"
    return f"{significant(energy / (N_PER_LBF * 12 * MM_PER_INCH), 3)} lbf·ft"


NUMBER = r"(?<![\w.,])(\d+(?:\.\d+)?)"
SHOWN_IN_WORDS: tuple[tuple[re.Pattern[str], Callable[[float, Units], str]], ...] = (
    (re.compile(rf"{NUMBER} mm\b(?! \()"), format_length),
    (re.compile(rf"{NUMBER} kg\b(?! \(|/)"), format_weight),
    (re.compile(rf"{NUMBER} N/mm\b(?![²³])"), lambda value, units: format_property(value, "N/mm", units)),
    (re.compile(rf"{NUMBER} N\b(?![·/]| m)"), format_force),
)
"""What is turned into the units shown in sentences, and how; a bracket behind a length or weight keeps it."""


def words_in_units(text: str, units: Units) -> str:
    """A sentence of our own in mm, kg, N and N/mm, in the units shown.

    >>> words_in_units("board A, 90 mm wide", "imperial"), words_in_units("25 mm (1 in) apart", "imperial")
    ('board A, 3.543 in wide', '25 mm (1 in) apart')
    """
    if units == "metric":
        return text
    for pattern, shown in SHOWN_IN_WORDS:
        text = pattern.sub(partial(_in_units, shown, units), text)
    return text


def _in_units(shown: Callable[[float, Units], str], units: Units, found: re.Match[str]) -> str:
    return shown(float(found[1]), units)


def format_rotational_stiffness(stiffness: float, units: Units) -> str:
    """Moment per turn in N mm/rad as text, per degree."""
    return f"{format_moment(math.radians(stiffness), units)} per degree"


__all__ = [
    "KG_PER_LB",
    "force_factor",
    "force_unit",
    "format_area",
    "format_compliance",
    "format_energy",
    "format_force",
    "format_length",
    "format_moment",
    "format_property",
    "format_rotational_stiffness",
    "format_stress",
    "format_weight",
    "length_factor",
    "length_unit",
    "percent",
    "property_unit",
    "shown_unit",
    "stress_factor",
    "stress_unit",
    "weight_size",
    "weight_unit",
    "words_in_units",
]
