"""Critical lengths of the mean-stress criterion, for wood along its grain and for glue lines.

x = (2/pi) E* G / f^2 (Gustafsson 1985; Landelius 1989), with the E* of an orthotropic solid for the mode
(Sih, Paris and Irwin 1965). Between pure opening and pure shear the length is interpolated by the share of
shear in the quadratic index.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from glueline.fem.orthotropy import plane_compliance, stress_rotation
from glueline.materials import critical_length, mode_moduli
from glueline.studies.corner.piece import Constants

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CriticalLengths:
    """Lengths in mm for pure opening and for pure shear."""

    opening: float
    shear: float

    @cached_property
    def to_try(self) -> list[float]:
        """Lengths in mm from that for opening to that for shear, over which means are taken."""
        return [float(length) for length in np.geomspace(self.opening, self.shear, 6)]

    def between(self, shear_share: Array) -> Array:
        """Length in mm for a share of shear between 0 and 1."""
        return np.exp(self.log_between(shear_share))

    def log_between(self, shear_share: Array) -> Array:
        """The logarithm of that length."""
        return np.asarray((1.0 - shear_share) * np.log(self.opening) + shear_share * np.log(self.shear))


def crack_moduli(constants: Constants, angle: float) -> tuple[float, float]:
    """E* in MPa for opening and for shear of a crack that makes ``angle`` (rad) with the grain."""
    turn = stress_rotation(-angle)
    # Strain turns with the transposed inverse of the stress rotation; here crack axes from grain axes.
    compliance = turn.T @ plane_compliance(constants.solid, 0.0) @ turn
    return mode_moduli(
        1 / compliance[0, 0],
        1 / compliance[1, 1],
        1 / compliance[2, 2],
        -compliance[0, 1] / compliance[0, 0],
    )


def line_lengths(
    minus: tuple[Constants, float],
    plus: tuple[Constants, float],
    opening: tuple[float, float],
    shear: tuple[float, float],
) -> CriticalLengths:
    """Lengths of a glue line between two woods (constants, angle of grain to face).

    ``opening`` and ``shear`` are (strength MPa, toughness N/mm). The compliances of the two sides are
    averaged, as the energy released at an interface is (Suo 1990, without the oscillating part).
    """
    first, second = crack_moduli(*minus), crack_moduli(*plus)
    both = [2 / (1 / first[i] + 1 / second[i]) for i in range(2)]
    return CriticalLengths(
        critical_length(both[0], opening[1], opening[0]), critical_length(both[1], shear[1], shear[0])
    )


def wood_lengths(
    constants: Constants, opening: tuple[float, float], shear: tuple[float, float]
) -> CriticalLengths:
    """Lengths along the grain for splitting and for shear, each (strength MPa, toughness N/mm)."""
    split, slide = crack_moduli(constants, 0.0)
    return CriticalLengths(
        critical_length(split, opening[1], opening[0]), critical_length(slide, shear[1], shear[0])
    )
