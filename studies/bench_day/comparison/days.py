"""Whether several bench days differ, joint for joint.

Each break counts as the logarithm that its joint's lognormal, fitted to all days, expects in its interval. If
days were alike, a joint's breaks could be handed out among them in any way; so days are shuffled within every
joint, and the sum over days of (sum of deviations over their joint's spread)^2 / specimens is held against
what shuffling gives: a permutation test in strata (Pesarin and Salmaso 2010, Permutation tests for complex
data, from memory). It asks for no spread in common and is exact where all days load in the same steps.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import comb, exp, hypot, log, pi, sqrt
from pathlib import PurePath

import msgspec
import numpy as np
from msgspec import field
from numpy.typing import NDArray

from glueline.studies.bench_day.estimates.doubtful_rows import median_load
from glueline.studies.bench_day.estimates.intervals import SMALLEST_SPREAD, log_probability
from glueline.studies.bench_day.estimates.likelihood_limits import CONFIDENCE
from glueline.studies.bench_day.estimates.measured import Measured
from glueline.studies.bench_day.log.log_file import BenchLog
from glueline.studies.bench_day.plan.power import widened_by_steps
from glueline.studies.bench_day.rig.rig import common_error
from glueline.studies.files.units import significant
from glueline.studies.files.words import all_of

Array = NDArray[np.float64]

MOST_SHUFFLES, FEWEST_SHUFFLES = 9999, 999
ROWS_SHUFFLED = 20_000_000
LEAST_WAYS = 40
"""Ways to hand the breaks out below which even the most telling one, and its mirror, proves nothing."""

WIDEST_STEP = 0.5
"""Width of a step in logarithms where no row shows both its ends."""

LOADS_BY_RIG = "stacked weight turned into force by the rig"
LOADS_AS_FORCE = "force on the joint"


class Day(msgspec.Struct, frozen=True):
    """One of several logs; ``over_common`` is its load over that of all days, joint for joint."""

    log: str
    specimens: int
    loads: str
    rig_error: float  # half-width as a share, about 95 %, near the median load of the day
    over_common: float | None


class ComparedDays(msgspec.Struct, frozen=True):
    """Several days held against each other; ``differ`` is None where it cannot be told, ``words`` say why."""

    days: tuple[Day, ...]
    joints: tuple[str, ...]  # broken on two days at least
    probability: float | None = field(name="p")  # of such a difference were the days alike
    differ: bool | None
    words: str


def compared_days(bench: BenchLog, measured: Sequence[Measured]) -> ComparedDays | None:
    """The days of a pooled log held against each other, joint for joint; None for a single log."""
    if not bench.days:
        return None
    shared = [
        (joint.label, *found, np.array([row.day for row in joint.breaks]))
        for joint in measured
        if (found := _deviations(joint)) is not None and len({row.day for row in joint.breaks}) > 1
    ]
    labels = tuple(label for label, *_ in shared)
    strata = [(deviations / spread, days) for _, deviations, spread, days in shared]
    spreads = [spread for _, _, spread, _ in shared]
    if not shared:
        why = "no joint whose load could be told was broken on two of them"
        return ComparedDays(_days(bench, None), labels, None, None, _untold(why))
    effects = _effects(strata, spreads, len(bench.days))
    days = _days(bench, effects)
    if _ways(strata) < LEAST_WAYS:
        why = f"too few specimens of the same joint ({all_of(labels)}) were broken on more than one of them"
        return ComparedDays(days, labels, None, None, _untold(why))
    probability = shuffled_probability(strata, len(bench.days))
    differ = probability <= 1 - CONFIDENCE
    return ComparedDays(days, labels, probability, differ, _words(bench, days, effects, probability, differ))


def shuffled_probability(strata: Sequence[tuple[Array, NDArray[np.int64]]], count: int) -> float:
    """Probability of days as far apart as these were they alike, by shuffling days within each stratum.

    Each stratum has deviations (n,) from its mean and the days (n,), 0 to ``count`` - 1, they come from. The
    shuffles are the same in every run.

    >>> apart = np.array([-3.0, -2.5, -2.0, -1.5, 1.5, 2.0, 2.5, 3.0])
    >>> alike = apart[[0, 7, 2, 5, 1, 6, 3, 4]]
    >>> days = np.repeat([0, 1], 4)
    >>> [round(shuffled_probability([(each, days)], 2), 2) for each in (apart, alike)]
    [0.03, 1.0]
    """
    sizes = np.bincount(np.concatenate([days for _, days in strata]), minlength=count)
    shuffles = int(np.clip(ROWS_SHUFFLED // sizes.sum(), FEWEST_SHUFFLES, MOST_SHUFFLES))
    random = np.random.default_rng(1)
    seen = sizes > 0

    def apart(sums: Array) -> Array:
        return np.asarray((sums[..., seen] ** 2 / sizes[seen]).sum(axis=-1))

    found = np.zeros(count)
    shuffled = np.zeros((shuffles, count))
    for deviations, days in strata:
        found += np.bincount(days, weights=deviations, minlength=count)
        dealt = random.permuted(np.tile(deviations, (shuffles, 1)), axis=1)
        for day in np.unique(days):
            shuffled[:, day] += dealt[:, days == day].sum(axis=1)
    as_far = apart(shuffled) >= float(apart(found)) * (1 - 1e-9) - 1e-15
    return float((1 + as_far.sum()) / (1 + shuffles))


def _deviations(joint: Measured) -> tuple[Array, float] | None:
    """Deviations of a joint's breaks from their mean in logarithms (n,), and their spread with the steps'.

    None where the joint has no lognormal.
    """
    if joint.spread is None or joint.mean is None:
        return None
    location = log(joint.mean) - joint.spread**2 / 2
    bounds = np.array([[row.lower, row.upper] for row in joint.breaks])
    with np.errstate(divide="ignore"):
        low, high = np.log(bounds).T
    logs = expected_logs(low, high, location, joint.spread)
    return logs - logs.mean(), seen_spread(low, high, joint.spread)


def seen_spread(low: Array, high: Array, spread: float) -> float:
    """Spread of logarithms as it is seen through steps from ``low`` to ``high`` (n,), never nothing.

    A joint counts by its inverse, so that one that scatters wildly does not drown the others. It is that of
    all days together, which shuffling does not change.
    """
    widths = (high - low)[np.isfinite(high - low)]
    step = float(np.median(widths)) if len(widths) else WIDEST_STEP
    return widened_by_steps(spread, max(step, SMALLEST_SPREAD))


def expected_logs(low: Array, high: Array, location: float, spread: float) -> Array:
    """The mean of a normal in each of several intervals (n,); -inf and inf where there is no bound.

    Of a standard normal it is the difference of its densities at the bounds over the probability between.

    >>> expected_logs(np.array([-np.inf, 0.0]), np.array([0.0, np.inf]), 0.0, 1.0).round(3).tolist()
    [-0.798, 0.798]
    """
    if spread == 0:
        return np.full(len(low), location)
    lower, upper = (low - location) / spread, (high - location) / spread
    between = log_probability(lower, upper)
    at_low, at_high = (np.exp(-0.5 * end**2 - between) / sqrt(2 * pi) for end in (lower, upper))
    return np.asarray(location + spread * np.clip(at_low - at_high, lower, upper))


def _ways(strata: Sequence[tuple[Array, NDArray[np.int64]]]) -> int:
    """In how many ways the breaks of each joint can be handed out among its days, all together."""
    ways = 1
    for _, days in strata:
        left = len(days)
        for size in np.bincount(days):
            ways *= comb(left, int(size))
            left -= int(size)
    return ways


def _effects(
    strata: Sequence[tuple[Array, NDArray[np.int64]]], spreads: Sequence[float], count: int
) -> Array | None:
    """Logarithm of each day's load over that of all (count,), by least squares with a level for each joint.

    The deviations of ``strata`` are over the joint's spread, by which joints count.

    NaN for a day that shares no joint; None where some days cannot be held against others at all.
    """
    joined = np.eye(count, dtype=bool)
    for _, days in strata:
        for one, other in combinations(np.unique(days), 2):
            joined[one, other] = joined[other, one] = True
    reached = np.linalg.matrix_power(joined.astype(float), count) > 0
    used = np.unique(np.concatenate([days for _, days in strata]))
    if not reached[np.ix_(used, used)].all():
        return None
    rows, values = [], []
    for number, (deviations, days) in enumerate(strata):
        for day, value in zip(days, deviations, strict=True):
            row = np.zeros(count + len(strata))
            row[day] = row[count + number] = 1.0 / spreads[number]
            rows.append(row)
            values.append(value)
    solved = np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0][:count]
    effects = np.full(count, np.nan)
    effects[used] = solved[used] - solved[used].mean()
    return effects


def _days(bench: BenchLog, effects: Array | None) -> tuple[Day, ...]:
    return tuple(
        Day(
            log=day.path,
            specimens=len(day.breaks),
            loads=LOADS_AS_FORCE if day.rig is None else LOADS_BY_RIG,
            rig_error=common_error(day.rig, median_load(day.breaks)),
            over_common=None if effects is None or np.isnan(effects[number]) else exp(effects[number]),
        )
        for number, day in enumerate(bench.days)
    )


def _untold(why: str) -> str:
    return f"Whether the days differ cannot be told: {why}."


def _words(
    bench: BenchLog, days: Sequence[Day], effects: Array | None, probability: float, differ: bool
) -> str:
    """Whether the days differ, in one sentence."""
    start = "The days differ" if differ else "The days cannot be told apart"
    test = f"p = {significant(float(f'{probability:.2g}'), 2)}, by shuffling the days of each joint"
    if effects is None:
        return f"{start} ({test})."
    low, high = int(np.nanargmin(effects)), int(np.nanargmax(effects))
    share = 1 - exp(effects[low] - effects[high])
    names = short_names([day.log for day in days])
    text = f"{start}: joint for joint {names[low]} lies {100 * share:.0f} % below {names[high]} ({test})"
    if bench.rigs[low] != bench.rigs[high]:
        error = hypot(days[low].rig_error, days[high].rig_error)
        text += f", of which up to {100 * error:.0f} % may be the error of their rigs"
    return f"{text}."


def short_names(paths: Sequence[str]) -> list[str]:
    """The names of logs without what they share at the front.

    >>> short_names(["may/bench.csv", "june/bench.csv"])
    ['may/bench.csv', 'june/bench.csv']
    >>> short_names(["logs/may.csv", "logs/june.csv"])
    ['may.csv', 'june.csv']
    """
    for parts in range(1, max(len(PurePath(path).parts) for path in paths) + 1):
        names = [str(PurePath(*PurePath(path).parts[-parts:])) for path in paths]
        if len(set(names)) == len(names):
            return names
    return [f"log {number}" for number in range(1, len(paths) + 1)]
