"""Failure criteria for wood in a plane that holds the grain.

Every criterion takes stresses along the grain, across it and in shear (arrays of one shape, MPa) and the
strengths of the wood, and returns the share of strength: that of the load at which the limit is met, so 1 at
the limit and linear in the load.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glueline.materials.wood import Wood

Array = NDArray[np.float64]


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

    >>> from glueline.materials import find_wood
    >>> maple = plane_strengths(find_wood("hard maple"))
    >>> round(maple.tension_along), round(maple.tension_across, 1), round(maple.shear, 1)  # MPa
    (109, 5.6, 16.1)
    """
    return PlaneStrengths(
        tension_along=wood.bending_strength,
        compression_along=wood.bending_strength,
        tension_across=wood.tension_across,
        compression_across=wood.compression_across,
        shear=wood.shear_strength,
    )


def separate_modes(along: ArrayLike, across: ArrayLike, shear: ArrayLike, strengths: PlaneStrengths) -> Array:
    """(s2/f2)^2 + (t/fv)^2 = 1, the fibres judged on their own (matrix tension of Hashin 1980, recalled).

    A crack along the grain is not opened by the stress along it, so that stress has no part here.
    """
    _, two, three = _shares(along, across, shear, strengths)
    return np.hypot(two, three)


def quadratic(along: ArrayLike, across: ArrayLike, shear: ArrayLike, strengths: PlaneStrengths) -> Array:
    """(s1/f1)^2 + (s2/f2)^2 + (t/fv)^2 = 1 (Norris and McKinnon 1946, recalled)."""
    one, two, three = _shares(along, across, shear, strengths)
    return np.asarray(np.sqrt(one**2 + two**2 + three**2), dtype=float)


def norris_interaction(
    along: ArrayLike, across: ArrayLike, shear: ArrayLike, strengths: PlaneStrengths
) -> Array:
    """The quadratic with the product term: ... - s1 s2 / (f1 f2) = 1 (Norris 1950, FPL report 1816, 1962;
    recalled).

    Equal signs along and across relieve each other, opposite signs add.
    """
    one, two, three = _shares(along, across, shear, strengths)
    return np.asarray(np.sqrt(one**2 + two**2 + three**2 - one * two), dtype=float)


def hoffman(along: ArrayLike, across: ArrayLike, shear: ArrayLike, strengths: PlaneStrengths) -> Array:
    """Hoffman 1967 (recalled), in plane stress:

    (s1^2 - s1 s2)/(f1t f1c) + s2^2/(f2t f2c) + (t/fv)^2 + s1 (1/f1t - 1/f1c) + s2 (1/f2t - 1/f2c) = 1;

    the Tsai-Wu polynomial with F12 = -1/(2 f1t f1c). The load at the limit is the positive root of this
    quadratic in the load. Raises ValueError unless 4 f1t f1c > f2t f2c, outside of which the limit is not
    closed.
    """
    pull_along, press_along = strengths.tension_along, strengths.compression_along
    pull_across, press_across = strengths.tension_across, strengths.compression_across
    if not 4.0 * pull_along * press_along > pull_across * press_across:
        raise ValueError("Hoffman's criterion needs 4 f1t f1c > f2t f2c")
    one, two, three = np.asarray(along), np.asarray(across), np.asarray(shear)
    second = (
        (one**2 - one * two) / (pull_along * press_along)
        + two**2 / (pull_across * press_across)
        + (three / strengths.shear) ** 2
    )
    first = one * (1 / pull_along - 1 / press_along) + two * (1 / pull_across - 1 / press_across)
    root = np.sqrt(first**2 + 4.0 * second)
    # Two forms of the same root, each without a difference of like numbers.
    falling = 2.0 * second / np.where(first < 0.0, root - first, 1.0)
    return np.asarray(np.where(first < 0.0, falling, (first + root) / 2.0), dtype=float)


def _shares(
    along: ArrayLike, across: ArrayLike, shear: ArrayLike, strengths: PlaneStrengths
) -> tuple[Array, Array, Array]:
    """Each stress over its own strength: along and across that in tension or in compression, by the sign."""
    one, two = np.asarray(along), np.asarray(across)
    return (
        one / np.where(one >= 0.0, strengths.tension_along, strengths.compression_along),
        two / np.where(two >= 0.0, strengths.tension_across, strengths.compression_across),
        np.asarray(shear) / strengths.shear,
    )


@dataclass(frozen=True)
class Criterion:
    """A named criterion: ``index`` takes stresses along, across and in shear and a PlaneStrengths.

    The index is linear in the load and 1 at the limit. ``counts_along`` says whether the stress along the
    grain has a part in it; where it has not, that stress may be anything.
    """

    index: Callable[[Array, Array, Array, PlaneStrengths], Array]
    counts_along: bool


CRITERIA: Mapping[str, Criterion] = {
    "separate modes": Criterion(separate_modes, False),
    "quadratic": Criterion(quadratic, True),
    "norris interaction": Criterion(norris_interaction, True),
    "hoffman": Criterion(hoffman, True),
}
"""Every criterion by its name; README.md beside this file compares them."""

DEFAULT_CRITERION = "quadratic"


def find_criterion(name: str) -> Criterion:
    """The criterion called ``name``. Raises ValueError, which lists the names, where there is none.

    >>> from glueline.materials import find_wood
    >>> maple = plane_strengths(find_wood("hard maple"))
    >>> share = find_criterion("quadratic").index(0.0, 2.0, 3.0, maple)  # MPa along, across, in shear
    >>> round(float(share), 2)  # 1 is the limit
    0.4
    """
    if name not in CRITERIA:
        raise ValueError(f"no wood criterion is called {name!r}: choose {', '.join(CRITERIA)}")
    return CRITERIA[name]
