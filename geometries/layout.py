"""The planar layout every joint is reduced to: cells, pieces, glue lines and cheeks.

x runs along board A, y along board B, the outside corner is the origin, z runs across the width.
Lengths in mm, angles in rad from x.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, hypot, pi
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from glueline.geometries.words import BOARD_A, BOARD_B, Member, PieceWords, SurfaceWords

Array = NDArray[np.float64]
Point = tuple[float, float]
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
    """A convex ``polygon`` of the layout, corners x, y in mm anticlockwise; ``parts`` fill it, by piece."""

    polygon: tuple[Point, ...]
    parts: Mapping[str, Part]


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
class GlueLine:
    """A straight edge on which ``minus`` and ``plus`` meet; the left of start to end looks at ``plus``.

    ``start`` and ``end`` are x, y in mm; ``widths`` lists (distance from the start, glued width along z from
    there on), both in mm.

    >>> from glueline.geometries import JOINTS, Butt
    >>> face = JOINTS["butt"].layout(Butt(), Boards(19.0, 90.0, 150.0)).joinings[0]
    >>> face.length, face.width_at(5.0), face.place_at((1.0, 19.0))  # mm, mm
    (19.0, 90.0, 'outside end of the butt face')
    """

    words: SurfaceWords
    minus: str
    plus: str
    start: Point
    end: Point
    widths: tuple[tuple[float, float], ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.words.name

    @property
    def length(self) -> float:
        """Length in the plane in mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def edges(self) -> tuple[tuple[Point, Point], ...]:
        """Stretches (start, end) that must be edges of elements: itself."""
        return ((self.start, self.end),)

    @property
    def cells(self) -> tuple[int, ...]:
        """Cells over which it spreads: none."""
        return ()

    def width_at(self, distance: float) -> float:
        """Glued width in mm at ``distance`` mm from the start."""
        return [width for start, width in self.widths if start <= distance or start == 0.0][-1]

    def place_at(self, point: Point) -> str:
        """What the place of a point on it is called."""
        x, y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        along = (point[0] - self.start[0]) * x + (point[1] - self.start[1]) * y
        return self.words.place(along / (x * x + y * y))


@dataclass(frozen=True)
class Face:
    """One glued face of a cheek: mm on either side to the plane across z that carries no shear."""

    to_no_shear_minus: float
    to_no_shear_plus: float


@dataclass(frozen=True)
class Cheek:
    """Cells over which two pieces overlap along z, glued on the listed faces.

    ``cells`` are places in ``Layout.cells``. Its places are named from the outer corner (the origin) to
    ``inner_corner``, x, y in mm.

    >>> from glueline.geometries import JOINTS, FingerJoint
    >>> cheeks = JOINTS["finger"].layout(FingerJoint(9), Boards(19.0, 90.0, 150.0)).joinings[2]
    >>> len(cheeks.faces), cheeks.place_at((17.0, 17.0))  # nine fingers meet on eight faces
    (8, 'inner part of the finger cheeks')
    """

    words: SurfaceWords
    minus: str
    plus: str
    cells: tuple[int, ...]
    faces: tuple[Face, ...]
    inner_corner: Point

    @property
    def name(self) -> str:
        """What it is called."""
        return self.words.name

    @property
    def edges(self) -> tuple[tuple[Point, Point], ...]:
        """Stretches that must be edges of elements: none but those of its cells."""
        return ()

    def place_at(self, point: Point) -> str:
        """What the place of a point on it is called."""
        x, y = self.inner_corner
        return self.words.place((point[0] * x + point[1] * y) / (x * x + y * y))


@dataclass(frozen=True)
class HoleBond:
    """The stretch of a round rod's axis on which it is glued into a board: ``minus`` the board, ``plus`` it.

    ``start`` and ``end``, x, y in mm, follow one another as the rod runs. ``number`` rods of ``diameter`` mm
    lie side by side across the plane, each with ``spacing`` mm of the board; ``to_free_faces`` are the
    distances in mm from the axis to the board's faces beside it.

    >>> from glueline.geometries import JOINTS, Dowels
    >>> _, in_a, in_b = JOINTS["dowel"].layout(Dowels(), Boards(20.0, 90.0, 150.0)).joinings
    >>> in_b.name, in_b.length, in_b.place_at((10.0, 43.0))  # mm, mm
    ('dowels in board B', 24.0, 'floor end of the dowels in board B')
    """

    words: SurfaceWords
    minus: str
    plus: str
    start: Point
    end: Point
    diameter: float
    number: int
    spacing: float
    to_free_faces: tuple[float, ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.words.name

    @property
    def length(self) -> float:
        """Length in the plane in mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def edges(self) -> tuple[tuple[Point, Point], ...]:
        """Stretches that must be edges of elements: none, a rod needs none."""
        return ()

    @property
    def cells(self) -> tuple[int, ...]:
        """Cells over which it spreads: none."""
        return ()

    @property
    def sides(self) -> tuple[tuple[Point, Point], ...]:
        """Either side of the hole, from its start to its end."""
        x, y = (self.end[0] - self.start[0]) / self.length, (self.end[1] - self.start[1]) / self.length
        half = self.diameter / 2
        return tuple(
            (
                (self.start[0] - off * y, self.start[1] + off * x),
                (self.end[0] - off * y, self.end[1] + off * x),
            )
            for off in (half, -half)
        )

    def place_at(self, point: Point) -> str:
        """What the place of a point beside it is called."""
        x, y = self.end[0] - self.start[0], self.end[1] - self.start[1]
        along = (point[0] - self.start[0]) * x + (point[1] - self.start[1]) * y
        return self.words.place(along / (x * x + y * y))


Joining = GlueLine | Cheek | HoleBond
"""How two pieces can be joined."""


@dataclass(frozen=True)
class Rod:
    """Round rods side by side across the plane, alike: a body without cells, with its grain along its axis.

    ``start`` and ``end`` are x, y in mm; ``number`` of ``diameter`` mm.

    >>> from glueline.geometries import JOINTS, Dowels
    >>> (rod,) = JOINTS["dowel"].layout(Dowels(), Boards(20.0, 90.0, 150.0)).rods
    >>> rod.number, rod.diameter, round(rod.length, 1)  # mm, mm
    (2, 8.0, 37.3)
    """

    words: PieceWords
    start: Point
    end: Point
    diameter: float
    number: int

    @property
    def name(self) -> str:
        """What it is called, unlike any other of its corner."""
        return self.words.name

    @property
    def member(self) -> Member:
        """Whose wood it is."""
        return self.words.member

    @property
    def length(self) -> float:
        """Length in mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def grain_angle(self) -> float:
        """Direction of its axis in rad from x, above -pi/2 to pi/2."""
        angle = atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])
        return angle - pi if angle > pi / 2 + 1e-9 else angle + pi if angle <= -pi / 2 else angle


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
    let into holes.

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

    @property
    def inner_corner(self) -> Point:
        """Where the inside faces of the two boards meet."""
        return self.boards.inner_corner

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
