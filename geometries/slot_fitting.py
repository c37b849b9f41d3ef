"""Slot fittings: a butt or mitre with knock-down fittings let into slots of both boards, in a box."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from glueline.geometries.butt import BUTT
from glueline.geometries.hardware import Fitting, Reach, fastener_words, splitting_notes
from glueline.geometries.joinings import GlueLine
from glueline.geometries.joint_kind import JointKind, Problem, board_problems, key_with_default
from glueline.geometries.layout import Boards, Cell, Lay, Layout, Part
from glueline.geometries.mitre import MITRE
from glueline.geometries.mortises import LEAST_WALL, ROUNDING, around, base_of, inside, wood_behind
from glueline.geometries.words import BOARD_A, BOARD_B

LONGEST = 60.0  # mm across the width
THINNEST = 1.0
STRENGTH, STIFFNESS = 400.0, 400.0  # N and N/mm of one fitting
LAYS: tuple[Lay, ...] = ("box",)
WORDS = fastener_words("fittings", {BOARD_A: ("floor end", "mouth end"), BOARD_B: ("mouth end", "floor end")})
EVEN_NOTE = "The fittings are taken as equally spaced across the width."
STRENGTH_NOTE = (
    "What a fitting holds differs much from make to make: state fitting_strength and fitting_stiffness as "
    "its maker gives them."
)


@dataclass(frozen=True)
class SlotFitting:
    """Lengths in mm, strength in N and stiffness in N/mm of one fitting pulled along its axis.

    >>> from glueline.geometries import JOINTS, Boards
    >>> boards = Boards(thickness=20.0, width=90.0, leg=150.0)  # mm
    >>> whole = filled(SlotFitting(), boards)
    >>> whole.fittings, whole.fitting_length, whole.fitting_depth, whole.fitting_thickness
    (1, 54.0, 10.0, 4.0)
    """

    base: Literal["butt", "mitre"] | None = key_with_default(
        "choice", "joint of the boards", "how the boards themselves meet", "butt", choices=("butt", "mitre")
    )
    fittings: int | None = key_with_default(
        "count",
        "number of fittings",
        "number of fittings across the width",
        "one for every 90 mm of the width (common practice, no source)",
    )
    fitting_length: float | None = key_with_default(
        "length",
        "fitting length",
        "length of a fitting across the width",
        "three fifths of the width that one has, at most 60 mm (common practice, no source)",
    )
    fitting_depth: float | None = key_with_default(
        "length",
        "fitting depth",
        "how deep a fitting goes into either board, square to the joint",
        "half of the thinner board, a third on a mitre (common practice, no source)",
    )
    fitting_thickness: float | None = key_with_default(
        "length",
        "fitting thickness",
        "thickness of a fitting and its slots",
        "a fifth of the thinner board (common practice, no source)",
    )
    fitting_strength: float | None = key_with_default(
        "force", "fitting strength", "pull at which a fitting comes out", "400 N (a judgement, no source)"
    )
    fitting_stiffness: float | None = key_with_default(
        "stiffness",
        "fitting stiffness",
        "pull on a fitting for a millimetre by which the joint opens",
        "400 N/mm (a judgement, no source)",
    )


def filled(joint: SlotFitting, boards: Boards) -> SlotFitting:
    """With what was left out as a proportion of the boards."""
    across = min(boards.across_a, boards.across_b)
    thinner = min(boards.depth_a, boards.depth_b)
    number = joint.fittings or max(1, round(across / 90.0))
    share = 1 / 3 if joint.base == "mitre" else 1 / 2
    return SlotFitting(
        base=joint.base or "butt",
        fittings=number,
        fitting_length=joint.fitting_length or min(0.6 * across / number, LONGEST),
        fitting_depth=joint.fitting_depth or share * thinner,
        fitting_thickness=joint.fitting_thickness or thinner / 5,
        fitting_strength=joint.fitting_strength or STRENGTH,
        fitting_stiffness=joint.fitting_stiffness or STIFFNESS,
    )


def problems(joint: SlotFitting, boards: Boards) -> list[Problem]:
    """What is wrong with these fittings in these boards."""
    is_mitre = joint.base == "mitre"
    found = board_problems(boards, LAYS)
    if is_mitre and boards.thickness_b is not None:
        found.append(Problem("boards.thickness_b", "cannot differ where the boards are mitred"))
    if joint.fittings is not None and joint.fittings < 1:
        found.append(Problem("joint.fittings", "must be at least 1; without fittings use a butt or a mitre"))
    return found or _room_problems(filled(joint, boards), boards)


def _room_problems(full: SlotFitting, boards: Boards) -> list[Problem]:
    """Fittings that run into each other, or slots that come through a face."""
    found, (_, line) = [], base_of(full.base, boards)
    across, number = min(boards.across_a, boards.across_b), int(full.fittings or 0)
    longest = across / number - 2.0
    length, depth, thick = (
        float(value or 0.0) for value in (full.fitting_length, full.fitting_depth, full.fitting_thickness)
    )
    if longest < THINNEST:
        return [Problem("joint.fittings", f"do not fit: at most {int(across / (THINNEST + 2.0))}")]
    if length > longest + ROUNDING:
        text = "is too much for {across} and so many fittings: at most {most}"
        found.append(Problem("joint.fitting_length", text, {"across": across, "most": longest}))
    widest = line.length - 2 * LEAST_WALL
    if not THINNEST - ROUNDING <= thick <= widest + ROUNDING:
        text = "must lie between {least} and {most}, with wood on either side of its slot"
        return [*found, Problem("joint.fitting_thickness", text, {"least": THINNEST, "most": widest})]
    edge = (line.length - thick) / 2
    most = min(wood_behind(full.base, boards, edge, sign) for sign in (-1.0, 1.0)) - LEAST_WALL
    if not THINNEST - ROUNDING <= depth <= most + ROUNDING:
        text = "must lie between {least} and {most}, with {wall} of wood behind its slot"
        limits = {"least": THINNEST, "most": most, "wall": LEAST_WALL}
        found.append(Problem("joint.fitting_depth", text, limits))
    return found


def layout(joint: SlotFitting, boards: Boards) -> Layout:
    """The base with a slot across either board in the middle of the joint, and fittings in it."""
    full, (base, line) = filled(joint, boards), base_of(joint.base, boards)
    thick, depth = float(full.fitting_thickness or 0.0), float(full.fitting_depth or 0.0)
    number, length = int(full.fittings or 0), float(full.fitting_length or 0.0)
    across = min(boards.across_a, boards.across_b)
    left, middle = across - number * length, line.length / 2
    reach = middle - thick / 2, middle + thick / 2
    (face,) = base.joinings
    assert isinstance(face, GlueLine)
    cells = []
    for cell, board, sign in ((base.cells[0], BOARD_A, -1.0), (base.cells[1], BOARD_B, 1.0)):
        part = cell.parts[board]
        slotted = {board: Part(part.across - number * length, part.single, part.depth)}
        cells += [*around(cell.polygon, line, reach, depth, sign, cell.parts)]
        cells.append(Cell(inside(cell.polygon, line, reach, depth, sign), slotted))
    floor_a, mouth, floor_b = (line.at(middle, place) for place in (-depth, 0.0, depth))
    fitting = Fitting(
        name="fittings",
        singular="fitting",
        reaches=(
            Reach(WORDS[BOARD_A], BOARD_A, floor_a, mouth),
            Reach(WORDS[BOARD_B], BOARD_B, mouth, floor_b),
        ),
        thickness=thick,
        across=length,
        number=number,
        strength=float(full.fitting_strength or 0.0),
        stiffness=float(full.fitting_stiffness or 0.0),
        strength_is_judged=joint.fitting_strength is None,
        stiffness_is_judged=joint.fitting_stiffness is None,
    )
    is_judged = None in (joint.fitting_strength, joint.fitting_stiffness)
    return replace(
        base,
        cells=tuple(cells),
        joinings=(replace(face, widths=((0.0, across), (reach[0], left), (reach[1], across))),),
        fine_points=(*base.fine_points, mouth),
        notes=(
            *((STRENGTH_NOTE,) if is_judged else ()),
            *splitting_notes("fittings"),
            *((EVEN_NOTE,) if number > 1 else ()),
        ),
        hardware=(fitting,),
    )


def cuts(joint: SlotFitting, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner: a slot for either half of a fitting."""
    return {"board ends": 2, "slots": 2 * int(filled(joint, boards).fittings or 0)}


SLOT_FITTING = JointKind(
    kind="slot fitting",
    aliases=("slot fittings", "knock-down fitting"),
    summary="a butt or a mitre with knock-down fittings let into slots in both boards, with glue or without",
    parameters=SlotFitting,
    surfaces=(*BUTT.surfaces, *MITRE.surfaces),
    pieces=BUTT.pieces,
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    lays=LAYS,
    cuts=cuts,
    fastener_surfaces=tuple(WORDS.values()),
    holds_dry=True,
)
