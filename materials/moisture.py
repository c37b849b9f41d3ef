"""How the properties of wood move with its moisture content."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any

from glueline.materials.wood import MODULI, STANDARD_MOISTURE, Wood

DRIEST = 2.0
"""Below this the formula has no data behind it, percent."""

WETTEST = 200.0
"""Above this the number cannot be a moisture content of these woods, percent."""


def at_moisture(wood: Wood, moisture_percent: float) -> Wood:
    """``wood`` with its properties at ``moisture_percent``.

    P = P12 (P12 / Pg)^((12 - M) / (Mp - 12)) up to the intersection moisture Mp and Pg beyond it (Wood
    Handbook, FPL-GTR-190, eq. 5-3, recalled). All six moduli move in the ratio of the bending modulus,
    rolling shear strength in that of shear along the grain. Density gains the water at constant volume,
    which leaves out some 2 % of swelling. Tension across the grain and the toughnesses stay as at 12 %: the
    handbook says they do not follow the formula reliably, and tests disagree even on the sign. Poisson's
    ratios stay.

    The adjustment always starts from the values at 12 %, so a wood may be taken to any moisture and back.
    Raises ValueError outside 2 to 200 %.

    >>> from glueline.materials import find_wood
    >>> maple = find_wood("hard maple")
    >>> [round(at_moisture(maple, percent).shear_strength, 1) for percent in (8.0, 12.0, 20.0)]  # MPa
    [18.6, 16.1, 12.1]
    """
    if not math.isfinite(moisture_percent) or not DRIEST <= moisture_percent <= WETTEST:
        raise ValueError(
            f"moisture = {moisture_percent:g} %: the moisture formula holds from {DRIEST:g} % "
            f"and wood holds no more than {WETTEST:g} %"
        )
    return wood if moisture_percent == wood.moisture else _moved(wood, moisture_percent)


@lru_cache(256)
def _moved(wood: Wood, moisture_percent: float) -> Wood:
    moved: dict[str, Any] = {key: _at(wood, key, moisture_percent) for key in wood.standard}
    stiffness = moved["modulus_along"] / wood.modulus_along
    shear = moved["shear_strength"] / wood.shear_strength
    moved.update({key: getattr(wood, key) * stiffness for key in MODULI if key != "modulus_along"})
    moved["rolling_shear_strength"] = wood.rolling_shear_strength * shear
    moved["density"] = wood.density * (100.0 + moisture_percent) / (100.0 + wood.moisture)
    return replace(wood, moisture=moisture_percent, **moved)


def moisture_formula(
    at_12: float, green: float, intersection_moisture: float, moisture_percent: float
) -> float:
    """A property at ``moisture_percent`` from its values at 12 % and green (Wood Handbook, eq. 5-3)."""
    if moisture_percent >= intersection_moisture:
        return green
    exponent = (STANDARD_MOISTURE - moisture_percent) / (intersection_moisture - STANDARD_MOISTURE)
    return float(at_12 * (at_12 / green) ** exponent)


def _at(wood: Wood, key: str, moisture_percent: float) -> float:
    return moisture_formula(wood.standard[key], wood.green[key], wood.intersection_moisture, moisture_percent)
