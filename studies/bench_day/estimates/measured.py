"""What a log says of each joint: mean, scatter, 5 % value and limits, from intervals alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt

import msgspec
import numpy as np
from msgspec import field
from scipy import stats

from glueline.studies.bench_day.estimates.intervals import ENDLESS, FOUND, Fit, Samples, fit, gather
from glueline.studies.bench_day.estimates.likelihood_limits import (
    CONFIDENCE,
    LOW_SCORE,
    holm,
    low_quantile_limit,
    mean_limits,
    pair_p_values,
)
from glueline.studies.bench_day.log.log_file import BenchLog, Break

LOOSE = 5.0
"""A limit of the mean that is this many times off the mean limits little."""

NEXT_SHARE, FEWEST_FOR_NEXT = 0.9, 3
"""What a range for the next specimen holds, and from how many breaks on there is one that says anything."""

MOST_ORDERED = 40
"""Joints up to which every pair is compared; more give more pairs than any picture or table can show."""


@dataclass(frozen=True)
class Measured:
    """One joint on the bench. Loads in N; None where the log cannot say, and ``remarks`` tell why.

    ``mean`` of the lognormal that is likeliest; where every break fits one load, so that no scatter can be
    seen, the middle (of logarithms) of what the intervals share, ``shared``, to which it tends as the spread
    falls to nothing.
    """

    label: str
    breaks: tuple[Break, ...]
    mean: float | None  # N
    spread: float | None  # standard deviation of the logarithm, 0 where it cannot be seen
    cov: float | None
    low_value: float | None  # N, point estimate of the 5 % value
    low_limit: float | None  # N, its lower limit, one-sided at 95 %
    limits: tuple[float, float] | None  # N, two-sided 95 % limits of the mean
    shared: tuple[float, float] | None  # N
    remarks: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many specimens."""
        return len(self.breaks)

    @property
    def next_range(self) -> tuple[float, float] | None:
        """Loads in N between which nine of ten further specimens break; None with fewer than three breaks.

        Student's prediction interval on logarithms, which knows how few there were; None without scatter too.
        """
        count = sum(bool(np.isfinite(each.upper)) for each in self.breaks)
        if self.cov is None or self.mean is None or self.spread is None or count < FEWEST_FOR_NEXT:
            return None
        t = float(stats.t.ppf(0.5 + NEXT_SHARE / 2, count - 1))
        half = t * self.spread * sqrt((1 + 1 / count) * count / (count - 1))
        middle = log(self.mean) - self.spread**2 / 2
        return exp(middle - half), exp(middle + half)

    @property
    def failures(self) -> Mapping[str, int]:
        """How many failed in what, those without a word left out."""
        return Counter(each.failure for each in self.breaks if each.failure)


class Pair(msgspec.Struct, frozen=True):
    """Two joints, and whether the data support their order."""

    stronger: str
    weaker: str
    probability: float = field(name="p")  # of such a difference were their means equal
    corrected: float = field(name="p_corrected")  # for all pairs
    supported: bool


def measure(log: BenchLog) -> tuple[tuple[Measured, ...], tuple[Pair, ...], tuple[str, ...]]:
    """Every joint of the log, every pair that can be compared, and what is to be said of the comparison."""
    grouped = log.by_label()
    samples = gather(
        [([each.lower for each in rows], [each.upper for each in rows]) for rows in grouped.values()]
    )
    fitted = fit(samples)
    low, high = mean_limits(samples, fitted)
    bound = low_quantile_limit(samples, fitted)
    joints = tuple(
        _measured(label, rows, samples, fitted, at, (float(low[at]), float(high[at]), float(bound[at])))
        for at, (label, rows) in enumerate(grouped.items())
    )
    if len(joints) > MOST_ORDERED:
        return joints, (), (f"more than {MOST_ORDERED} joints: no order is worked out",)
    numbers, probability = pair_p_values(samples, fitted)
    pairs = tuple(
        Pair(joints[strong].label, joints[weak].label, float(p), float(corrected), supported)
        for (strong, weak), p, corrected in zip(numbers, probability, holm(probability), strict=True)
        for supported in [bool(corrected <= 1 - CONFIDENCE)]
    )
    return joints, pairs, ()


def _measured(
    label: str,
    rows: tuple[Break, ...],
    samples: Samples,
    fitted: Fit,
    at: int,
    limits: tuple[float, float, float],
) -> Measured:
    """One joint from its place in the fit; ``limits`` are logarithms: of the mean, and of the 5 % value."""
    state, location, spread = int(fitted.state[at]), float(fitted.location[at]), float(fitted.spread[at])
    from_, to = (float(np.exp(end[at])) for end in samples.common)
    low, high, bound = limits
    seen = state == FOUND
    closed = bool(np.isfinite(location)) and state != ENDLESS
    mean = float(np.exp(location + spread**2 / 2)) if closed else None
    both = (float(np.exp(low)), float(np.exp(high))) if closed and np.isfinite([low, high]).all() else None
    remarks = _remarks(rows, state)
    if mean is not None and both is not None and (both[0] * LOOSE < mean or mean * LOOSE < both[1]):
        remarks = (*remarks, "so few breaks hardly limit the mean: break more")
    return Measured(
        label=label,
        breaks=rows,
        mean=mean,
        spread=spread if closed else None,
        cov=float(np.sqrt(np.expm1(spread**2))) if seen else None,
        low_value=float(np.exp(location + LOW_SCORE * spread)) if seen else None,
        low_limit=float(np.exp(bound)) if closed and np.isfinite(bound) else None,
        limits=both,
        shared=(from_, to) if state not in (FOUND, ENDLESS) else None,
        remarks=remarks,
    )


def _remarks(rows: tuple[Break, ...], state: int) -> tuple[str, ...]:
    """What keeps a joint from being judged, in plain words."""
    unbroken = sum(np.isinf(each.upper) for each in rows)
    at_first = sum(each.lower == 0 for each in rows)
    if unbroken == len(rows):
        return ("none broke: it holds more than it was loaded with, and nothing else can be said",)
    if at_first == len(rows):
        return ("every one failed at the first step: start lower; nothing else can be said",)
    if len(rows) == 1:
        return ("one specimen: no scatter, no 5 % value, no interval, and no order is claimed",)
    if state == ENDLESS:
        return ("the loads lie so far apart that neither a mean nor a scatter can be named: look for a slip",)
    if state != FOUND:
        return (
            "one and the same load would fit every interval: the scatter is less than these steps can show, "
            "so there is no number for it and no 5 % value; finer steps would tell",
        )
    remarks = []
    if unbroken:
        remarks.append(f"{unbroken} of {len(rows)} never failed and count as at least what they held")
    if at_first:
        remarks.append(f"{at_first} of {len(rows)} failed at the first step and count as at most that")
    return tuple(remarks)
