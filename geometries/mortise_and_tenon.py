"""Mortise and tenon: in a frame board B's tenon is glued in a mortise in board A, which runs through.

The tenon's inside edge is flush with board B's; toward board A's end wood is left beside it, in which a
haunch may lie.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi

from glueline.geometries.bridle import tenon_thickness_key, tenon_thickness_problems, third_of_thickness
from glueline.geometries.joinings import Cheek, Face, GlueLine, Point
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, cannot_be, key_with_default
from glueline.geometries.layout import Boards, Cell, Lay, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    MEMBER_A,
    MEMBER_B,
    PieceWords,
    area_words,
    line_words,
)

LAYS: tuple[Lay, ...] = ("frame",)
SHOULDER = line_words("tenon shoulders of board B", is_plural=True)
OUTER_EDGE = line_words("outer edge of the tenon", "shoulder end", "floor end")
INNER_EDGE = line_words("inner edge of the tenon", "floor end", "shoulder end")
CHEEKS = area_words("tenon cheeks")
PIECE_A = PieceWords(BOARD_A, MEMBER_A, ("mortise walls of board A", "the mortise walls of board A"))
PIECE_B = PieceWords(BOARD_B, MEMBER_B, ("tenon of board B", "the tenon of board B"))
THINNEST = 2.0  # mm of wood left anywhere, and of a cut
ROUNDING = 1e-9  # mm
BLIND_NOTE = "The end of a blind tenon is taken to be free of the mortise's floor: not glued, not resting."


@dataclass(frozen=True)
class Tenon:
    """Measures in mm of a tenon and its haunch; ``haunch`` 0 where there is none."""

    thickness: float
    width: float
    depth: float
    haunch: float


@dataclass(frozen=True)
class MortiseAndTenon:
    """Thickness across the plane, width in it, depth into board A, in mm; ``through`` goes all the way.

    >>> from glueline.geometries import JOINTS, Boards
    >>> joint, boards = MortiseAndTenon(), Boards(18.0, 60.0, 200.0, "frame")  # mm
    >>> filled(joint, boards).tenon_width, filled(joint, boards).tenon_depth
    (40.0, 40.0)
    >>> [len(cheek.faces) for cheek in JOINTS["mortise and tenon"].layout(joint, boards).joinings[3:]]
    [2]
    """

    tenon_thickness: float | None = tenon_thickness_key()
    tenon_width: float | None = key_with_default(
        "length",
        "tenon width",
        "width of the tenon in the plane, from board B's inside edge",
        "two thirds of board B's width (common practice, no source)",
    )
    tenon_depth: float | None = key_with_default(
        "length",
        "tenon depth",
        "how deep the tenon goes into board A",
        "two thirds of board A's width, all of it for a through tenon (common practice, no source)",
    )
    through: bool | None = key_with_default(
        "yes or no",
        "passage through board A",
        "whether the tenon goes through board A; it then has no depth of its own",
        "false",
        voids="tenon_depth",
    )
    haunch: bool | None = key_with_default(
        "yes or no",
        "haunch",
        "whether a haunch, as deep as the tenon is thick, fills the rest of board B's width (its depth: "
        "common practice, no source)",
        "false",
    )


def _tenon(joint: MortiseAndTenon, boards: Boards) -> Tenon:
    thickness = third_of_thickness(boards) if joint.tenon_thickness is None else joint.tenon_thickness
    width = boards.depth_b * 2 / 3 if joint.tenon_width is None else joint.tenon_width
    depth = boards.depth_a * (1.0 if joint.through else 2 / 3)
    if joint.tenon_depth is not None:
        depth = joint.tenon_depth
    return Tenon(thickness, width, depth, thickness if joint.haunch else 0.0)


def filled(joint: MortiseAndTenon, boards: Boards) -> MortiseAndTenon:
    """With what was left out as a proportion of the boards."""
    tenon = _tenon(joint, boards)
    return replace(
        joint,
        tenon_thickness=tenon.thickness,
        tenon_width=tenon.width,
        tenon_depth=tenon.depth,
        through=bool(joint.through),
        haunch=bool(joint.haunch),
    )


def problems(joint: MortiseAndTenon, boards: Boards) -> list[Problem]:
    """What is wrong with this tenon in these boards."""
    found = board_problems(boards, LAYS)
    if cannot_be(found):
        return found
    tenon = _tenon(joint, boards)
    return [
        *found,
        *tenon_thickness_problems(tenon.thickness, boards),
        *_width_problems(tenon, boards),
        *_depth_problems(joint, tenon, boards),
    ]


def _width_problems(tenon: Tenon, boards: Boards) -> list[Problem]:
    if tenon.width < THINNEST - ROUNDING:
        return [Problem("joint.tenon_width", "must be at least {least}", {"least": THINNEST})]
    if boards.depth_b - tenon.width < THINNEST - ROUNDING:
        text = (
            "of {tenon} leaves too little of board A beside the mortise, toward its end: on boards {width} "
            "wide {thinnest} must stay, so at most {most}; a tenon as wide as the board is a bridle"
        )
        sizes = {"tenon": tenon.width, "width": boards.depth_b, "thinnest": THINNEST}
        return [Problem("joint.tenon_width", text, {**sizes, "most": boards.depth_b - THINNEST})]
    return []


def _depth_problems(joint: MortiseAndTenon, tenon: Tenon, boards: Boards) -> list[Problem]:
    depth, a = tenon.depth, boards.depth_a
    if joint.through:
        if abs(depth - a) < ROUNDING:
            return []
        text = (
            "cannot stand beside joint.through = true, whose tenon is as deep as board A is wide, {width}: "
            "leave it out, or joint.through = false"
        )
        return [Problem("joint.tenon_depth", text, {"width": a})]
    if depth < THINNEST - ROUNDING:
        return [Problem("joint.tenon_depth", "must be at least {least}", {"least": THINNEST})]
    if a - depth < THINNEST - ROUNDING:
        text = (
            "of {tenon} leaves too little of board A, {width} wide, below the mortise, where {thinnest} must "
            "stay: at most {most}, or joint.through = true"
        )
        sizes = {"tenon": depth, "width": a, "thinnest": THINNEST, "most": a - THINNEST}
        return [Problem("joint.tenon_depth", text, sizes)]
    if tenon.haunch > 0.0 and depth - tenon.haunch < THINNEST - ROUNDING:
        text = (
            "of {tenon} is hardly deeper than the haunch, which is as deep as the tenon is thick, {haunch}: "
            "at least {least}"
        )
        sizes = {"tenon": depth, "haunch": tenon.haunch, "least": tenon.haunch + THINNEST}
        return [Problem("joint.tenon_depth", text, sizes)]
    return []


def layout(joint: MortiseAndTenon, boards: Boards) -> Layout:
    """The tenon and board A's walls in the same cells; cheeks, edges and shoulder glued, the floor not."""
    tenon = _tenon(joint, boards)
    a, b, t = boards.depth_a, boards.depth_b, boards.thickness
    beside, floor, haunch = b - tenon.width, a - tenon.depth, a - tenon.haunch
    whole_a, whole_b = Part(t, t, a), Part(t, t, b)
    wall = (t - tenon.thickness) / 2
    walls = Part(2 * wall, wall, a)
    mortise = {BOARD_A: walls, BOARD_B: Part(tenon.thickness, tenon.thickness, tenon.width)}
    haunched = {BOARD_A: walls, BOARD_B: Part(tenon.thickness, tenon.thickness, tenon.haunch)}
    glued = [Cell(_box((beside, floor), (b, a)), mortise)]
    if tenon.haunch:
        glued.append(Cell(_box((0.0, haunch), (beside, a)), haunched))
    solid = [Cell(_box((0.0, floor), (beside, haunch)), {BOARD_A: whole_a})]
    if floor > ROUNDING:
        solid.append(Cell(_box((0.0, 0.0), (b, floor)), {BOARD_A: whole_a}))
    at_shoulder = ((0.0, 2 * wall),) if tenon.haunch else ((0.0, t), (beside, 2 * wall))
    along_edge = ((0.0, tenon.thickness),)
    face = Face(min(wall, a), min(tenon.thickness / 2, b))
    return Layout(
        boards=boards,
        cells=(
            Cell(leg_cell_a(boards, b), {BOARD_A: whole_a}),
            Cell(leg_cell_b(boards, a), {BOARD_B: whole_b}),
            *solid,
            *glued,
        ),
        pieces=(Piece(PIECE_A, 0.0), Piece(PIECE_B, pi / 2)),
        joinings=(
            GlueLine(SHOULDER, BOARD_A, BOARD_B, (0.0, a), (b, a), at_shoulder),
            GlueLine(OUTER_EDGE, BOARD_A, BOARD_B, (beside, haunch), (beside, floor), along_edge),
            GlueLine(INNER_EDGE, BOARD_A, BOARD_B, (b, floor), (b, a), along_edge),
            Cheek(
                CHEEKS,
                BOARD_A,
                BOARD_B,
                tuple(range(2 + len(solid), 2 + len(solid) + len(glued))),
                (face, face),
                (b, a),
            ),
        ),
        fine_points=((0.0, a), (beside, a), (b, a), (beside, floor), (b, floor)),
        mirrored=False,
        notes=() if joint.through else (BLIND_NOTE,),
    )


def _box(low: Point, high: Point) -> tuple[Point, ...]:
    """The corners of a rectangle, anticlockwise."""
    return (low, (high[0], low[1]), high, (low[0], high[1]))


def cuts(joint: MortiseAndTenon, _: Boards) -> Mapping[str, int]:
    """What is cut for one corner; the tenon is narrower than its board on one edge only."""
    haunch = {"haunch sockets": 1} if joint.haunch else {}
    return {"board ends": 2, "tenon faces": 3, "tenon shoulders": 3, "mortises": 1, **haunch}


MORTISE_AND_TENON = JointKind(
    kind="mortise and tenon",
    aliases=("mortice and tenon", "mortise and tenon joint", "tenon"),
    summary="in a frame, board B's tenon glued in a mortise in board A, which runs through",
    parameters=MortiseAndTenon,
    surfaces=(SHOULDER, OUTER_EDGE, INNER_EDGE, CHEEKS),
    pieces=(PIECE_A, PIECE_B),
    allows_thickness_b=False,
    problems=problems,
    layout=layout,
    filled=filled,
    lays=LAYS,
    cuts=cuts,
)
