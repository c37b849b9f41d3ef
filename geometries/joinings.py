"""What holds pieces together in the plane: glue lines, cheeks, and round rods let into holes.

x runs along board A, y along board B, the outside corner is the origin, z runs across the width.
Lengths in mm, angles in rad from x.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, pi

from glueline.geometries.words import Member, PieceWords, SurfaceWords

Point = tuple[float, float]


@dataclass(frozen=True)
class GlueLine:
    """A straight edge on which ``minus`` and ``plus`` meet; the left of start to end looks at ``plus``.

    ``start`` and ``end`` are x, y in mm; ``widths`` lists (distance from the start, glued width along z from
    there on), both in mm.

    >>> from glueline.geometries import JOINTS, Boards, Butt
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

    >>> from glueline.geometries import JOINTS, Boards, FingerJoint
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

    >>> from glueline.geometries import JOINTS, Boards, Dowels
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

    >>> from glueline.geometries import JOINTS, Boards, Dowels
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
