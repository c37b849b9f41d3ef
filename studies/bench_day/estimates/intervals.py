"""Lognormal break loads known only to lie in intervals: maximum likelihood and likelihood ratios.

Everything works on natural logarithms of loads, so a lognormal is a normal with a location (the logarithm of
its median) and a spread (the standard deviation of the logarithm). Several samples are handled at once:
bounds and counts are (s, k), sample by distinct interval, padded with whole lines of no weight.

A row is the interval in which one specimen broke; an unbroken specimen has no upper bound, one that failed
at the first step no lower one. The likelihood of a row is the probability of its interval. In location/spread
and 1/spread its logarithm is concave (the measure of a moving interval under a log-concave density: Prekopa
1973), so Newton's method finds the one maximum. There is none where all rows share a point: the
likelihood then grows as the spread falls to nothing (for grouped data see Xia, Mi and Zhou 2009, Journal
of Probability and Statistics, article 310575).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import log_ndtr

Array = NDArray[np.float64]

SMALLEST_SPREAD, LARGEST_SPREAD = 1e-4, 3.0
"""Spreads among which a likelihood is maximised: far finer than any step, far wider than any joint."""

FOUND, NO_SPREAD, ENDLESS = 0, 1, 2
"""What maximum likelihood found: a spread, all rows sharing a point, or a spread beyond any joint's."""

_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0
_GOLDEN_STEPS = 36
_NEWTON_STEPS = 200
_STEP_HALVINGS = 50


@dataclass(frozen=True)
class Samples:
    """Logarithms of bounds (s, k), -inf and inf where there is none, and how many rows have them (s, k)."""

    lower: Array
    upper: Array
    counts: Array

    @property
    def sizes(self) -> Array:
        """Specimens in each sample (s,)."""
        return np.asarray(self.counts.sum(axis=1))

    @property
    def common(self) -> tuple[Array, Array]:
        """Largest lower and smallest upper bound of each sample (s,): the rows share what lies between."""
        return self.lower.max(axis=1), self.upper.min(axis=1)

    def shifted(self, by: ArrayLike) -> Samples:
        """The samples with ``by`` (s,) or (s, 1) added to every bound."""
        move = np.asarray(by, dtype=np.float64).reshape(-1, 1)
        return Samples(self.lower + move, self.upper + move, self.counts)

    def chosen(self, which: ArrayLike) -> Samples:
        """The samples of those numbers, in that order and as often as they are named."""
        index = np.asarray(which)
        return Samples(self.lower[index], self.upper[index], self.counts[index])


@dataclass(frozen=True)
class Fit:
    """Maximum likelihood of each sample: location and spread (s,), the logarithm of the likelihood (s,).

    Where the rows share a point (``state`` NO_SPREAD) the spread is 0 and the location is the middle of what
    they share, which is where the maximum for any given spread lies when it falls to nothing; it is not
    finite where they share a half line. Where the spread passes LARGEST_SPREAD (ENDLESS) neither is finite.
    """

    location: Array
    spread: Array
    log_likelihood: Array
    state: NDArray[np.int64]


Constraint = Callable[[Array, Array], Array]
"""Location for a value that is held (any shape) and a spread of the same shape."""


def log_mean(value: Array, spread: Array) -> Array:
    """Location of a lognormal whose mean has the logarithm ``value``."""
    return np.asarray(value - 0.5 * spread**2)


def log_quantile(score: float) -> Constraint:
    """Location of a lognormal whose quantile at a standard normal ``score`` has the logarithm given."""

    def location(value: Array, spread: Array) -> Array:
        return np.asarray(value - score * spread)

    return location


def gather(rows: Sequence[tuple[ArrayLike, ArrayLike]]) -> Samples:
    """Samples from bounds of loads, lower and upper of each row; 0 and inf where there is none.

    Equal rows are counted together, so that thousands of specimens cost no more than their steps. Raises
    ValueError where a lower bound is not below its upper one or a sample has no rows.
    """
    grouped = []
    for lower, upper in rows:
        bounds = np.column_stack([np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)])
        if not len(bounds) or not (bounds[:, 0] < bounds[:, 1]).all() or (bounds[:, 0] < 0).any():
            raise ValueError("every row needs a lower bound of at least 0 below its upper bound")
        grouped.append(np.unique(bounds, axis=0, return_counts=True))
    longest = max(len(counts) for _, counts in grouped)
    lower_all = np.full((len(rows), longest), -np.inf)
    upper_all = np.full((len(rows), longest), np.inf)
    counts_all = np.zeros((len(rows), longest))
    for number, (bounds, counts) in enumerate(grouped):
        with np.errstate(divide="ignore"):
            lower_all[number, : len(counts)] = np.log(bounds[:, 0])
            upper_all[number, : len(counts)] = np.log(bounds[:, 1])
        counts_all[number, : len(counts)] = counts
    return Samples(lower_all, upper_all, counts_all)


def log_probability(low: Array, high: Array) -> Array:
    """Logarithm of the probability that a standard normal lies between ``low`` and ``high``; any shape.

    Taken in the tail where it can be told from nothing; -inf where the interval is empty.
    """
    flip = low > -high
    below, above = np.where(flip, -high, low), np.where(flip, -low, high)
    log_above = log_ndtr(above)
    with np.errstate(divide="ignore", invalid="ignore"):
        drop = log_above - log_ndtr(below)
        short = np.log(-np.expm1(-drop))
        return np.where(
            below < above, log_above + np.where(drop < 0.7, short, np.log1p(-np.exp(-drop))), -np.inf
        )


def log_likelihood(samples: Samples, location: Array, spread: Array) -> Array:
    """Logarithm of the likelihood; ``location`` and ``spread`` (s, m), so is the result."""
    low = (samples.lower[:, None, :] - location[..., None]) / spread[..., None]
    high = (samples.upper[:, None, :] - location[..., None]) / spread[..., None]
    each = log_probability(low, high)
    counts = samples.counts[:, None, :]
    return np.asarray(np.sum(np.where(counts > 0, counts * each, 0.0), axis=2))


def fit(samples: Samples) -> Fit:
    """Maximum likelihood of every sample; see ``Fit`` for those that have none."""
    largest, smallest = samples.common
    shared = largest <= smallest
    location = np.empty(len(largest))
    spread = np.zeros(len(largest))
    peak = np.empty(len(largest))
    state = np.where(shared, NO_SPREAD, FOUND)
    with np.errstate(invalid="ignore"):
        location[shared] = 0.5 * (largest + smallest)[shared]
    peak[shared] = _shared_likelihood(samples, largest, smallest)[shared]
    (rest,) = np.nonzero(~shared)
    if len(rest):
        location[rest], spread[rest], peak[rest], endless = _newton(samples.chosen(rest))
        state[rest[endless]] = ENDLESS
    return Fit(location, spread, peak, state)


def profile(samples: Samples, value: Array, constraint: Constraint) -> Array:
    """Highest logarithm of the likelihood over all spreads with ``value`` (s, m) held; (s, m).

    By golden section over the logarithm of the spread.
    """

    def at(log_spread: Array) -> Array:
        spread = np.exp(log_spread)
        return log_likelihood(samples, constraint(value, spread), spread)

    left = np.full(value.shape, np.log(SMALLEST_SPREAD))
    right = np.full(value.shape, np.log(LARGEST_SPREAD))
    inner = right - _GOLDEN * (right - left)
    outer = left + _GOLDEN * (right - left)
    f_inner, f_outer = at(inner), at(outer)
    for _ in range(_GOLDEN_STEPS):
        keep_left = f_inner >= f_outer
        left, right = np.where(keep_left, left, inner), np.where(keep_left, outer, right)
        fresh = np.where(keep_left, right - _GOLDEN * (right - left), left + _GOLDEN * (right - left))
        f_fresh = at(fresh)
        inner, outer = np.where(keep_left, fresh, outer), np.where(keep_left, inner, fresh)
        f_inner, f_outer = np.where(keep_left, f_fresh, f_outer), np.where(keep_left, f_inner, f_fresh)
    return np.maximum(f_inner, f_outer)


def _shared_likelihood(samples: Samples, largest: Array, smallest: Array) -> Array:
    """What the logarithm of the likelihood tends to as the spread falls to nothing where rows share a point.

    Nothing is lost where they share an interval. Where they share one point alone, k rows end there and m
    begin there, and the best share of a normal below it is k/(k + m).
    """
    touching = largest == smallest
    ends = np.sum(np.where(samples.upper == smallest[:, None], samples.counts, 0.0), axis=1)
    begins = np.sum(np.where(samples.lower == largest[:, None], samples.counts, 0.0), axis=1)
    both = np.maximum(ends + begins, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = ends * np.log(ends / both) + begins * np.log(begins / both)
    return np.where(touching, value, 0.0)


def _newton(samples: Samples) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Location, spread and peak of samples whose rows share no point, and which spreads have no end.

    Newton's method with step halving in x = (location/spread, 1/spread).
    """
    finite = np.where(np.isfinite(samples.lower), samples.lower, samples.upper)
    weight = np.where(np.isfinite(finite) & (samples.counts > 0), samples.counts, 0.0)
    finite = np.where(weight > 0, finite, 0.0)
    centre = (weight * finite).sum(axis=1) / weight.sum(axis=1)
    deviation = np.sqrt((weight * (finite - centre[:, None]) ** 2).sum(axis=1) / weight.sum(axis=1))
    moved = samples.shifted(-centre)
    x = np.column_stack([np.zeros_like(centre), 1.0 / np.maximum(deviation, 0.02)])
    value, slope, curvature = _derivatives(moved, x)
    for _ in range(_NEWTON_STEPS):
        # The curvature of a concave function, made safe where it all but vanishes.
        lift = 1e-12 * (1.0 + np.abs(curvature).max(axis=(1, 2)))
        step = np.linalg.solve(-curvature + lift[:, None, None] * np.eye(2), slope[..., None])[..., 0]
        gain = (slope * step).sum(axis=1)
        if (gain < 1e-14).all():
            break
        share = np.ones_like(value)
        for _ in range(_STEP_HALVINGS):
            trial, *_rest = _derivatives(moved, x + share[:, None] * step)
            short = ~(trial >= value + 1e-4 * share * gain - 1e-13 * np.abs(value))
            if not short.any():
                break
            share = np.where(short, 0.5 * share, share)
        if short.all():  # Nothing moves any more: rounding hides the rest of the gain.
            break
        x = x + np.where(short, 0.0, share)[:, None] * step
        value, slope, curvature = _derivatives(moved, x)
    endless = x[:, 1] < 1.0 / LARGEST_SPREAD
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.where(endless, np.inf, 1.0 / x[:, 1])
        location = np.where(endless, np.nan, x[:, 0] / x[:, 1] + centre)
    return location, spread, value, endless


def _derivatives(samples: Samples, x: Array) -> tuple[Array, Array, Array]:
    """Log-likelihood (s,), slope (s, 2) and curvature (s, 2, 2) at x (s, 2) = (location, 1) / spread."""
    lower, upper = samples.lower, samples.upper
    low = np.where(np.isfinite(lower), x[:, 1:] * _finite(lower) - x[:, :1], lower)
    high = np.where(np.isfinite(upper), x[:, 1:] * _finite(upper) - x[:, :1], upper)
    each = log_probability(low, high)
    counts = samples.counts
    with np.errstate(invalid="ignore", over="ignore"):
        # Densities at the bounds over the probability between them; nothing where there is no bound.
        at_low = np.where(np.isfinite(low), np.exp(-0.5 * low**2 - each) / np.sqrt(2 * np.pi), 0.0)
        at_high = np.where(np.isfinite(high), np.exp(-0.5 * high**2 - each) / np.sqrt(2 * np.pi), 0.0)
        low, high, lower, upper = _finite(low), _finite(high), _finite(lower), _finite(upper)
        first = at_low - at_high
        second = upper * at_high - lower * at_low
        aa = low * at_low - high * at_high - first**2
        ab = upper * high * at_high - lower * low * at_low - first * second
        bb = lower**2 * low * at_low - upper**2 * high * at_high - second**2
        slope = np.stack([(counts * first).sum(axis=1), (counts * second).sum(axis=1)], axis=1)
        sums = [(counts * part).sum(axis=1) for part in (aa, ab, ab, bb)]
        value = np.sum(np.where(counts > 0, counts * each, 0.0), axis=1)
    return value, slope, np.stack(sums, axis=1).reshape(-1, 2, 2)


def _finite(values: Array) -> Array:
    return np.where(np.isfinite(values), values, 0.0)
