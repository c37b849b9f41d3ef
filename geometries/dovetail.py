"""Dovetail: tails of one board between pins of the other across the width, glued on their cheeks.

It is the finger corner with widths that vary along the tail, in strips. Pins and half pins lie evenly: half a
pin at either edge, whole ones between the tails.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi
from typing import Literal

from glueline.geometries.finger import (
    MANY,
    MANY_NOTE,
    THINNEST,
    WIDE_NOTE,
    cheek_faces,
    interlocked_cuts,
)
from glueline.geometries.joinings import Cheek, Face, GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, cannot_be, key_with_default
from glueline.geometries.layout import Boards, Cell, Lay, Layout, Part, Piece, leg_cell_a, leg_cell_b
from glueline.geometries.words import BOARD_A, BOARD_B, area_words, board_words, line_words

LAYS: tuple[Lay, ...] = ("box",)
FLOORS_A = line_words("notch floors of board A", is_plural=True)
FLOORS_B = line_words("notch floors of board B", is_plural=True)
CHEEKS = area_words("dovetail cheeks")
TAILS_A, TAILS_B = board_words("tails of {}", "the ")
PINS_A, PINS_B = board_words("pins of {}", "the ")
STRIPS = 4
STEEPEST = 1 / 3  # mm to the side for each along
ROUNDING = 1e-9
WEDGE_NOTE = (
    "Tails are taken as fingers that widen; that they also wedge between the pins is left out. By a "
    "calculation of its own the wedge adds 0.2 % at a slope of 1:7 and 2.7 % at 1:4 with friction."
)
SHORT_GRAIN_NOTE = (
    "The short grain at the sharp corners of tails and pins lies out of the plane of the model and is not "
    "judged."
)


@dataclass(frozen=True)
class Dovetail:
    """``tails`` in number; ``slope`` in mm to the side for each along; ``half_pin_width`` in mm.

    >>> from glueline.geometries import JOINTS, Boards
    >>> boards = Boards(19.0, 90.0, 150.0)  # mm
    >>> filled(Dovetail(), boards)
    Dovetail(tails=3, slope=0.14285714285714285, half_pin_width=5.0, tails_on='A')
    >>> [len(cheek.faces) for cheek in JOINTS["dovetail"].layout(Dovetail(), boards).joinings[2:]]
    [6]
    """

    tails: int | None = key_with_default(
        "count",
        "number of tails",
        "number of tails across the width",
        "one for every one and a half thicknesses of the width (common practice, no source)",
    )
    slope: float | None = key_with_default(
        "slope",
        "slope of the tails",
        "slope of a tail's sides, to the side and along it",
        "1:7 (common practice, no source)",
    )
    half_pin_width: float | None = key_with_default(
        "length",
        "width of a half pin",
        "width of the half pin at either edge where it is narrowest; a pin is two of them",
        "a sixth of the width that a tail and a pin share (common practice, no source)",
    )
    tails_on: Literal["A", "B"] | None = key_with_default(
        "choice",
        "board with the tails",
        "the board that has the tails; the other has the pins",
        "A",
        choices=("A", "B"),
    )


@dataclass(frozen=True)
class Tails:
    """Tails as they lie: ``share`` of the width in mm for one tail and one pin, ``reach`` along the tail."""

    number: int
    share: float
    slope: float
    half_pin: float
    reach: float
    on_a: bool

    def pin(self, along: float) -> float:
        """Width of a pin in mm, ``along`` mm from the tails' ends."""
        return 2 * (self.half_pin + self.slope * along)

    def tail(self, along: float) -> float:
        """Width of a tail in mm, ``along`` mm from its end."""
        return self.share - self.pin(along)

    @property
    def strips(self) -> list[tuple[float, float]]:
        """Where each strip begins and ends, in mm from the tails' ends."""
        step = self.reach / STRIPS
        return [(index * step, (index + 1) * step) for index in range(STRIPS)]


def _tails(joint: Dovetail, boards: Boards) -> Tails:
    across = min(boards.across_a, boards.across_b)
    number = max(1, round(across / (1.5 * boards.thickness))) if joint.tails is None else joint.tails
    share = across / max(number, 1)
    on_a = joint.tails_on != "B"
    return Tails(
        number,
        share,
        1 / 7 if joint.slope is None else joint.slope,
        share / 6 if joint.half_pin_width is None else joint.half_pin_width,
        boards.depth_b if on_a else boards.depth_a,
        on_a,
    )


def filled(joint: Dovetail, boards: Boards) -> Dovetail:
    """With what was left out as a proportion of the boards."""
    tails = _tails(joint, boards)
    return replace(
        joint,
        tails=tails.number,
        slope=tails.slope,
        half_pin_width=tails.half_pin,
        tails_on="A" if tails.on_a else "B",
    )


def problems(joint: Dovetail, boards: Boards) -> list[Problem]:
    """What is wrong with these tails on these boards."""
    found = board_problems(boards, LAYS)
    if cannot_be(found):
        return found
    tails = _tails(joint, boards)
    if tails.number < 1:
        return [*found, Problem("joint.tails", "must be at least 1")]
    if tails.slope > STEEPEST + ROUNDING:
        text = "is too steep for the grain beside it to hold: at most 1:3"
        return [*found, Problem("joint.slope", text)]
    least = {"least": THINNEST / 2}
    if tails.half_pin < THINNEST / 2 - ROUNDING:
        if joint.half_pin_width is None:
            text = f"gives pins under {{thinnest}}: {tails.number} tails on {{across}} are too many"
            sizes = {"thinnest": THINNEST, "across": min(boards.across_a, boards.across_b)}
            return [*found, Problem("joint.tails", text, sizes)]
        return [*found, Problem("joint.half_pin_width", "must be at least {least}", least)]
    narrowest = tails.tail(tails.reach)
    if narrowest < THINNEST - ROUNDING:
        text = (
            "does not leave enough of the tails: {number} on boards {across} wide share {share} each with a "
            "pin, which grows to {pin} over {reach}; a tail must keep {thinnest} where it is narrowest"
        ).replace("{number}", str(tails.number))
        sizes = {
            "across": min(boards.across_a, boards.across_b),
            "share": tails.share,
            "pin": tails.pin(tails.reach),
            "reach": tails.reach,
            "thinnest": THINNEST,
        }
        key = "joint.tails" if joint.half_pin_width is None else "joint.half_pin_width"
        found.append(Problem(key, text, sizes))
    return found


def _strip(tails: Tails, start: float, end: float, boards: Boards) -> Cell:
    """The cell of a strip across the tails; widths are those at its middle, the mean of it."""
    a, b = boards.depth_a, boards.depth_b
    middle = (start + end) / 2
    tail, pin = tails.tail(middle), tails.pin(middle)
    of_tails, of_pins = tails.number * tail, tails.number * pin
    one_pin = of_pins / (tails.number + 1)
    tailed, pinned = (BOARD_A, BOARD_B) if tails.on_a else (BOARD_B, BOARD_A)
    between = ((pinned, pin), (tailed, tail)) * (tails.number - 1)
    in_turn = ((pinned, pin / 2), (tailed, tail), *between, (pinned, pin / 2))
    if tails.on_a:
        outline = ((start, 0.0), (end, 0.0), (end, a), (start, a))
        parts = {BOARD_A: Part(of_tails, tail, a), BOARD_B: Part(of_pins, one_pin, b)}
        return Cell(outline, parts, in_turn)
    outline = ((0.0, start), (b, start), (b, end), (0.0, end))
    parts = {BOARD_A: Part(of_pins, one_pin, a), BOARD_B: Part(of_tails, tail, b)}
    return Cell(outline, parts, in_turn)


def _faces(tails: Tails, boards: Boards) -> tuple[Face, ...]:
    """Two faces a tail, at the mean of its width and of the pins'."""
    tail, pin = tails.tail(tails.reach / 2), tails.pin(tails.reach / 2)
    widths = [pin / 2, *([tail, pin] * (tails.number - 1)), tail, pin / 2]
    faces = cheek_faces(widths, boards)
    if not tails.on_a:
        return faces
    return tuple(Face(face.to_no_shear_plus, face.to_no_shear_minus) for face in faces)


def layout(joint: Dovetail, boards: Boards) -> Layout:
    """Two pieces that overlap in the corner, two lines of notch floors and the cheeks of the tails."""
    tails = _tails(joint, boards)
    a, b = boards.depth_a, boards.depth_b
    ends = tuple((start, tails.number * tails.tail((start + end) / 2)) for start, end in tails.strips)
    roots = ((0.0, tails.number * tails.pin(tails.reach)),)
    on_b, on_a = (ends, roots) if tails.on_a else (roots, ends)
    widest = max(tails.tail(0.0), tails.pin(tails.reach))
    piece_a, piece_b = (TAILS_A, PINS_B) if tails.on_a else (PINS_A, TAILS_B)
    return Layout(
        boards=boards,
        cells=(
            Cell(leg_cell_a(boards, b), {BOARD_A: Part(boards.across_a, boards.across_a, a)}),
            Cell(leg_cell_b(boards, a), {BOARD_B: Part(boards.across_b, boards.across_b, b)}),
            *(_strip(tails, start, end, boards) for start, end in tails.strips),
        ),
        pieces=(Piece(piece_a, 0.0), Piece(piece_b, pi / 2)),
        joinings=(
            GlueLine(FLOORS_B, BOARD_A, BOARD_B, (0.0, a), (b, a), on_b),
            GlueLine(FLOORS_A, BOARD_A, BOARD_B, (b, 0.0), (b, a), on_a),
            Cheek(CHEEKS, BOARD_A, BOARD_B, tuple(range(2, 2 + STRIPS)), _faces(tails, boards), (b, a)),
        ),
        fine_points=((0.0, a), (b, a), (b, 0.0)),
        mirrored=False,
        notes=(
            WEDGE_NOTE,
            SHORT_GRAIN_NOTE,
            *((MANY_NOTE,) if 2 * tails.number + 1 >= MANY else ()),
            *((WIDE_NOTE,) if widest > min(a, b) else ()),
        ),
    )


def cuts(joint: Dovetail, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner: tails, pins between them and a half pin at either edge."""
    return interlocked_cuts(2 * _tails(joint, boards).number + 1)


DOVETAIL = JointKind(
    kind="dovetail",
    aliases=("dovetails", "dovetail joint", "through dovetail"),
    summary="tails of one board between pins of the other across the width, glued on their cheeks",
    parameters=Dovetail,
    surfaces=(FLOORS_B, FLOORS_A, CHEEKS),
    pieces=(TAILS_A, PINS_A, TAILS_B, PINS_B),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    lays=LAYS,
    cuts=cuts,
)
