"""A load at which a named mode is met."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

NOTHING = 1e-12

BreaksIn = Literal["glue", "wood", "fastener"]
"""What can give."""


@dataclass(frozen=True)
class Limit:
    """A load in N at which a named mode is met.

    ``part`` is the surface or piece, ``point`` x, y in mm, ``length`` the mm over which stress was averaged,
    ``breaks`` False for what is shown but does not end the joint (yielding along the grain), ``shear_share``
    the part of shear in the square of the index where wood splits or shears along its grain.
    """

    kind: BreaksIn
    part: str
    mode: str
    where: str
    load: float
    point: tuple[float, float]
    length: float
    breaks: bool = True
    note: str = ""
    shear_share: float = 0.0


def as_point(place: NDArray[np.float64]) -> tuple[float, float]:
    """A place (2,) as two plain numbers."""
    return float(place[0]), float(place[1])


def in_order(limit: Limit) -> tuple[float, str]:
    """What limits are put in order by: load to nine digits, then name.

    So that of images in a mirror it is always the same one that comes first, whatever rounding does.
    """
    return float(f"{limit.load:.9g}"), limit.part
