"""Convex polygons cut by straight lines."""

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
