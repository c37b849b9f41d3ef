"""A layout cut along the grain of a piece, so that its mesh has element edges where the piece may split."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from glueline.geometries.joinings import Cheek, Point
from glueline.geometries.layout import Cell, Layout, Piece, SplitLine

Array = NDArray[np.float64]

NEAR = 1e-6  # mm: closer than this is the same place
CLEAR = 0.02  # of the lesser depth: no corner of a cell of the piece lies nearer to a split


def mirrored_place(layout: Layout, piece: str, place: Point) -> tuple[str, Point] | None:
    """The piece and place that are the image of these; None for a piece that is its own image.

    >>> from glueline.geometries import JOINTS, Boards, Mitre
    >>> corner = JOINTS["mitre"].layout(Mitre(), Boards(thickness=19.0, width=90.0, leg=150.0))
    >>> mirrored_place(corner, "board A", (30.0, 7.0))  # mm
    ('board B', (7.0, 30.0))
    """
    image = (place[1], place[0])
    names = {leg.board for leg in layout.boards.legs}
    if piece not in names:
        return None
    return next(name for name in sorted(names) if name != piece), image


def with_splits(layout: Layout, places: Sequence[tuple[str, Point]]) -> Layout:
    """The same layout with a split line along the grain through all ``places``: piece and x, y in mm.

    Cells of the piece that a line crosses are cut in two. It keeps off the corners of cells: nearer than a
    fiftieth of the lesser depth it moves away, so that no sliver has to be meshed. Raises ValueError for a
    place past which no grain of the piece runs.

    >>> from glueline.geometries import JOINTS, Boards, Butt
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(thickness=19.0, width=90.0, leg=150.0))
    >>> with_splits(corner, [("board A", (30.0, 5.0))]).splits[0].end  # mm
    (150.0, 5.0)
    """
    split = layout
    for piece, place in places:
        split = _with_split(split, piece, place)
    return replace(split, mirrored=layout.mirrored and _are_mirrored(split.splits))


def _with_split(layout: Layout, piece: str, place: Point) -> Layout:
    known = layout.piece(piece)
    along, across = _axes(known)
    level = _cleared(layout, known, float(np.array(place) @ across))
    start, end = _stretch(layout, known, float(np.array(place) @ along), level)
    origin = min(max(float(np.array(place) @ along), start), end)
    name = f"split in {piece}"
    if any(split.name == name for split in layout.splits):
        name = f"second {name}"
    line = SplitLine(name, piece, *(_at(known, each, level) for each in (start, end, origin)))
    cells, added = _cut_cells(layout, known, level, (start, end))
    return replace(
        layout,
        cells=cells,
        joinings=tuple(
            replace(each, cells=(*each.cells, *(added[cell] for cell in each.cells if cell in added)))
            if isinstance(each, Cheek)
            else each
            for each in layout.joinings
        ),
        splits=(*layout.splits, line),
    )


def _are_mirrored(splits: Sequence[SplitLine]) -> bool:
    """Whether every line has one that lies where it does in the mirror."""
    lines = [np.sort(np.array([line.start, line.end]), axis=0) for line in splits]
    return all(any(np.allclose(line[:, ::-1], other, atol=NEAR) for other in lines) for line in lines)


def _axes(piece: Piece) -> tuple[Array, Array]:
    """Directions (2,) along the grain and across it, a quarter turn anticlockwise."""
    c, s = np.cos(piece.grain_angle), np.sin(piece.grain_angle)
    return np.array([c, s]), np.array([-s, c])


def _at(piece: Piece, along: float, level: float) -> Point:
    first, second = _axes(piece)
    x, y = along * first + level * second
    # Rounding of the turn must not part what meets: far below NEAR, far above rounding.
    return round(float(x), 9), round(float(y), 9)


def _cells_of(layout: Layout, piece: Piece) -> list[Cell]:
    return [cell for cell in layout.cells if piece.name in cell.parts]


def _cleared(layout: Layout, piece: Piece, level: float) -> float:
    """The level across the grain nearest to ``level`` that keeps off all corners of the piece's cells."""
    _, across = _axes(piece)
    corners = np.unique(
        np.round([np.array(p) @ across for cell in _cells_of(layout, piece) for p in cell.polygon], 9)
    )
    clear = CLEAR * min(layout.boards.depth_a, layout.boards.depth_b)
    low, high = corners[0] + clear, corners[-1] - clear
    candidates = [level, *(corners - clear), *(corners + clear)]
    free = [
        each
        for each in candidates
        if low - NEAR <= each <= high + NEAR and np.abs(corners - each).min() >= clear - NEAR
    ]
    return float(min(free, key=lambda each: abs(each - level), default=0.5 * (low + high)))


def _crossing(polygon: Sequence[Point], piece: Piece, level: float) -> tuple[float, float] | None:
    """Where a line at ``level`` across the grain enters and leaves a convex cell; None where it does not."""
    along, across = _axes(piece)
    places = np.array(polygon)
    away, reach = places @ across - level, places @ along
    if away.max() <= NEAR or away.min() >= -NEAR:
        return None
    after_away, after_reach = np.roll(away, -1), np.roll(reach, -1)
    crossed = (away > 0) != (after_away > 0)
    share = away[crossed] / (away[crossed] - after_away[crossed])
    cuts = reach[crossed] + share * (after_reach[crossed] - reach[crossed])
    return float(cuts.min()), float(cuts.max())


def _stretch(layout: Layout, piece: Piece, at: float, level: float) -> tuple[float, float]:
    """The unbroken stretch of the line that lies in the piece about ``at``, in mm along the grain."""
    crossings = [_crossing(cell.polygon, piece, level) for cell in _cells_of(layout, piece)]
    pending = sorted(each for each in crossings if each is not None)
    if not pending:
        raise ValueError(f"no line along the grain passes through {piece.name} there")
    runs = [list(pending[0])]
    for start, end in pending[1:]:
        if start <= runs[-1][1] + NEAR:
            runs[-1][1] = max(runs[-1][1], end)
        else:
            runs.append([start, end])
    start, end = min(runs, key=lambda run: max(run[0] - at, at - run[1], 0.0))
    return start, end


def _cut_cells(
    layout: Layout, piece: Piece, level: float, stretch: tuple[float, float]
) -> tuple[tuple[Cell, ...], dict[int, int]]:
    """All cells with those of the piece that the stretch crosses cut in two.

    The left halves stand last; the second result tells which belongs to which.
    """
    cells, added = list(layout.cells), {}
    for index, cell in enumerate(layout.cells):
        crossing = _crossing(cell.polygon, piece, level) if piece.name in cell.parts else None
        if crossing is None or crossing[1] < stretch[0] + NEAR or crossing[0] > stretch[1] - NEAR:
            continue
        right, left = (_side(cell.polygon, piece, level, sign) for sign in (-1.0, 1.0))
        cells[index] = replace(cell, polygon=right)
        added[index] = len(cells)
        cells.append(replace(cell, polygon=left))
    return tuple(cells), added


def _side(polygon: Sequence[Point], piece: Piece, level: float, sign: float) -> tuple[Point, ...]:
    """What lies on one side of a level across the grain (Sutherland and Hodgman 1974)."""
    along, across = _axes(piece)
    kept: list[Point] = []
    for before, here in zip([polygon[-1], *polygon[:-1]], polygon, strict=True):
        here_away = sign * (float(np.array(here) @ across) - level)
        before_away = sign * (float(np.array(before) @ across) - level)
        if here_away * before_away < 0:
            share = before_away / (before_away - here_away)
            first, second = (float(np.array(place) @ along) for place in (before, here))
            kept.append(_at(piece, first + share * (second - first), level))
        if here_away >= 0:
            kept.append(here)
    return tuple(kept)
