"""A maker's own wood: a tabled one, moved by what the maker has measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from glueline.materials.provenance import Provenance
from glueline.materials.wood import FOLLOWS_MOISTURE, MODULI, STRENGTHS, TOUGHNESSES, Wood

GRAVITY_EXPONENTS: Mapping[bool, Mapping[str, float]] = {
    True: {
        "modulus_along": 0.70,
        "bending_strength": 1.13,
        "compression_along": 0.89,
        "compression_across": 2.09,
        "shear_strength": 1.13,
        "tension_across": 1.30,
    },
    False: {
        "modulus_along": 0.84,
        "bending_strength": 1.01,
        "compression_along": 0.97,
        "compression_across": 1.57,
        "shear_strength": 0.85,
        "tension_across": 1.11,
    },
}
"""Exponents of specific gravity at 12 % moisture, hardwoods (True) and softwoods (False).

Wood Handbook, FPL-GTR-190, Table 5-11a, from memory. They describe how species differ; within one species
the spread of density is smaller and the same exponents are taken.
"""

STRENGTH_WITH_STIFFNESS = 0.5
"""Exponent of stiffness at one density, for bending and compression along the grain (derived).

Slope of the regression of log strength on log stiffness, r x 16 / 22: coefficients of variation from Wood
Handbook Table 5-6, r = 0.7 from memory (0.6 to 0.8 for clear wood).
"""

RELIABLE_RANGE = (0.5, 2.0)
"""A density or stiffness outside this range of the base wood's is taken for a slip."""

RANGE_IN_WORDS = "half to twice that of the wood it is like"

MINIMUM_SLENDERNESS = 8.0
"""Span over thickness below which a sag test says more about shear than about stiffness along the grain."""


class UnlikelyWood(ValueError):
    """A measure of the maker's own that cannot be believed of the wood it is like.

    ``key`` is "density", "stiffness" or "sag"; ``value`` and the limits ``low`` and ``high`` in ``unit``.

    >>> from glueline.materials import find_wood
    >>> try:
    ...     like_wood(find_wood("white oak"), name="mine", stiffness=3000.0)  # MPa
    ... except UnlikelyWood as error:
    ...     print(error.key, error.value, round(error.low), round(error.high), error.unit)
    stiffness 3000.0 6150 24600 MPa
    """

    def __init__(self, key: str, value: float, low: float, high: float, unit: str) -> None:
        super().__init__(key, value, low, high, unit)
        self.key, self.value, self.low, self.high, self.unit = key, value, low, high, unit

    def __str__(self) -> str:
        what = "modulus along the grain from sag" if self.key == "sag" else self.key
        return (
            f"{what} = {self.value:g} {self.unit} should lie between {self.low:.0f} and {self.high:.0f} "
            f"{self.unit}, {RANGE_IN_WORDS}"
        )


@dataclass(frozen=True)
class Sag:
    """A board laid flat on two supports and weighted in the middle.

    ``span`` between the supports, ``sag`` of the middle under the weight, ``thickness`` (upright) and
    ``width`` of the board in mm; ``weight`` in N. Raises ValueError naming every number that cannot be right.

    >>> from glueline.materials import find_wood
    >>> shelf = Sag(span=800.0, weight=50.0, sag=0.8, thickness=19.0, width=90.0)  # mm, N, mm, mm, mm
    >>> round(modulus_from_sag(shelf, find_wood("hard maple")))  # MPa
    13060
    """

    span: float
    weight: float
    sag: float
    thickness: float
    width: float

    def __post_init__(self) -> None:
        values = {key: getattr(self, key) for key in ("span", "weight", "sag", "thickness", "width")}
        problems = [
            f"{key} = {value:g} must be above zero"
            for key, value in values.items()
            if not (math.isfinite(value) and value > 0)
        ]
        if not problems and self.span < MINIMUM_SLENDERNESS * self.thickness:
            problems.append(
                f"the span is under {MINIMUM_SLENDERNESS:g} thicknesses: shear would swamp the bending"
            )
        if not problems and self.sag > self.span / 20.0:
            problems.append("the sag is over a twentieth of the span: not a small deflection")
        if problems:
            raise ValueError("; ".join(problems))


def modulus_from_sag(sag: Sag, wood: Wood) -> float:
    """E_L in MPa, shear taken out: W L^3 / (48 I w) x (1 + 1.2 (E_L/G) (h/L)^2).

    Timoshenko's beam, simply supported, central load, shear coefficient 5/6; E_L/G is that of ``wood``, with
    G the mean of G_LR and G_LT since the way the board is sawn is not asked. At 14 depths and E_L/G = 15
    this is 9 %, the handbook's rule of a tenth.
    """
    inertia = sag.width * sag.thickness**3 / 12.0
    apparent = sag.weight * sag.span**3 / (48.0 * inertia * sag.sag)
    shear_modulus = (wood.shear_modulus_lr + wood.shear_modulus_lt) / 2.0
    return apparent * (1.0 + 1.2 * wood.modulus_along / shear_modulus * (sag.thickness / sag.span) ** 2)


def like_wood(
    base: Wood,
    *,
    name: str,
    density: float | None = None,
    stiffness: float | None = None,
    sag: Sag | None = None,
) -> Wood:
    """A wood like ``base`` with the maker's own density (kg/m3), stiffness (MPa) or sag, at the moisture of
    ``base``.

    - ``stiffness`` is the bending modulus as tables and makers give it, deflection by shear included: E_L is
      1.10 times it. ``sag`` gives E_L itself, shear removed (``modulus_from_sag``). All six moduli move
      together.
    - ``density`` moves E_L (unless measured) and the strengths by ``GRAVITY_EXPONENTS``, the toughnesses in
      proportion, rolling shear with shear along the grain.
    - Stiffness beyond what the density accounts for moves bending strength and compression along the grain
      with the power ``STRENGTH_WITH_STIFFNESS``; other strengths stay.

    Raises ValueError for both stiffness and sag, UnlikelyWood for a density or modulus outside half to twice
    that of ``base``.

    >>> from glueline.materials import find_wood
    >>> maple = find_wood("hard maple")
    >>> mine = like_wood(maple, name="my maple", density=740.0)  # kg/m3
    >>> round(maple.modulus_along), round(mine.modulus_along)  # MPa
    (13860, 14324)
    """
    if stiffness is not None and sag is not None:
        raise ValueError("give the stiffness or the sag of a board, not both")
    exponents = GRAVITY_EXPONENTS[base.hardwood]
    gravity_ratio = 1.0 if density is None else _ratio("density", density, base.density, "kg/m3")
    expected = gravity_ratio ** exponents["modulus_along"]
    stiffness_ratio = expected
    if sag is not None:
        stiffness_ratio = _ratio("sag", modulus_from_sag(sag, base), base.modulus_along, "MPa")
    elif stiffness is not None:
        stiffness_ratio = _ratio("stiffness", stiffness, base.modulus_along / 1.10, "MPa")

    factors = dict.fromkeys(MODULI, stiffness_ratio)
    factors.update({key: gravity_ratio ** exponents[key] for key in STRENGTHS if key in exponents})
    factors["rolling_shear_strength"] = factors["shear_strength"]
    for key in ("bending_strength", "compression_along"):
        factors[key] *= (stiffness_ratio / expected) ** STRENGTH_WITH_STIFFNESS
    factors.update(dict.fromkeys(("specific_gravity", "density", *TOUGHNESSES), gravity_ratio))

    moved = [key for key, factor in factors.items() if factor != 1.0]
    numbers: dict[str, Any] = {key: getattr(base, key) * factors[key] for key in moved}
    measured = [
        word
        for word, value in (("density", density), ("stiffness", stiffness), ("sag", sag))
        if value is not None
    ]
    sources = {key: _source(key, base, measured) for key in moved}
    return replace(
        base,
        name=name,
        **numbers,
        green={key: base.green[key] * factors[key] for key in FOLLOWS_MOISTURE},
        standard={key: base.standard[key] * factors[key] for key in FOLLOWS_MOISTURE},
        provenance={**base.provenance, **sources},
    )


def _ratio(key: str, value: float, base: float, unit: str) -> float:
    """``value`` over ``base``, if it can be believed."""
    low, high = RELIABLE_RANGE
    if not (math.isfinite(value) and low * base <= value <= high * base):
        raise UnlikelyWood(key, value, low * base, high * base, unit)
    return value / base


def _source(key: str, base: Wood, measured: list[str]) -> Provenance:
    """Where a moved number comes from: what the maker measured, or a rule and how well it is known."""
    moved = f"{base.name}, moved by the maker's own {' and '.join(measured)}"
    if key in ("density", "specific_gravity") or (key in MODULI and measured != ["density"]):
        return Provenance(moved, "derived")
    if key in TOUGHNESSES:
        return Provenance(f"{moved}, in proportion to gravity", "judgement")
    return Provenance(f"{moved}, by the exponents of own_wood.py (Wood Handbook, Table 5-11a)", "from memory")
