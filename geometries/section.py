"""A corner cut open parallel to the outside face of one of its boards: how the pieces stand across the width.

Places in a cut are (along, across) in mm: along the board from the outside corner, and across the width as in
``geometries.across``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import hypot

from glueline.geometries.across import Strip, strips_across
from glueline.geometries.hardware import Screw
from glueline.geometries.joinings import Cheek, Point, Rod
from glueline.geometries.layout import Layout, Leg
from glueline.geometries.polygons import NEAR, share_inside

Place = tuple[float, float]
"""Along the board and across the width, in mm."""
TOUCHING = 1e-5  # mm: ends closer than this are one


@dataclass(frozen=True)
class Band:
    """What of a ``piece``, or of a slot called by its fitting, a cut meets in one stretch of ``outline``."""

    piece: str
    outline: tuple[Place, ...]

    @property
    def area(self) -> float:
        """Its area in mm2."""
        before = (self.outline[-1], *self.outline[:-1])
        doubled = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(before, self.outline, strict=True))
        return abs(doubled) / 2


@dataclass(frozen=True)
class Level:
    """A stretch along a cut in which as many strips stand side by side.

    ``borders`` are where they begin and where the last ends, in mm across the width; ``key`` is alike where
    what stands in two stretches is the same, though wider or narrower.
    """

    start: float
    end: float
    key: object
    borders: tuple[float, ...]

    @property
    def middle(self) -> float:
        """Half way along, in mm."""
        return (self.start + self.end) / 2


@dataclass(frozen=True)
class Run:
    """Levels of one ``key`` that follow one another: ``borders`` across at every place ``along``, in mm."""

    key: object
    along: tuple[float, ...]
    borders: tuple[tuple[float, ...], ...]

    def border(self, number: int) -> tuple[Place, ...]:
        """The places on one border in turn."""
        return tuple((along, row[number]) for along, row in zip(self.along, self.borders, strict=True))

    def between(self, first: int, second: int) -> tuple[Place, ...]:
        """The outline between two borders."""
        return (*self.border(first), *reversed(self.border(second)))


@dataclass(frozen=True)
class Cut:
    """A plane parallel to the outside face of a ``board``, ``depth`` mm under it.

    >>> from glueline.geometries import JOINTS, Boards, FingerJoint
    >>> corner = JOINTS["finger"].layout(FingerJoint(3), Boards(20.0, 90.0, 150.0))  # mm
    >>> cut = best_cut(corner, "board A")
    >>> cut.depth, [band.piece for band in bands(corner, cut)]
    (10.0, ['board A', 'board B', 'board A', 'board A'])
    >>> bands(corner, cut)[1].outline  # mm along board A and across
    ((0.0, 30.0), (20.0, 30.0), (20.0, 60.0), (0.0, 60.0))
    """

    board: str
    depth: float

    def leg(self, layout: Layout) -> Leg:
        """The board as a leg of the corner."""
        return next(leg for leg in layout.boards.legs if leg.board == self.board)

    def line(self, layout: Layout) -> tuple[Point, Point]:
        """The line on which it crosses the plane of the corner, from the outside corner's side to the tip."""
        leg = self.leg(layout)
        return leg.at(0.0, self.depth), leg.at(leg.length, self.depth)


def bands(layout: Layout, cut: Cut) -> tuple[Band, ...]:
    """What a cut meets, in turn along the board and then across; together they fill it.

    Where a piece widens by steps from one cell to the next, its border is the straight line through their
    middles. Holes for rods and screws, and pockets, are left out: ``geometries.silhouettes`` has them.
    """
    return tuple(
        Band(piece, run.between(place, place + 1))
        for run in runs_of(layout, cut)
        for place, piece in enumerate(run.key[0])  # type: ignore[index]
    )


def runs_of(layout: Layout, cut: Cut) -> tuple[Run, ...]:
    """The stretches of a cut; the key of each are its pieces in turn, and its cheeks by name."""
    return runs(_levels(layout, cut))


def best_cut(layout: Layout, board: str) -> Cut:
    """The cut which meets most pieces and most of what is let in; of several alike the outermost."""
    leg = Cut(board, 0.0).leg(layout)
    levels = {
        round(float(x * leg.inward[0] + y * leg.inward[1]), 6) for cell in layout.cells for x, y in cell.polygon
    }
    inside = sorted(level for level in levels if -NEAR <= level <= leg.depth + NEAR)
    cuts = [Cut(board, (low + high) / 2) for low, high in pairwise(inside)]
    return max(cuts, key=lambda cut: (_met(layout, cut), -cut.depth))


def _met(layout: Layout, cut: Cut) -> int:
    """How many pieces, counted wherever one begins, and things let in a cut meets."""
    let_in = sum(meets(cut, layout, each.start, each.end, each.diameter) for each in layout.inserts)
    return let_in + len(bands(layout, cut))


def meets(cut: Cut, layout: Layout, start: Point, end: Point, diameter: float) -> bool:
    """Whether a cut goes through something round with its axis in the plane of the corner."""
    inward = cut.leg(layout).inward
    low, high = sorted(x * inward[0] + y * inward[1] for x, y in (start, end))
    length = hypot(end[0] - start[0], end[1] - start[1])
    aside = diameter / 2 * (1.0 - ((high - low) / length) ** 2) ** 0.5 if high - low < length else 0.0
    return low - aside < cut.depth < high + aside


def _levels(layout: Layout, cut: Cut) -> list[Level]:
    """One for every cell that a cut meets."""
    start, end = cut.line(layout)
    length, levels = cut.leg(layout).length, []
    for index, cell in enumerate(layout.cells):
        inside = share_inside(cell.polygon, start, end)
        if inside is None:
            continue
        strips = _without_pockets(layout, strips_across(layout, cell))
        cheeks = [each.name for each in layout.joinings if isinstance(each, Cheek) and index in each.cells]
        key = tuple(strip.piece for strip in strips), tuple(cheeks)
        borders = (strips[0].start, *(strip.end for strip in strips))
        levels.append(Level(*(round(share * length, 9) for share in inside), key, borders))
    return levels


def _without_pockets(layout: Layout, strips: Sequence[Strip]) -> list[Strip]:
    """Strips as if no pocket were cut: what stands beside one fills its place."""
    pockets = [each.name for each in layout.hardware if isinstance(each, Screw)]
    wood = next(strip.piece for strip in strips if strip.piece not in pockets)
    named = [Strip(wood if each.piece in pockets else each.piece, each.start, each.end) for each in strips]
    if not any(each.piece in pockets for each in strips):
        return named
    return [Strip(wood, named[0].start, named[-1].end)]


def runs(levels: Iterable[Level]) -> tuple[Run, ...]:
    """Levels that touch and have one key as one run, its borders straight from middle to middle."""
    ordered = sorted(levels, key=lambda level: level.start)
    gaps, place = [0], 0
    for one, other in pairwise(ordered):
        place += other.start - one.end > TOUCHING
        gaps.append(place)
    numbered = zip(gaps, ordered, strict=True)
    grouped = groupby(numbered, key=lambda pair: (pair[0], pair[1].key, len(pair[1].borders)))
    return tuple(_run(_merged([level for _, level in group])) for _, group in grouped)


def _merged(levels: list[Level]) -> list[Level]:
    """Neighbours with the same borders as one."""
    kept: list[Level] = []
    for level in levels:
        before = kept[-1].borders if kept else ()
        if kept and max(abs(a - b) for a, b in zip(before, level.borders, strict=True)) < NEAR:
            kept[-1] = Level(kept[-1].start, level.end, level.key, before)
        else:
            kept.append(level)
    return kept


def _run(levels: list[Level]) -> Run:
    """Borders where levels meet lie between their middles in proportion, at the ends on the same lines."""
    along = [levels[0].start, *(level.end for level in levels)]
    if len(levels) == 1:
        return Run(levels[0].key, tuple(along), (levels[0].borders,) * 2)
    rows = []
    for place, at in enumerate(along):
        first = min(max(place - 1, 0), len(levels) - 2)
        one, other = levels[first], levels[first + 1]
        share = (at - one.middle) / (other.middle - one.middle)
        rows.append(tuple(a + share * (b - a) for a, b in zip(one.borders, other.borders, strict=True)))
    return Run(levels[0].key, tuple(along), tuple(rows))


def furthest(layout: Layout, cut: Cut) -> float:
    """How far along the board from the outside corner the joint reaches, in mm: cells and what is let in."""
    leg = cut.leg(layout)
    places = [place for cell in layout.cells for place in cell.polygon]
    places += [place for each in layout.inserts for place in (each.start, each.end)]
    reaches = [x * leg.along[0] + y * leg.along[1] for x, y in places]
    return max((reach for reach in reaches if reach < leg.length - NEAR), default=leg.clear_from)


__all__ = ["Band", "Cut", "Place", "Rod", "bands", "best_cut", "furthest", "meets", "runs_of"]
