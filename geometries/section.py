"""A corner cut open parallel to the outside face of one of its boards: how the pieces stand across the width.

Places in a cut are (along, across) in mm: along the board from the outside corner, and across the width as in
``geometries.across``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from glueline.geometries.across import Strip, joined, strips_across
from glueline.geometries.hardware import Screw
from glueline.geometries.joinings import Cheek, Point
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

    ``pieces`` are what they are of, ``borders`` where they begin and where the last ends, in mm across the
    width, ``cheeks`` those that lie there, by name.
    """

    start: float
    end: float
    pieces: tuple[str, ...]
    borders: tuple[float, ...]
    cheeks: tuple[str, ...] = ()

    @property
    def middle(self) -> float:
        """Half way along, in mm."""
        return (self.start + self.end) / 2


@dataclass(frozen=True)
class Run:
    """Levels that follow one another and differ in ``borders`` only, which are those at each place ``along``
    the board, in mm.
    """

    along: tuple[float, ...]
    pieces: tuple[str, ...]
    borders: tuple[tuple[float, ...], ...]
    cheeks: tuple[str, ...]

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
    >>> middle = Cut("board A", 10.0)
    >>> [band.piece for band in bands(corner, middle)]
    ['board A', 'board B', 'board A', 'board A']
    >>> bands(corner, middle)[1].outline  # mm along board A and across
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
        for place, piece in enumerate(run.pieces)
    )


def edges(layout: Layout, cut: Cut) -> tuple[tuple[Place, ...], ...]:
    """Where a piece ends in a cut, each by places in turn; not where only its neighbours change.

    >>> from glueline.geometries import JOINTS, Boards, Butt
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(19.0, 90.0, 150.0))  # mm
    >>> edges(corner, Cut("board B", 9.5))[-2:]  # its end on board A, and its tip
    (((19.0, 0.0), (19.0, 90.0)), ((150.0, 0.0), (150.0, 90.0)))
    """
    found = runs_of(layout, cut)
    sides = [run.border(number) for run in found for number in range(len(run.borders[0]))]
    places: list[float] = []
    for place in sorted(place for run in found for place in (run.along[0], run.along[-1])):
        if not places or place - places[-1] > TOUCHING:
            places.append(place)
    for place in places:
        before = _strips_at(run for run in found if abs(run.along[-1] - place) <= TOUCHING)
        behind = _strips_at((run for run in found if abs(run.along[0] - place) <= TOUCHING), 0)
        borders = sorted({end for strip in (*before, *behind) for end in (strip.start, strip.end)})
        ends = [
            (low, high)
            for low, high in pairwise(borders)
            if _piece_at(before, (low + high) / 2) != _piece_at(behind, (low + high) / 2)
        ]
        sides += [((place, low), (place, high)) for low, high in joined(ends)]
    return tuple(sides)


def _strips_at(found: Iterable[Run], row: int = -1) -> list[Strip]:
    """The pieces at the end of runs, or at their start."""
    return [
        Strip(piece, low, high)
        for run in found
        for piece, (low, high) in zip(run.pieces, pairwise(run.borders[row]), strict=True)
    ]


def _piece_at(strips: Iterable[Strip], across: float) -> str | None:
    return next((strip.piece for strip in strips if strip.start <= across <= strip.end), None)


def runs_of(layout: Layout, cut: Cut) -> tuple[Run, ...]:
    """The stretches along a cut in which the same pieces stand side by side."""
    return runs(_levels(layout, cut))


def _levels(layout: Layout, cut: Cut) -> list[Level]:
    """One for every cell that a cut meets."""
    start, end = cut.line(layout)
    length, levels = cut.leg(layout).length, []
    for index, cell in enumerate(layout.cells):
        inside = share_inside(cell.polygon, start, end)
        if inside is None:
            continue
        strips = _without_pockets(layout, strips_across(layout, cell))
        low, high = (round(share * length, 9) for share in inside)
        pieces = tuple(strip.piece for strip in strips)
        borders = (strips[0].start, *(strip.end for strip in strips))
        cheeks = (each.name for each in layout.joinings if isinstance(each, Cheek) and index in each.cells)
        levels.append(Level(low, high, pieces, borders, tuple(cheeks)))
    return levels


def _without_pockets(layout: Layout, strips: Sequence[Strip]) -> list[Strip]:
    """Strips as if no pocket were cut: what stands beside one fills its place."""
    pockets = [each.name for each in layout.hardware if isinstance(each, Screw)]
    if not any(strip.piece in pockets for strip in strips):
        return list(strips)
    wood = next(strip.piece for strip in strips if strip.piece not in pockets)
    return [Strip(wood, strips[0].start, strips[-1].end)]


def runs(levels: Iterable[Level]) -> tuple[Run, ...]:
    """Levels that touch and have the same pieces as one run, its borders straight from middle to middle."""
    groups: list[list[Level]] = []
    for level in sorted(levels, key=lambda level: level.start):
        before = groups[-1][-1] if groups else None
        if before is None or level.start - before.end > TOUCHING or not _alike(before, level):
            groups.append([])
        groups[-1].append(level)
    return tuple(_run(_merged(group)) for group in groups)


def _alike(one: Level, other: Level) -> bool:
    return (one.pieces, one.cheeks) == (other.pieces, other.cheeks)


def _merged(levels: list[Level]) -> list[Level]:
    """Neighbours with the same borders as one."""
    kept: list[Level] = []
    for level in levels:
        before = kept[-1] if kept else level
        moved = [abs(a - b) for a, b in zip(before.borders, level.borders, strict=True)]
        if kept and max(moved, default=0.0) < NEAR:
            kept[-1] = replace(before, end=level.end)
        else:
            kept.append(level)
    return kept


def _run(levels: list[Level]) -> Run:
    """Borders where levels meet lie between their middles in proportion, at the ends on the same lines."""
    only, along = levels[0], (levels[0].start, *(level.end for level in levels))
    if len(levels) == 1:
        return Run(along, only.pieces, (only.borders,) * 2, only.cheeks)
    rows = []
    for place, at in enumerate(along):
        first = min(max(place - 1, 0), len(levels) - 2)
        one, other = levels[first], levels[first + 1]
        share = (at - one.middle) / (other.middle - one.middle)
        rows.append(tuple(a + share * (b - a) for a, b in zip(one.borders, other.borders, strict=True)))
    return Run(along, only.pieces, tuple(rows), only.cheeks)
