"""Statics of a bench rig: from the weight stacked on it to the force on the joint, with its uncertainty.

Forces are in N, lengths in mm. Weights read in kg or lb become N by standard gravity (9.80665 m/s2).
Uncertainties are standard ones (one standard deviation) unless a name says ``expanded``; half-widths that
a maker states become standard uncertainties as those of a rectangular distribution, half-width / sqrt 3
(JCGM 100:2008, Guide to the expression of uncertainty in measurement, 4.3.7), and are carried through by
the law of propagation of uncertainty (the same, 5.1.2).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.files.units import STANDARD_GRAVITY, Units

Array = NDArray[np.float64]

GRAVITY = float(STANDARD_GRAVITY)
KINDS = ("hinged platform", "press", "hung weight")
COVERAGE_FACTOR = 2.0
"""Expanded uncertainty over standard uncertainty: about 95 % (JCGM 100:2008, 6.2.2 and 6.3.3)."""


@dataclass(frozen=True)
class Lever:
    """A platform hinged at one end; horizontal distances from the hinge, the platform level."""

    specimen_at: float  # mm
    weights_at: float  # mm
    centre_at: float  # mm

    @property
    def distances(self) -> dict[str, float]:
        """Its distances in mm by their names in a rig file, the shortest first."""
        named = {
            "specimen_at": self.specimen_at,
            "centre_at": self.centre_at,
            "weights_at": self.weights_at,
        }
        return dict(sorted(named.items(), key=lambda each: each[1]))


@dataclass(frozen=True)
class ForceLine:
    """The force on the joint as a line: preload + per_stacked * stacked weight, all in N.

    The variances of its two numbers hold the error of the weights themselves.
    """

    preload: float  # N
    per_stacked: float  # N / N
    preload_variance: float  # N2
    per_stacked_variance: float  # 1
    covariance: float  # N

    def force(self, stacked: ArrayLike) -> Array:
        """Force in N for stacked weight in N; any shape."""
        return self.preload + self.per_stacked * np.asarray(stacked, dtype=np.float64)

    def uncertainty(self, stacked: ArrayLike) -> Array:
        """Standard uncertainty in N of ``force``; any shape."""
        weight = np.asarray(stacked, dtype=np.float64)
        variance = (
            self.preload_variance + 2 * weight * self.covariance + weight**2 * self.per_stacked_variance
        )
        return np.sqrt(np.maximum(variance, 0.0))

    def raised(self, force: float, variance: float) -> ForceLine:
        """The same line with a further preload in N and its variance in N2."""
        return ForceLine(
            self.preload + force,
            self.per_stacked,
            self.preload_variance + variance,
            self.per_stacked_variance,
            self.covariance,
        )


@dataclass(frozen=True)
class CheckWeighing:
    """A check-weighing: the weight stacked, and what a scale in the specimen's place read."""

    stacked: float  # N
    scale: float  # N


@dataclass(frozen=True)
class Correction:
    """What check-weighings say of the statics."""

    line: ForceLine  # measured, without a specimen
    ratio: float  # measured over calculated force per stacked weight
    ratio_uncertainty: float  # standard uncertainty of the measured part
    preload_difference: float  # N, measured less calculated
    outliers: tuple[CheckWeighing, ...]  # left out
    residuals: tuple[float, ...]  # N, readings less the measured line, one a weighing
    used: int


@dataclass(frozen=True)
class Rig:
    """A rig, checked. ``line`` is what to use: corrected where there are check-weighings, else the statics.

    ``statics`` and the line of the ``correction`` are without a specimen.
    """

    kind: str
    arrangement: LoadArrangement
    statics: ForceLine
    line: ForceLine
    specimen_preload: tuple[float, float] = (0.0, 0.0)  # N, and its variance in N2; ``line`` holds it
    checks: tuple[CheckWeighing, ...] = ()
    correction: Correction | None = None
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    units: Units = "metric"  # imperial where its file has all lengths and weights so
    lever: Lever | None = None  # of a hinged platform


def joint_force(rig: Rig, stacked_kg: ArrayLike) -> Array:
    """Force P on the joint in N for stacked weight in kg, preload included; any shape, never below 0.

    A line fitted to scale readings may have a preload just below nothing.
    """
    return np.maximum(rig.line.force(np.asarray(stacked_kg, dtype=np.float64) * GRAVITY), 0.0)


def joint_force_uncertainty(rig: Rig, stacked_kg: ArrayLike) -> Array:
    """Standard uncertainty in N of ``joint_force``; any shape. It is common to all loads of one rig."""
    return rig.line.uncertainty(np.asarray(stacked_kg, dtype=np.float64) * GRAVITY)


def stacked_weight(rig: Rig, force: ArrayLike) -> Array:
    """Weight in kg to stack for a force P on the joint in N; 0 where the preload alone is enough."""
    wanted = (np.asarray(force, dtype=np.float64) - rig.line.preload) / rig.line.per_stacked
    return np.asarray(np.maximum(wanted, 0.0) / GRAVITY)


def common_error(rig: Rig | None, force: float) -> float:
    """Half-width in logarithms, about 95 %, of the error that a rig gives all loads near ``force`` N."""
    if rig is None:
        return 0.0
    stacked = (force - rig.line.preload) / rig.line.per_stacked
    return COVERAGE_FACTOR * float(rig.line.uncertainty(stacked)) / force


def standard_uncertainty(half_width: float) -> float:
    """Standard uncertainty of a value known within +- half_width, in its own unit (rectangular)."""
    return half_width / sqrt(3.0)


def lever_line(lever: Lever, own_weight: float, position_error: float, weight_error: float) -> ForceLine:
    """Force line of a hinged platform: moments about the hinge.

    force * specimen_at = stacked * weights_at + own_weight * centre_at. The three distances and the two
    weights err independently of each other.
    """
    at, far, centre = lever.specimen_at, lever.weights_at, lever.centre_at
    per_stacked, preload = far / at, own_weight * centre / at
    position, share = standard_uncertainty(position_error), standard_uncertainty(weight_error)
    # Columns: specimen_at, weights_at, centre_at, own weight, stacked weight.
    preload_slopes = np.array([-preload / at, 0.0, own_weight / at, centre / at, 0.0])
    per_stacked_slopes = np.array([-per_stacked / at, 1 / at, 0.0, 0.0, per_stacked])
    errors = np.array([position, position, position, share * own_weight, share])
    return _line(preload, per_stacked, preload_slopes * errors, per_stacked_slopes * errors)


def direct_line(own_weight: float, weight_error: float) -> ForceLine:
    """Force line of a press or of a hung weight: the joint bears what is stacked and the rig's own weight."""
    share = standard_uncertainty(weight_error)
    return _line(own_weight, 1.0, np.array([share * own_weight, 0.0]), np.array([0.0, share]))


def specimen_preload(
    arrangement: LoadArrangement, specimen_weight: float, weight_error: float
) -> tuple[float, float]:
    """Load in N that the specimen's own weight in N stands for, and its variance in N2."""
    load = arrangement.own_weight_share * specimen_weight
    return load, (standard_uncertainty(weight_error) * load) ** 2


def hinge_share(lever: Lever) -> float:
    """Share of the stacked weight that the hinge bears; below zero where the hinge is pulled upward."""
    return 1.0 - lever.weights_at / lever.specimen_at


def _line(preload: float, per_stacked: float, preload_parts: Array, per_stacked_parts: Array) -> ForceLine:
    """A line from the contributions (errors,) of each independent error to its two numbers."""
    return ForceLine(
        preload,
        per_stacked,
        float(preload_parts @ preload_parts),
        float(per_stacked_parts @ per_stacked_parts),
        float(preload_parts @ per_stacked_parts),
    )
