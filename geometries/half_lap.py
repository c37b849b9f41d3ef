"""Half-lap: in a frame each board is cut to half its thickness over the corner, and the halves are glued.

It is the finger corner of two fingers in a frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from glueline.geometries.finger import THINNEST, Interlocked, interlocked, interlocked_cuts
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, cannot_be
from glueline.geometries.layout import Boards, Lay, Layout
from glueline.geometries.words import area_words, board_words, line_words

LAYS: tuple[Lay, ...] = ("frame",)
LAPS = Interlocked(
    line_words("lap shoulder of board B"),
    line_words("lap shoulder of board A"),
    area_words("lap cheek", is_plural=False),
    board_words("lap of {}", "the "),
)
LOPSIDED_NOTE = (
    "A half-lap is lopsided: its legs twist out of the plane, and what half of their thickness takes up "
    "spreads into the other half only along the leg, both of which a plane model leaves out. Held against a "
    "3D calculation of its own such a corner is 7 % too stiff, from 6 to 10 % over several boards and woods, "
    "and its cheek is given 0.74 of the corner moment in place of 0.60."
)
"""White oak, 19 x 60 x 200 mm; the rest from the same table, tests/studies/predict/lopsided.txt."""


@dataclass(frozen=True)
class HalfLap:
    """A half-lap has no measures of its own: either board gives half of its thickness.

    >>> from glueline.geometries import JOINTS, Boards
    >>> corner = JOINTS["half-lap"].layout(HalfLap(), Boards(19.0, 60.0, 200.0, "frame"))  # mm
    >>> [joining.name for joining in corner.joinings]
    ['lap shoulder of board B', 'lap shoulder of board A', 'lap cheek']
    """


def problems(_: HalfLap, boards: Boards) -> list[Problem]:
    """What is wrong with a half-lap of these boards."""
    found = board_problems(boards, LAYS)
    if not cannot_be(found) and boards.thickness / 2 < THINNEST:
        text = "leaves halves under {thinnest}: at least {least}"
        found.append(Problem("boards.thickness", text, {"thinnest": THINNEST, "least": 2 * THINNEST}))
    return found


def layout(_: HalfLap, boards: Boards) -> Layout:
    """Two halves glued on one face, their ends on shoulders."""
    return interlocked((boards.thickness / 2,) * 2, boards, LAPS, (LOPSIDED_NOTE,))


def cuts(_: HalfLap, __: Boards) -> Mapping[str, int]:
    """What is cut for one corner."""
    return interlocked_cuts(2)


HALF_LAP = JointKind(
    kind="half-lap",
    aliases=("half-lap joint", "halving", "corner lap"),
    summary="in a frame, each board cut to half its thickness over the corner, the halves glued together",
    parameters=HalfLap,
    surfaces=LAPS.surfaces,
    pieces=LAPS.pieces,
    allows_thickness_b=False,
    problems=problems,
    layout=layout,
    lays=LAYS,
    cuts=cuts,
)
