"""What is let into holes as it lies behind a cut: rods, screws with their heads, and the pockets of screws.

Outlines are in the plane of the cut (``geometries.section``), in mm along the board and across the width.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, dist, hypot, pi, sin, sqrt, tan
from typing import Literal

from glueline.geometries.across import middles_across, whole_width
from glueline.geometries.hardware import Screw
from glueline.geometries.joinings import Point
from glueline.geometries.layout import Layout
from glueline.geometries.polygons import NEAR, clipped
from glueline.geometries.section import Cut, Place

ROUND = 16  # corners of half an outline that is round
FLAT = 1e-3  # mm: a head bears flat and is drawn without a thickness
What = Literal["rod", "pocket", "shank", "head"]
Spot = tuple[float, float, float]
"""Along the board, across the width, and inward from its outside face, in mm."""


@dataclass(frozen=True)
class Silhouette:
    """One of what is called ``name``, seen square to a cut; a head seen from its edge is a mere line.

    ``is_cut`` says that the cut goes through it; otherwise it lies behind the cut, or before it.

    >>> from glueline.geometries import JOINTS, Boards, Dowels
    >>> corner = JOINTS["dowel"].layout(Dowels(), Boards(20.0, 90.0, 150.0))  # mm
    >>> first, _ = silhouettes(corner, Cut("board B", 10.0))  # two dowels of 8 mm
    >>> first.outline[:2], first.is_cut  # mm along board B and across
    (((44.0, 18.5), (44.0, 26.5)), True)
    """

    name: str
    what: What
    outline: tuple[Place, ...]
    is_cut: bool


def silhouettes(layout: Layout, cut: Cut) -> tuple[Silhouette, ...]:
    """Everything round that is let in, wherever it lies; pockets first, heads last.

    What lies exactly before or behind another is left out.
    """
    found = []
    for rod in layout.rods:
        for middle in middles_across(layout, rod.number):
            start, end = (spot(layout, cut, place, middle) for place in (rod.start, rod.end))
            found.append(_round(rod.name, "rod", cut, start, end, rod.diameter / 2))
    for screw in (each for each in layout.hardware if isinstance(each, Screw)):
        for middle in middles_across(layout, screw.number):
            found += _of_screw(layout, cut, screw, middle)
    order = ("pocket", "rod", "shank", "head")
    seen = {(each.what, each.outline): each for each in sorted(found, key=lambda each: each.is_cut)}
    return tuple(sorted(seen.values(), key=lambda each: order.index(each.what)))


def _round(name: str, what: What, cut: Cut, start: Spot, end: Spot, radius: float) -> Silhouette:
    return Silhouette(name, what, cylinder(start, end, radius), goes_through(cut, start, end, radius))


def goes_through(cut: Cut, start: Spot, end: Spot, radius: float) -> bool:
    """Whether a cut meets something round of this axis."""
    sine = (end[2] - start[2]) / dist(start, end)
    aside = radius * sqrt(max(1.0 - sine**2, 0.0))
    return min(start[2], end[2]) - aside < cut.depth < max(start[2], end[2]) + aside


def spot(layout: Layout, cut: Cut, point: Point, across: float) -> Spot:
    """A point of the plane of the corner, so many mm across the width, as a cut has it."""
    leg = cut.leg(layout)
    along, inward = (point[0] * axis[0] + point[1] * axis[1] for axis in (leg.along, leg.inward))
    return along, across, inward


def cylinder(start: Spot, end: Spot, radius: float) -> tuple[Place, ...]:
    """The outline of a round rod seen square to the cut: of its two ends, each a circle seen at a slant, and
    its sides."""
    axis = tuple(last - first for first, last in zip(start, end, strict=True))
    seen = hypot(axis[0], axis[1])
    if seen < NEAR:
        turns = [pi * place / ROUND for place in range(2 * ROUND)]
        return tuple((start[0] + radius * cos(turn), start[1] + radius * sin(turn)) for turn in turns)
    along = axis[0] / seen, axis[1] / seen
    return _between(start, end, along, radius, abs(axis[2]) / dist(start, end))


def _between(start: Spot, end: Spot, along: Place, radius: float, roundness: float) -> tuple[Place, ...]:
    """Half an ellipse about either end; without roundness the ends are straight."""
    steps = range(ROUND + 1) if roundness > NEAR else (0, ROUND)
    places = []
    for centre, sign in ((end, 1.0), (start, -1.0)):
        for step in steps:
            turn = pi * (step / ROUND - 0.5)
            out, aside = sign * radius * roundness * cos(turn), sign * radius * sin(turn)
            x = centre[0] + out * along[0] - aside * along[1]
            y = centre[1] + out * along[1] + aside * along[0]
            places.append((round(x, 9), round(y, 9)))
    return tuple(places)


def _of_screw(layout: Layout, cut: Cut, screw: Screw, middle: float) -> list[Silhouette]:
    """A screw about ``middle`` mm across where it passes from board to board, its head and its pocket.

    One that rises out of the plane has its head toward the far face.
    """
    head_reach, point_reach = screw.under_head.length, screw.threaded.length
    rise = tan(screw.slant)
    head = spot(layout, cut, screw.start, middle + head_reach * rise)
    point = spot(layout, cut, screw.end, middle - point_reach * rise)
    x, y, z = ((h - p) / (head_reach + point_reach) for h, p in zip(head, point, strict=True))
    outward = (x, y, z)  # for each mm in the plane
    mouth = _moved(head, outward, _way_out(layout, cut, head, outward))
    radius = screw.head_diameter / 2
    pocket = _round(screw.name, "pocket", cut, head, mouth, radius)
    return [
        replace(pocket, outline=_in_board(layout, pocket.outline)),
        _round(screw.name, "shank", cut, head, point, screw.diameter / 2),
        _round(screw.name, "head", cut, head, _moved(head, outward, FLAT), radius),
    ]


def _moved(place: Spot, step: Spot, times: float) -> Spot:
    along, across, inward = (start + times * each for start, each in zip(place, step, strict=True))
    return along, across, inward


def _way_out(layout: Layout, cut: Cut, head: Spot, outward: Spot) -> float:
    """How far in the plane from a head on its axis comes out of board B."""
    boards = layout.boards
    leg = cut.leg(layout)
    own = leg.board == boards.legs[1].board
    # Along and inward are board B's own, or those of board A, which are B's the other way round.
    sizes = (leg.length, leg.depth) if own else (boards.legs[1].depth, boards.leg)
    limits = (sizes[0], whole_width(layout), sizes[1])
    ways = []
    for place, step, limit in zip(head, outward, limits, strict=True):
        if abs(step) > NEAR:
            ways.append(((limit if step > 0 else 0.0) - place) / step)
    return min(ways)


def _in_board(layout: Layout, outline: tuple[Place, ...]) -> tuple[Place, ...]:
    """What of an outline lies between the faces of the corner across the width."""
    width = whole_width(layout)
    return clipped(clipped(outline, (0.0, 1.0), 0.0), (0.0, -1.0), -width)
