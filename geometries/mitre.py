"""Mitre: both boards cut at 45 degrees and glued on the cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

from glueline.geometries.joinings import GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece
from glueline.geometries.words import BOARD_A, BOARD_B, board_words, line_words

MITRE_FACE = line_words("mitre")
PIECE_A, PIECE_B = board_words()


@dataclass(frozen=True)
class Mitre:
    """A mitre has no measures of its own.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["mitre"].layout(Mitre(), Boards(thickness=19.0, width=90.0, leg=150.0))  # mm
    >>> round(corner.joinings[0].length, 1)  # mm, 19 times the root of 2
    26.9
    """


def problems(_: Mitre, boards: Boards) -> list[Problem]:
    """What is wrong with a mitre of these boards."""
    return board_problems(boards)


def layout(_: Mitre, boards: Boards) -> Layout:
    """Two pieces that meet on the diagonal."""
    t, leg, across = boards.depth_a, boards.leg, boards.across_a
    part = Part(across, across, t)
    return Layout(
        boards=boards,
        cells=(
            Cell(((0.0, 0.0), (leg, 0.0), (leg, t), (t, t)), {BOARD_A: part}),
            Cell(((0.0, 0.0), (t, t), (t, leg), (0.0, leg)), {BOARD_B: part}),
        ),
        pieces=(Piece(PIECE_A, 0.0), Piece(PIECE_B, pi / 2)),
        joinings=(GlueLine(MITRE_FACE, BOARD_A, BOARD_B, (0.0, 0.0), (t, t), ((0.0, across),)),),
        fine_points=((0.0, 0.0), (t, t)),
        mirrored=True,
    )


def cuts(_: Mitre, __: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    return {"board ends": 2}


MITRE = JointKind(
    kind="mitre",
    aliases=("miter", "mitred", "plain mitre"),
    summary="both boards cut at 45 degrees and glued on the cut",
    parameters=Mitre,
    surfaces=(MITRE_FACE,),
    pieces=(PIECE_A, PIECE_B),
    allows_thickness_b=False,
    problems=problems,
    layout=layout,
    cuts=cuts,
)
