"""The rig from the side with the maker's own distances: what stands where, and what stops the weights."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from glueline.geometries import Boards
from glueline.studies.bench_day.rig.drawn_shapes import (
    BLOCK,
    STEEL,
    WIDE,
    WOOD,
    box,
    circle,
    distance,
    ground,
    line,
    polygon,
    svg,
    words,
    words_ending,
)
from glueline.studies.bench_day.rig.rig import Lever, Rig
from glueline.studies.bench_day.rig.standing_corner import StandingCorner, standing_corner
from glueline.studies.files.units import Units, format_length

HINGE = 46.0  # x of the pin
REACH = 262.0  # from the pin to the farthest place
APART = 16.0  # least between two places that differ
ROW = 17.0  # of words
STACK = (26.0, 30.0)  # width and height of the weights
BOARD = 10.0  # thickness of platform and plates
GAP = 8.0  # as drawn, above a catch block
BLOCK_WIDTH = 20.0
MIDDLE = WIDE / 2
POST = 10.0  # width of what carries the hinge
POSTS = 138.0  # from the middle, of what guides a press or carries a bench
BLOCKED = "catch block"


def rig_drawing(rig: Rig, boards: Boards, drop: float, units: Units) -> str:
    """The drawing as an SVG element; ``drop`` is the gap in mm that is left above the catch blocks.

    The distances are to scale where they leave room for what stands there; the rest never is.

    >>> from glueline.studies.bench_day.rig.rig_file import read_rig
    >>> from glueline.studies.examples import bench_day_path
    >>> rig = read_rig(bench_day_path("bench_rig.toml"))
    >>> "weights_at 900 mm" in rig_drawing(rig, Boards(19.0, 90.0, leg=150.0), 25.0, "metric")
    True
    """
    gap = f"{BLOCKED}, {format_length(drop, units)} clear"
    if rig.lever is not None:
        return _platform(rig, rig.lever, boards, gap, units)
    corner = standing_corner(boards, rig.arrangement, to_left=False)
    if corner.hangs:
        shapes, height = _hanging(corner, gap)
    elif rig.kind == "press":
        shapes, height = _press(corner, gap)
    else:
        shapes, height = _strapped(corner, gap)
    return svg(shapes, height, f"{rig.kind}, {rig.arrangement}, from the side")


def places_of(lever: Lever, specimen_room: float) -> tuple[Mapping[str, float], bool]:
    """Places along the drawing by the rig file's names, in order, and whether they are to scale.

    Places so close to each other or to the hinge that nothing could stand there are drawn apart; the
    specimen needs ``specimen_room`` between the hinge and the line on which it is loaded.
    """
    mm = lever.distances
    room = {"specimen_at": specimen_room, "weights_at": 2 * APART, "centre_at": APART}
    order = list(mm)
    scaled = [REACH * mm[name] / mm[order[-1]] for name in order]
    apart = [0.0 if mm[other] - mm[one] <= 1e-9 * mm[other] else APART for one, other in pairwise(order)]
    spread: list[float] = []
    for name, wanted, least in zip(order, scaled, [0.0, *apart], strict=True):
        after = spread[-1] + least if spread else 0.0
        spread.append(max(wanted, room[name], after))
    for index in (1, 0):  # what is at one place stays at one, however much room one of them needs
        if apart[index] == 0.0:
            spread[index] = spread[index + 1]
    spread[-1] = min(spread[-1], REACH)
    for index in (1, 0):
        spread[index] = min(spread[index], spread[index + 1] - apart[index])
    to_scale = bool(np.allclose(spread, scaled, atol=0.5))
    return {name: HINGE + x for name, x in zip(order, spread, strict=True)}, to_scale


def drawn_to_scale(rig: Rig, boards: Boards) -> bool:
    """Whether the distances of a rig are to scale in its drawing; a rig without any has none that are not."""
    return rig.lever is None or _standing(rig, rig.lever, boards)[2]


def _standing(rig: Rig, lever: Lever, boards: Boards) -> tuple[StandingCorner, Mapping[str, float], bool]:
    """The corner at a platform, leaning to where there is room; the places, and whether they are to scale."""
    farthest = max(lever.distances.values())
    corner = standing_corner(boards, rig.arrangement, to_left=lever.specimen_at > farthest / 2)
    room = 2 * APART if corner.hangs else max(2 * APART, POST / 2 + 5 - corner.left)
    return corner, *places_of(lever, room)


def _platform(rig: Rig, lever: Lever, boards: Boards, gap: str, units: Units) -> str:
    corner, places, to_scale = _standing(rig, lever, boards)
    at, far, centre = (places[name] for name in ("specimen_at", "weights_at", "centre_at"))
    if corner.hangs:
        block = far
        top = ROW + 12 - corner.top + corner.bottom + 12
        bench = top + BOARD + 8 + STACK[1] + 5 + GAP + 16
        body = [*_held_above(corner, at, ROW + 6, top), *_hung_weights(far, top + BOARD)]
        named = (("specimen", at, ROW), ("weights", far, bench + ROW))
    else:
        block = _beside(far, at + corner.left, at + corner.right)
        top = ROW + 4 + STACK[1]
        bench = top + BOARD + 6 - corner.top + corner.bottom + 6
        body = [*_stack(far, top), *_held_below(corner, at, top + BOARD, bench)]
        named = (("weights", far, ROW - 2), ("specimen", at, bench + ROW))
    high = 16 if corner.hangs else bench - top - BOARD - GAP
    end = max(at, far + STACK[0] / 2, centre, block + BLOCK_WIDTH / 2) + 8
    pin = top + BOARD / 2
    rows = _rows(lever, places, bench + 2 * ROW + 6, units)
    lowest = max(height for height, _ in rows.values())
    shapes = [
        *(line((x, pin), (x, rows[name][0]), dashed=True) for name, x in places.items()),
        line((HINGE, pin), (HINGE, lowest), dashed=True),
        box(HINGE - POST / 2, pin, POST, bench - pin, STEEL),
        box(HINGE - 8, top, end - HINGE + 8, BOARD, WOOD),
        box(block - BLOCK_WIDTH / 2, bench - high, BLOCK_WIDTH, high, BLOCK),
        *body,
        circle(HINGE, pin, 4),
        *_centre(centre, pin),
        ground(12, WIDE - 8, bench),
        words_ending("hinge", HINGE - 12, pin + 4),
        *(words(*each) for each in named),
        words(gap, block, bench + 2 * ROW),
    ]
    for name, (height, text) in rows.items():
        shapes += [
            *distance(HINGE, places[name], height),
            words(text, (HINGE + places[name]) / 2, height - 7),
        ]
    title = f"{rig.kind}, {rig.arrangement}, from the side, distances {'' if to_scale else 'not '}to scale"
    return svg(shapes, lowest + 8, title)


def _hung_weights(x: float, above: float) -> list[str]:
    """Weights on a tray that hangs from a height."""
    tray = above + 8 + STACK[1]
    return [
        line((x, above), (x, above + 8), 2),
        *_stack(x, tray),
        box(x - STACK[0] / 2 - 3, tray, STACK[0] + 6, 4, STEEL),
    ]


def _rows(
    lever: Lever, places: Mapping[str, float], top: float, units: Units
) -> dict[str, tuple[float, str]]:
    """Height and words of each distance by its name in the rig file, the shortest first."""
    mm = lever.distances
    after = {"centre_at": " (own weight)"}
    return {
        name: (
            top + (ROW + 8) * (index + 1),
            f"{name} {format_length(mm[name], units)}{after.get(name, '')}",
        )
        for index, name in enumerate(places)
    }


def _beside(wanted: float, left: float, right: float) -> float:
    """Where a catch block stands that is wanted at a place, clear of the specimen."""
    room = BLOCK_WIDTH / 2 + 5
    if not left - room < wanted < right + room:
        return wanted
    return right + room if right + room + BLOCK_WIDTH / 2 + 8 < WIDE else left - room


def _press(corner: StandingCorner, gap: str) -> tuple[list[str], float]:
    """A plate between posts, the weights on it."""
    top = ROW + 4 + STACK[1]
    bench = top + BOARD + 6 - corner.top + corner.bottom + 6
    blocks = [_block(side, top + BOARD + GAP, bench) for side in (-1, 1)]
    posts = [box(MIDDLE + side * POSTS - 4, top - 20, 8, bench - top + 20, STEEL) for side in (-1, 1)]
    shapes = [
        *posts,
        *blocks,
        box(MIDDLE - POSTS - 8, top, 2 * POSTS + 16, BOARD, WOOD),
        *_stack(MIDDLE, top),
        *_held_below(corner, MIDDLE, top + BOARD, bench),
        ground(12, WIDE - 12, bench),
        words("weights", MIDDLE, ROW - 2),
        words("specimen", MIDDLE, bench + ROW),
        words(f"{gap}, both sides", MIDDLE, bench + 2 * ROW),
    ]
    return shapes, bench + 2 * ROW + 8


def _hanging(corner: StandingCorner, gap: str) -> tuple[list[str], float]:
    """The specimen hangs from a beam, the weights from the specimen."""
    tray = ROW + 6 + 6 - corner.top + corner.bottom + 16 + STACK[1]
    floor = tray + 5 + GAP + 16
    shapes = [
        *_held_above(corner, MIDDLE, ROW + 6, tray),
        *_stack(MIDDLE, tray),
        box(MIDDLE - 30, tray, 60, 5, WOOD),
        *_catch_block(tray, floor, gap),
    ]
    return shapes, floor + ROW + 8


def _catch_block(tray: float, floor: float, gap: str) -> list[str]:
    """What stands under hung weights, the floor, and the words beside all of it."""
    return [
        box(MIDDLE - 20, floor - 16, 40, 16, BLOCK),
        ground(12, WIDE - 12, floor),
        words("specimen", MIDDLE, ROW),
        words("weights", MIDDLE + 60, tray - STACK[1] / 2 + 4),
        words(gap, MIDDLE, floor + ROW),
    ]


def _strapped(corner: StandingCorner, gap: str) -> tuple[list[str], float]:
    """The specimen stands on a bench; straps from a bar over it bear a tray with the weights below."""
    bar = ROW + 6
    bench = bar + BOARD + 6 - corner.top + corner.bottom + 6
    tray = bench + BOARD + 14 + STACK[1]
    floor = tray + 5 + GAP + 16
    straps = [line((MIDDLE + side * 105, bar), (MIDDLE + side * 105, tray), 2) for side in (-1, 1)]
    posts = [box(MIDDLE + side * POSTS - 5, bench, 10, floor - bench, STEEL) for side in (-1, 1)]
    shapes = [
        *posts,
        *straps,
        box(MIDDLE - 112, bar, 224, BOARD, WOOD),
        *_held_below(corner, MIDDLE, bar + BOARD, bench),
        box(MIDDLE - POSTS - 12, bench, 2 * POSTS + 24, BOARD, WOOD),
        *_stack(MIDDLE, tray),
        box(MIDDLE - 112, tray, 224, 5, WOOD),
        *_catch_block(tray, floor, gap),
    ]
    return shapes, floor + ROW + 8


def _block(side: int, top: float, bench: float) -> str:
    """A catch block of a press, beside the specimen."""
    return box(MIDDLE + side * (POSTS - 22) - BLOCK_WIDTH / 2, top, BLOCK_WIDTH, bench - top, BLOCK)


def _stack(x: float, bottom: float) -> list[str]:
    """Three plates on each other."""
    wide, tall = STACK
    return [box(x - wide / 2, bottom - tall / 3 * (1 + n), wide, tall / 3, STEEL) for n in range(3)]


def _centre(x: float, y: float) -> list[str]:
    """The mark of a centre of gravity: a circle with a cross."""
    return [circle(x, y, 4), line((x - 4, y), (x + 4, y)), line((x, y - 4), (x, y + 4))]


def _held_below(corner: StandingCorner, x: float, pressed: float, bench: float) -> list[str]:
    """The corner under what presses on it at a height, on what bears or clamps it on the bench."""
    load = pressed + 6 - corner.top
    held = []
    for each in corner.held:
        foot = (x + each.place[0], load + each.place[1])
        above = bench - 20 if each.clamps else foot[1]
        held.append(box(foot[0] - each.half_width, above, 2 * each.half_width, bench - above, STEEL))
    return [*held, box(x - 4, pressed, 8, load - pressed, STEEL), *_boards(corner, x, load)]


def _held_above(corner: StandingCorner, x: float, beam: float, pulled: float) -> list[str]:
    """The corner under a beam that holds it, tied to what pulls at it at a height."""
    load = beam + 12 - corner.top
    held = []
    for each in corner.held:
        place = (x + each.place[0], load + each.place[1])
        if each.clamps:
            held.append(box(place[0] - each.half_width, beam + 6, 2 * each.half_width, 20, STEEL))
        else:
            held.append(line((place[0], beam), place, 2))
    low = min(-30.0, *(each.place[0] - 20 for each in corner.held))
    high = max(30.0, *(each.place[0] + 20 for each in corner.held))
    return [
        *held,
        box(x + low, beam, high - low, 6, STEEL),
        *_boards(corner, x, load),
        line((x, load), (x, pulled), 2),
    ]


def _boards(corner: StandingCorner, x: float, load: float) -> list[str]:
    return [polygon(outline + np.array([x, load]), WOOD) for outline in reversed(corner.boards)]
