"""A joint of no trade, to see that nothing outside a joint's own file knows what it is made of.

A butt with straps glued over it on the faces and pads glued on board A beside it: four members, glued areas
whose names say nothing of cheeks, and board A as the plus side of all that holds it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import pi

from glueline.geometries.joinings import Cheek, Face, GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    Member,
    PieceWords,
    area_words,
    board_words,
    line_words,
)

STRAPS, PADS = "straps", "pads"
END = line_words("end face", "back", "front")
STRAP_A = area_words("strap faces on board A")
STRAP_B = area_words("strap faces on board B")
PAD = area_words("pad face", is_plural=False)
PIECE_A, PIECE_B = board_words("heel of {}", "the ")
STRAP = PieceWords(STRAPS, Member(STRAPS, "strap", "strap_wood", "in plane"))
PADDING = PieceWords(PADS, Member(PADS, "pad", "pad_wood"))


@dataclass(frozen=True)
class StrappedButt:
    """``straps`` in number, each as thick as ``strap_thickness`` in mm; woods by name."""

    straps: int = field(
        metadata={"quantity": "count", "label": "count of straps", "words": "straps", "required": True}
    )
    strap_thickness: float = field(
        metadata={
            "quantity": "length",
            "label": "thickness of the straps",
            "words": "thickness of a strap",
            "required": True,
        }
    )
    strap_wood: str | None = field(
        default=None,
        metadata={"quantity": "wood name", "label": "strap wood", "words": "their wood", "required": False},
    )
    pad_wood: str | None = field(
        default=None,
        metadata={"quantity": "wood name", "label": "pad wood", "words": "their wood", "required": False},
    )


def problems(_: StrappedButt, boards: Boards) -> list[Problem]:
    """What is wrong with the boards."""
    return board_problems(boards)


def layout(joint: StrappedButt, boards: Boards) -> Layout:
    """Straps over the heel of A and the first depth of B, pads on the next depth of A."""
    a, b = boards.depth_a, boards.depth_b
    across = min(boards.across_a, boards.across_b)
    of_a = Part(boards.across_a, boards.across_a, a)
    of_b = Part(boards.across_b, boards.across_b, b)
    strap = Part(joint.straps * joint.strap_thickness, joint.strap_thickness, b)
    faces = (Face(joint.strap_thickness, min(boards.across_a, a)),) * joint.straps
    inner = (b, a)
    return Layout(
        boards=boards,
        cells=(
            Cell(((0.0, 0.0), (b, 0.0), (b, a), (0.0, a)), {BOARD_A: of_a, STRAPS: strap}),
            Cell(((b, 0.0), (2 * b, 0.0), (2 * b, a), (b, a)), {BOARD_A: of_a, PADS: strap}),
            Cell(leg_cell_a(boards, 2 * b), {BOARD_A: of_a}),
            Cell(((0.0, a), (b, a), (b, 2 * a), (0.0, 2 * a)), {BOARD_B: of_b, STRAPS: strap}),
            Cell(leg_cell_b(boards, 2 * a), {BOARD_B: of_b}),
        ),
        pieces=(
            Piece(PIECE_A, 0.0),
            Piece(PIECE_B, pi / 2),
            Piece(STRAP, pi / 2),
            Piece(PADDING, 0.0),
        ),
        joinings=(
            GlueLine(END, BOARD_B, BOARD_A, (b, a), (0.0, a), ((0.0, across),)),
            Cheek(STRAP_A, STRAPS, BOARD_A, (0,), faces, inner),
            Cheek(STRAP_B, STRAPS, BOARD_B, (3,), faces, inner),
            Cheek(PAD, PADS, BOARD_A, (1,), faces, inner),
        ),
        fine_points=((0.0, a), (b, a)),
        mirrored=False,
    )


STRAPPED_BUTT = JointKind(
    kind="strapped butt",
    aliases=("strap butt",),
    summary="board B's end on the face of board A, straps over both",
    parameters=StrappedButt,
    surfaces=(END, STRAP_A, STRAP_B, PAD),
    pieces=(PIECE_A, PIECE_B, STRAP, PADDING),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
)
