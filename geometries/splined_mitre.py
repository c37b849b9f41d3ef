"""Splined mitre: a glued mitre with splines (keys, feathers) in slots sawn across the corner."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import pi, sqrt

from glueline.geometries.joinings import Cheek, Face, GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems
from glueline.geometries.layout import Boards, Cell, Layout, Part, Piece
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    Member,
    PieceWords,
    area_words,
    board_words,
    line_words,
)

SPLINES = "splines"
MITRE_FACE = line_words("mitre")
FLOOR_A = line_words("slot floors in board A", "face end", "mitre end", is_plural=True)
FLOOR_B = line_words("slot floors in board B", "mitre end", "face end", is_plural=True)
CHEEKS_A = area_words("spline cheeks in board A")
CHEEKS_B = area_words("spline cheeks in board B")
PIECE_A, PIECE_B = board_words()
SPLINE_PIECE = PieceWords(SPLINES, Member(SPLINES, "spline", "spline_wood", "in plane"))
THINNEST_SPLINE = 0.5
THINNEST_LAND = 2.0
LEAST_DEPTH = 3.0
LEAST_LIGAMENT = 1.0
BIAS_NOTE = (
    "Held against a 3D calculation of three splines, splines are given 12 % too little force before the "
    "mitre cracks and 6 to 11 % too much after, the cracked corner is up to 12 % too stiff, and they raise "
    "the load at which a closed mitre cracks by 12 % instead of 1 %."
)
"""What is left of the cheeks' error, from tests/studies/predict/cheek_rules.txt."""


@dataclass(frozen=True)
class SplinedMitre:
    """``splines`` in number; thickness and depth in mm, depth from the outer corner along the diagonal.

    >>> from glueline.geometries import JOINTS, Boards
    >>> joint = SplinedMitre(splines=3, spline_thickness=3.2, spline_depth=21.0)
    >>> corner = JOINTS["splined mitre"].layout(joint, Boards(thickness=19.0, width=90.0, leg=150.0))
    >>> [piece.name for piece in corner.pieces]
    ['board A', 'board B', 'splines']
    """

    splines: int = field(
        metadata={
            "quantity": "count",
            "label": "number of splines",
            "words": "number of splines",
            "required": True,
        }
    )
    spline_thickness: float = field(
        metadata={
            "quantity": "length",
            "label": "spline thickness",
            "words": "thickness of a spline",
            "required": True,
        }
    )
    spline_depth: float = field(
        metadata={
            "quantity": "length",
            "label": "spline depth",
            "words": "depth of the slot from the outer corner along the diagonal",
            "required": True,
        }
    )
    spline_wood: str | None = field(
        default=None,
        metadata={
            "quantity": "wood name",
            "label": "wood of the splines",
            "words": "wood of the splines, grain across the mitre; the boards' wood if not given",
            "required": False,
        },
    )


def problems(joint: SplinedMitre, boards: Boards) -> list[Problem]:
    """What is wrong with these splines in this mitre."""
    problems = board_problems(boards)
    if any(problem.key in ("boards.thickness", "boards.width") for problem in problems):
        return problems  # what fits on boards that cannot be would only mislead
    across, corner = boards.across_a, sqrt(2) * boards.depth_a
    if joint.splines < 1:
        problems.append(Problem("joint.splines", 'must be at least 1; without splines use kind = "mitre"'))
    if joint.spline_thickness < THINNEST_SPLINE:
        problems.append(
            Problem("joint.spline_thickness", "must be at least {least}", {"least": THINNEST_SPLINE})
        )
    elif joint.splines >= 1:
        together = joint.splines * joint.spline_thickness
        room = across - (joint.splines + 1) * THINNEST_LAND
        if together > room:
            most = int((across - THINNEST_LAND) / (joint.spline_thickness + THINNEST_LAND))
            problems.append(
                Problem(
                    "joint.splines",
                    f"do not fit: {joint.splines} of "
                    "{thickness} take {together} of a board {across} across, and {land} of wood "
                    "must stay between them: "
                    + (f"at most {most}" if most else "thinner splines or a wider board are needed"),
                    {
                        "thickness": joint.spline_thickness,
                        "together": together,
                        "across": across,
                        "land": THINNEST_LAND,
                    },
                )
            )
    if joint.spline_depth < LEAST_DEPTH:
        problems.append(Problem("joint.spline_depth", "must be at least {least}", {"least": LEAST_DEPTH}))
    elif joint.spline_depth > corner - LEAST_LIGAMENT:
        problems.append(
            Problem(
                "joint.spline_depth",
                "goes past the inner corner, which lies {corner} from the outer one along the diagonal: "
                "at most {most}",
                {"corner": corner, "most": corner - LEAST_LIGAMENT},
            )
        )
    return problems


def _faces(joint: SplinedMitre, land: float, depth: float) -> tuple[Face, ...]:
    """Equal spacing: inner lands are glued on both faces, the two outer ones on one."""
    inner, outer = min(land / 2, depth), min(land, depth)
    half = joint.spline_thickness / 2
    faces = []
    for index in range(joint.splines):
        faces.append(Face(outer if index == 0 else inner, half))
        faces.append(Face(outer if index == joint.splines - 1 else inner, half))
    return tuple(faces)


def layout(joint: SplinedMitre, boards: Boards) -> Layout:
    """Boards A and B on the diagonal, the splines over both, the slot floor square to the diagonal."""
    t, leg, across = boards.depth_a, boards.leg, boards.across_a
    reach = sqrt(2) * joint.spline_depth
    middle = (reach / 2, reach / 2)
    together = joint.splines * joint.spline_thickness
    land = (across - together) / (joint.splines + 1)
    whole = Part(across, across, t)
    slotted = Part(across - together, land, t)
    spline = Part(together, joint.spline_thickness, joint.spline_depth)
    faces = _faces(joint, land, t)
    return Layout(
        boards=boards,
        cells=(
            Cell((middle, (reach, 0.0), (leg, 0.0), (leg, t), (t, t)), {BOARD_A: whole}),
            Cell((middle, (t, t), (t, leg), (0.0, leg), (0.0, reach)), {BOARD_B: whole}),
            Cell(((0.0, 0.0), (reach, 0.0), middle), {BOARD_A: slotted, SPLINES: spline}),
            Cell(((0.0, 0.0), middle, (0.0, reach)), {BOARD_B: slotted, SPLINES: spline}),
        ),
        pieces=(Piece(PIECE_A, 0.0), Piece(PIECE_B, pi / 2), Piece(SPLINE_PIECE, -pi / 4)),
        joinings=(
            GlueLine(
                MITRE_FACE,
                BOARD_A,
                BOARD_B,
                (0.0, 0.0),
                (t, t),
                ((0.0, across - together), (joint.spline_depth, across)),
            ),
            GlueLine(FLOOR_A, BOARD_A, SPLINES, (reach, 0.0), middle, ((0.0, together),)),
            GlueLine(FLOOR_B, BOARD_B, SPLINES, middle, (0.0, reach), ((0.0, together),)),
            Cheek(CHEEKS_A, BOARD_A, SPLINES, (2,), faces, (t, t)),
            Cheek(CHEEKS_B, BOARD_B, SPLINES, (3,), faces, (t, t)),
        ),
        fine_points=((0.0, 0.0), (t, t), middle),
        mirrored=True,
        notes=("The splines are taken as equally spaced across the width.", BIAS_NOTE),
    )


def usual(boards: Boards) -> SplinedMitre:
    """Splines 3 mm thick, one for every 30 mm of the width, as deep as two thirds of the corner's diagonal:
    common practice, no source.

    >>> usual(Boards(18.0, 90.0, 150.0)).splines
    3
    """
    depth = 2 / 3 * sqrt(2) * boards.depth_a
    return SplinedMitre(max(1, round(boards.across_a / 30.0)), spline_thickness=3.0, spline_depth=depth)


def cuts(joint: SplinedMitre, _: Boards) -> Mapping[str, int]:
    """What is cut for one corner; a slot is sawn through both boards once they are glued."""
    return {"board ends": 2, "slots": joint.splines}


SPLINED_MITRE = JointKind(
    kind="splined mitre",
    aliases=("keyed mitre", "splined miter", "keyed miter", "feathered mitre"),
    summary="a glued mitre with splines in slots sawn across the corner, their grain across the mitre",
    parameters=SplinedMitre,
    surfaces=(MITRE_FACE, FLOOR_A, FLOOR_B, CHEEKS_A, CHEEKS_B),
    pieces=(PIECE_A, PIECE_B, SPLINE_PIECE),
    allows_thickness_b=False,
    problems=problems,
    layout=layout,
    usual=usual,
    cuts=cuts,
)
