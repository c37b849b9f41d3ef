"""Failure criteria for wood in a plane that holds the grain.

Every function takes stresses along the grain, across it and in shear (arrays of one shape, MPa) and returns
the utilisation: the share of the load at which the limit is met, so 1 at the limit and linear in the load.
Strengths are positive numbers, MPa, and may be arrays too; where a wood differs in tension and compression
the caller passes the strength that goes with the sign, see ``by_sign``.

``CRITERIA`` holds them under their names with one signature, (along, across, shear, PlaneStrengths).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glueline.materials.grain_angle import hankinson
from glueline.materials.wood import Wood

__all__ = [
    "CRITERIA",
    "DEFAULT_CRITERION",
    "Criterion",
    "PlaneStrengths",
    "by_sign",
    "find_criterion",
    "hankinson",
    "hoffman",
    "norris_interaction",
    "off_axis_tension",
    "plane_strengths",
    "quadratic",
    "separate_modes",
]

Array = NDArray[np.float64]


def by_sign(stress: ArrayLike, tension: float, compression: float) -> Array:
    """The strength that goes with each stress: ``tension`` where it pulls, else ``compression``."""
    return np.where(np.asarray(stress) >= 0.0, tension, compression)


def separate_modes(
    across: ArrayLike, shear: ArrayLike, strength_across: ArrayLike, strength_shear: ArrayLike
) -> Array:
    """(s2/f2)^2 + (t/fv)^2 = 1, the fibres judged on their own (matrix tension of Hashin 1980, recalled).

    A crack along the grain is not opened by the stress along it, so that stress has no part here.
    """
    return np.hypot(np.asarray(across) / strength_across, np.abs(shear) / strength_shear)


def quadratic(
    along: ArrayLike,
    across: ArrayLike,
    shear: ArrayLike,
    strength_along: ArrayLike,
    strength_across: ArrayLike,
    strength_shear: ArrayLike,
) -> Array:
    """(s1/f1)^2 + (s2/f2)^2 + (t/fv)^2 = 1 (Norris and McKinnon 1946, recalled)."""
    one = np.asarray(along) / strength_along
    two = np.asarray(across) / strength_across
    three = np.asarray(shear) / strength_shear
    return np.asarray(np.sqrt(one**2 + two**2 + three**2), dtype=float)


def norris_interaction(
    along: ArrayLike,
    across: ArrayLike,
    shear: ArrayLike,
    strength_along: ArrayLike,
    strength_across: ArrayLike,
    strength_shear: ArrayLike,
) -> Array:
    """The quadratic with the product term: ... - s1 s2 / (f1 f2) = 1 (Norris 1950, FPL report 1816, 1962;
    recalled).

    Equal signs along and across relieve each other, opposite signs add.
    """
    one = np.asarray(along) / strength_along
    two = np.asarray(across) / strength_across
    three = np.asarray(shear) / strength_shear
    return np.asarray(np.sqrt(one**2 + two**2 + three**2 - one * two), dtype=float)


def hoffman(
    along: ArrayLike,
    across: ArrayLike,
    shear: ArrayLike,
    *,
    tension_along: float,
    compression_along: float,
    tension_across: float,
    compression_across: float,
    strength_shear: float,
) -> Array:
    """Hoffman 1967 (recalled), in plane stress:

    (s1^2 - s1 s2)/(f1t f1c) + s2^2/(f2t f2c) + (t/fv)^2 + s1 (1/f1t - 1/f1c) + s2 (1/f2t - 1/f2c) = 1;

    the Tsai-Wu polynomial with F12 = -1/(2 f1t f1c). The load at the limit is the positive root of this
    quadratic in the load. Raises ValueError unless 4 f1t f1c > f2t f2c, outside of which the limit is not
    closed.
    """
    both_along, both_across = tension_along * compression_along, tension_across * compression_across
    if not 4.0 * both_along > both_across:
        raise ValueError("Hoffman's criterion needs 4 f1t f1c > f2t f2c")
    one, two, three = np.asarray(along), np.asarray(across), np.asarray(shear)
    second = (one**2 - one * two) / both_along + two**2 / both_across + (three / strength_shear) ** 2
    first = one * (1 / tension_along - 1 / compression_along) + two * (
        1 / tension_across - 1 / compression_across
    )
    root = np.sqrt(first**2 + 4.0 * second)
    # Two forms of the same root, each without a difference of like numbers.
    falling = 2.0 * second / np.where(first < 0.0, root - first, 1.0)
    return np.asarray(np.where(first < 0.0, falling, (first + root) / 2.0), dtype=float)


def off_axis_tension(angle: ArrayLike, utilisation: Callable[[Array, Array, Array], Array]) -> Array:
    """Strength of a bar pulled at ``angle`` (rad) to its grain, MPa, by any criterion of stress alone."""
    cosine, sine = np.cos(np.asarray(angle, dtype=float)), np.sin(np.asarray(angle, dtype=float))
    return np.asarray(1.0 / utilisation(cosine**2, sine**2, cosine * sine), dtype=float)


@dataclass(frozen=True)
class PlaneStrengths:
    """Strengths of a wood in a plane that holds the grain, MPa, all positive."""

    tension_along: float
    compression_along: float
    tension_across: float
    compression_across: float
    shear: float


def plane_strengths(wood: Wood) -> PlaneStrengths:
    """The strengths of ``wood`` that belong to breaking in bending.

    Along the grain the modulus of rupture in both signs: the pressed side of a bent board yields long before
    the board breaks, and yielding is no break.
    """
    return PlaneStrengths(
        tension_along=wood.bending_strength,
        compression_along=wood.bending_strength,
        tension_across=wood.tension_across,
        compression_across=wood.compression_across,
        shear=wood.shear_strength,
    )


@dataclass(frozen=True)
class Criterion:
    """A named criterion: ``index`` takes stresses along, across and in shear and a PlaneStrengths.

    The index is linear in the load and 1 at the limit. ``counts_along`` says whether the stress along the
    grain has a part in it; where it has not, that stress may be anything.
    """

    index: Callable[[Array, Array, Array, PlaneStrengths], Array]
    counts_along: bool
    source: str


def _separate_modes(along: Array, across: Array, shear: Array, strengths: PlaneStrengths) -> Array:
    return separate_modes(across, shear, _across(across, strengths), strengths.shear)


def _quadratic(along: Array, across: Array, shear: Array, strengths: PlaneStrengths) -> Array:
    along_strength = by_sign(along, strengths.tension_along, strengths.compression_along)
    return quadratic(along, across, shear, along_strength, _across(across, strengths), strengths.shear)


def _norris_interaction(along: Array, across: Array, shear: Array, strengths: PlaneStrengths) -> Array:
    along_strength = by_sign(along, strengths.tension_along, strengths.compression_along)
    return norris_interaction(
        along, across, shear, along_strength, _across(across, strengths), strengths.shear
    )


def _hoffman(along: Array, across: Array, shear: Array, strengths: PlaneStrengths) -> Array:
    return hoffman(
        along,
        across,
        shear,
        tension_along=strengths.tension_along,
        compression_along=strengths.compression_along,
        tension_across=strengths.tension_across,
        compression_across=strengths.compression_across,
        strength_shear=strengths.shear,
    )


def _across(stress: Array, strengths: PlaneStrengths) -> Array:
    return by_sign(stress, strengths.tension_across, strengths.compression_across)


CRITERIA: Mapping[str, Criterion] = {
    "separate modes": Criterion(_separate_modes, False, "Hashin 1980, matrix tension (recalled)"),
    "quadratic": Criterion(_quadratic, True, "Norris and McKinnon 1946 (recalled)"),
    "norris interaction": Criterion(
        _norris_interaction, True, "Norris 1950; FPL report 1816, 1962 (recalled)"
    ),
    "hoffman": Criterion(_hoffman, True, "Hoffman 1967 (recalled)"),
}
"""Every criterion by its name; README.md beside this file compares them."""

DEFAULT_CRITERION = "quadratic"


def find_criterion(name: str) -> Criterion:
    """The criterion called ``name``. Raises ValueError, which lists the names, where there is none."""
    if name not in CRITERIA:
        raise ValueError(f"no wood criterion is called {name!r}: choose {', '.join(CRITERIA)}")
    return CRITERIA[name]
