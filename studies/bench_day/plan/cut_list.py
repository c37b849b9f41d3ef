"""The cut list of a bench day: blanks with their grain, and how they lie in boards as bought.

Lengths in mm. Blanks are laid out in the order in which the specimens are broken, not longest first: so
every board feeds several kinds of joint, and a weak board does not pass for a weak joint. That costs a little
wood.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import atan2, ceil, cos, pi, sin, sqrt

import msgspec
from msgspec import field

from glueline.geometries import BOARD_A, BOARD_B, Layout
from glueline.geometries.joinings import Point, Rod
from glueline.geometries.layout import Piece
from glueline.studies.corner.proportions import Proportion, said
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import Units, format_cut

TRIM = 3.0
"""mm more on a board's blank, to clean its end or to plane fingers flush; common practice, no source."""
SMALL_TRIM = 3.0
"""mm more at an end of a spline and the like that is sawn off flush; common practice, no source."""
FLUSH, HIDDEN = "sawn flush after gluing", "hidden in the joint, so cut to size"


@dataclass(frozen=True)
class Blank:
    """One kind of blank of one joint. Grain runs along its length."""

    label: str
    part: str
    each: int  # of a specimen
    length: float  # mm
    width: float  # mm
    thickness: float  # mm
    wood: str
    finished: float  # mm, the length it is trimmed to
    note: str  # how its ends are sawn
    left_out: tuple[Proportion, ...] = ()  # measures of its joint that follow from its boards

    def ends(self, units: Units) -> str:
        """What becomes of its ends, and measures of its joint that its file leaves out, in words."""
        finished = (
            f"{format_cut(self.finished if units == 'imperial' else round(self.finished, 1), units)} finished"
        )
        return ", ".join(part for part in (finished, self.note, said(self.left_out, units)) if part)


class StockBoard(msgspec.Struct, frozen=True):
    """A board as bought, planed and ripped to a blank's thickness and width; the blanks cut from it."""

    wood: str
    length: float = field(name="length_mm")
    width: float = field(name="width_mm")
    thickness: float = field(name="thickness_mm")
    blanks: tuple[str, ...]  # what is written on each
    left_over: float = field(name="left_over_mm")


class BlankTooLong(ValueError):
    """A blank that is longer than any board; the message says which."""


def blanks_of(label: str, specimen: Specimen, kerf: float, round_up: float) -> tuple[Blank, ...]:
    """The blanks of one specimen, from the extent of its pieces along their grain.

    A board's blank is ``TRIM`` longer than the board, and, where its end is mitred, longer by the blade's
    path through a 45 degree cut, kerf * sqrt 2; all are rounded up to multiples of ``round_up`` mm.
    """
    layout = specimen.layout
    pieces = tuple(_blank(label, specimen, layout, piece, kerf, round_up) for piece in layout.pieces)
    rods = Counter[Blank]()
    for rod in layout.rods:
        rods[_rod_blank(label, specimen, rod, round_up)] += rod.number
    return (*pieces, *(replace(blank, each=number) for blank, number in rods.items()))


def _blank(
    label: str, specimen: Specimen, layout: Layout, piece: Piece, kerf: float, round_up: float
) -> Blank:
    along, across = _extent(layout, piece)
    boards, wood = specimen.boards, specimen.woods[piece.member.name].name
    if piece.name in (BOARD_A, BOARD_B):
        own_b = piece.name == BOARD_B and boards.thickness_b is not None
        thickness = boards.thickness_b if own_b and boards.thickness_b is not None else boards.thickness
        mitred = _mitred(layout, piece)
        extra = TRIM + (kerf * sqrt(2) if mitred else 0.0)
        note = "long point to tip" if mitred else ""
        length = _up(along + extra, round_up)
        return Blank(
            label, piece.name, 1, length, boards.width, thickness, wood, along, note, specimen.left_out
        )
    part = next(cell.parts[piece.name] for cell in layout.cells if piece.name in cell.parts)
    each = max(1, round(part.across / part.single))
    if _comes_out(point for cell in layout.cells if piece.name in cell.parts for point in cell.polygon):
        size = _up(along + 2 * SMALL_TRIM, round_up), _up(across, round_up), part.single
        return Blank(label, piece.member.singular, each, *size, wood, along, FLUSH)
    along, thickness, width = round(along, 6), *sorted((round(across, 6), round(part.single, 6)))
    return Blank(label, piece.member.singular, each, along, width, thickness, wood, along, HIDDEN)


def _rod_blank(label: str, specimen: Specimen, rod: Rod, round_up: float) -> Blank:
    """One dowel and the like, as wide as thick."""
    wood, size = specimen.woods[rod.member.name].name, rod.diameter
    comes_out = _comes_out((rod.start, rod.end))
    length = _up(rod.length + SMALL_TRIM, round_up) if comes_out else rod.length
    note = f"round, {FLUSH if comes_out else HIDDEN}"
    return Blank(label, rod.member.singular, 1, length, size, size, wood, rod.length, note)


def _comes_out(points: Iterable[Point]) -> bool:
    """Whether a piece of these points, x, y in mm, reaches an outside face of the corner."""
    return any(min(point) < 1e-6 for point in points)


def _up(size: float, step: float) -> float:
    """``size`` rounded up to a multiple of ``step``."""
    return ceil(size / step - 1e-9) * step


def _extent(layout: Layout, piece: Piece) -> tuple[float, float]:
    """Size of a piece along its grain and across it in the plane."""
    points = [point for cell in layout.cells if piece.name in cell.parts for point in cell.polygon]
    turn = (cos(piece.grain_angle), sin(piece.grain_angle))
    along = [x * turn[0] + y * turn[1] for x, y in points]
    across = [y * turn[0] - x * turn[1] for x, y in points]
    return max(along) - min(along), max(across) - min(across)


def _mitred(layout: Layout, piece: Piece) -> bool:
    """Whether the board's end is sawn at an angle: glued neither along its grain nor square to it."""
    edges = [
        edge
        for joining in layout.joinings
        if {joining.minus, joining.plus} == {BOARD_A, BOARD_B}
        for edge in joining.edges
    ]
    for start, end in edges:
        angle = (atan2(end[1] - start[1], end[0] - start[0]) - piece.grain_angle) % (pi / 2)
        if min(angle, pi / 2 - angle) > 0.01:
            return True
    return False


def boards_to_buy(
    order: Sequence[tuple[str, str]], blanks: Mapping[str, Sequence[Blank]], kerf: float, length: float
) -> tuple[StockBoard, ...]:
    """Blanks laid into boards of ``length`` mm, first fit, in ``order`` of (label, name of the specimen).

    Every cut takes a kerf. Raises BlankTooLong.
    """
    open_boards: dict[tuple[str, float, float], list[tuple[float, list[str]]]] = {}
    for label, name in order:
        for blank in blanks[label]:
            if blank.length > length:
                raise BlankTooLong(
                    f"the blank of {label}, {blank.part}, is {blank.length:.5g} mm long: too long for boards "
                    f"of {length:.5g} mm"
                )
            boards = open_boards.setdefault((blank.wood, blank.thickness, blank.width), [])
            for _ in range(blank.each):
                _lay(boards, blank.length, _mark(blank, name), kerf, length)
    return tuple(
        StockBoard(wood, length, width, thickness, tuple(names), length - used)
        for (wood, thickness, width), boards in open_boards.items()
        for used, names in boards
    )


def _lay(boards: list[tuple[float, list[str]]], size: float, mark: str, kerf: float, length: float) -> None:
    for index, (used, names) in enumerate(boards):
        needed = used + kerf + size
        if needed <= length:
            boards[index] = (needed, [*names, mark])
            return
    boards.append((size, [mark]))


def _mark(blank: Blank, name: str) -> str:
    """What is written on a blank; splines and the like are all the same for one joint."""
    if blank.part in (BOARD_A, BOARD_B):
        return f"{name} {'A' if blank.part == BOARD_A else 'B'}"
    return f"{blank.label} {blank.part}"
