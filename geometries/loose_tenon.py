"""Loose tenon: a butt or mitre with flat tenons of their own wood glued into mortises in both boards.

In a box a tenon lies flat across the width: its broad faces are lines in the plane, its narrow edges areas
over which it and the board lie side by side. In a frame it is the other way round. Either way the board goes
on beside it, in the same cells, with the width that the mortises leave.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import atan2, pi
from typing import Literal

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.joinings import Cheek, Face, GlueLine, Point
from glueline.geometries.joint_kind import JointKind, Problem, key_with_default
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.mortises import LEAST_WALL, ROUNDING, JointLine, around, base_of, inside, wood_behind
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

TENONS = "tenons"
PIECE_A, PIECE_B = board_words()
TENON_PIECE = PieceWords(TENONS, Member(TENONS, "tenon", "tenon_wood", "in plane"))
LEAST_SIZE = 1.5  # mm of a tenon, either way


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
    >>> boards = Boards(thickness=18.0, width=90.0, leg=150.0)  # mm
    >>> filled(LooseTenon(), boards).tenon_width, filled(LooseTenon(), boards).tenon_depth
    (45.0, 12.0)
    >>> corner = JOINTS["loose tenon"].layout(LooseTenon(), boards)
    >>> [piece.name for piece in corner.pieces], len(corner.joinings)
    (['board A', 'board B', 'tenons'], 7)
    """

    base: Literal["butt", "mitre"] | None = key_with_default(
        "choice",
        "joint of the boards",
        "how the boards themselves meet",
        "butt",
        choices=("butt", "mitre"),
    )
    tenons: int | None = key_with_default(
        "count",
        "number of tenons",
        "number of tenons across the plane",
        "in a box one for every four thicknesses of the width, in a frame one (common practice, no source)",
    )
    tenon_thickness: float | None = key_with_default(
        "length",
        "tenon thickness",
        "thickness of a tenon",
        "a third of the thinner board (common practice, no source)",
    )
    tenon_width: float | None = key_with_default(
        "length",
        "tenon width",
        "width of a tenon: across the plane in a box, in it in a frame",
        "half of its share of the width in a box, half of the joint in a frame (common practice, no source)",
    )
    tenon_depth: float | None = key_with_default(
        "length",
        "tenon depth",
        "how deep a tenon goes into board B, square to the joint",
        "as deep as in board A",
    )
    tenon_depth_in_a: float | None = key_with_default(
        "length",
        "tenon depth in board A",
        "how deep a tenon goes into board A, square to the joint",
        "two thirds of the wood behind it (common practice, no source)",
    )
    from_inside: float | None = key_with_default(
        "length",
        "distance from the inside",
        "middle of a tenon from the inside face of the corner, along the joint",
        "half of the joint (common practice, no source)",
    )
    tenon_wood: str | None = key_with_default(
        "wood name",
        "wood of the tenons",
        "wood of the tenons, grain across the joint",
        "the boards' wood",
    )


@dataclass(frozen=True)
class Tenons:
    """Tenons as they lie: ``in_plane`` along the joint and ``single`` across the plane, mm, ``number`` of
    them; ``depths`` by board; ``reach`` from and to where along the joint.
    """

    number: int
    in_plane: float
    single: float
    depths: dict[str, float]
    reach: tuple[float, float]


def filled(joint: LooseTenon, boards: Boards) -> LooseTenon:
    """With what was left out as a proportion of the boards."""
    _, line = base_of(joint.base, boards)
    across, is_box = min(boards.across_a, boards.across_b), boards.lay == "box"
    thinner = min(boards.thickness, boards.thickness_b or boards.thickness)
    number = max(1, round(across / (4 * thinner))) if is_box else 1
    number = number if joint.tenons is None else joint.tenons
    thickness = thinner / 3 if joint.tenon_thickness is None else joint.tenon_thickness
    width = (across / max(number, 1) if is_box else line.length) / 2
    width = width if joint.tenon_width is None else joint.tenon_width
    from_inside = line.length / 2 if joint.from_inside is None else joint.from_inside
    full = replace(
        joint,
        base=joint.base or "butt",
        tenons=number,
        tenon_thickness=thickness,
        tenon_width=width,
        from_inside=from_inside,
    )
    reach = line.length - from_inside - (thickness if is_box else width) / 2
    behind = wood_behind(full.base, boards, reach, -1.0)
    depth_in_a = joint.tenon_depth_in_a
    if depth_in_a is None:
        depth_in_a = max(min(2 / 3 * behind, behind - LEAST_WALL), 0.0)
    depth = depth_in_a if joint.tenon_depth is None else joint.tenon_depth
    return replace(full, tenon_depth=depth, tenon_depth_in_a=depth_in_a)


def _tenons(joint: LooseTenon, boards: Boards) -> Tenons:
    full, (_, line) = filled(joint, boards), base_of(joint.base, boards)
    thickness, width = float(full.tenon_thickness or 0.0), float(full.tenon_width or 0.0)
    in_plane, single = (thickness, width) if boards.lay == "box" else (width, thickness)
    middle = line.length - float(full.from_inside or 0.0)
    depths = {BOARD_A: float(full.tenon_depth_in_a or 0.0), BOARD_B: float(full.tenon_depth or 0.0)}
    reach = middle - in_plane / 2, middle + in_plane / 2
    return Tenons(int(full.tenons or 0), in_plane, single, depths, reach)


def problems(joint: LooseTenon, boards: Boards) -> list[Problem]:
    """What is wrong with these tenons in these boards."""
    is_mitre = joint.base == "mitre"
    found = (MITRE.problems(Mitre(), boards)) if is_mitre else BUTT.problems(Butt(), boards)
    if is_mitre and boards.thickness_b is not None:
        found.append(Problem("boards.thickness_b", "cannot differ where the boards are mitred"))
    if joint.tenons is not None and joint.tenons < 1:
        found.append(Problem("joint.tenons", "must be at least 1; without tenons use a butt or a mitre"))
    if found:
        return found
    tenons, (_, line) = _tenons(joint, boards), base_of(joint.base, boards)
    full = filled(joint, boards)
    for key in ("tenon_thickness", "tenon_width", "tenon_depth", "tenon_depth_in_a"):
        if getattr(full, key) < LEAST_SIZE - ROUNDING:
            found.append(Problem(f"joint.{key}", "must be at least {least}", {"least": LEAST_SIZE}))
    if found:
        return found
    found += _across_problems(tenons, boards) + _along_problems(tenons, boards, line)
    return found or _depth_problems(full, boards, tenons)


def _across_problems(tenons: Tenons, boards: Boards) -> list[Problem]:
    """Tenons that do not lie beside each other across the plane."""
    across = min(boards.across_a, boards.across_b)
    room = (across - (tenons.number + 1) * LEAST_WALL) / tenons.number
    if tenons.single <= room + ROUNDING:
        return []
    key = "joint.tenon_width" if boards.lay == "box" else "joint.tenon_thickness"
    if room < LEAST_SIZE:
        most = int((across - LEAST_WALL) / (LEAST_SIZE + LEAST_WALL))
        return [Problem("joint.tenons", f"do not fit on {{across}}: at most {most}", {"across": across})]
    text = "takes more than {across} allow, with {wall} of wood about every tenon: at most {most}"
    return [Problem(key, text, {"across": across, "wall": LEAST_WALL, "most": room})]


def _along_problems(tenons: Tenons, boards: Boards, line: JointLine) -> list[Problem]:
    """Tenons that come through the inside or the outside face."""
    wall = {"wall": LEAST_WALL}
    most = line.length - 2 * LEAST_WALL
    if tenons.in_plane > most + ROUNDING:
        key = "joint.tenon_thickness" if boards.lay == "box" else "joint.tenon_width"
        return [
            Problem(
                key, "leaves less than {wall} of wood on either side: at most {most}", {**wall, "most": most}
            )
        ]
    if min(tenons.reach[0], line.length - tenons.reach[1]) < LEAST_WALL - ROUNDING:
        text = "brings a tenon within {wall} of a face, or through it: it must lie between {least} and {most}"
        least = LEAST_WALL + tenons.in_plane / 2
        limits = {**wall, "least": least, "most": line.length - least}
        return [Problem("joint.from_inside", text, limits)]
    return []


def _depth_problems(joint: LooseTenon, boards: Boards, tenons: Tenons) -> list[Problem]:
    """Mortises that would come out on the far side."""
    found = []
    for key, board, sign in (
        ("joint.tenon_depth", BOARD_B, 1.0),
        ("joint.tenon_depth_in_a", BOARD_A, -1.0),
    ):
        most = min(wood_behind(joint.base, boards, place, sign) for place in tenons.reach) - LEAST_WALL
        if tenons.depths[board] > most + ROUNDING:
            text = f"brings the mortise within {{wall}} of the far face of {board}: at most {{most}}"
            found.append(Problem(key, text, {"wall": LEAST_WALL, "most": most}))
    return found


def layout(joint: LooseTenon, boards: Boards) -> Layout:
    """The base with tenons in both boards."""
    base, line = base_of(joint.base, boards)
    tenons = _tenons(joint, boards)
    in_plane, single, reach = tenons.in_plane, tenons.single, tenons.reach
    together = tenons.number * single
    across = min(boards.across_a, boards.across_b)
    words = WORDS[boards.lay]
    cells: list[Cell] = []
    joinings: list[GlueLine | Cheek] = []
    fine: list[Point] = [*base.fine_points]
    (face,) = base.joinings
    assert isinstance(face, GlueLine)
    widths = ((0.0, across), (reach[0], across - together), (reach[1], across))
    joinings.append(GlueLine(face.words, BOARD_A, BOARD_B, face.start, face.end, widths))
    for base_cell, board, sign in ((base.cells[0], BOARD_A, -1.0), (base.cells[1], BOARD_B, 1.0)):
        depth, whole = tenons.depths[board], base_cell.parts[board]
        land = (whole.across - together) / (tenons.number + 1)
        beside = Part(whole.across - together, land, whole.depth)
        tenon = Part(together, single, in_plane)
        cells += around(base_cell.polygon, line, reach, depth, sign, {board: whole})
        mortise = inside(base_cell.polygon, line, reach, depth, sign)
        cells.append(Cell(mortise, {board: beside, TENONS: tenon}))
        mouth = tuple(line.at(place, 0.0) for place in reach)
        floor = tuple(line.at(place, sign * depth) for place in reach)
        outer, inner = (mouth[0], floor[0]), (floor[1], mouth[1])
        if sign > 0:
            outer, inner = (outer[1], outer[0]), (inner[1], inner[0])
        joinings.append(GlueLine(words["outer", board], board, TENONS, *outer, ((0.0, together),)))
        joinings.append(GlueLine(words["inner", board], board, TENONS, *inner, ((0.0, together),)))
        faces = _faces(tenons.number, land, min(single / 2, in_plane), whole.depth)
        joinings.append(
            Cheek(words["beside", board], board, TENONS, (len(cells) - 1,), faces, base.inner_corner)
        )
        fine += [*mouth, *floor] if sign > 0 else floor
    grain = atan2(line.into_b[1], line.into_b[0])
    even = tenons.depths[BOARD_A] == tenons.depths[BOARD_B]
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
        notes=(FLOOR_NOTE, *((EVEN_NOTE,) if tenons.number > 1 else ())),
    )


def _faces(tenons: int, land: float, own: float, depth: float) -> tuple[Face, ...]:
    """Equal spacing: inner lands are glued on both sides, the two outer ones on one.

    Shear reaches as deep as a piece is in the plane at most, ``own`` into a tenon.
    """
    inner, outer = min(land / 2, depth), min(land, depth)
    faces = []
    for index in range(tenons):
        faces.append(Face(outer if index == 0 else inner, own))
        faces.append(Face(outer if index == tenons - 1 else inner, own))
    return tuple(faces)


def cuts(joint: LooseTenon, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner: a mortise for either end of a tenon."""
    return {"board ends": 2, "mortises": 2 * int(filled(joint, boards).tenons or 0)}


LOOSE_TENON = JointKind(
    kind="loose tenon",
    aliases=("loose tenons", "slip tenon", "floating tenon"),
    summary="a butt or a mitre with flat tenons of their own wood glued into mortises in both boards",
    parameters=LooseTenon,
    surfaces=(
        *BUTT.surfaces,
        *MITRE.surfaces,
        *(words for lay in WORDS.values() for words in lay.values()),
    ),
    pieces=(PIECE_A, PIECE_B, TENON_PIECE),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    cuts=cuts,
)
