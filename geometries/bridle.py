"""Bridle: in a frame board B's tenon, as wide as the board, stands in an open slot in board A's end.

It is the finger corner of three fingers in a frame, the middle one as thick as the tenon.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from glueline.geometries.finger import THINNEST, Interlocked, interlocked, interlocked_cuts
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, cannot_be, key_with_default
from glueline.geometries.layout import Boards, Lay, Layout
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
BRIDLE_WORDS = Interlocked(
    line_words("tenon shoulders of board B", is_plural=True),
    line_words("slot floor in board A"),
    area_words("tenon cheeks"),
    (
        PieceWords(BOARD_A, MEMBER_A, ("slotted end of board A", "the slotted end of board A")),
        PieceWords(BOARD_B, MEMBER_B, ("tenon of board B", "the tenon of board B")),
    ),
)
SHARE_NOTE = (
    "Held against a 3D calculation of its own a bridle is 2 to 4 % too stiff, and its cheeks are given 0.78 "
    "of the corner moment in place of 0.67: what the legs shear through their thickness is left out."
)
"""White oak, 19 x 60 x 200 mm; the range from eight boards and woods, tests/studies/predict/lopsided.txt."""
ROUNDING = 1e-9  # mm


def third_of_thickness(boards: Boards) -> float:
    """How thick a tenon is in mm where nothing is said: common practice, no source."""
    return boards.thickness / 3


def tenon_thickness_key() -> float | None:
    """The key of a tenon's thickness, alike in every joint that has one."""
    key: float | None = key_with_default(
        "length",
        "tenon thickness",
        "thickness of the tenon, in the middle of the boards' thickness",
        "a third of the boards' thickness (common practice, no source)",
    )
    return key


def tenon_thickness_problems(tenon: float, boards: Boards) -> list[Problem]:
    """What is wrong with a tenon ``tenon`` mm thick in boards of this thickness."""
    wall, thinnest = (boards.thickness - tenon) / 2, {"least": THINNEST}
    if boards.thickness < 3 * THINNEST - ROUNDING:
        text = "is too little for a tenon and wood on either side of it: at least {least}"
        return [Problem("boards.thickness", text, {"least": 3 * THINNEST})]
    if tenon < THINNEST - ROUNDING:
        return [Problem("joint.tenon_thickness", "must be at least {least}", thinnest)]
    if wall < THINNEST - ROUNDING:
        text = (
            "of {tenon} leaves too little wood on either side of it in boards {thickness} thick, where "
            "{thinnest} must stay: at most {most}"
        )
        most = boards.thickness - 2 * THINNEST
        sizes = {"tenon": tenon, "thickness": boards.thickness, "thinnest": THINNEST, "most": most}
        return [Problem("joint.tenon_thickness", text, sizes)]
    return []


@dataclass(frozen=True)
class Bridle:
    """``tenon_thickness`` in mm, of board B's tenon.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["bridle"].layout(Bridle(), Boards(18.0, 60.0, 200.0, "frame"))  # mm
    >>> [(name, part.across) for name, part in corner.cells[2].parts.items()]
    [('board A', 12.0), ('board B', 6.0)]
    """

    tenon_thickness: float | None = tenon_thickness_key()


def filled(joint: Bridle, boards: Boards) -> Bridle:
    """With what was left out as a proportion of the boards."""
    return replace(joint, tenon_thickness=_thickness(joint, boards))


def _thickness(joint: Bridle, boards: Boards) -> float:
    return third_of_thickness(boards) if joint.tenon_thickness is None else joint.tenon_thickness


def problems(joint: Bridle, boards: Boards) -> list[Problem]:
    """What is wrong with this tenon on these boards."""
    found = board_problems(boards, LAYS)
    return found if cannot_be(found) else found + tenon_thickness_problems(_thickness(joint, boards), boards)


def layout(joint: Bridle, boards: Boards) -> Layout:
    """The tenon between the two sides of the slot."""
    tenon = _thickness(joint, boards)
    side = (boards.thickness - tenon) / 2
    return interlocked((side, tenon, side), boards, BRIDLE_WORDS, (SHARE_NOTE,))


def cuts(_: Bridle, __: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    return interlocked_cuts(3)


BRIDLE = JointKind(
    kind="bridle",
    aliases=("bridle joint", "corner bridle", "open mortise and tenon"),
    summary="in a frame, board B's tenon, as wide as the board, in an open slot in board A's end",
    parameters=Bridle,
    surfaces=BRIDLE_WORDS.surfaces,
    pieces=BRIDLE_WORDS.pieces,
    allows_thickness_b=False,
    problems=problems,
    layout=layout,
    filled=filled,
    lays=LAYS,
    cuts=cuts,
)
