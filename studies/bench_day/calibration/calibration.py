"""The quality of a glue from breaks: maximum likelihood on the intervals of the chosen joints.

The load at which a specimen's glue gives is lognormal; its mean is what is predicted at that quality, and
the spread of its logarithm is common to all that are used. Predictions at a few qualities are joined by a
monotone curve in logarithms (Fritsch and Carlson 1980), so that the likelihood can be had at any quality.
What the prediction itself errs by is not in it: ``joint_errors`` adds that.
Limits are where the profiled likelihood has dropped as far as it does at Student's limits of a mean, see
``likelihood_limits``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from glueline.studies.bench_day.estimates.intervals import Samples, log_likelihood, log_mean, profile
from glueline.studies.bench_day.estimates.likelihood_limits import mean_drop

Array = NDArray[np.float64]

QUALITIES = (0.05, 0.1, 0.2, 0.4, 0.7, 1.0, 1.4, 2.0)
"""Qualities at which joints are predicted: all that a glue file takes, and so that curves stay smooth."""

_GRID = 241
_FINER = 81
_FLAT = 1e-6
"""Logarithms of likelihood that differ by less count as equal: about what golden section leaves."""
_MET = 1e-3
"""A logarithm of likelihood nearer to 0 means that every break lies in its interval as good as certainly."""


@dataclass(frozen=True)
class Intervals:
    """The breaks of one specimen file, and the loads at which its glue is predicted to give."""

    lower: Array  # N (n,), 0 where there is none
    upper: Array  # N (n,), inf where there is none
    loads: Array  # N (QUALITIES,)


ONE_ALONE = "one specimen: a quality, but no interval"
BEYOND = "these breaks leave one limit open: a quality beyond any that a glue can have would fit them too"


@dataclass(frozen=True)
class ModelError:
    """How far predictions err by themselves from joint to joint, beside what the glue's quality does."""

    size: float  # standard deviation of the logarithm of load
    joints: int  # kinds of joint that were broken
    from_breaks: bool  # whether they told the size; else it is a judgement
    load_factor: float  # a mean load predicted with the glue is off by less, either way, at 95 %


@dataclass(frozen=True)
class Calibration:
    """The likeliest quality and its 95 % limits; None where the breaks do not settle it.

    With a ``model`` error the limits hold that too, the quality is drawn toward the table as far as the error
    leaves open, and ``by_breaks`` is what it was before; without one the limits hold the scatter alone.
    """

    quality: float | None  # share
    interval: tuple[float | None, float | None] | None  # shares; None for a limit that no quality reaches
    spread: float | None  # standard deviation of the logarithm of loads about the predictions
    count: int  # specimens
    remarks: tuple[str, ...]  # what a reader must know
    by_breaks: float | None = None  # share
    model: ModelError | None = None


@dataclass(frozen=True)
class _Likelihood:
    """Logarithm of the likelihood over qualities, profiled over the spread."""

    rows: tuple[tuple[Array, Array, Array, Callable[[Array], Array]], ...]

    def at(self, log_quality: Array) -> Array:
        """At logarithms of quality (m,); (m,)."""
        value = np.zeros((len(log_quality), 1))
        return profile(self._samples(log_quality), value, log_mean)[:, 0]

    def _samples(self, log_quality: Array) -> Samples:
        """Bounds over the predicted loads, one sample a quality."""
        lower = [low - curve(log_quality)[:, None] for low, _, _, curve in self.rows]
        upper = [high - curve(log_quality)[:, None] for _, high, _, curve in self.rows]
        counts = np.concatenate([count for _, _, count, _ in self.rows])
        return Samples(
            np.concatenate(lower, axis=1),
            np.concatenate(upper, axis=1),
            np.broadcast_to(counts, (len(log_quality), len(counts))).astype(np.float64),
        )

    def spread(self, log_quality: float) -> float:
        """The likeliest spread at a quality, by a grid: it is only shown."""
        spreads = np.geomspace(1e-3, 3.0, 400)
        samples = self._samples(np.full(len(spreads), log_quality))
        location = log_mean(np.zeros((len(spreads), 1)), spreads[:, None])
        return float(spreads[np.argmax(log_likelihood(samples, location, spreads[:, None])[:, 0])])

    def slope(self, log_quality: float) -> float:
        """How much the logarithm of load grows with that of quality, a mean over the breaks."""
        ends = np.array([log_quality - 0.01, log_quality + 0.01])
        slopes = [float(np.diff(curve(ends))[0]) / 0.02 for *_, curve in self.rows]
        counts = [float(count.sum()) for _, _, count, _ in self.rows]
        return max(float(np.average(slopes, weights=counts)), 1e-6)


def load_curve(loads: ArrayLike, qualities: ArrayLike = QUALITIES) -> Callable[[Array], Array]:
    """Logarithm of the load over the logarithm of quality: monotone, through the predictions.

    A load that falls with better glue, as the last digits of a path may, is taken as level.
    """
    log_load = np.maximum.accumulate(np.log(np.asarray(loads, dtype=np.float64)))
    curve = PchipInterpolator(np.log(np.asarray(qualities, dtype=np.float64)), log_load)

    def at(log_quality: Array) -> Array:
        return np.asarray(curve(log_quality), dtype=np.float64)

    return at


def calibrate(groups: Sequence[Intervals], common_error: float = 0.0) -> Calibration:
    """The likeliest quality of the glue of all groups together. Raises ValueError where there are no breaks.

    ``common_error`` is the half-width, about 95 %, of an error in the logarithm of load that all breaks
    share, such as a rig's; it widens the limits.

    >>> loads = 500 * np.array(QUALITIES)
    >>> breaks = Intervals(np.array([300.0, 330.0, 370.0]), np.array([320.0, 350.0, 390.0]), loads)
    >>> round(calibrate([breaks]).quality, 2)
    0.69
    """
    count = sum(len(group.lower) for group in groups)
    if not count:
        raise ValueError("there are no breaks to calibrate by")
    lower = np.concatenate([group.lower for group in groups])
    upper = np.concatenate([group.upper for group in groups])
    if np.isinf(upper).all():
        return _unsettled(count, "the glue of none gave: they say only what it holds at least")
    if (lower == 0).all():
        return _unsettled(
            count, "none says what the glue holds at least: they say only what it holds at most"
        )
    likelihood = _Likelihood(tuple(_row(group) for group in groups))
    grid = np.linspace(np.log(QUALITIES[0]), np.log(QUALITIES[-1]), _GRID)
    values = likelihood.at(grid)
    (top,) = np.nonzero(values >= values.max() - _FLAT)
    finer = np.linspace(grid[max(top[0] - 1, 0)], grid[min(top[-1] + 1, _GRID - 1)], _FINER)
    grid = np.unique(np.concatenate([grid, finer]))
    values = likelihood.at(grid)
    peak = values.max()
    (top,) = np.nonzero(values >= peak - _FLAT)
    if top[0] == 0 or top[-1] == len(grid) - 1:
        return _unsettled(count, _beyond(top[0] == 0))
    best = int(np.argmax(values))
    middle = _vertex(grid, values, best) if len(top) < 4 else float(0.5 * (grid[top[0]] + grid[top[-1]]))
    spread = likelihood.spread(middle)
    remarks: list[str] = []
    interval: tuple[float | None, float | None] | None = None
    if count < 2:
        remarks.append(ONE_ALONE)
    else:
        floor = peak - float(mean_drop(count)) / 2
        ends = _crossing(grid, values, top[0], -1, floor), _crossing(grid, values, top[-1], 1, floor)
        interval = _widened(ends, middle, common_error / likelihood.slope(middle))
        if None in interval:
            remarks.append(BEYOND)
    low, high = (f"{100 * np.exp(grid[end]):.0f} %" for end in (top[0], top[-1]))
    # A top may also look flat only because the grid is fine: there no single load lies in every interval.
    if peak > -_MET and low != high:
        remarks.append(
            f"any quality from {low} to {high} fits every interval as well: the middle is taken; "
            "finer steps would tell"
        )
    return Calibration(float(np.exp(middle)), interval, spread, count, tuple(remarks))


def _row(group: Intervals) -> tuple[Array, Array, Array, Callable[[Array], Array]]:
    """Logarithms of the distinct bounds of a group, how often each is there, and its curve."""
    bounds, counts = np.unique(np.column_stack([group.lower, group.upper]), axis=0, return_counts=True)
    with np.errstate(divide="ignore"):
        logs = np.log(bounds)
    return logs[:, 0], logs[:, 1], counts.astype(np.float64), load_curve(group.loads)


def _unsettled(count: int, why: str) -> Calibration:
    return Calibration(None, None, None, count, (why,))


def _beyond(weak: bool) -> str:
    if weak:
        return f"they broke below what is predicted even for a glue of {100 * QUALITIES[0]:.0f} % quality"
    return (
        f"they held more than is predicted for the best glue there is ({100 * QUALITIES[-1]:.0f} % quality)"
    )


def _vertex(grid: Array, values: Array, at: int) -> float:
    """Where the parabola through a peak and its two neighbours is highest."""
    (x0, x1, x2), (y0, y1, y2) = grid[at - 1 : at + 2], values[at - 1 : at + 2]
    left, right = (y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)
    if left <= right:
        return float(x1)
    place = 0.5 * (x0 + x1) + 0.5 * (x2 - x0) * left / (left - right)
    return float(np.clip(place, x0, x2))


def _widened(
    ends: tuple[float | None, float | None], middle: float, half_width: float
) -> tuple[float | None, float | None]:
    """Limits of quality with a further half-width, in logarithms, added in quadrature; none stays none."""
    low, high = (None if end is None else float(np.hypot(np.log(end) - middle, half_width)) for end in ends)
    return (
        None if low is None else float(np.exp(middle - low)),
        None if high is None else float(np.exp(middle + high)),
    )


def _crossing(grid: Array, values: Array, start: int, side: int, floor: float) -> float | None:
    """The quality at which the likelihood, walking from ``start``, first falls below ``floor``."""
    at = start
    while 0 <= at < len(grid) and values[at] >= floor:
        at += side
    if not 0 <= at < len(grid):
        return None
    inner = at - side
    share = (values[inner] - floor) / (values[inner] - values[at])
    return float(np.exp(grid[inner] + share * (grid[at] - grid[inner])))
