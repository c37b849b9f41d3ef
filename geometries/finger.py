"""Finger corner (box joint): square fingers of both boards in turn across the width, glued on their cheeks.

All fingers of one board act alike, so each board is one piece; in the corner rectangle the two overlap.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import cycle
from math import pi

from glueline.geometries.joinings import Cheek, Face, GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    PieceWords,
    SurfaceWords,
    area_words,
    board_words,
    line_words,
)


@dataclass(frozen=True)
class Interlocked:
    """The words of two boards that reach into each other in turn: lines, cheeks, boards A and B.

    ``ends_b`` is where board A's parts meet board B's end, ``ends_a`` the other way round.
    """

    ends_b: SurfaceWords
    ends_a: SurfaceWords
    cheeks: SurfaceWords
    pieces: tuple[PieceWords, PieceWords]

    @property
    def surfaces(self) -> tuple[SurfaceWords, ...]:
        """Its glued surfaces."""
        return (self.ends_b, self.ends_a, self.cheeks)


FINGERS = Interlocked(
    line_words("notch floors of board B", is_plural=True),
    line_words("notch floors of board A", is_plural=True),
    area_words("finger cheeks"),
    board_words("fingers of {}", "the "),
)
THINNEST = 2.0
FEWEST = 2  # one finger for each board
MANY = 5
MANY_NOTE = (
    "The load is predicted to grow nearly with the number of fingers; published tests with teeth found "
    "falling returns (Demirci et al. 2020, BioResources 15(2)): read the loads of many thin fingers as upper "
    "values."
)
"""What must be known from ``MANY`` fingers on."""
WIDE_NOTE = (
    "Fingers wider than the boards are thick: held against a 3D calculation such a corner is 2 % too stiff "
    "while whole, and 49 to 64 % too soft once only the cheeks hold."
)
"""What is left of the cheeks' error, from tests/studies/predict/cheek_rules.txt."""


@dataclass(frozen=True)
class FingerJoint:
    """Either ``fingers``, both boards' together, or ``finger_width`` in mm, cut from one edge.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["finger"].layout(FingerJoint(fingers=9), Boards(19.0, 90.0, 150.0))  # mm
    >>> [joining.name for joining in corner.joinings]
    ['notch floors of board B', 'notch floors of board A', 'finger cheeks']
    >>> finger_widths(FingerJoint(finger_width=40.0), 90.0)  # mm; a narrower last one takes up the rest
    (40.0, 40.0, 10.0)
    """

    fingers: int | None = field(
        default=None,
        metadata={
            "quantity": "count",
            "least": FEWEST,
            "label": "number of fingers",
            "words": "number of fingers, both boards' together; the first belongs to board A",
            "required": True,
            "exclusive_with": "finger_width",
        },
    )
    finger_width: float | None = field(
        default=None,
        metadata={
            "quantity": "length",
            "label": "finger width",
            "words": "width of one finger, cut from one edge; a narrower last one takes up the rest",
            "required": True,
            "exclusive_with": "fingers",
        },
    )


def finger_widths(joint: FingerJoint, across: float) -> tuple[float, ...]:
    """Widths in mm of all fingers in order; a remainder under 2 mm joins its neighbour."""
    if joint.fingers is not None:
        return (across / joint.fingers,) * joint.fingers
    if joint.finger_width is None:
        raise ValueError("a finger corner needs a number of fingers or a finger width")
    whole = int(across / joint.finger_width + 1e-9)
    rest = across - whole * joint.finger_width
    widths = [joint.finger_width] * whole
    if rest < 1e-6:
        return tuple(widths)
    if rest < THINNEST and widths:
        widths[-1] += rest
    else:
        widths.append(rest)
    return tuple(widths)


def problems(joint: FingerJoint, boards: Boards) -> list[Problem]:
    """What is wrong with these fingers on these boards."""
    problems = board_problems(boards)
    across = min(boards.across_a, boards.across_b)
    measures = {"across": across, "thinnest": THINNEST}
    if boards.lay == "frame" and boards.thickness_b is not None:
        problems.append(
            Problem(
                "boards.thickness_b", "cannot differ in a frame finger corner: its fingers would not meet"
            )
        )
    if joint.fingers is not None:
        if joint.fingers < FEWEST:
            problems.append(Problem("joint.fingers", f"must be at least {FEWEST}: one finger for each board"))
        elif across / joint.fingers < THINNEST:
            problems.append(
                Problem(
                    "joint.fingers",
                    f"gives fingers under {{thinnest}} on {{across}}: at most {int(across / THINNEST)}",
                    measures,
                )
            )
    elif joint.finger_width is not None:
        if joint.finger_width < THINNEST:
            problems.append(Problem("joint.finger_width", "must be at least {thinnest}", measures))
        elif across - joint.finger_width < THINNEST:
            problems.append(
                Problem(
                    "joint.finger_width",
                    "leaves no second finger on {across}: at most {most}",
                    {**measures, "most": across - THINNEST},
                )
            )
    return problems


def cheek_faces(widths: Sequence[float], boards: Boards) -> tuple[Face, ...]:
    """Faces between parts of boards A and B in turn, the first of A, their widths in mm in order.

    One glued on both faces carries no shear in its middle, one glued on one face at its far side.
    """
    last = len(widths) - 1
    away = [width if index in (0, last) else width / 2 for index, width in enumerate(widths)]
    faces = []
    for index in range(last):
        first, second = (index, index + 1) if index % 2 == 0 else (index + 1, index)
        faces.append(Face(min(away[first], boards.depth_a), min(away[second], boards.depth_b)))
    return tuple(faces)


def interlocked(
    widths: Sequence[float], boards: Boards, words: Interlocked, notes: tuple[str, ...] = ()
) -> Layout:
    """Two pieces that overlap in the corner by parts in turn, two lines at their ends, and their cheeks.

    ``widths`` in mm across the plane, in order; the first is board A's.
    """
    a, b = boards.depth_a, boards.depth_b
    of_a, of_b = widths[0::2], widths[1::2]
    corner = ((0.0, 0.0), (b, 0.0), (b, a), (0.0, a))
    piece_a, piece_b = words.pieces
    return Layout(
        boards=boards,
        cells=(
            Cell(leg_cell_a(boards, b), {BOARD_A: Part(boards.across_a, boards.across_a, a)}),
            Cell(leg_cell_b(boards, a), {BOARD_B: Part(boards.across_b, boards.across_b, b)}),
            Cell(
                corner,
                {
                    BOARD_A: Part(sum(of_a), sum(of_a) / len(of_a), a),
                    BOARD_B: Part(sum(of_b), sum(of_b) / len(of_b), b),
                },
                tuple(zip(cycle((BOARD_A, BOARD_B)), widths, strict=False)),
            ),
        ),
        pieces=(Piece(piece_a, 0.0), Piece(piece_b, pi / 2)),
        joinings=(
            GlueLine(words.ends_b, BOARD_A, BOARD_B, (0.0, a), (b, a), ((0.0, sum(of_a)),)),
            GlueLine(words.ends_a, BOARD_A, BOARD_B, (b, 0.0), (b, a), ((0.0, sum(of_b)),)),
            Cheek(words.cheeks, BOARD_A, BOARD_B, (2,), cheek_faces(widths, boards), (b, a)),
        ),
        fine_points=((0.0, a), (b, a), (b, 0.0)),
        mirrored=a == b,
        notes=notes,
    )


def layout(joint: FingerJoint, boards: Boards) -> Layout:
    """Fingers of both boards in turn."""
    widths = finger_widths(joint, min(boards.across_a, boards.across_b))
    notes = (
        *((MANY_NOTE,) if len(widths) >= MANY else ()),
        *((WIDE_NOTE,) if max(widths) > min(boards.depth_a, boards.depth_b) else ()),
    )
    return interlocked(widths, boards, FINGERS, notes)


def usual(boards: Boards) -> FingerJoint:
    """Fingers about as wide as the thinner board is thick, an odd number, at least three.

    Common practice, no source.

    >>> usual(Boards(19.0, 90.0, 150.0)).fingers
    5
    """
    across = min(boards.across_a, boards.across_b)
    wide = min(boards.thickness, boards.thickness_b or boards.thickness)
    return FingerJoint(fingers=max(3, 2 * round((across / wide - 1) / 2) + 1))


def interlocked_cuts(parts: int) -> Mapping[str, int]:
    """What is cut for one corner of ``parts`` in turn, both boards' together: every face between two parts is
    sawn in either board, and every part stands in a notch with a floor.
    """
    return {"board ends": 2, "sides of notches": 2 * (parts - 1), "floors of notches": parts}


def cuts(joint: FingerJoint, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    return interlocked_cuts(len(finger_widths(joint, min(boards.across_a, boards.across_b))))


FINGER = JointKind(
    kind="finger",
    aliases=("fingers", "finger joint", "box joint"),
    summary="square fingers of both boards in turn across the width, glued on their cheeks",
    parameters=FingerJoint,
    surfaces=FINGERS.surfaces,
    pieces=FINGERS.pieces,
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    usual=usual,
    cuts=cuts,
)
