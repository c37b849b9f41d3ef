"""Bonds: what a glue holds between two given woods at given angles of grain.

One rule carries the glue table from white oak at 12 % to every wood: a bond is the lesser of film and wood.
The side-grain row follows the wood's own numbers relative to white oak's (opening strength its tension
across the grain, shear strength its shear, toughness its specific gravity) as far as the film's own limits;
the 45 degree and end-grain rows keep their ratios to it. A judgement; on white oak it returns
the row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf, isclose, pi

import numpy as np

from glueline.materials.crushing import crushing_strength
from glueline.materials.glue import BOND_NUMBERS, BondRow, Glue
from glueline.materials.grain_angle import through_three
from glueline.materials.moisture import at_moisture
from glueline.materials.wood import Wood
from glueline.materials.wood_table import find_wood
from glueline.materials.workmanship import DAMP, SIZED_45, SIZED_END, Workmanship, factors

REFERENCE_WOOD = "White oak"
"""The wood on which the rows of the glue table hold, at 12 %."""


@dataclass(frozen=True)
class Bond:
    """A glue line between two faces: stiffnesses in N/mm3, strengths in MPa, toughnesses in N/mm.

    ``cov`` is the coefficient of variation of its strength, a share; ``credible`` the factors on strengths
    and toughnesses between which it can be believed; ``weaker_side`` "minus" or "plus"; ``effects`` says in
    plain sentences what workmanship and moisture did. ``crushing_strength`` is the
    pressure in MPa at which the weaker of the two woods crushes; infinity is faces that bear whatever comes.
    ``mixing_exponent`` is the glue's.
    """

    opening_stiffness: float
    shear_stiffness: float
    opening_strength: float
    shear_strength: float
    opening_toughness: float
    shear_toughness: float
    cov: float
    softening: str
    weaker_side: str
    effects: tuple[str, ...] = ()
    crushing_strength: float = inf
    mixing_exponent: float | None = None
    credible: tuple[float, float] = (1.0, 1.0)


@dataclass(frozen=True)
class CheekSide:
    """One side of a face-to-face bond: along the grain and across it (rolling), MPa and N/mm."""

    shear_strength: float
    rolling_strength: float
    shear_toughness: float
    rolling_toughness: float


@dataclass(frozen=True)
class CheekBond:
    """A face-to-face bond in shear: stiffness in N/mm3, ``sides`` minus and plus.

    ``low_sides`` and ``high_sides`` are the same at the ends of the credible range of the glue's ``crossed``
    row; ``credible`` the factors between which the side-grain row can be believed, and all of it with that;
    ``effects`` says in plain sentences what workmanship and moisture did.
    """

    shear_stiffness: float
    sides: tuple[CheekSide, CheekSide]
    low_sides: tuple[CheekSide, CheekSide]
    high_sides: tuple[CheekSide, CheekSide]
    cov: float
    softening: str
    effects: tuple[str, ...] = ()
    credible: tuple[float, float] = (1.0, 1.0)


def rows_on(glue: Glue, wood: Wood, end_grain: str = "plain") -> tuple[BondRow, BondRow, BondRow]:
    """The glue's rows at 0, 45 and 90 degrees on ``wood``, without quality, gap, coverage or damp.

    The wood counts at its own moisture up to 16 %; beyond that the damp glue line is a factor of its own.
    "sized" end grain holds twice, grain at 45 degrees 1.5 times as much, neither more than side grain.
    """
    scale, side, sized = _scale_on(glue, wood), glue.side_grain, end_grain == "sized"
    return (
        _moved(side, side, scale, 1.0),
        _moved(glue.grain_45, side, scale, SIZED_45 if sized else 1.0),
        _moved(glue.end_grain, side, scale, SIZED_END if sized else 1.0),
    )


def row_on(glue: Glue, wood: Wood, name: str) -> BondRow:
    """The one called ``name`` ("side_grain", "grain_45" or "end_grain") of these rows, end grain plain."""
    return _moved(getattr(glue, name), glue.side_grain, _scale_on(glue, wood), 1.0)


def _scale_on(glue: Glue, wood: Wood) -> dict[str, float]:
    """By what every number of a glue's rows is multiplied on a wood: the lesser of wood and film."""
    oak = find_wood(REFERENCE_WOOD)
    wood = at_moisture(wood, DAMP) if wood.moisture > DAMP else wood
    gravity = wood.specific_gravity / oak.specific_gravity
    side = glue.side_grain
    return {
        "opening_strength": min(
            wood.tension_across / oak.tension_across, glue.film_opening_strength / side.opening_strength
        ),
        "shear_strength": min(
            wood.shear_strength / oak.shear_strength, glue.film_shear_strength / side.shear_strength
        ),
        "opening_toughness": min(gravity, glue.film_opening_toughness / side.opening_toughness),
        "shear_toughness": min(gravity, glue.film_shear_toughness / side.shear_toughness),
    }


def _moved(row: BondRow, side: BondRow, scale: Mapping[str, float], sizing: float) -> BondRow:
    """A row on another wood; sized, it holds no more than the ``side`` grain."""
    values = {}
    for key in BOND_NUMBERS:
        plain = getattr(row, key)
        sized = max(plain, min(plain * sizing, getattr(side, key)))
        values[key] = sized * scale[key]
    return replace(row, **values)


def row_at(rows: tuple[BondRow, BondRow, BondRow], angle: float) -> BondRow:
    """The row at any ``angle`` (rad, 0 to pi/2) between grain and glued face.

    Every strength and toughness by Hankinson's form through the three rows, the scatter and what can be
    believed straight between them. Raises ValueError for an angle outside 0 to 90 degrees.
    """
    if not -1e-9 <= angle <= pi / 2 + 1e-9:
        raise ValueError(f"angle = {angle:g} rad between grain and glued face should lie between 0 and pi/2")
    angle = min(max(angle, 0.0), pi / 2)
    side, at_45, end = rows
    values = {
        key: through_three(getattr(side, key), getattr(at_45, key), getattr(end, key), angle)
        for key in BOND_NUMBERS
    }
    for key in ("cov", "credible_low", "credible_high"):
        values[key] = float(np.interp(angle, (0.0, pi / 4, pi / 2), [getattr(row, key) for row in rows]))
    return BondRow(**values)


def bond(
    glue: Glue,
    wood_minus: Wood,
    angle_minus: float,
    wood_plus: Wood,
    angle_plus: float,
    workmanship: Workmanship | None = None,
) -> Bond:
    """The glue line between two faces; angles in rad, between grain and glued face: 0 side, pi/2 end grain.

    Each side is taken with its own wood and angle and the weaker governs: every strength and toughness is
    the lesser of the two. ``weaker_side``, and with it the scatter and the credible range, is the side whose
    opening and shear strengths add up to less; where they are equal it is minus, with the larger scatter and
    its range. That range moves the whole bond: whether the other face would then be the weaker is not asked.

    ``crushing_strength`` is the lesser of the two woods' at their own moisture. Glue, quality and coverage do
    not enter: what is pressed is wood, and faces bear on each other where they are not glued as well. Raises
    ValueError for an angle outside 0 to 90 degrees.

    >>> from glueline.materials import find_glue, find_wood
    >>> maple = find_wood("hard maple")
    >>> end_on_side = bond(find_glue("pva"), maple, 0.0, maple, pi / 2)  # side grain to end grain
    >>> round(end_on_side.opening_strength, 1), end_on_side.weaker_side  # MPa
    (5.1, 'plus')
    """
    workmanship = workmanship or Workmanship()
    crushes_at = min(crushing_strength(wood_minus, angle_minus), crushing_strength(wood_plus, angle_plus))
    if not glue.holds:
        effects: tuple[str, ...] = ("No glue: the faces only bear on each other.",)
        return Bond(0, 0, 0, 0, 0, 0, 0, glue.softening, "minus", effects, crushes_at)
    sides = [
        row_at(rows_on(glue, wood, workmanship.end_grain), angle)
        for wood, angle in ((wood_minus, angle_minus), (wood_plus, angle_plus))
    ]
    totals = [row.opening_strength + row.shear_strength for row in sides]
    even = isclose(totals[0], totals[1], rel_tol=1e-9)
    weaker = int(totals[1] < totals[0] and not even)
    made = factors(workmanship, glue, max(wood_minus.moisture, wood_plus.moisture))
    governing = max(sides, key=lambda row: row.cov) if even else sides[weaker]
    effects = made.effects
    if workmanship.end_grain == "sized" and max(angle_minus, angle_plus) > 1e-9:
        effects += (
            f"Sized end grain: end grain is taken to hold {SIZED_END:g} times and grain at 45 degrees "
            f"{SIZED_45:g} times as much as plain, neither more than side grain.",
        )
    least = {key: min(getattr(row, key) for row in sides) * made.holding for key in BOND_NUMBERS}
    return Bond(
        opening_stiffness=glue.opening_stiffness * made.stiffness,
        shear_stiffness=glue.shear_stiffness * made.stiffness,
        **least,
        cov=governing.cov,
        softening=glue.softening,
        weaker_side=("minus", "plus")[weaker],
        effects=effects,
        crushing_strength=crushes_at,
        mixing_exponent=glue.mixing_exponent,
        credible=(governing.credible_low, governing.credible_high),
    )


def cheek_bond(
    glue: Glue, wood_minus: Wood, wood_plus: Wood, workmanship: Workmanship | None = None
) -> CheekBond:
    """The bond of two faces whose grain lies in the face, and the credible range of it across the grain.

    Along: the side-grain shear row on that side's own wood. Across: the share of the glue's ``crossed`` row,
    the toughness likewise. Which side governs depends on the direction of the shear, so both are returned.

    >>> from glueline.materials import find_glue, find_wood
    >>> maple = find_wood("hard maple")
    >>> side = cheek_bond(find_glue("pva"), maple, maple).sides[0]
    >>> round(side.shear_strength, 1), round(side.rolling_strength, 1)  # MPa, along the grain and across it
    (16.3, 4.1)
    """
    workmanship = workmanship or Workmanship()
    woods = (wood_minus, wood_plus)
    if not glue.holds:
        nothing = (CheekSide(0, 0, 0, 0),) * 2
        return CheekBond(0, nothing, nothing, nothing, 0, glue.softening)
    made = factors(workmanship, glue, max(wood.moisture for wood in woods))
    rows = [rows_on(glue, wood)[0] for wood in woods]

    def sides(shares: list[float], toughness_share: float) -> tuple[CheekSide, CheekSide]:
        first, second = (
            CheekSide(
                shear_strength=row.shear_strength * made.holding,
                rolling_strength=row.shear_strength * made.holding * share,
                shear_toughness=row.shear_toughness * made.holding,
                rolling_toughness=row.shear_toughness * made.holding * toughness_share,
            )
            for row, share in zip(rows, shares, strict=True)
        )
        return first, second

    crossed = glue.crossed
    credible = [crossed.credible(wood.broad_rayed) for wood in woods]
    return CheekBond(
        shear_stiffness=glue.shear_stiffness * made.stiffness,
        sides=sides([crossed.share(wood.broad_rayed) for wood in woods], crossed.toughness_share),
        low_sides=sides([low for low, _ in credible], crossed.toughness_low),
        high_sides=sides([high for _, high in credible], crossed.toughness_high),
        cov=glue.side_grain.cov,
        softening=glue.softening,
        effects=made.effects,
        credible=(glue.side_grain.credible_low, glue.side_grain.credible_high),
    )
