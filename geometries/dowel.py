"""Dowels: a butt or mitre with round rods of wood glued into holes in both boards.

In a box the dowels stand side by side across the width and act as one; in a frame they lie beside each other
along the joint, each for itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi
from typing import Literal

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.hardware import splitting_notes
from glueline.geometries.joinings import GlueLine, HoleBond, Rod
from glueline.geometries.joint_kind import JointKind, Problem, key_with_default
from glueline.geometries.layout import Boards, Cell, Layout, Part
from glueline.geometries.mitre import MITRE, Mitre
from glueline.geometries.mortises import LEAST_WALL, ROUNDING, JointLine, base_of, wood_behind
from glueline.geometries.words import (
    BOARD_A,
    BOARD_B,
    Member,
    PieceWords,
    SurfaceWords,
    board_words,
    line_words,
)

MEMBER = Member("dowels", "dowel", "dowel_wood", "in plane")
PIECE_A, PIECE_B = board_words()
MOST_IN_FRAME = 6
THINNEST = 2.0  # mm
FLOOR_NOTE = "The floors of the holes are taken as not reached: dowels stop short of them."
EVEN_NOTE = "The dowels are taken as equally spaced across the width."


def _rod_words(place: int | None) -> PieceWords:
    return PieceWords("dowels" if place is None else f"dowel {place + 1}", MEMBER)


def _hole_words(place: int | None) -> dict[str, SurfaceWords]:
    name = _rod_words(place).name
    plural = place is None
    return {
        BOARD_A: line_words(f"{name} in board A", "floor end", "mouth end", is_plural=plural),
        BOARD_B: line_words(f"{name} in board B", "mouth end", "floor end", is_plural=plural),
    }


@dataclass(frozen=True)
class Dowels:
    """Measures in mm; depths are square to the joint, ``from_inside`` is along it from the inside face.

    >>> from glueline.geometries import JOINTS, Boards
    >>> boards = Boards(thickness=20.0, width=90.0, leg=150.0)  # mm
    >>> whole = filled(Dowels(), boards)
    >>> whole.dowels, whole.dowel_diameter, whole.dowel_depth
    (2, 8.0, 24.0)
    >>> [hole.name for hole in JOINTS["dowel"].layout(Dowels(), boards).joinings]
    ['butt face', 'dowels in board A', 'dowels in board B']
    """

    base: Literal["butt", "mitre"] | None = key_with_default(
        "choice",
        "joint of the boards",
        "how the boards themselves meet",
        "butt",
        choices=("butt", "mitre"),
    )
    dowels: int | None = key_with_default(
        "count",
        "number of dowels",
        "number of dowels: across the width in a box, along the joint in a frame",
        "in a box one for every 40 mm of the width, in a frame two, one in boards less than twice as wide as "
        "thick (common practice, no source)",
    )
    dowel_diameter: float | None = key_with_default(
        "length",
        "dowel diameter",
        "diameter of a dowel",
        "two fifths of the thinner board (common practice, no source)",
    )
    dowel_depth: float | None = key_with_default(
        "length",
        "dowel depth",
        "how deep a dowel goes into board B, square to the joint",
        "three diameters, on a mitre as deep as in board A (common practice, no source)",
    )
    dowel_depth_in_a: float | None = key_with_default(
        "length",
        "dowel depth in board A",
        "how deep a dowel goes into board A, square to the joint",
        "two thirds of the wood behind it, three diameters at most (common practice, no source)",
    )
    through: bool | None = key_with_default(
        "yes or no",
        "passage through board A",
        "whether the dowels go through board A; they then have no depth there",
        "false",
        voids="dowel_depth_in_a",
    )
    dowel_wood: str | None = key_with_default(
        "wood name",
        "wood of the dowels",
        "wood of the dowels, grain along them",
        "the boards' wood",
    )
    from_inside: float | None = key_with_default(
        "length",
        "distance from the inside",
        "axis of a dowel, in a frame of their middle, from the inside face of the corner, along the joint",
        "half of the joint (common practice, no source)",
    )


@dataclass(frozen=True)
class Holes:
    """Holes as they lie: ``axes`` in mm along the joint, ``number`` across the plane at each, their depths by
    board.
    """

    axes: tuple[float, ...]
    number: int
    diameter: float
    depths: Mapping[str, float]


def filled(joint: Dowels, boards: Boards) -> Dowels:
    """With what was left out as a proportion of the boards."""
    _, line = base_of(joint.base, boards)
    across, is_box = min(boards.across_a, boards.across_b), boards.lay == "box"
    thinner = min(boards.thickness, boards.thickness_b or boards.thickness)
    usual = max(1, round(across / 40.0)) if is_box else 1 if line.length < 2 * thinner else 2
    number = usual if joint.dowels is None else joint.dowels
    diameter = 0.4 * thinner if joint.dowel_diameter is None else joint.dowel_diameter
    from_inside = line.length / 2 if joint.from_inside is None else joint.from_inside
    full = replace(
        joint,
        base=joint.base or "butt",
        dowels=number,
        dowel_diameter=diameter,
        through=bool(joint.through),
        from_inside=from_inside,
    )
    behind = min(
        wood_behind(full.base, boards, axis - diameter / 2, -1.0) for axis in _axes(full, boards, line)
    )
    in_a, in_b = joint.dowel_depth_in_a, joint.dowel_depth
    if in_a is None:
        deep = max(min(2 / 3 * behind, behind - LEAST_WALL, 3 * diameter), 0.0)
        in_a = boards.depth_a if full.through else deep
    if in_b is None:
        in_b = in_a if full.base == "mitre" else 3 * diameter
    return replace(full, dowel_depth=in_b, dowel_depth_in_a=in_a)


def _axes(full: Dowels, boards: Boards, line: JointLine) -> tuple[float, ...]:
    """Where the axes lie, in mm along the joint from its outside end."""
    middle = line.length - float(full.from_inside or 0.0)
    if boards.lay == "box":
        return (middle,)
    number = max(int(full.dowels or 0), 1)
    share = 2 * min(middle, line.length - middle) / number
    return tuple(middle + (place - (number - 1) / 2) * share for place in range(number))


def _holes(full: Dowels, boards: Boards, line: JointLine) -> Holes:
    depths = {BOARD_A: float(full.dowel_depth_in_a or 0.0), BOARD_B: float(full.dowel_depth or 0.0)}
    number = int(full.dowels or 0) if boards.lay == "box" else 1
    return Holes(_axes(full, boards, line), number, float(full.dowel_diameter or 0.0), depths)


def problems(joint: Dowels, boards: Boards) -> list[Problem]:
    """What is wrong with these dowels in these boards."""
    is_mitre = joint.base == "mitre"
    found = MITRE.problems(Mitre(), boards) if is_mitre else BUTT.problems(Butt(), boards)
    if is_mitre and boards.thickness_b is not None:
        found.append(Problem("boards.thickness_b", "cannot differ where the boards are mitred"))
    if joint.dowels is not None and joint.dowels < 1:
        found.append(Problem("joint.dowels", "must be at least 1; without dowels use a butt or a mitre"))
    if joint.dowels is not None and boards.lay == "frame" and joint.dowels > MOST_IN_FRAME:
        found.append(Problem("joint.dowels", f"must be at most {MOST_IN_FRAME} in a frame"))
    if joint.through and joint.dowel_depth_in_a is not None:
        text = (
            "cannot stand beside joint.through = true, whose dowels go all the way: leave it out, or "
            "joint.through = false"
        )
        found.append(Problem("joint.dowel_depth_in_a", text))
    if joint.through and is_mitre:
        found.append(
            Problem(
                "joint.through",
                "has no place in a mitre, whose dowels would come out at a slant: leave it out",
            )
        )
    if found:
        return found
    full, (_, line) = filled(joint, boards), base_of(joint.base, boards)
    for key in ("dowel_diameter", "dowel_depth", "dowel_depth_in_a"):
        if getattr(full, key) < THINNEST - ROUNDING:
            found.append(Problem(f"joint.{key}", "must be at least {least}", {"least": THINNEST}))
    return found or _room_problems(full, boards, line)


def _room_problems(full: Dowels, boards: Boards, line: JointLine) -> list[Problem]:
    """Holes that run into each other or come through a face."""
    holes, across = _holes(full, boards, line), min(boards.across_a, boards.across_b)
    wall, half = {"wall": LEAST_WALL}, holes.diameter / 2
    room = (across - (holes.number + 1) * LEAST_WALL) / holes.number
    if holes.diameter > room + ROUNDING:
        text = "is too much for {across}, with {wall} of wood about every dowel: at most {most}"
        if room < THINNEST:
            fitting = int((across - LEAST_WALL) / (holes.diameter + LEAST_WALL))
            return [
                Problem("joint.dowels", f"do not fit on {{across}}: at most {fitting}", {"across": across})
            ]
        return [Problem("joint.dowel_diameter", text, {**wall, "across": across, "most": room})]
    if len(holes.axes) > 1 and holes.axes[1] - holes.axes[0] < holes.diameter + LEAST_WALL - ROUNDING:
        text = "leaves less than {wall} of wood between the dowels: fewer or thinner ones are needed"
        return [Problem("joint.dowels", text, wall)]
    if min(holes.axes[0], line.length - holes.axes[-1]) < half + LEAST_WALL - ROUNDING:
        least = half + LEAST_WALL
        if line.length < 2 * least:
            return [
                Problem(
                    "joint.dowel_diameter",
                    "is too much: at most {most}",
                    {"most": line.length - 2 * LEAST_WALL},
                )
            ]
        text = "brings a dowel within {wall} of a face, or through it: it must lie between {least} and {most}"
        return [Problem("joint.from_inside", text, {**wall, "least": least, "most": line.length - least})]
    found = []
    for key, board, sign in (("joint.dowel_depth", BOARD_B, 1.0), ("joint.dowel_depth_in_a", BOARD_A, -1.0)):
        most = min(wood_behind(full.base, boards, axis - half, sign) for axis in holes.axes) - LEAST_WALL
        if holes.depths[board] > most + ROUNDING and not (full.through and board == BOARD_A):
            text = f"brings the hole within {{wall}} of the far face of {board}: at most {{most}}"
            found.append(Problem(key, text, {**wall, "most": most}))
    return found


def layout(joint: Dowels, boards: Boards) -> Layout:
    """The base with holes in both boards and a rod in them."""
    full, (base, line) = filled(joint, boards), base_of(joint.base, boards)
    holes = _holes(full, boards, line)
    across = min(boards.across_a, boards.across_b)
    left = across - holes.number * pi / 4 * holes.diameter  # the mean of what a round hole leaves of a face
    (face,) = base.joinings
    assert isinstance(face, GlueLine)
    widths: list[tuple[float, float]] = [(0.0, across)]
    rods, bonds, fine = [], [], [*base.fine_points]
    for place, axis in enumerate(holes.axes):
        own = None if boards.lay == "box" else place
        half = holes.diameter / 2
        widths += [(axis - half, left), (axis + half, across)]
        start, mouth, end = (
            line.at(axis, depth) for depth in (-holes.depths[BOARD_A], 0.0, holes.depths[BOARD_B])
        )
        words, rod = _hole_words(own), _rod_words(own)
        rods.append(Rod(rod, start, end, holes.diameter, holes.number))
        fine.append(mouth)
        for board, ends in ((BOARD_A, (start, mouth)), (BOARD_B, (mouth, end))):
            spacing = across / holes.number
            beside = axis, line.length - axis
            bonds.append(
                HoleBond(words[board], board, rod.name, *ends, holes.diameter, holes.number, spacing, beside)
            )
    return replace(
        base,
        cells=_with_holes(base, line, holes),
        joinings=(replace(face, widths=tuple(widths)), *bonds),
        fine_points=tuple(fine),
        mirrored=base.mirrored and holes.depths[BOARD_A] == holes.depths[BOARD_B],
        notes=(FLOOR_NOTE, *splitting_notes("dowels"), *((EVEN_NOTE,) if holes.number > 1 else ())),
        rods=tuple(rods),
    )


def _with_holes(base: Layout, line: JointLine, holes: Holes) -> tuple[Cell, ...]:
    """The boards' cells, with the mean of what a round hole leaves of them where one lies."""
    gone = holes.number * pi / 4 * holes.diameter
    cells: list[Cell] = []
    against = (-line.along[0], -line.along[1])
    for cell, board, sign in ((base.cells[0], BOARD_A, -1.0), (base.cells[1], BOARD_B, 1.0)):
        whole, rest = cell.parts[board], cell.polygon
        into = (sign * line.into_b[0], sign * line.into_b[1])
        depth, half = holes.depths[board], holes.diameter / 2
        bored = Part(whole.across - gone, whole.single, whole.depth)
        for axis in holes.axes:
            cells.append(Cell(line.cut(rest, against, -(axis - half)), {board: whole}))
            rest = line.cut(rest, line.along, axis - half)
            strip = line.cut(rest, against, -(axis + half))
            cells.append(Cell(line.cut(strip, (-into[0], -into[1]), -depth), {board: bored}))
            cells.append(Cell(line.cut(strip, into, depth), {board: whole}))
            rest = line.cut(rest, line.along, axis + half)
        cells.append(Cell(rest, {board: whole}))
    return tuple(cell for cell in cells if cell.polygon)


def cuts(joint: Dowels, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner: a hole for either end of a dowel, one in one go for a through dowel."""
    full = filled(joint, boards)
    return {"board ends": 2, "holes": (1 if full.through else 2) * int(full.dowels or 0)}


DOWEL = JointKind(
    kind="dowel",
    aliases=("dowels", "dowelled", "dowel joint"),
    summary="a butt or a mitre with round dowels glued into holes in both boards",
    parameters=Dowels,
    surfaces=(
        *BUTT.surfaces,
        *MITRE.surfaces,
        *(words for place in (None, *range(MOST_IN_FRAME)) for words in _hole_words(place).values()),
    ),
    pieces=(PIECE_A, PIECE_B, *(_rod_words(place) for place in (None, *range(MOST_IN_FRAME)))),
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    cuts=cuts,
)
