"""Properties at an angle between the grain and the direction that matters."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray


def hankinson(along: float, across: float, angle: ArrayLike, exponent: float) -> NDArray[np.float64]:
    """N = P Q / (P sin^n + Q cos^n), any units; ``angle`` in rad from the grain.

    Hankinson 1921 with n = 2; other exponents by property in Wood Handbook, FPL-GTR-190, ch. 5 (tension 1.5
    to 2, compression 2 to 2.5, bending 1.5 to 2), recalled. Raises ValueError for a value or exponent not
    above zero.
    """
    if not (along > 0 and across > 0 and exponent > 0):
        raise ValueError("Hankinson's formula needs values and an exponent above zero")
    sine, cosine = np.abs(np.sin(angle)), np.abs(np.cos(angle))
    return np.asarray(along * across / (along * sine**exponent + across * cosine**exponent), dtype=float)


def hankinson_exponent(along: float, at_45: float, across: float) -> float:
    """The exponent with which Hankinson's formula passes through ``at_45``: n = 2 log2(F (P + Q) / (P Q)).

    Raises ValueError where there is none: the value at 45 degrees must lie above P Q / (P + Q).
    """
    if not (along > 0 and across > 0 and at_45 > 0):
        raise ValueError("values along, at 45 degrees and across must be above zero")
    floor = along * across / (along + across)
    if at_45 <= floor:
        raise ValueError(
            f"{at_45:g} at 45 degrees is too low between {along:g} and {across:g}: it must be above {floor:g}"
        )
    return float(2.0 * np.log2(at_45 / floor))


def through_three(along: float, at_45: float, across: float, angle: float) -> float:
    """A property at ``angle`` (rad) from its values at 0, 45 and 90 degrees to the grain.

    Hankinson's formula with the exponent that meets all three, held between the least and the greatest of
    them: with an exponent above 2 the formula alone rises some per cent above its ends. Raises as
    ``hankinson_exponent``.
    """
    exponent = hankinson_exponent(along, at_45, across)
    for known, value in ((0.0, along), (pi / 4, at_45), (pi / 2, across)):
        if abs(angle - known) < 1e-9:
            return value
    value = float(hankinson(along, across, angle, exponent))
    return min(max(value, min(along, at_45, across)), max(along, at_45, across))
