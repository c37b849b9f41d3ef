"""Butt: board A runs through, board B's end is glued on its face."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

from glueline.geometries.joinings import GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import BOARD_A, BOARD_B, board_words, line_words

FACE = line_words("butt face")
PIECE_A, PIECE_B = board_words()


@dataclass(frozen=True)
class Butt:
    """A butt has no measures of its own.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["butt"].layout(Butt(), Boards(thickness=19.0, width=90.0, leg=150.0))  # mm
    >>> [line.name for line in corner.joinings]
    ['butt face']
    """


def problems(_: Butt, boards: Boards) -> list[Problem]:
    """What is wrong with a butt of these boards."""
    return board_problems(boards)


def layout(_: Butt, boards: Boards) -> Layout:
    """Pieces and the one glue line of a butt."""
    a, b = boards.depth_a, boards.depth_b
    across = min(boards.across_a, boards.across_b)
    return Layout(
        boards=boards,
        cells=(
            Cell(leg_cell_a(boards, 0.0), {BOARD_A: Part(boards.across_a, boards.across_a, a)}),
            Cell(leg_cell_b(boards, a), {BOARD_B: Part(boards.across_b, boards.across_b, b)}),
        ),
        pieces=(Piece(PIECE_A, 0.0), Piece(PIECE_B, pi / 2)),
        joinings=(GlueLine(FACE, BOARD_A, BOARD_B, (0.0, a), (b, a), ((0.0, across),)),),
        fine_points=((0.0, a), (b, a)),
        mirrored=False,
    )


def cuts(_: Butt, __: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    return {"board ends": 2}


BUTT = JointKind(
    kind="butt",
    aliases=("butt joint",),
    summary="board B's end glued on the face of board A, which runs through",
    parameters=Butt,
    surfaces=(FACE,),
    pieces=(PIECE_A, PIECE_B),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    cuts=cuts,
)
