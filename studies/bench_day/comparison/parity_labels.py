"""Labels of points that stand near one another: where each can stand beside its point without overlapping."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]  # left, bottom, right, top

DIRECTIONS, RINGS = 16, 14


def label_places(points: Sequence[tuple[float, float]], size: float, inside: Box) -> Array:
    """A middle (n, 2) for a round label ``size`` wide by each point, clear of all points and labels.

    All in one unit, such as pixels. Labels are laid one after the other, each as near to its own point as is
    free within the box; where nothing is free, where it overlaps least.

    >>> label_places([(50.0, 50.0), (52.0, 50.0)], 10.0, (0.0, 0.0, 100.0, 100.0)).shape
    (2, 2)
    """
    placed: list[tuple[float, float]] = []
    for point in points:
        placed.append(
            min(_around(point, size, inside), key=lambda at: _cost(at, point, points, placed, size))
        )
    return np.array(placed).reshape(-1, 2)


def _around(point: tuple[float, float], size: float, inside: Box) -> list[tuple[float, float]]:
    """Places in rings about a point, the nearest first; a label's whole width stays in the box."""
    left, low, right, top = inside
    half = size / 2
    return [
        (
            min(max(point[0] + reach * cos(turn), left + half), right - half),
            min(max(point[1] + reach * sin(turn), low + half), top - half),
        )
        for reach in (0.95 * size + 0.5 * size * ring for ring in range(RINGS))
        for turn in (pi / 4 + 2 * pi * step / DIRECTIONS for step in range(DIRECTIONS))
    ]


def _cost(
    at: tuple[float, float],
    own: tuple[float, float],
    points: Sequence[tuple[float, float]],
    placed: Sequence[tuple[float, float]],
    size: float,
) -> tuple[float, float]:
    """How far it overlaps labels and points, then how far it is from its own point."""

    def short(place: tuple[float, float], wanted: float) -> float:
        return max(0.0, wanted - hypot(at[0] - place[0], at[1] - place[1]))

    overlap = sum(short(place, 1.08 * size) for place in placed) + sum(
        short(place, 0.75 * size) for place in points
    )
    return overlap, hypot(at[0] - own[0], at[1] - own[1])
