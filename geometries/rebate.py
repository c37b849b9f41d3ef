"""Rebate: board B's end in a rebate in board A's end, cut from the inside; floor and shoulder are glued."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi

from glueline.geometries.joinings import GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, cannot_be, key_with_default
from glueline.geometries.layout import Boards, Cell, Lay, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import BOARD_A, BOARD_B, board_words, line_words

LAYS: tuple[Lay, ...] = ("box",)
FLOOR = line_words("rebate floor")
SHOULDER = line_words("rebate shoulder", "floor end")
TONGUE = line_words("tongue shoulder of board B")
PIECE_A, PIECE_B = board_words()
THINNEST = 2.0  # mm of wood left anywhere, and of a cut
ROUNDING = 1e-9  # mm


@dataclass(frozen=True)
class Rebate:
    """``rebate_depth`` into board A's thickness and ``rebate_width`` from its end, in mm.

    Where the rebate is narrower than board B is thick, B's end has a tongue that fits it, and the rest of
    its end is glued on A's inside face.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["rebate"].layout(Rebate(), Boards(19.0, 90.0, 150.0))  # mm
    >>> [(line.name, line.length) for line in corner.joinings]
    [('rebate floor', 19.0), ('rebate shoulder', 9.5)]
    """

    rebate_depth: float | None = key_with_default(
        "length",
        "rebate depth",
        "depth of the rebate into board A's thickness, from its inside face",
        "half of board A's thickness (common practice, no source)",
    )
    rebate_width: float | None = key_with_default(
        "length",
        "rebate width",
        "width of the rebate from board A's end; where it is less than board B's thickness, B has a tongue",
        "board B's thickness (common practice, no source)",
    )


def _measures(joint: Rebate, boards: Boards) -> tuple[float, float]:
    """Depth and width in mm."""
    depth = boards.depth_a / 2 if joint.rebate_depth is None else joint.rebate_depth
    return depth, boards.depth_b if joint.rebate_width is None else joint.rebate_width


def filled(joint: Rebate, boards: Boards) -> Rebate:
    """With what was left out as a proportion of the boards."""
    depth, width = _measures(joint, boards)
    return replace(joint, rebate_depth=depth, rebate_width=width)


def problems(joint: Rebate, boards: Boards) -> list[Problem]:
    """What is wrong with this rebate in these boards."""
    found = board_problems(boards, LAYS)
    if cannot_be(found):
        return found
    depth, width = _measures(joint, boards)
    a, b = boards.depth_a, boards.depth_b
    if a < 2 * THINNEST:
        text = "is too little for a rebate and the wood below it: at least {least}"
        return [*found, Problem("boards.thickness", text, {"least": 2 * THINNEST})]
    least = {"least": THINNEST}
    if depth < THINNEST - ROUNDING:
        found.append(Problem("joint.rebate_depth", "must be at least {least}", least))
    elif a - depth < THINNEST - ROUNDING:
        text = (
            "of {depth} leaves too little of board A, which is {thickness} thick and must keep {thinnest}: "
            "at most {most}"
        )
        sizes = {"depth": depth, "thickness": a, "thinnest": THINNEST, "most": a - THINNEST}
        found.append(Problem("joint.rebate_depth", text, sizes))
    if width < THINNEST - ROUNDING:
        found.append(Problem("joint.rebate_width", "must be at least {least}", least))
    elif width > b + ROUNDING:
        text = "of {width} is wider than board B is thick, {thickness}, and would stay open: at most {most}"
        found.append(Problem("joint.rebate_width", text, {"width": width, "thickness": b, "most": b}))
    elif ROUNDING < b - width < THINNEST - ROUNDING:
        text = (
            "of {width} leaves a shoulder under {thinnest} on board B, {thickness} thick: {thickness}, or at "
            "most {most}"
        )
        sizes = {"width": width, "thickness": b, "thinnest": THINNEST, "most": b - THINNEST}
        found.append(Problem("joint.rebate_width", text, sizes))
    return found


def layout(joint: Rebate, boards: Boards) -> Layout:
    """Board B down to the rebate's floor; its end glued on it, its inside face on the rebate's shoulder."""
    depth, width = _measures(joint, boards)
    a, b = boards.depth_a, boards.depth_b
    floor, across = a - depth, min(boards.across_a, boards.across_b)
    has_tongue = b - width > ROUNDING
    width = width if has_tongue else b
    whole_a, whole_b = Part(boards.across_a, boards.across_a, a), Part(boards.across_b, boards.across_b, b)
    lip = Cell(
        ((0.0, 0.0), (width, 0.0), (width, floor), (0.0, floor)),
        {BOARD_A: Part(boards.across_a, boards.across_a, floor)},
    )
    tongue = Cell(
        ((0.0, floor), (width, floor), (width, a), (0.0, a)),
        {BOARD_B: Part(boards.across_b, boards.across_b, width)},
    )
    glued = ((0.0, across),)
    tongue_shoulder = GlueLine(TONGUE, BOARD_A, BOARD_B, (width, a), (b, a), glued)
    return Layout(
        boards=boards,
        cells=(
            lip,
            Cell(leg_cell_a(boards, width), {BOARD_A: whole_a}),
            *((tongue,) if has_tongue else ()),
            Cell(leg_cell_b(boards, a if has_tongue else floor), {BOARD_B: whole_b}),
        ),
        pieces=(Piece(PIECE_A, 0.0), Piece(PIECE_B, pi / 2)),
        joinings=(
            GlueLine(FLOOR, BOARD_A, BOARD_B, (0.0, floor), (width, floor), glued),
            GlueLine(SHOULDER, BOARD_A, BOARD_B, (width, floor), (width, a), glued),
            *((tongue_shoulder,) if has_tongue else ()),
        ),
        fine_points=((0.0, floor), (width, floor), (width, a), (b, a)),
        mirrored=False,
    )


def cuts(joint: Rebate, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    _, width = _measures(joint, boards)
    tongue = {"sides of the tongue": 2} if boards.depth_b - width > ROUNDING else {}
    return {"board ends": 2, "sides of the rebate": 2, **tongue}


REBATE = JointKind(
    kind="rebate",
    aliases=("rebate joint", "rabbet", "rabbet joint", "rebated butt"),
    summary="board B's end in a rebate cut in board A's end, glued on its floor and its shoulder",
    parameters=Rebate,
    surfaces=(FLOOR, SHOULDER, TONGUE),
    pieces=(PIECE_A, PIECE_B),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    lays=LAYS,
    cuts=cuts,
)
