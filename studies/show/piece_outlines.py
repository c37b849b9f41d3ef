"""Outlines of pieces, whole and cracked: what a crack leaves of them, with its teeth."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import BOARD_A, BOARD_B, Hardware, Layout
from glueline.geometries.joinings import Point
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.broken_pieces import Crack, Fragment

Array = NDArray[np.float64]

ON_EDGE = 1e-6  # mm
TEETH = 0.05  # of the lesser depth: how far a crack jumps to and fro across the grain
TOOTH = 0.04  # of it: how long a tooth is
UNEVEN = 0.7548776662  # share of a full height from one tooth to the next: it never comes round


def outline_of(layout: Layout, name: str) -> list[tuple[Point, Point]]:
    """The stretches of a piece's cells beyond which there is no other cell of it."""
    corners = np.unique([corner for cell in layout.cells for corner in cell.polygon], axis=0)
    stretches: dict[frozenset[Point], tuple[Point, Point]] = {}
    shared = set()
    for cell in (each for each in layout.cells if name in each.parts):
        for start, end in zip(cell.polygon, (*cell.polygon[1:], cell.polygon[0]), strict=True):
            side = np.subtract(end, start)
            share = (corners - start) @ side / (side @ side)
            away = np.linalg.norm(corners - start - share[:, None] * side, axis=1)
            between = np.sort(share[(away < ON_EDGE) & (share > 0) & (share < 1)])
            places = [_rounded(np.add(start, part * side)) for part in (0.0, *between, 1.0)]
            for pair in pairwise(places):
                key = frozenset(pair)
                if key in stretches:
                    shared.add(key)
                stretches[key] = pair
    return [pair for key, pair in stretches.items() if key not in shared]


def left_of_crack(outline: Array, one: Fragment, crack: Crack | None, corner: CornerModel) -> Array:
    """What a convex ``outline`` (n, 2) keeps of itself on a fragment's side, with teeth where it is cut."""
    if crack is None or one.side == 0:
        return outline
    away = one.side * _left(outline, crack)
    kept: list[Array] = []
    for (start, end), (first, last) in zip(
        pairwise([*outline, outline[0]]), pairwise([*away, away[0]]), strict=True
    ):
        if first >= 0:
            kept.append(start)
        if first * last < 0:
            kept.append(start + (end - start) * first / (first - last))
            if first > 0:
                chords = chords_of(outline, crack)
                if chords:
                    teeth = teeth_on(chords[0], crack, corner)
                    near = np.linalg.norm(teeth[0] - kept[-1]) <= np.linalg.norm(teeth[-1] - kept[-1])
                    kept.extend(teeth if near else teeth[::-1])
    return np.array(kept).reshape(-1, 2)


def _left(points: Array, crack: Crack) -> Array:
    """How far (n,) places (n, 2) lie to the left of a crack."""
    away = points - np.array(crack.point)
    return np.asarray(crack.direction[0] * away[:, 1] - crack.direction[1] * away[:, 0])


def own_part(ends: Array, one: Fragment, crack: Crack) -> Array:
    """The part (2, 2) of a stretch on a fragment's side; (0, 2) if none."""
    away = one.side * _left(ends, crack)
    if (away <= 0).all():
        return np.empty((0, 2))
    if (away >= 0).all():
        return ends
    cut = ends[0] + (ends[1] - ends[0]) * away[0] / (away[0] - away[1])
    return np.array([ends[int(away.argmax())], cut])


def chords_of(outline: Array, crack: Crack) -> list[Array]:
    """Where a crack crosses a convex outline: two ends (2, 2), none if it misses it."""
    away = _left(outline, crack)
    cuts = [
        start + (end - start) * first / (first - last)
        for (start, end), (first, last) in zip(
            pairwise([*outline, outline[0]]), pairwise([*away, away[0]]), strict=True
        )
        if first * last < 0
    ]
    return [np.array(cuts)] if len(cuts) == 2 else []


def teeth_on(chord: Array, crack: Crack, corner: CornerModel) -> Array:
    """A crack's own line (n, 2) from end to end of a chord: ragged across the grain, not along it."""
    depth = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    along, point = np.array(crack.direction), np.array(crack.point)
    across = np.array([-along[1], along[0]])
    first, last = (chord - point) @ along
    tooth = (4.0 if crack.with_grain else 1.0) * TOOTH * depth
    high = (0.2 if crack.with_grain else 1.0) * TEETH * depth
    low, top = sorted((first, last))
    steps = np.arange(np.ceil(low / tooth), np.floor(top / tooth) + 1)
    stations = np.concatenate([[low], steps * tooth, [top]])
    # Teeth of uneven height that are the same on both sides of the crack.
    heights = np.concatenate([[0.0], high * (2.0 * np.mod(UNEVEN * steps, 1.0) - 1.0), [0.0]])
    line = np.asarray(point + stations[:, None] * along + heights[:, None] * across)
    return line if first <= last else line[::-1]


def hardware_board(corner: CornerModel, each: Hardware) -> str:
    """The board in which a bought fastener starts."""
    start = np.array(each.start)
    inside = [cell for cell in corner.layout.cells if _holds_place(np.array(cell.polygon), start)]
    names = (BOARD_A, BOARD_B)
    return next((name for name in names for cell in inside if name in cell.parts), BOARD_A)


def _holds_place(outline: Array, place: Array) -> bool:
    """Whether a convex outline holds a place, its edge counted in."""
    sides = np.roll(outline, -1, axis=0) - outline
    away = place - outline
    turn = sides[:, 0] * away[:, 1] - sides[:, 1] * away[:, 0]
    return bool((turn >= -1e-6).all() or (turn <= 1e-6).all())


def _rounded(place: NDArray[np.float64]) -> Point:
    return round(float(place[0]), 5), round(float(place[1]), 5)
