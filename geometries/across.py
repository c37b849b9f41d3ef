"""How the pieces of a joint stand across its width: strips in turn, and where two of them are glued.

z runs across the width, from one face of the corner; lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from glueline.geometries.joinings import GlueLine, Rod
from glueline.geometries.layout import Cell, Layout
from glueline.geometries.polygons import NEAR, holds, share_inside

ASIDE = 1e-4  # mm to either side of a line, where the cells that meet on it are looked up


@dataclass(frozen=True)
class Strip:
    """What of a piece or a rod stands from ``start`` to ``end`` in mm across the width."""

    piece: str
    start: float
    end: float

    @property
    def width(self) -> float:
        """Size across the width in mm."""
        return self.end - self.start


def whole_width(layout: Layout) -> float:
    """Size of the corner across the plane in mm, where it is widest."""
    return max(_filled(cell) for cell in layout.cells)


def strips_across(layout: Layout, cell: Cell) -> tuple[Strip, ...]:
    """The pieces that fill a cell, in turn across the width, as if no hole were bored for a rod.

    A cell that does not say how its pieces stand (``Cell.in_turn``) has each in parts of equal size, equally
    spaced. What is narrower than the corner stands in its middle; openings for bought fasteners are strips of
    theirs.

    >>> from glueline.geometries import JOINTS, Boards, SplinedMitre
    >>> joint, boards = SplinedMitre(2, 3.0, 21.0), Boards(19.0, 90.0, 150.0)  # mm
    >>> corner = JOINTS["splined mitre"].layout(joint, boards)
    >>> [(strip.piece, strip.start, strip.end) for strip in strips_across(corner, corner.cells[2])][:3]
    [('board A', 0.0, 28.0), ('splines', 28.0, 31.0), ('board A', 31.0, 59.0)]
    """
    turns = cell.in_turn or _evenly(cell)
    if layout.hardware and whole_width(layout) - _filled(cell) > NEAR:
        return _beside_openings(layout, cell)
    bored = _bored(layout, cell) if rods_in(layout, cell) else 0.0
    filled = sum(width for _, width in turns)
    start = (whole_width(layout) - filled - bored) / 2
    strips = []
    for piece, width in turns:
        end = start + width * (1.0 + bored / filled)
        strips.append(Strip(piece, start, end))
        start = end
    return tuple(strips)


def _beside_openings(layout: Layout, cell: Cell) -> tuple[Strip, ...]:
    """A board beside the slots or pockets in it, each in the middle of an equal share of the width."""
    (piece,) = cell.parts
    hardware, whole = layout.hardware[0], whole_width(layout)
    share, opening = whole / hardware.number, (whole - _filled(cell)) / hardware.number
    strips, start = [], 0.0
    for place in range(hardware.number):
        first = (place + 0.5) * share - opening / 2
        strips += [Strip(piece, start, first), Strip(hardware.name, first, first + opening)]
        start = first + opening
    return (*strips, Strip(piece, start, whole))


def strips_with_rods(layout: Layout, cell: Cell) -> tuple[Strip, ...]:
    """The same with the rods that run through the cell, each at its full diameter."""
    strips = list(strips_across(layout, cell))
    for rod in rods_in(layout, cell):
        for hole in rods_across(layout, rod):
            left = [Strip(each.piece, each.start, min(each.end, hole.start)) for each in strips]
            right = [Strip(each.piece, max(each.start, hole.end), each.end) for each in strips]
            strips = [each for each in (*left, *right) if each.width > NEAR] + [hole]
    return tuple(sorted(strips, key=lambda each: each.start))


def rods_across(layout: Layout, rod: Rod) -> tuple[Strip, ...]:
    """Where rods that lie side by side stand: each in the middle of an equal share of the width."""
    middles, half = middles_across(layout, rod.number), rod.diameter / 2
    return tuple(Strip(rod.name, each - half, each + half) for each in middles)


def middles_across(layout: Layout, number: int) -> tuple[float, ...]:
    """Where in mm the axes of so many alike stand: each in the middle of an equal share of the width."""
    share = whole_width(layout) / number
    return tuple((place + 0.5) * share for place in range(number))


def rods_in(layout: Layout, cell: Cell) -> tuple[Rod, ...]:
    """The rods whose axis runs through a cell."""
    return tuple(rod for rod in layout.rods if share_inside(cell.polygon, rod.start, rod.end))


def glued_across(
    layout: Layout, line: GlueLine, distance: float, bored: bool = True
) -> tuple[tuple[float, float], ...]:
    """From and to where across the width a line is glued, ``distance`` mm from its start: where one of its
    pieces stands on this side of it and the other on that; unless ``bored`` as if no hole were for a rod.

    >>> from glueline.geometries import JOINTS, Boards, Bridle
    >>> corner = JOINTS["bridle"].layout(Bridle(), Boards(18.0, 60.0, 200.0, "frame"))  # mm
    >>> glued_across(corner, corner.joinings[0], 30.0)  # the shoulders beside the tenon
    ((0.0, 6.0), (12.0, 18.0))
    """
    x, y = ((end - start) / line.length for start, end in zip(line.start, line.end, strict=True))
    place = line.start[0] + distance * x, line.start[1] + distance * y
    strips = strips_with_rods if bored else strips_across
    sides: list[tuple[Strip, ...]] = []
    for sign in (-ASIDE, ASIDE):
        point = place[0] - sign * y, place[1] + sign * x
        cell = next((cell for cell in layout.cells if holds(cell.polygon, point)), None)
        sides.append(() if cell is None else strips(layout, cell))
    return tuple(joined(meeting(sides[0], sides[1], (line.minus, line.plus))))


def meeting(
    first: Iterable[Strip], second: Iterable[Strip], pieces: tuple[str, str]
) -> list[tuple[float, float]]:
    """From and to where one of two ``pieces`` stands in ``first`` and the other in ``second``."""
    seconds, wanted = list(second), [pieces, pieces[::-1]]
    return [
        (max(one.start, other.start), min(one.end, other.end))
        for one in first
        for other in seconds
        if (one.piece, other.piece) in wanted and min(one.end, other.end) - max(one.start, other.start) > NEAR
    ]


def joined(stretches: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches in order, those that touch made one."""
    runs: list[tuple[float, float]] = []
    for start, end in sorted(stretches):
        if runs and start <= runs[-1][1] + NEAR:
            runs[-1] = runs[-1][0], max(end, runs[-1][1])
        else:
            runs.append((start, end))
    return runs


def _filled(cell: Cell) -> float:
    return sum(part.across for part in cell.parts.values())


def _bored(layout: Layout, cell: Cell) -> float:
    """What the holes of rods have taken from a cell across the width: what its pieces have more elsewhere."""
    most = max(each.parts[name].across for name in cell.parts for each in layout.cells if name in each.parts)
    return max(most - _filled(cell), 0.0)


def _evenly(cell: Cell) -> list[tuple[str, float]]:
    """Every piece in as many equal parts as it has, all sorted by the middles of equal shares."""
    parts = []
    for name, part in cell.parts.items():
        number = max(1, round(part.across / part.single))
        parts += [((place + 0.5) / number, name, part.across / number) for place in range(number)]
    return [(name, width) for _, name, width in sorted(parts, key=lambda each: round(each[0], 9))]
