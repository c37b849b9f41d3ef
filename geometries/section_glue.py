"""Where a cut through a corner meets glue, or looks square at it (``geometries.section``)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from glueline.geometries.across import glued_across, middles_across
from glueline.geometries.joinings import Cheek, GlueLine, HoleBond, Joining
from glueline.geometries.layout import Layout
from glueline.geometries.polygons import NEAR
from glueline.geometries.section import Cut, Level, Place, runs, runs_of
from glueline.geometries.silhouettes import cylinder, goes_through, spot


@dataclass(frozen=True)
class GlueSeen:
    """The glue of what is called ``joining``: ``lines`` that a cut goes through, each by places in turn, and
    outlines of areas parallel to it, ``before`` it, toward the outside face, and ``behind``.

    >>> from glueline.geometries import JOINTS, Boards, Butt
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(19.0, 90.0, 150.0))  # mm
    >>> glue_seen(corner, Cut("board B", 9.5))[0].lines  # mm along board B and across
    (((19.0, 0.0), (19.0, 90.0)),)
    >>> glue_seen(corner, Cut("board A", 9.5))[0].behind
    (((0.0, 0.0), (19.0, 0.0), (19.0, 90.0), (0.0, 90.0)),)
    """

    joining: str
    lines: tuple[tuple[Place, ...], ...]
    before: tuple[tuple[Place, ...], ...] = ()
    behind: tuple[tuple[Place, ...], ...] = ()


def glue_seen(layout: Layout, cut: Cut) -> tuple[GlueSeen, ...]:
    """One for each joining of the layout, in its order."""
    return tuple(_seen(layout, cut, joining) for joining in layout.joinings)


def _seen(layout: Layout, cut: Cut, joining: Joining) -> GlueSeen:
    return _VIEWS[type(joining)](layout, cut, joining)


def _of_line(layout: Layout, cut: Cut, line: GlueLine) -> GlueSeen:
    """A stretch for each piece of glue where the cut crosses it; areas where it lies parallel."""
    start, end = (spot(layout, cut, place, 0.0) for place in (line.start, line.end))
    if abs(start[2] - end[2]) < NEAR:
        areas = _areas(layout, cut, line, start[0], end[0])
        return GlueSeen(line.name, (), *((areas, ()) if start[2] < cut.depth else ((), areas)))
    share = (cut.depth - start[2]) / (end[2] - start[2])
    if not 0.0 < share < 1.0:
        return GlueSeen(line.name, ())
    along = start[0] + share * (end[0] - start[0])
    glued = glued_across(layout, line, share * line.length)
    return GlueSeen(line.name, tuple(((along, low), (along, high)) for low, high in glued))


def _areas(
    layout: Layout, cut: Cut, line: GlueLine, start: float, end: float
) -> tuple[tuple[Place, ...], ...]:
    """What is glued of a line from ``start`` to ``end`` mm along the board, holes for rods within it."""
    corners = {spot(layout, cut, place, 0.0)[0] for cell in layout.cells for place in cell.polygon}
    low, high = min(start, end), max(start, end)
    places = sorted({low, high, *(each for each in corners if low + NEAR < each < high - NEAR)})
    levels = []
    for first, last in pairwise(places):
        glued = glued_across(layout, line, abs((first + last) / 2 - start), bored=False)
        borders = tuple(border for stretch in glued for border in stretch)
        levels.append(Level(first, last, (line.name, "between") * len(glued), borders))
    return tuple(
        run.between(place, place + 1) for run in runs(levels) for place in range(0, len(run.pieces), 2)
    )


def _of_cheek(layout: Layout, cut: Cut, cheek: Cheek) -> GlueSeen:
    """The borders between its pieces; cheeks lie square to every cut."""
    lines: list[tuple[Place, ...]] = []
    for run in runs_of(layout, cut):
        if cheek.name in run.cheeks:
            for place, pair in enumerate(pairwise(run.pieces)):
                if set(pair) == {cheek.minus, cheek.plus}:
                    lines.append(run.border(place + 1))
    return GlueSeen(cheek.name, tuple(lines))


def _of_hole(layout: Layout, cut: Cut, hole: HoleBond) -> GlueSeen:
    """The sides of each hole that the cut goes through, or its rim."""
    lines: list[tuple[Place, ...]] = []
    for middle in middles_across(layout, hole.number):
        start, end = (spot(layout, cut, place, middle) for place in (hole.start, hole.end))
        if not goes_through(cut, start, end, hole.diameter / 2):
            return GlueSeen(hole.name, ())
        rim = cylinder(start, end, hole.diameter / 2)
        seen = hypot(end[0] - start[0], end[1] - start[1])
        if seen < NEAR:
            lines.append((*rim, rim[0]))
            continue
        half = len(rim) // 2
        lines += [(rim[-1], rim[0]), (rim[half - 1], rim[half])]
    return GlueSeen(hole.name, tuple(lines))


_VIEWS: dict[type, Callable[..., GlueSeen]] = {
    GlueLine: _of_line,
    Cheek: _of_cheek,
    HoleBond: _of_hole,
}
