"""Limits and tests from interval-censored samples by likelihood ratios, corrected for few specimens.

With exact observations of a normal, twice the drop of the profiled log-likelihood at a mean is
n ln(1 + t^2/(n - 1)) with t Student's statistic. Read backwards, a drop becomes a t with n - 1 degrees of
freedom, whose limits are exact there, and nearly so where loads are known to a step only (the tests
simulate it). The same is done for a low quantile with the noncentral t of one-sided tolerance limits.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

from glueline.studies.bench_day.estimates.intervals import (
    ENDLESS,
    NO_SPREAD,
    Constraint,
    Fit,
    Samples,
    log_mean,
    log_quantile,
    profile,
)

Array = NDArray[np.float64]

CONFIDENCE = 0.95
LOW_SCORE = float(stats.norm.ppf(0.05))
"""Standard normal score of the 5 % value."""

_FARTHEST = 2.0 ** np.arange(-6, 5)  # logarithms of load; the last is a factor of nine million
_ROUNDS, _SETTLED = 40, 1e-11
_COARSE, _FINE = 33, 17
_LARGEST_SCORE = 37.0  # beyond it a normal probability is nothing in double precision


def mean_drop(sizes: ArrayLike, confidence: float = CONFIDENCE) -> Array:
    """Drop of twice the profiled log-likelihood at two-sided limits of the mean; inf for one specimen."""
    n = np.asarray(sizes, dtype=np.float64)
    freedom = np.maximum(n - 1.0, 1.0)
    t = stats.t.ppf(0.5 + confidence / 2, freedom)
    return np.where(n > 1, n * np.log1p(t**2 / freedom), np.inf)


def quantile_drop(size: float, score: float = LOW_SCORE, confidence: float = CONFIDENCE) -> float:
    """The same at a one-sided lower limit of the quantile at a normal ``score``; inf for one specimen.

    In a sample with mean 0 and mean square 1 the limit is -k sqrt(n/(n - 1)), k the one-sided tolerance
    factor; the spread that is likeliest with it solves v^2 + q score v - (1 + q^2) = 0.
    """
    if size < 2:
        return float("inf")
    factor = tolerance_factor(size, score, confidence)
    q = -factor * np.sqrt(size / (size - 1.0))
    spread = (-q * score + np.sqrt((q * score) ** 2 + 4 * (1 + q**2))) / 2
    # Location with the quantile held is q - score * spread.
    held = -size * np.log(spread) - size * (1 + (q - score * spread) ** 2) / (2 * spread**2)
    return float(2 * (-size / 2 - held))


def tolerance_factor(size: float, score: float = LOW_SCORE, confidence: float = CONFIDENCE) -> float:
    """Factor k of the one-sided tolerance limit mean - k s of a normal sample, by the noncentral t."""
    root = np.sqrt(size)
    return float(stats.nct.ppf(confidence, size - 1, -score * root) / root)


def centre(fitted: Fit, samples: Samples) -> tuple[Array, Array]:
    """Logarithms of the means (s,) that are likeliest, from and to: one value where there is a spread.

    Where rows share an interval every mean in it is as likely; not finite where the spread has no end.
    """
    largest, smallest = samples.common
    none = fitted.state == NO_SPREAD
    point = fitted.location + 0.5 * fitted.spread**2
    return np.where(none, largest, point), np.where(none, smallest, point)


def mean_limits(samples: Samples, fitted: Fit, confidence: float = CONFIDENCE) -> tuple[Array, Array]:
    """Logarithms of the two-sided limits of the mean (s,); NaN where there are none, as for one specimen.

    An end to which the likelihood never falls far enough is not finite.
    """
    from_, to = centre(fitted, samples)
    drop = mean_drop(samples.sizes, confidence)
    return (
        _limit(samples, fitted, from_, -1.0, drop, log_mean),
        _limit(samples, fitted, to, 1.0, drop, log_mean),
    )


def low_quantile_limit(
    samples: Samples, fitted: Fit, score: float = LOW_SCORE, confidence: float = CONFIDENCE
) -> Array:
    """Logarithm of the one-sided lower limit of the 5 % value (s,); NaN where there is none."""
    from_, _ = centre(fitted, samples)
    start = np.where(fitted.state == NO_SPREAD, from_, fitted.location + score * fitted.spread)
    drop = np.array([quantile_drop(size, score, confidence) for size in samples.sizes])
    return _limit(samples, fitted, start, -1.0, drop, log_quantile(score))


def score_distance(samples: Samples, fitted: Fit, values: Array) -> Array:
    """Distance of each log mean ``values`` (s, m) from its sample, as a standard normal score; (s, m)."""
    drop = np.maximum(2 * (fitted.log_likelihood[:, None] - profile(samples, values, log_mean)), 0.0)
    sizes = samples.sizes[:, None]
    freedom = np.maximum(sizes - 1.0, 1.0)
    t = np.sqrt(freedom * np.expm1(np.minimum(drop / sizes, 600.0)))
    return np.asarray(np.minimum(stats.norm.isf(stats.t.sf(t, freedom)), _LARGEST_SCORE))


def pair_p_values(samples: Samples, fitted: Fit) -> tuple[NDArray[np.int64], Array]:
    """Pairs (p, 2) of sample numbers, the stronger first, and their probabilities (p,) were the means equal.

    Samples of one specimen, or whose spread has no end, are in no pair.
    """
    usable = np.flatnonzero((samples.sizes > 1) & (fitted.state != ENDLESS))
    pairs = np.array([(i, j) for at, i in enumerate(usable) for j in usable[at + 1 :]], dtype=np.int64)
    if not len(pairs):
        return pairs.reshape(0, 2), np.empty(0)
    return p_values(samples, fitted, pairs)


def p_values(samples: Samples, fitted: Fit, pairs: NDArray[np.int64]) -> tuple[NDArray[np.int64], Array]:
    """Those pairs (p, 2), the stronger first in each, and their probabilities (p,) were the means equal.

    Two-sided: the smallest sum over a common mean of both squared scores against chi squared with one
    degree of freedom; 1 where the likeliest means overlap. Each sample keeps a spread of its own.
    """
    from_, to = centre(fitted, samples)
    middle = np.where(np.isfinite(from_), from_, to) + np.where(np.isfinite(to), to, from_)
    swap = middle[pairs[:, 0]] < middle[pairs[:, 1]]
    pairs = np.where(swap[:, None], pairs[:, ::-1], pairs)
    low, high = to[pairs[:, 1]], from_[pairs[:, 0]]
    probability = np.ones(len(pairs))
    (apart,) = np.nonzero(low < high)
    if len(apart):
        strong, weak = (samples.chosen(pairs[apart, side]) for side in (0, 1))
        fits = [_chosen_fit(fitted, pairs[apart, side]) for side in (0, 1)]

        def together(values: Array) -> Array:
            return score_distance(strong, fits[0], values) ** 2 + score_distance(weak, fits[1], values) ** 2

        probability[apart] = stats.chi2.sf(_smallest(together, low[apart], high[apart]), 1)
    return pairs, probability


def holm(probabilities: ArrayLike) -> Array:
    """Probabilities corrected for their number (Holm 1979, Scandinavian Journal of Statistics 6)."""
    p = np.asarray(probabilities, dtype=np.float64)
    order = np.argsort(p, kind="stable")
    scaled = p[order] * np.arange(len(p), 0, -1)
    corrected = np.empty_like(p)
    corrected[order] = np.minimum(np.maximum.accumulate(scaled), 1.0)
    return corrected


def _limit(
    samples: Samples, fitted: Fit, start: Array, side: float, drop: Array, constraint: Constraint
) -> Array:
    """Where the profiled likelihood has dropped by ``drop`` below its peak, walking from ``start``."""
    found = np.full(len(start), np.nan)
    usable = np.isfinite(start) & np.isfinite(drop) & (fitted.state != ENDLESS)
    found[np.isinf(start) & np.isfinite(drop)] = side * np.inf
    (which,) = np.nonzero(usable)
    if not len(which):
        return found
    chosen, begin = samples.chosen(which), start[which]

    def above(distances: Array) -> Array:
        """How much less than to the limit it has dropped there, in square roots: all but a straight line."""
        fallen = 2 * (fitted.log_likelihood[which][:, None] - profile(chosen, distances, constraint))
        return np.asarray(np.sqrt(drop[which])[:, None] - np.sqrt(np.maximum(fallen, 0.0)))

    far = begin[:, None] + side * _FARTHEST
    values = np.column_stack([np.sqrt(drop[which]), above(far)])
    first = np.argmax(values[:, 1:] < 0, axis=1)
    rows = np.arange(len(which))
    ends = np.column_stack([begin, far])
    root = _crossing(
        above, ends[rows, first], ends[rows, first + 1], values[rows, first], values[rows, first + 1]
    )
    found[which] = np.where((values[:, 1:] < 0).any(axis=1), root, side * np.inf)
    return found


def _crossing(
    function: Callable[[Array], Array], inner: Array, outer: Array, f_inner: Array, f_outer: Array
) -> Array:
    """Where a function (p, 1) falls below nothing between ``inner`` and ``outer`` (p,), by false position.

    The value at an end that stays a second time counts half; every fourth point is the middle.
    """
    fell_before = np.zeros(len(inner), dtype=np.int64)
    fresh = inner
    for number in range(1, _ROUNDS):
        last, fresh = fresh, 0.5 * (inner + outer)
        if number % 4:
            with np.errstate(divide="ignore", invalid="ignore"):
                line = inner + (outer - inner) * (f_inner / (f_inner - f_outer))
            fresh = np.where(np.isfinite(line) & np.isfinite(f_outer), line, fresh)
        if (np.abs(fresh - last) < _SETTLED).all():
            break
        f_fresh = function(fresh[:, None])[:, 0]
        fell = np.where(f_fresh < 0, 1, -1)
        stays = np.where(fell == fell_before, 0.5, 1.0)
        inner, f_inner = np.where(fell > 0, [inner, f_inner * stays], [fresh, f_fresh])
        outer, f_outer = np.where(fell > 0, [fresh, f_fresh], [outer, f_outer * stays])
        fell_before = fell
    return fresh


def _smallest(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Smallest value (p,) of a function of (p, m) from ``low`` to ``high`` (p,): a grid, then a finer one."""
    grid = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, _COARSE)
    values = function(grid)
    best = np.argmin(values, axis=1)
    rows = np.arange(len(low))
    left, right = grid[rows, np.maximum(best - 1, 0)], grid[rows, np.minimum(best + 1, _COARSE - 1)]
    finer = function(left[:, None] + (right - left)[:, None] * np.linspace(0.0, 1.0, _FINE))
    return np.asarray(np.minimum(values[rows, best], finer.min(axis=1)))


def _chosen_fit(fitted: Fit, which: NDArray[np.int64]) -> Fit:
    return Fit(
        fitted.location[which], fitted.spread[which], fitted.log_likelihood[which], fitted.state[which]
    )
