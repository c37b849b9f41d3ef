"""The planar layout every joint is reduced to: cells, pieces, glue lines and cheeks.

x runs along board A, y along board B, the outside corner is the origin, z runs across the width.
Lengths in mm, angles in rad from x.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from glueline.geometries.hardware import Hardware
from glueline.geometries.joinings import Joining, Point, Rod
from glueline.geometries.words import BOARD_A, BOARD_B, Member, PieceWords

Array = NDArray[np.float64]
Lay = Literal["box", "frame"]


@dataclass(frozen=True)
class Leg:
    """A board in the plane, from the outside corner to its tip; ``length`` and ``depth`` in mm.

    ``along`` and ``inward`` are unit vectors along its outer face and square to it, into the board;
    ``clear_from`` in mm is how far along it the other board reaches.
    """

    board: str
    along: Point
    inward: Point
    length: float
    depth: float
    clear_from: float

    def at(self, along: float, inward: float) -> Point:
        """The point that lies so many mm along the leg and inward from its outer face."""
        return (
            along * self.along[0] + inward * self.inward[0],
            along * self.along[1] + inward * self.inward[1],
        )

    @property
    def tip(self) -> tuple[Point, Point]:
        """The end face at the tip, from the outer face to the inner one."""
        return self.at(self.length, 0.0), self.at(self.length, self.depth)

    @property
    def tip_centre(self) -> Point:
        """Centre of the end face at the tip."""
        return self.at(self.length, self.depth / 2)


@dataclass(frozen=True)
class Boards:
    """The two boards as the maker names them, in mm; ``thickness_b`` only where board B differs.

    ``leg`` is from the outside corner to the tip. "box": the width runs across the plane; "frame": in it.

    >>> box, frame = Boards(19.0, 90.0, 150.0), Boards(19.0, 90.0, 300.0, lay="frame")
    >>> (box.depth_a, box.across_a), (frame.depth_a, frame.across_a)  # mm, in the plane and across it
    ((19.0, 90.0), (90.0, 19.0))
    """

    thickness: float
    width: float
    leg: float
    lay: Lay = "box"
    thickness_b: float | None = None

    @property
    def depth_a(self) -> float:
        """Size of board A in the plane of the L, square to its grain."""
        return self.thickness if self.lay == "box" else self.width

    @property
    def depth_b(self) -> float:
        """Size of board B in the plane of the L, square to its grain."""
        if self.lay == "frame":
            return self.width
        return self.thickness if self.thickness_b is None else self.thickness_b

    @property
    def across_a(self) -> float:
        """Size of board A across the plane of the L."""
        return self.width if self.lay == "box" else self.thickness

    @property
    def across_b(self) -> float:
        """Size of board B across the plane of the L."""
        if self.lay == "box":
            return self.width
        return self.thickness if self.thickness_b is None else self.thickness_b

    @property
    def legs(self) -> tuple[Leg, Leg]:
        """Boards A and B as the legs of a right angle."""
        x, y = (1.0, 0.0), (0.0, 1.0)
        return (
            Leg(BOARD_A, x, y, self.leg, self.depth_a, self.depth_b),
            Leg(BOARD_B, y, x, self.leg, self.depth_b, self.depth_a),
        )

    @property
    def inner_corner(self) -> Point:
        """Where the inside faces of the two boards meet."""
        return (self.depth_b, self.depth_a)

    @property
    def corner_centre(self) -> Point:
        """Centre of the rectangle that both boards reach."""
        return (self.depth_b / 2, self.depth_a / 2)

    @property
    def apex_patches(self) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
        """The outer faces of legs A and B from the corner on, over a quarter of the other board's depth."""
        leg_a, leg_b = self.legs
        outer = (0.0, 0.0)
        return (outer, leg_a.at(leg_a.clear_from / 4, 0.0)), (outer, leg_b.at(leg_b.clear_from / 4, 0.0))


@dataclass(frozen=True)
class Part:
    """What one piece is like in one cell, in mm.

    ``across`` is its summed size along z, ``single`` that of one finger, land or spline, ``depth`` its size
    in the plane; the last two settle the out-of-plane assumption.
    """

    across: float
    single: float
    depth: float


@dataclass(frozen=True)
class Cell:
    """A convex ``polygon`` of the layout, corners x, y in mm anticlockwise; ``parts`` fill it, by piece.

    ``in_turn`` are the pieces as they follow one another across the width, each with its size there in mm;
    only where they are not in equal parts, equally spaced (``geometries.across``).
    """

    polygon: tuple[Point, ...]
    parts: Mapping[str, Part]
    in_turn: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Piece:
    """A body of wood: what it is called and whose wood it is, and ``grain_angle`` in rad from x."""

    words: PieceWords
    grain_angle: float

    @property
    def name(self) -> str:
        """What it is called, unlike any other of its corner."""
        return self.words.name

    @property
    def member(self) -> Member:
        """Whose wood it is."""
        return self.words.member


@dataclass(frozen=True)
class SplitLine:
    """A straight line along the grain through a piece, over all its length there; it begins at ``origin``.

    ``start``, ``end`` and ``origin`` are x, y in mm; start to end runs along the grain.

    >>> from glueline.geometries import JOINTS, Butt, with_splits
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(19.0, 90.0, 150.0))
    >>> (line,) = with_splits(corner, [("board B", (5.0, 40.0))]).splits
    >>> line.start, line.end  # mm; board B stands on board A
    ((5.0, 19.0), (5.0, 150.0))
    """

    name: str
    piece: str
    start: Point
    end: Point
    origin: Point


@dataclass(frozen=True)
class Layout:
    """A joint in the plane.

    Elements are small at ``fine_points``, x, y in mm; ``mirrored`` says that the outlines are symmetric about
    the diagonal. ``splits`` are lines along which a piece may split (``geometries.splits``), ``rods`` what is
    let into holes, ``hardware`` what is bought and let in.

    >>> from glueline.geometries import JOINTS, Mitre
    >>> corner = JOINTS["mitre"].layout(Mitre(), Boards(19.0, 90.0, 150.0))
    >>> [piece.name for piece in corner.pieces], corner.place_in(corner.pieces[0], (100.0, 5.0))  # mm
    (['board A', 'board B'], 'leg of board A')
    """

    boards: Boards
    cells: tuple[Cell, ...]
    pieces: tuple[Piece, ...]
    joinings: tuple[Joining, ...]
    fine_points: tuple[Point, ...]
    mirrored: bool
    notes: tuple[str, ...] = ()
    splits: tuple[SplitLine, ...] = ()
    rods: tuple[Rod, ...] = ()
    hardware: tuple[Hardware, ...] = ()

    @property
    def inner_corner(self) -> Point:
        """Where the inside faces of the two boards meet."""
        return self.boards.inner_corner

    @property
    def inserts(self) -> tuple[Rod | Hardware, ...]:
        """All that is drawn and solved as a beam: rods, then hardware."""
        return (*self.rods, *self.hardware)

    def piece(self, name: str) -> Piece:
        """The piece called ``name``; KeyError if there is none."""
        for piece in self.pieces:
            if piece.name == name:
                return piece
        raise KeyError(name)

    def spoken(self, place: str) -> str:
        """A place of this corner as it stands in a sentence, with its article. KeyError for any other."""
        phrases = [joining.words.spoken for joining in self.joinings]
        phrases += [piece.words.spoken for piece in self.pieces] + [rod.words.spoken for rod in self.rods]
        phrases += [reach.words.spoken for each in self.hardware for reach in each.reaches]
        return {known: phrase for each in phrases for known, phrase in each.items()}[place]

    def place_in(self, piece: Piece, point: Point) -> str:
        """What the place of a point in a piece is called."""
        if piece.words.in_corner is None:
            return piece.name
        leg = next(leg for leg in self.boards.legs if leg.board == piece.name)
        along = point[0] * leg.along[0] + point[1] * leg.along[1]
        return piece.words.place(along - leg.clear_from, leg.depth)


def distance_to_segment(points: Array, start: Point, end: Point) -> Array:
    """Distance (p,) in mm of points (p, 2) from a straight segment."""
    origin, along = np.array(start), np.array(end) - np.array(start)
    share = np.clip((points - origin) @ along / (along @ along), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points - origin - share[:, None] * along, axis=1))


def leg_cell_a(boards: Boards, start: float) -> tuple[Point, ...]:
    """Outline of board A from x = ``start`` to its tip."""
    return ((start, 0.0), (boards.leg, 0.0), (boards.leg, boards.depth_a), (start, boards.depth_a))


def leg_cell_b(boards: Boards, start: float) -> tuple[Point, ...]:
    """Outline of board B from y = ``start`` to its tip."""
    return ((0.0, start), (boards.depth_b, start), (boards.depth_b, boards.leg), (0.0, boards.leg))
