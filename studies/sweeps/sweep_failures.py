"""The points of a sweep that have no answer, in its picture: on the axis, and why in the legend."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from glueline.studies.show.canvas import INK
from glueline.studies.sweeps.rows import FinishedPoint

FAILED = "x"
MOST_REASONS = 4


def reason_of(point: FinishedPoint) -> str:
    """Why a point has no answer, without the key and the value, which stand beside it.

    >>> point = FinishedPoint(number=0, values={"joint.fingers": "1"}, status="failed", answer=None,
    ...     error="command line: --vary joint.fingers = 1: must be at least 2")
    >>> reason_of(point)
    'must be at least 2'
    """
    for key, value in point.values.items():
        _, found, rest = point.error.rpartition(f"{key} = {value}: ")
        if found:
            return rest
    return point.error


def failure_words(points: Sequence[FinishedPoint], key: str) -> list[str]:
    """One line for each reason, with the values of ``key`` that it holds for; of many reasons the first."""
    reasons: dict[str, list[str]] = {}
    for point in points:
        if point.answer is None:
            reasons.setdefault(reason_of(point), []).append(point.values.get(key, ""))
    words = []
    for reason, values in list(reasons.items())[:MOST_REASONS]:
        named = list(dict.fromkeys(value for value in values if value))
        at = ", ".join(named[:3]) + (f" and {len(named) - 3} more" if len(named) > 3 else "")
        words.append(f"no answer at {at}: {reason}" if at else f"no answer: {reason}")
    if len(reasons) > MOST_REASONS:
        words.append(f"no answer for {len(reasons) - MOST_REASONS} more reasons, see the table")
    return words


def draw_failed(
    axes: Any, key: str, points: Sequence[FinishedPoint], places: Mapping[str, float], size: float
) -> None:
    """A cross on the axis for each; of those beyond the end of the axis, at its end."""
    low, high = axes.get_xlim()
    for point in points:
        if point.answer is None:
            place = float(np.clip(places[point.values[key]], low, high))
            axes.plot([place], [0.0], FAILED, color=INK, ms=size, mew=3, zorder=5, clip_on=False)
