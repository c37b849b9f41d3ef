"""The quality of a glue where each joint's prediction may err by itself.

A specimen of joint j has log load = log predicted load (quality) + error of joint j + scatter, known to an
interval. The errors are normal about nothing, with one size (a standard deviation) for all joints. They, the
scatter and the size are integrated out by sums over grids; what a joint's error does is a convolution of its
likelihood with a normal. What is taken beforehand:

- the size of the errors: half-normal with scale ``MODEL_ERROR`` where at least ``FEWEST_JOINTS`` joints were
  broken (a half-normal is a usual weak prior of such a size: Gelman 2006, Bayesian Analysis 1, from memory);
  with fewer they cannot tell it and ``MODEL_ERROR`` itself is taken;
- the scatter: lognormal about 20 % (the glue table has 18 to 30 %), its logarithm within 0.7;
- the quality, for the estimate: Student's t with two degrees of freedom in its logarithm about that of the
  table, four glues of five within the widest credible range of the glue's rows, long tails for spoilt glue
  (a judgement, made with the simulated days of tests/benchmarks/calibration.txt in view);
- the quality, for the limits: nothing, so that they hold a weak glue as often as a good one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.fft import irfft, rfft
from scipy.special import logsumexp, ndtr

from glueline.materials import Glue
from glueline.studies.bench_day.calibration.calibration import (
    BEYOND,
    ONE_ALONE,
    QUALITIES,
    Calibration,
    Intervals,
    ModelError,
    calibrate,
    load_curve,
)
from glueline.studies.bench_day.estimates.intervals import Samples, gather, log_likelihood, log_mean

Array = NDArray[np.float64]

MODEL_ERROR = 0.30
"""Standard deviation of a prediction's error in the logarithm, a judgement: no bench has judged glueline yet;
predictions of furniture joints miss the means of tests by 10 to 40 % (from memory)."""

FEWEST_JOINTS = 3
"""Joints from which on their disagreement says how far predictions err."""

TAILS = 2.0
"""Degrees of freedom of what is taken of the quality beforehand."""

_QUALITIES = np.linspace(np.log(0.02), np.log(5.0), 221)
_STEP, _HALF = 0.01, 512
_LEVELS = _STEP * np.arange(-_HALF, _HALF)
_FARTHEST = 4.8  # of a level from the middle, where its likelihood is still looked up
_SCATTERS = np.geomspace(0.02, 0.8, 9)
_SCATTER_WEIGHTS = stats.norm.logpdf(np.log(_SCATTERS), np.log(0.2), 0.7)
_SIZES = np.geomspace(0.03, 1.2, 12)
_SHARED_NODES, _SHARED_WEIGHTS = np.polynomial.hermite_e.hermegauss(7)


@dataclass(frozen=True)
class OwnedUp:
    """Quality drawn toward the table, limits that hold model errors, and how far a prediction can be off."""

    quality: float  # share
    interval: tuple[float | None, float | None]  # shares, 95 %; None beyond all qualities
    model: ModelError


def table_width(glue: Glue) -> float:
    """Scale of what is taken of the logarithm of quality beforehand, from the glue's own credible ranges.

    >>> from glueline.materials import find_glue
    >>> round(table_width(find_glue("pva")), 3)  # end grain, 0.52 to 1.55
    0.29
    """
    rows = (glue.side_grain, glue.grain_45, glue.end_grain)
    widest = max(np.log(row.credible_high / row.credible_low) for row in rows)
    return max(float(widest / 2 / stats.t.ppf(0.90, TAILS)), 0.02)


def calibrate_joints(
    joints: Sequence[Sequence[Intervals]], width: float, common_error: float = 0.0
) -> Calibration:
    """As ``calibrate`` where that settles a quality, but owning up to the model's errors; see ``own_up``."""
    groups = [group for joint in joints for group in joint]
    plain = calibrate(groups, common_error)
    if plain.quality is None:
        return plain
    owned = own_up(joints, plain.quality, width, common_error)
    remarks = [each for each in plain.remarks if each not in (ONE_ALONE, BEYOND)]
    if plain.count < 2:
        remarks.append("one specimen: how far specimens scatter is taken from the glue table, not seen")
    if None in owned.interval:
        remarks.append(BEYOND)
    return replace(
        plain,
        quality=owned.quality,
        interval=owned.interval,
        remarks=tuple(remarks),
        by_breaks=plain.quality,
        model=owned.model,
    )


def own_up(
    joints: Sequence[Sequence[Intervals]], near: float, width: float, common_error: float = 0.0
) -> OwnedUp:
    """The quality from ``joints``, each the breaks of its specimen files, which share one error.

    ``near`` is a quality (share) not far from the likeliest, ``width`` that of ``table_width``;
    ``common_error`` the half-width, about 95 %, of an error in the logarithm of load that all breaks share.

    >>> loads = 500 * np.array(QUALITIES)
    >>> breaks = Intervals(np.array([300.0, 330.0, 370.0]), np.array([320.0, 350.0, 390.0]), loads)
    >>> found = own_up([[breaks]], 0.69, 0.29)
    >>> found.model.from_breaks, 0.69 < found.quality < 1, found.interval[0] < 0.45
    (False, True, True)
    """
    told = len(joints) >= FEWEST_JOINTS
    sizes = _SIZES if told else np.array([MODEL_ERROR])
    before = stats.norm.logpdf(sizes / MODEL_ERROR) + np.log(sizes)
    chance = _joint_chance(joints, float(np.log(near)), sizes, common_error)
    weighed = chance + _SCATTER_WEIGHTS[:, None, None] + before[None, :, None]
    by_size = np.exp(logsumexp(weighed, axis=0) - logsumexp(weighed))  # (sizes, qualities)
    flat = by_size.sum(axis=0)
    drawn = by_size * stats.t.pdf(_QUALITIES / width, TAILS)
    drawn /= drawn.sum()
    mean = float((drawn.sum(axis=0) * _QUALITIES).sum())
    best = float(np.clip(mean, np.log(QUALITIES[0]), np.log(QUALITIES[-1])))
    size = float(np.sqrt((by_size.sum(axis=1) * sizes**2).sum())) if told else MODEL_ERROR
    model = ModelError(size, len(joints), told, _load_factor(drawn, sizes, best))
    return OwnedUp(float(np.exp(best)), _limits(flat, best), model)


def _joint_chance(
    joints: Sequence[Sequence[Intervals]], near: float, sizes: Array, common_error: float
) -> Array:
    """Log likelihood by scatter, size of the errors and quality, the errors integrated out."""
    moved, weights = np.zeros(1), np.ones(1)
    if common_error > 0.0:
        moved, weights = common_error / stats.norm.ppf(0.975) * _SHARED_NODES, _SHARED_WEIGHTS
    total = np.zeros((len(moved), len(_SCATTERS), len(sizes), len(_QUALITIES)))
    for groups in joints:
        samples, curve = _as_one(groups, near)
        table = _convolved(samples, sizes)
        for number, move in enumerate(moved):
            total[number] += _looked_up(*table, curve + move)
    return np.asarray(logsumexp(total, axis=0, b=weights[:, None, None, None]))


def _as_one(groups: Sequence[Intervals], near: float) -> tuple[Samples, Array]:
    """Bounds of all files of a joint over what is predicted at ``near``, and their mean curve beside it.

    Files of one joint share its error, and their curves are nearly alike in logarithms.
    """
    curves: list[Callable[[Array], Array]] = [load_curve(group.loads) for group in groups]
    at_near = [float(curve(np.array([near]))[0]) for curve in curves]
    scaled = [
        (group.lower / np.exp(middle), group.upper / np.exp(middle))
        for group, middle in zip(groups, at_near, strict=True)
    ]
    rows = np.concatenate([low for low, _ in scaled]), np.concatenate([high for _, high in scaled])
    shapes = [_beyond_ends(curve) - middle for curve, middle in zip(curves, at_near, strict=True)]
    counts = [len(group.lower) for group in groups]
    return gather([rows]), np.average(shapes, axis=0, weights=counts)


def _beyond_ends(curve: Callable[[Array], Array]) -> Array:
    """The curve at all qualities of the grid, straight on beyond those that were predicted."""
    low, high = np.log(QUALITIES[0]), np.log(QUALITIES[-1])
    inside = np.clip(_QUALITIES, low, high)
    ends = curve(np.array([low, low + 0.1, high - 0.1, high]))
    slope = np.where(low > _QUALITIES, ends[1] - ends[0], ends[3] - ends[2]) / 0.1
    return np.asarray(curve(inside) + slope * (_QUALITIES - inside))


def _convolved(samples: Samples, sizes: Array) -> tuple[Array, Array]:
    """Likelihood by scatter, size of the error and level of the joint's mean load over the predicted.

    As shares of the highest without an error, and the logarithms of the latter by scatter.
    """
    tiled = samples.chosen(np.zeros(len(_SCATTERS), dtype=np.int64))
    scatter = np.broadcast_to(_SCATTERS[:, None], (len(_SCATTERS), len(_LEVELS)))
    each = log_likelihood(tiled, log_mean(np.broadcast_to(_LEVELS, scatter.shape), scatter), scatter)
    highest = each.max(axis=1, keepdims=True)
    length = 4 * _HALF
    offsets = _STEP * np.minimum(np.arange(length), length - np.arange(length))
    kernels = np.exp(-0.5 * (offsets / sizes[:, None]) ** 2)
    spectrum = rfft(np.exp(each - highest), length)[:, None] * rfft(kernels / kernels.sum(axis=1)[:, None])
    return irfft(spectrum, length)[:, :, : len(_LEVELS)], highest


def _looked_up(shares: Array, highest: Array, levels: Array) -> Array:
    """Log likelihood by scatter and size at levels (n,), from what ``_convolved`` gives."""
    place = (np.clip(levels, -_FARTHEST, _FARTHEST) - _LEVELS[0]) / _STEP
    first = place.astype(np.int64)
    share = place - first
    below, above = (np.log(np.maximum(shares[:, :, at], 1e-14)) for at in (first, first + 1))
    return np.asarray(below * (1 - share) + above * share + highest[:, :, None])


def _limits(flat: Array, best: float) -> tuple[float | None, float | None]:
    """Where 2.5 % of the chance lies below and above, no nearer than ``best``; None beyond all qualities."""
    step = _QUALITIES[1] - _QUALITIES[0]
    below = np.concatenate([[0.0], np.cumsum(flat)])
    edges = np.concatenate([_QUALITIES - step / 2, [_QUALITIES[-1] + step / 2]])
    low, high = np.exp(np.interp([0.025, 0.975], below, edges))
    return (
        None if low < QUALITIES[0] else min(float(low), float(np.exp(best))),
        None if high > QUALITIES[-1] else max(float(high), float(np.exp(best))),
    )


def _load_factor(chances: Array, sizes: Array, best: float) -> float:
    """By what factor another joint's mean load may miss its prediction at quality ``best``, at 95 %.

    It misses by its own error and by the quality's, to which loads are at most proportional.
    """
    farthest = np.linspace(0.0, 4.0, 401)[:, None, None]
    off, size = _QUALITIES - best, sizes[:, None]
    held = (chances * (ndtr((farthest - off) / size) - ndtr((-farthest - off) / size))).sum(axis=(1, 2))
    return float(np.exp(np.interp(0.95, held, farthest[:, 0, 0])))
