"""Check-weighings: a scale in the specimen's place against the statics, by weighted least squares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.bench_day.rig.rig import (
    COVERAGE_FACTOR,
    GRAVITY,
    CheckWeighing,
    Correction,
    ForceLine,
    standard_uncertainty,
)

Array = NDArray[np.float64]

LEAST_SPREAD = 0.3  # of the largest stacked weight: below it the weighings count as one point
OUTLYING = 4.0  # standard deviations from the line of the other weighings
NOTABLE = 0.10  # of the reading: smaller contradictions are scatter, larger ones cannot be let stand
LEAST_FOR_OUTLIERS = 4
BELIEVABLE_RATIO = (0.5, 1.5)


class ContradictoryWeighings(ValueError):
    """Check-weighings that cannot all be right; the message says which and what to do."""


@dataclass(frozen=True)
class Scale:
    """The scale and the plates."""

    step: float  # N, last digit
    error: float  # half-width of the gain, share
    weight_error: float  # half-width of each stacked weight, share


def correct(statics: ForceLine, checks: Sequence[CheckWeighing], scale: Scale) -> Correction:
    """The measured force line and how it stands to the statics (without a specimen).

    Weights of the fit are 1/variance: the scale's last digit (step / sqrt 12) and the error of the stacked
    weights scatter from reading to reading. Where the scatter is larger than that, the fitted line's
    covariance grows by chi squared over its degrees of freedom (Birge 1932). The scale's gain is common to
    all readings and is added afterwards. Weighings at one stacked weight only scale the statics, and so
    keep their split between preload and weights. With four or more, those that lie off the line of
    the others are left out, at most a third. Raises ContradictoryWeighings.
    """
    stacked = np.array([check.stacked for check in checks])
    reading = np.array([check.scale for check in checks])
    deviation = _deviations(statics, stacked, scale)
    kept = _without_outliers(statics, stacked, reading, deviation)
    line = _fitted(statics, stacked[kept], reading[kept], deviation[kept])
    residuals = reading - line.force(stacked)
    _refuse_contradictions(statics, line, checks, kept, residuals, deviation)
    gain = standard_uncertainty(scale.error)
    measured = ForceLine(
        line.preload,
        line.per_stacked,
        line.preload_variance + (gain * line.preload) ** 2,
        line.per_stacked_variance + (gain * line.per_stacked) ** 2,
        line.covariance + gain**2 * line.preload * line.per_stacked,
    )
    return Correction(
        line=measured,
        ratio=measured.per_stacked / statics.per_stacked,
        ratio_uncertainty=float(np.sqrt(measured.per_stacked_variance)) / statics.per_stacked,
        preload_difference=measured.preload - statics.preload,
        outliers=tuple(check for check, keep in zip(checks, kept, strict=True) if not keep),
        residuals=tuple(float(value) for value in residuals),
        used=int(kept.sum()),
    )


def unexplained(statics: ForceLine, correction: Correction, largest_stacked: float) -> str | None:
    """A sentence where statics do not explain the force at ``largest_stacked`` N, None where they do.

    Judged against the expanded uncertainty of both together.
    """
    calculated = float(statics.force(largest_stacked))
    measured = float(correction.line.force(largest_stacked))
    both = COVERAGE_FACTOR * float(
        np.hypot(statics.uncertainty(largest_stacked), correction.line.uncertainty(largest_stacked))
    )
    if abs(measured - calculated) <= both:
        return None
    share = 100 * abs(measured - calculated) / calculated
    allowed = 100 * both / calculated
    if measured < calculated:
        return (
            f"the scale shows {share:.1f} % less force than statics at the largest check-weighing, beyond "
            f"what the stated errors explain ({allowed:.1f} %): the hinge or friction takes that share, or a "
            "distance is wrong; ease the hinge, rattle the platform before each reading, measure again"
        )
    return (
        f"the scale shows {share:.1f} % more force than statics at the largest check-weighing, beyond what "
        f"the stated errors explain ({allowed:.1f} %): friction cannot add force, so look for a distance, a "
        "weight or a scale that is wrong"
    )


def _deviations(statics: ForceLine, stacked: Array, scale: Scale) -> Array:
    """Standard deviation in N of each reading about the true line."""
    plates = standard_uncertainty(scale.weight_error) * statics.per_stacked * stacked
    return np.asarray(np.hypot(scale.step / np.sqrt(12.0), plates))


def _fitted(statics: ForceLine, stacked: Array, reading: Array, deviation: Array) -> ForceLine:
    if np.ptp(stacked) < LEAST_SPREAD * stacked.max() or stacked.max() == 0:
        return _scaled_statics(statics, stacked, reading, deviation)
    design = np.column_stack([np.ones_like(stacked), stacked]) / deviation[:, None]
    covariance = np.linalg.inv(design.T @ design)
    preload, per_stacked = covariance @ design.T @ (reading / deviation)
    misfit = (reading - preload - per_stacked * stacked) / deviation
    freedom = len(stacked) - 2
    if freedom > 0:
        covariance = covariance * max(1.0, float(misfit @ misfit) / freedom)
    return ForceLine(
        float(preload),
        float(per_stacked),
        float(covariance[0, 0]),
        float(covariance[1, 1]),
        float(covariance[0, 1]),
    )


def _scaled_statics(statics: ForceLine, stacked: Array, reading: Array, deviation: Array) -> ForceLine:
    """A line through the mean reading at one stacked weight, preload to weights as in the statics."""
    weight = 1 / deviation**2
    at, force = float(np.average(stacked, weights=weight)), float(np.average(reading, weights=weight))
    variance = 1 / float(weight.sum())
    if len(reading) > 1:
        variance *= max(1.0, float(weight @ (reading - force) ** 2) / (len(reading) - 1))
    split = statics.preload / statics.per_stacked
    per_preload, per_factor = 1 / statics.per_stacked, -split / statics.per_stacked
    split_variance = (
        per_preload**2 * statics.preload_variance
        + per_factor**2 * statics.per_stacked_variance
        + 2 * per_preload * per_factor * statics.covariance
    )
    if split + at <= 0:
        raise ContradictoryWeighings(
            "a scale reading without any weight on the rig says nothing; stack a known weight"
        )
    per_stacked = force / (split + at)
    slopes = np.array([[split, per_stacked * at], [1.0, -per_stacked]]) / (split + at)
    spread = slopes @ np.diag([variance, max(split_variance, 0.0)]) @ slopes.T
    return ForceLine(
        split * per_stacked, per_stacked, float(spread[0, 0]), float(spread[1, 1]), float(spread[0, 1])
    )


def _without_outliers(
    statics: ForceLine, stacked: Array, reading: Array, deviation: Array
) -> NDArray[np.bool_]:
    """Which weighings to keep: the one furthest off the line of the others goes, while it is outlying."""
    kept = np.ones(len(stacked), dtype=bool)
    for _ in range(len(stacked) // 3):
        if kept.sum() < LEAST_FOR_OUTLIERS:
            break
        distances = np.zeros(len(stacked))
        for index in np.flatnonzero(kept):
            others = kept.copy()
            others[index] = False
            line = _fitted(statics, stacked[others], reading[others], deviation[others])
            off = float(reading[index] - line.force(stacked[index]))
            spread = float(np.hypot(line.uncertainty(stacked[index]), deviation[index]))
            distances[index] = abs(off) / spread
        worst = int(np.argmax(distances))
        if distances[worst] <= OUTLYING:
            break
        kept[worst] = False
    return kept


def _refuse_contradictions(
    statics: ForceLine,
    line: ForceLine,
    checks: Sequence[CheckWeighing],
    kept: NDArray[np.bool_],
    residuals: Array,
    deviation: Array,
) -> None:
    if line.per_stacked <= 0:
        raise ContradictoryWeighings(
            "the scale reads no more with more weight stacked; weigh again, with the scale where the "
            "specimen stands"
        )
    for check, keep, residual, own in zip(checks, kept, residuals, deviation, strict=True):
        if keep and abs(residual) > NOTABLE * check.scale and abs(residual) > OUTLYING * own:
            raise ContradictoryWeighings(
                f"the check-weighings contradict each other: with {check.stacked / GRAVITY:.4g} kg stacked "
                f"the scale read {check.scale / GRAVITY:.4g} kg, but the line through all of them gives "
                f"{(check.scale - residual) / GRAVITY:.4g} kg; weigh that one again, or leave it out"
            )
    heaviest = max((check for check, keep in zip(checks, kept, strict=True) if keep), key=lambda c: c.stacked)
    calculated = float(statics.force(heaviest.stacked))
    low, high = BELIEVABLE_RATIO
    if not low * calculated <= heaviest.scale <= high * calculated:
        raise ContradictoryWeighings(
            f"the check-weighings contradict the statics: with {heaviest.stacked / GRAVITY:.4g} kg stacked "
            f"the distances and weights give {calculated / GRAVITY:.4g} kg in the specimen's place, the "
            f"scale read {heaviest.scale / GRAVITY:.4g} kg; look for kg and lb mixed up, or a distance not "
            "measured from the hinge"
        )
