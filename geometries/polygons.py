"""Convex polygons cut by straight lines; corners x, y in mm anticlockwise."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.geometries.joinings import Point

NEAR = 1e-6  # mm: closer than this is the same place


def clipped(polygon: Sequence[Point], normal: Point, level: float) -> tuple[Point, ...]:
    """The part of a convex polygon where x, y times ``normal`` is at least ``level`` (Sutherland and Hodgman
    1974); () where nothing is left.

    >>> clipped(((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)), (1.0, 0.0), 3.0)  # mm
    ((3.0, 0.0), (4.0, 0.0), (4.0, 2.0), (3.0, 2.0))
    """
    kept: list[Point] = []
    for before, here in zip([polygon[-1], *polygon[:-1]], polygon, strict=True):
        away_before, away = (place[0] * normal[0] + place[1] * normal[1] - level for place in (before, here))
        if (away > NEAR and away_before < -NEAR) or (away < -NEAR and away_before > NEAR):
            share = away_before / (away_before - away)
            kept.append(tuple(round(b + share * (h - b), 9) for b, h in zip(before, here, strict=True)))  # type: ignore[arg-type]
        if away >= -NEAR:
            kept.append(here)
    doubled = sum(kept[i - 1][0] * kept[i][1] - kept[i][0] * kept[i - 1][1] for i in range(len(kept)))
    return tuple(kept) if len(kept) >= 3 and doubled > NEAR else ()


def share_inside(polygon: Sequence[Point], start: Point, end: Point) -> tuple[float, float] | None:
    """From and to which share of a segment runs through the inside of a convex polygon; None where it does
    not, or only along a side.

    >>> share_inside(((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)), (2.0, 1.0), (10.0, 1.0))
    (0.0, 0.25)
    """
    low, high = 0.0, 1.0
    for place in range(len(polygon)):
        first, last = _away(polygon, place, start), _away(polygon, place, end)
        if first < NEAR and last < NEAR:
            return None
        if first < 0.0 or last < 0.0:
            share = first / (first - last)
            low, high = (max(low, share), high) if first < 0.0 else (low, min(high, share))
    away = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    return (low, high) if (high - low) * away > NEAR else None


def holds(polygon: Sequence[Point], point: Point) -> bool:
    """Whether a point lies in a convex polygon or on its side.

    >>> holds(((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0)), (4.0, 1.0))
    True
    """
    return all(_away(polygon, place, point) >= 0.0 for place in range(len(polygon)))


def _away(polygon: Sequence[Point], place: int, point: Point) -> float:
    """How far a point lies inside of one side of a polygon, in mm; below zero outside."""
    (x0, y0), (x1, y1) = polygon[place - 1], polygon[place]
    length = float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
    return ((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)) / length if length else 0.0
