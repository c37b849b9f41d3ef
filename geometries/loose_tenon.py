"""Loose tenon: a butt or mitre with flat tenons of their own wood glued into mortises in both boards.

In a box a tenon lies flat across the width: its broad faces are lines in the plane, its narrow edges areas
over which it and the board lie side by side. In a frame it is the other way round. Either way the board goes
on beside it, in the same cells, with the width that the mortises leave.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, pi
from typing import Literal

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.layout import (
    Boards,
    Cell,
    Cheek,
    Face,
    GlueLine,
    Layout,
    Part,
    Piece,
    Point,
    Problem,
)
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.polygons import clipped
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    Member,
    PieceWords,
    SurfaceWords,
    area_words,
    board_words,
    line_words,
)

Base = Literal["butt", "mitre"]

TENONS = "tenons"
PIECE_A, PIECE_B = board_words()
TENON_PIECE = PieceWords(TENONS, Member(TENONS, "tenon", "tenon_wood", "in plane"))
LEAST_WALL = 1.5  # mm of wood that must stay about a mortise
LEAST_SIZE = 2.0  # mm


def _words(lines: str, areas: str) -> dict[tuple[str, str], SurfaceWords]:
    """What the glued surfaces of tenons are called where ``lines`` stand as lines and ``areas`` as areas."""
    words: dict[tuple[str, str], SurfaceWords] = {}
    for board in (BOARD_A, BOARD_B):
        for side, ends in (("outer", ("mouth end", "floor end")), ("inner", ("floor end", "mouth end"))):
            ends = ends if board == BOARD_A else (ends[1], ends[0])
            words[side, board] = line_words(f"{side} tenon {lines} in {board}", *ends, is_plural=True)
        words["beside", board] = area_words(f"tenon {areas} in {board}")
    return words


WORDS = {"box": _words("faces", "edges"), "frame": _words("edges", "faces")}
FLOOR_NOTE = (
    "The floors of the mortises are taken as not glued and not reached: the tenons stop short of them."
)
EVEN_NOTE = "The tenons are taken as equally spaced across the width."


@dataclass(frozen=True)
class LooseTenon:
    """Measures in mm; ``tenon_depth`` reaches into board B, square to the joint, and ``from_inside`` is from
    the inside face of the corner to the middle of a tenon, along the joint.

    >>> from glueline.geometries import JOINTS, Boards
    >>> joint = LooseTenon("butt", 1, 8.0, 50.0, 15.0, 12.0, 9.5)
    >>> corner = JOINTS["loose tenon"].layout(joint, Boards(thickness=19.0, width=90.0, leg=150.0))
    >>> [piece.name for piece in corner.pieces], len(corner.joinings)
    (['board A', 'board B', 'tenons'], 7)
    """

    base: Base
    tenons: int
    tenon_thickness: float
    tenon_width: float
    tenon_depth: float
    tenon_depth_in_a: float
    from_inside: float
    tenon_wood: str | None = None


@dataclass(frozen=True)
class _Joint:
    """The line on which the boards meet: from ``start`` along ``along``; ``into_b`` is square to it."""

    start: Point
    along: Point
    into_b: Point
    length: float

    def at(self, distance: float, depth: float) -> Point:
        """The place so many mm along the joint and into board B, below zero into board A."""
        x = self.start[0] + distance * self.along[0] + depth * self.into_b[0]
        y = self.start[1] + distance * self.along[1] + depth * self.into_b[1]
        return round(x, 9), round(y, 9)

    def cut(self, polygon: Sequence[Point], normal: Point, level: float) -> tuple[Point, ...]:
        """What lies at least ``level`` mm from the start in the direction of ``normal``."""
        own = self.start[0] * normal[0] + self.start[1] * normal[1]
        return clipped(polygon, normal, own + level)


def _base(joint: LooseTenon, boards: Boards) -> tuple[Layout, _Joint]:
    layout = BUTT.layout(Butt(), boards) if joint.base == "butt" else MITRE.layout(Mitre(), boards)
    (line,) = layout.joinings
    assert isinstance(line, GlueLine)
    x, y = (line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length
    return layout, _Joint(line.start, (x, y), (-y, x), line.length)


def _in_plane(joint: LooseTenon, boards: Boards) -> tuple[float, float]:
    """Size of a tenon along the joint in the plane and across the plane, in mm."""
    if boards.lay == "box":
        return joint.tenon_thickness, joint.tenon_width
    return joint.tenon_width, joint.tenon_thickness


def _names(boards: Boards) -> tuple[str, str]:
    """The keys of the size in the plane and of that across it."""
    sizes = ("joint.tenon_thickness", "joint.tenon_width")
    return sizes if boards.lay == "box" else (sizes[1], sizes[0])


def problems(joint: LooseTenon, boards: Boards) -> list[Problem]:
    """What is wrong with these tenons in these boards."""
    found = (BUTT if joint.base == "butt" else MITRE).problems(None, boards)
    if joint.base == "mitre" and boards.thickness_b is not None:
        found.append(Problem("boards.thickness_b", "cannot differ where the base is a mitre"))
    if found:
        return found
    _, line = _base(joint, boards)
    in_plane, across = _in_plane(joint, boards)
    along_key, across_key = _names(boards)
    wall = {"wall": LEAST_WALL}
    for key in ("tenon_thickness", "tenon_width", "tenon_depth", "tenon_depth_in_a"):
        if getattr(joint, key) < LEAST_SIZE:
            found.append(Problem(f"joint.{key}", "must be at least {least}", {"least": LEAST_SIZE}))
    room = (min(boards.across_a, boards.across_b) - (joint.tenons + 1) * LEAST_WALL) / joint.tenons
    if across > room:
        text = "takes more than the boards have, with {wall} of wood between: at most {most}"
        if room < LEAST_SIZE:
            found.append(Problem("joint.tenons", "do not fit across the boards: fewer are needed"))
        else:
            found.append(Problem(across_key, text, {**wall, "most": room}))
    outer = line.length - joint.from_inside - in_plane / 2
    inner = joint.from_inside - in_plane / 2
    if in_plane > line.length - 2 * LEAST_WALL:
        text = "leaves no wall of {wall} on either side of the tenon: at most {most}"
        found.append(Problem(along_key, text, {**wall, "most": line.length - 2 * LEAST_WALL}))
    elif min(outer, inner) < LEAST_WALL:
        least, most = LEAST_WALL + in_plane / 2, line.length - LEAST_WALL - in_plane / 2
        text = "brings the tenon through a face, or leaves less than {wall} of wood there: {least} to {most}"
        found.append(Problem("joint.from_inside", text, {**wall, "least": least, "most": most}))
    if not found:
        found += _depth_problems(joint, boards, (outer, outer + in_plane))
    return found


def _depth_problems(joint: LooseTenon, boards: Boards, reach: tuple[float, float]) -> list[Problem]:
    """Mortises that would come out on the far side."""
    found = []
    for key, depth, sign, board in (
        ("joint.tenon_depth", joint.tenon_depth, 1.0, BOARD_B),
        ("joint.tenon_depth_in_a", joint.tenon_depth_in_a, -1.0, BOARD_A),
    ):
        most = min(_wood_behind(joint, boards, place, sign) for place in reach) - LEAST_WALL
        if depth > most:
            text = f"brings the mortise within {{wall}} of the far face of {board}: at most {{most}}"
            found.append(Problem(key, text, {"wall": LEAST_WALL, "most": most}))
    return found


def _wood_behind(joint: LooseTenon, boards: Boards, place: float, sign: float) -> float:
    """Depth of wood in mm behind a place on the joint, square to it."""
    if joint.base == "butt":
        return boards.depth_a if sign < 0 else boards.leg - boards.depth_a
    return place  # square to a mitre the outside face is met first


def layout(joint: LooseTenon, boards: Boards) -> Layout:
    """The base with tenons in both boards."""
    base, line = _base(joint, boards)
    in_plane, single = _in_plane(joint, boards)
    together = joint.tenons * single
    across = min(boards.across_a, boards.across_b)
    middle = line.length - joint.from_inside
    reach = middle - in_plane / 2, middle + in_plane / 2
    words = WORDS[boards.lay]
    cells: list[Cell] = []
    joinings: list[GlueLine | Cheek] = []
    fine: list[Point] = [*base.fine_points]
    (face,) = base.joinings
    assert isinstance(face, GlueLine)
    widths = ((0.0, across), (reach[0], across - together), (reach[1], across))
    joinings.append(GlueLine(face.words, BOARD_A, BOARD_B, face.start, face.end, widths))
    for base_cell, board, depth, sign in (
        (base.cells[0], BOARD_A, joint.tenon_depth_in_a, -1.0),
        (base.cells[1], BOARD_B, joint.tenon_depth, 1.0),
    ):
        whole = base_cell.parts[board]
        land = (whole.across - together) / (joint.tenons + 1)
        beside = Part(whole.across - together, land, whole.depth)
        tenon = Part(together, single, in_plane)
        cells += _around(base_cell.polygon, line, reach, depth, sign, {board: whole})
        inside = _inside(base_cell.polygon, line, reach, depth, sign)
        cells.append(Cell(inside, {board: beside, TENONS: tenon}))
        mouth = tuple(line.at(place, 0.0) for place in reach)
        floor = tuple(line.at(place, sign * depth) for place in reach)
        outer, inner = (mouth[0], floor[0]), (floor[1], mouth[1])
        if sign > 0:
            outer, inner = (outer[1], outer[0]), (inner[1], inner[0])
        joinings.append(GlueLine(words["outer", board], board, TENONS, *outer, ((0.0, together),)))
        joinings.append(GlueLine(words["inner", board], board, TENONS, *inner, ((0.0, together),)))
        faces = _faces(joint.tenons, land, single, whole.depth)
        joinings.append(
            Cheek(words["beside", board], board, TENONS, (len(cells) - 1,), faces, base.inner_corner)
        )
        fine += [*mouth, *floor] if sign > 0 else floor
    grain = atan2(line.into_b[1], line.into_b[0])
    even = joint.tenon_depth == joint.tenon_depth_in_a
    return Layout(
        boards=boards,
        cells=tuple(cells),
        pieces=(
            *base.pieces,
            Piece(TENON_PIECE, grain - pi if grain > pi / 2 + 1e-9 else grain),
        ),
        joinings=tuple(joinings),
        fine_points=tuple(fine),
        mirrored=base.mirrored and even,
        notes=(FLOOR_NOTE, *((EVEN_NOTE,) if joint.tenons > 1 else ())),
    )


def _inside(
    polygon: tuple[Point, ...], line: _Joint, reach: tuple[float, float], depth: float, sign: float
) -> tuple[Point, ...]:
    """The mortise in a board."""
    back = (-sign * line.into_b[0], -sign * line.into_b[1])
    return line.cut(_strip(polygon, line, reach), back, -depth)


def _strip(polygon: tuple[Point, ...], line: _Joint, reach: tuple[float, float]) -> tuple[Point, ...]:
    """What of a board lies before and behind the mortise."""
    against = (-line.along[0], -line.along[1])
    return line.cut(line.cut(polygon, line.along, reach[0]), against, -reach[1])


def _around(
    polygon: tuple[Point, ...],
    line: _Joint,
    reach: tuple[float, float],
    depth: float,
    sign: float,
    parts: dict[str, Part],
) -> list[Cell]:
    """The rest of a board: on either side of the mortise, and behind it."""
    against = (-line.along[0], -line.along[1])
    inward = (sign * line.into_b[0], sign * line.into_b[1])
    rest = (
        line.cut(polygon, against, -reach[0]),
        line.cut(polygon, line.along, reach[1]),
        line.cut(_strip(polygon, line, reach), inward, depth),
    )
    return [Cell(each, parts) for each in rest if each]


def _faces(tenons: int, land: float, single: float, depth: float) -> tuple[Face, ...]:
    """Equal spacing: inner lands are glued on both sides, the two outer ones on one."""
    inner, outer = min(land / 2, depth), min(land, depth)
    faces = []
    for index in range(tenons):
        faces.append(Face(outer if index == 0 else inner, single / 2))
        faces.append(Face(outer if index == tenons - 1 else inner, single / 2))
    return tuple(faces)
