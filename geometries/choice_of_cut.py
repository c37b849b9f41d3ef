"""Where to cut a corner open so that most of its joint is seen, and how far along a board that reaches."""

from __future__ import annotations

from itertools import pairwise

from glueline.geometries.joinings import Point
from glueline.geometries.layout import Layout, Leg
from glueline.geometries.polygons import NEAR
from glueline.geometries.section import Cut, bands
from glueline.geometries.section_glue import glue_seen
from glueline.geometries.silhouettes import silhouettes


def best_cut(layout: Layout, board: str) -> Cut:
    """The cut under the outside face of ``board`` which meets most pieces, glue and what is let in.

    Of several alike the outermost. It lies half way between places at which something begins or ends.

    >>> from glueline.geometries import JOINTS, Boards, Rebate
    >>> corner = JOINTS["rebate"].layout(Rebate(12.0), Boards(20.0, 90.0, 150.0))  # mm
    >>> best_cut(corner, "board A")  # in the rebate, which leaves 8 mm of board A
    Cut(board='board A', depth=14.0)
    """
    leg = Cut(board, 0.0).leg(layout)
    slanted = [
        each for each in layout.inserts if abs(_inward(leg, each.end) - _inward(leg, each.start)) > NEAR
    ]
    ends = [place for each in slanted for place in (each.start, each.end)]
    corners = [place for cell in layout.cells for place in cell.polygon]
    levels = sorted({round(_inward(leg, place), 6) for place in (*corners, *ends)})
    inside = [level for level in levels if -NEAR <= level <= leg.depth + NEAR]
    cuts = [Cut(board, (low + high) / 2) for low, high in pairwise(inside)]
    return max(cuts, key=lambda cut: (_met(layout, cut), -cut.depth))


def furthest(layout: Layout, cut: Cut) -> float:
    """How far along the board from the outside corner the joint reaches, in mm: cells and what is let in."""
    leg = cut.leg(layout)
    corners = [place for cell in layout.cells for place in cell.polygon]
    reaches = [x * leg.along[0] + y * leg.along[1] for x, y in corners]
    reaches += [along for each in silhouettes(layout, cut) for along, _ in each.outline]
    return max((reach for reach in reaches if reach < leg.length - NEAR), default=leg.clear_from)


def _inward(leg: Leg, place: Point) -> float:
    return place[0] * leg.inward[0] + place[1] * leg.inward[1]


def _met(layout: Layout, cut: Cut) -> int:
    """How many pieces, counted wherever one begins, lines of glue and things let in a cut meets."""
    let_in = sum(each.is_cut for each in silhouettes(layout, cut))
    return len(bands(layout, cut)) + let_in + sum(len(each.lines) for each in glue_seen(layout, cut))
