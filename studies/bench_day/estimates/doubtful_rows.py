"""Rows of a log that look like a slip of the pen: a nought too many, a unit mixed up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, inf, isinf, log, sqrt

import msgspec
import numpy as np
from msgspec import field

from glueline.studies.bench_day.log.log_file import BenchLog, Break
from glueline.studies.files.plain_files import printable
from glueline.studies.files.units import significant

FAR_OFF = 5.0
"""How many times off a load must be to be doubted: glued corners of one kind seldom scatter by two."""


class DoubtfulRow(msgspec.Struct, frozen=True):
    """A row that counts as it stands but is far off its own kind or its prediction.

    ``off_median`` and ``off_predicted`` are the bound that is farther off over the median of its kind and
    over the prediction; None where that one is not far off, or is not there.
    """

    log: str
    line: int
    label: str
    written: str
    off_median: float | None = field(name="over_median")
    off_predicted: float | None = field(name="over_predicted")
    words: str


def middle_load(row: Break) -> float:
    """One load in N for an interval: its middle (of logarithms), or the one bound that it has."""
    if isinf(row.upper):
        return row.lower
    return row.upper if row.lower == 0 else sqrt(row.lower * row.upper)


def median_load(rows: Sequence[Break]) -> float:
    """The median in N of the breaks of one kind."""
    return exp(float(np.median([log(max(middle_load(row), 1e-9)) for row in rows])))


def doubtful_rows(bench: BenchLog, predicted: Mapping[str, float]) -> tuple[DoubtfulRow, ...]:
    """The rows more than FAR_OFF times off the median of their label or off the prediction.

    ``predicted`` are loads in N by specimen path. A blank or zero ``held`` says nothing, however low.

    >>> from dataclasses import replace
    >>> row = Break(2, "butt.toml", "butt", 190.0, 200.0, "", "", None, written="held 190, broke 200 N")
    >>> slip = replace(row, line=5, lower=1900.0, upper=2000.0, written="held 1900, broke 2000 N")
    >>> (found,) = doubtful_rows(BenchLog("log.csv", None, (row, row, slip), ()), {"butt.toml": 210.0})
    >>> found.line, found.words
    (5, 'held 1900, broke 2000 N is 10 times the median of its kind and 9.5 times the prediction')
    """
    medians = {label: median_load(rows) for label, rows in bench.by_label().items()}
    found = []
    for row in bench.breaks:
        off_median = _far_off(row, medians[row.label])
        off_predicted = _far_off(row, predicted.get(row.specimen))
        if off_median is None and off_predicted is None:
            continue
        parts = [
            f"{_times(off)} {name}"
            for off, name in ((off_median, "the median of its kind"), (off_predicted, "the prediction"))
            if off is not None
        ]
        path = bench.days[row.day].path if bench.days else bench.path
        words = f"{row.written} is {' and '.join(parts)}"
        found.append(DoubtfulRow(path, row.line, row.label, row.written, off_median, off_predicted, words))
    return tuple(found)


def doubts(bench: BenchLog, rows: Sequence[DoubtfulRow], most: int = 20) -> list[str]:
    """A warning for each row, one line each; of many the first ``most`` and how many more there are."""
    lines = []
    for row in rows[:most]:
        day = next((day for day in bench.days if day.path == row.log), bench)
        where = f"{printable(row.log)}: {day.line_word} {row.line} ({row.label})"
        lines.append(f"warning: {where}: {row.words}. It counts as it stands: look for a slip")
    if len(rows) > most:
        lines.append(f"warning: and {len(rows) - most} more such rows")
    return lines


def _far_off(row: Break, load: float | None) -> float | None:
    """The bound of a row that is farthest from ``load``, over it; None where no bound is far off."""
    if not load:
        return None
    bounds = [row.upper] if row.upper < inf else []
    bounds += [row.lower] if row.lower > row.least * (1 + 1e-9) else []
    farthest = max((bound / load for bound in bounds), key=lambda ratio: abs(log(ratio)), default=1.0)
    return farthest if abs(log(farthest)) > log(FAR_OFF) else None


def _times(ratio: float) -> str:
    """A ratio in words: ``9.7 times``, ``1/10 of``."""
    if ratio >= 1:
        return f"{significant(ratio, 2)} times"
    return f"1/{significant(1 / ratio, 2)} of"
