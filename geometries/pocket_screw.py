"""Pocket screws: a butt whose screws start in slanted pockets of board B and hold in board A.

In a box the pockets lie in the inside or the outside face of board B, so the screws slant in the plane; in a
frame they lie in its broad face, and the slant is out of the plane.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import cos, pi, radians, sin, tan
from typing import Literal

from glueline.geometries.butt import BUTT, Butt
from glueline.geometries.hardware import Reach, Screw, fastener_words, splitting_notes
from glueline.geometries.joinings import Point
from glueline.geometries.joint_kind import JointKind, Problem, key_with_default
from glueline.geometries.layout import Boards, Cell, Layout, Part
from glueline.geometries.mortises import ROUNDING, JointLine, base_of
from glueline.geometries.words import BOARD_A, BOARD_B, SurfaceWords

SEAT = 5 / 6  # of board B's thickness: from the end of the board to the head, along the screw
POINT_WALL = 1.0  # mm of wood that must stay before a point
LEAST_HOLD = 3.0  # diameters of thread in board A
MOST_IN_FRAME = 6
ENDS = {BOARD_B: ("head end", "mouth end"), BOARD_A: ("mouth end", "point end")}
WORDS = fastener_words("screws", ENDS)
EVEN_NOTE = "The screws are taken as equally spaced across the width."
SIDES_NOTE = (
    "Screws from the inside and from the outside pull about the same pressed end of the joint, so their "
    "axial lever is the same: this plane model sees nearly no difference between the sides."
)
FRAME_SIDE_NOTE = "In a frame the pockets lie in the broad face: pocket_side changes nothing."


@dataclass(frozen=True)
class PocketScrew:
    """Measures in mm, the angle in rad.

    >>> from glueline.geometries import JOINTS, Boards
    >>> boards = Boards(thickness=19.0, width=90.0, leg=150.0)  # mm
    >>> whole = filled(PocketScrew(), boards)
    >>> whole.screws, round(whole.screw_diameter, 2), round(whole.screw_length, 1)
    (2, 4.18, 31.7)
    """

    screws: int | None = key_with_default(
        "count",
        "number of screws",
        "number of screws: across the width in a box, along the joint in a frame",
        "in a box one for every 40 mm of the width, in a frame two, one in boards less than twice as wide as "
        "thick (common practice, no source)",
    )
    screw_diameter: float | None = key_with_default(
        "length",
        "screw diameter",
        "diameter of a screw over its thread",
        "0.22 of the thinner board, between 3 mm and 6 mm (common practice, no source)",
    )
    screw_length: float | None = key_with_default(
        "length",
        "screw length",
        "length of a screw from under its head to its point",
        "five thirds of the thinner board (common practice, no source)",
    )
    screw_angle: float | None = key_with_default(
        "angle",
        "screw angle",
        "angle between a screw and the face in which its pocket is",
        "15 deg (common practice, no source)",
    )
    head_diameter: float | None = key_with_default(
        "length",
        "head diameter",
        "diameter of a screw's head, which bears flat on the floor of its pocket",
        "two and a quarter diameters (common practice, no source)",
    )
    pocket_side: Literal["inside", "outside"] | None = key_with_default(
        "choice",
        "side of the pockets",
        "the face of board B in which the pockets are, in a box",
        "inside",
        choices=("inside", "outside"),
    )


def filled(joint: PocketScrew, boards: Boards) -> PocketScrew:
    """With what was left out as a proportion of the boards."""
    thinner = _thinner(boards)
    number = max(1, round(min(boards.across_a, boards.across_b) / 40.0))
    if boards.lay == "frame":
        number = 1 if boards.width < 2 * thinner else 2
    diameter = joint.screw_diameter or min(max(0.22 * thinner, 3.0), 6.0)
    return PocketScrew(
        screws=number if joint.screws is None else joint.screws,
        screw_diameter=diameter,
        screw_length=joint.screw_length or 5 / 3 * thinner,
        screw_angle=radians(15.0) if joint.screw_angle is None else joint.screw_angle,
        head_diameter=joint.head_diameter or 2.25 * diameter,
        pocket_side=joint.pocket_side or "inside",
    )


def _thinner(boards: Boards) -> float:
    return min(boards.thickness, boards.thickness_b or boards.thickness)


@dataclass(frozen=True)
class Axes:
    """Screws as they lie: ``places`` in mm along the joint where axes pass from B to A, ``number`` at each.

    ``direction`` is that of an axis in the plane, from head to point; ``in_b`` and ``in_a`` the lengths in
    the plane in either board; ``slant`` in rad what an axis rises out of the plane.
    """

    places: tuple[float, ...]
    number: int
    direction: Point
    in_b: float
    in_a: float
    slant: float


def _axes(full: PocketScrew, boards: Boards, line: JointLine) -> Axes:
    angle, length = float(full.screw_angle or 0.0), float(full.screw_length or 0.0)
    seat = SEAT * (boards.thickness_b or boards.thickness)
    number = int(full.screws or 0)
    if boards.lay == "frame":
        places = tuple(line.length * (place + 0.5) / number for place in range(number))
        down = cos(angle)
        return Axes(places, 1, (0.0, -1.0), seat * down, (length - seat) * down, angle)
    side = -1.0 if full.pocket_side == "inside" else 1.0  # which way an axis leans as it goes into board A
    return Axes((line.length / 2,), number, (side * sin(angle), -cos(angle)), seat, length - seat, 0.0)


def problems(joint: PocketScrew, boards: Boards) -> list[Problem]:
    """What is wrong with these screws in these boards."""
    found = BUTT.problems(Butt(), boards)
    if joint.screws is not None and joint.screws < 1:
        found.append(Problem("joint.screws", "must be at least 1; without screws use a butt"))
    if joint.screws is not None and boards.lay == "frame" and joint.screws > MOST_IN_FRAME:
        found.append(Problem("joint.screws", f"must be at most {MOST_IN_FRAME} in a frame"))
    if joint.screw_angle is not None and not radians(5.0) - 1e-9 <= joint.screw_angle <= radians(30.0) + 1e-9:
        found.append(Problem("joint.screw_angle", "must lie between 5 deg and 30 deg"))
    if joint.screw_diameter is not None and not 1.5 <= joint.screw_diameter <= 12.0:
        limits = {"least": 1.5, "most": 12.0}
        found.append(Problem("joint.screw_diameter", "must lie between {least} and {most}", limits))
    if found:
        return found
    full, (_, line) = filled(joint, boards), base_of("butt", boards)
    return [*_head_problems(full, boards), *_length_problems(full, boards, line)]


def _head_problems(full: PocketScrew, boards: Boards) -> list[Problem]:
    """Heads that are no wider than the screw, come out of the face, or run into each other."""
    head, diameter = float(full.head_diameter or 0.0), float(full.screw_diameter or 0.0)
    angle, thick = float(full.screw_angle or 0.0), boards.thickness_b or boards.thickness
    if head < 1.3 * diameter - ROUNDING:
        least = {"least": 1.3 * diameter}
        return [Problem("joint.head_diameter", "must be at least {least}, to bear on wood", least)]
    room = 2 * (thick / 2 - SEAT * thick * sin(angle)) / cos(angle)
    if room < 1.3 * 1.5:
        text = "leaves no wood about a head, which would come out of the face of its pocket: a smaller one"
        return [Problem("joint.screw_angle", f"{text} is needed")]
    if head > room + ROUNDING:
        text = (
            "comes out of the face of board B in which its pocket is: at most {most} fits under it there; a "
            "thinner screw, a smaller angle or a thicker board is needed"
        )
        return [Problem("joint.head_diameter", text, {"most": room})]
    across = min(boards.across_a, boards.across_b) if boards.lay == "box" else boards.width
    number = int(full.screws or 0)
    if number * (head + 2.0) > across:
        most = int(across / (head + 2.0))
        return [Problem("joint.screws", f"do not fit on {{across}}: at most {most}", {"across": across})]
    return []


def _length_problems(full: PocketScrew, boards: Boards, line: JointLine) -> list[Problem]:
    """Screws that miss board A, hold in too little of it, or come through it."""
    axes, length = _axes(full, boards, line), float(full.screw_length or 0.0)
    rise = cos(float(full.screw_angle or 0.0))
    seat = SEAT * (boards.thickness_b or boards.thickness)
    least = seat + LEAST_HOLD * float(full.screw_diameter or 0.0)
    most = seat + (boards.depth_a - POINT_WALL) / rise
    if boards.lay == "frame":
        # Out of the plane an axis comes to the other broad face of board A before anything else.
        most = min(most, seat + (boards.thickness / 2 - POINT_WALL) / sin(float(full.screw_angle or 0.0)))
    else:
        lean = tan(float(full.screw_angle or 0.0))
        if full.pocket_side == "inside" and line.length / 2 < axes.in_a * rise * lean + POINT_WALL:
            most = min(most, seat + (line.length / 2 - POINT_WALL) / (lean * rise))
    if least > most:
        text = "does not go together with these boards: a thinner screw or a thicker board A is needed"
        return [Problem("joint.screw_diameter", text)]
    if length < seat - ROUNDING:
        text = "does not reach board A: its head bears {seat} from it, and three diameters must hold in it, "
        return [Problem("joint.screw_length", text + "so at least {least}", {"seat": seat, "least": least})]
    if length < least - ROUNDING:
        text = "leaves {left} in board A, less than three diameters: at least {least}"
        return [Problem("joint.screw_length", text, {"left": length - seat, "least": least})]
    if length > most + ROUNDING:
        text = "comes through a face of board A, or within {wall} of it: at most {most}"
        return [Problem("joint.screw_length", text, {"wall": POINT_WALL, "most": most})]
    return []


def layout(joint: PocketScrew, boards: Boards) -> Layout:
    """The butt with pockets in board B and screws through its end into board A."""
    full, (base, line) = filled(joint, boards), base_of("butt", boards)
    axes = _axes(full, boards, line)
    hardware: list[Screw] = []
    for place in axes.places:
        mouth = line.at(place, 0.0)
        head, point = (_along(mouth, axes.direction, reach) for reach in (-axes.in_b, axes.in_a))
        hardware.append(
            Screw(
                name="screws" if len(axes.places) == 1 else f"screw {len(hardware) + 1}",
                singular="screw",
                under_head=Reach(_words(axes, len(hardware))[BOARD_B], BOARD_B, head, mouth),
                threaded=Reach(_words(axes, len(hardware))[BOARD_A], BOARD_A, mouth, point),
                diameter=float(full.screw_diameter or 0.0),
                head_diameter=float(full.head_diameter or 0.0),
                number=axes.number,
                slant=axes.slant,
            )
        )
    side = SIDES_NOTE if boards.lay == "box" else FRAME_SIDE_NOTE if joint.pocket_side else ""
    return replace(
        base,
        cells=_with_pockets(base, full, axes, line),
        fine_points=(*base.fine_points, *(line.at(place, 0.0) for place in axes.places)),
        notes=(
            *((side,) if side else ()),
            *splitting_notes("screws", _to_end(hardware)),
            *((EVEN_NOTE,) if axes.number > 1 else ()),
        ),
        hardware=tuple(hardware),
    )


def _to_end(hardware: Iterable[Screw]) -> float:
    """Least distance of an axis in board A from that board's end, which lies at x = 0, in diameters."""
    return min(min(each.threaded.start[0], each.threaded.end[0]) / each.diameter for each in hardware)


def _words(axes: Axes, place: int) -> Mapping[str, SurfaceWords]:
    return WORDS if len(axes.places) == 1 else FRAME_WORDS[place]


def _along(place: Point, direction: Point, reach: float) -> Point:
    return round(place[0] + reach * direction[0], 9), round(place[1] + reach * direction[1], 9)


def _with_pockets(base: Layout, full: PocketScrew, axes: Axes, line: JointLine) -> tuple[Cell, ...]:
    """The butt's cells, with the mean of what a round pocket leaves of board B from the head on outward."""
    first, second = base.cells
    whole, half = second.parts[BOARD_B], float(full.head_diameter or 0.0) / 2
    gone = axes.number * pi / 4 * 2 * half / cos(axes.slant)
    pocketed = Part(whole.across - gone, whole.single, whole.depth)
    out = (-axes.direction[0], -axes.direction[1])
    left = (-out[1], out[0])
    cells, rest = [first], second.polygon
    for place in axes.places:
        mouth = line.at(place, 0.0)
        level = mouth[0] * left[0] + mouth[1] * left[1] - (line.start[0] * left[0] + line.start[1] * left[1])
        seat = (mouth[0] - line.start[0]) * out[0] + (mouth[1] - line.start[1]) * out[1] + axes.in_b
        end = seat + _pocket_length(full, axes)
        cells.append(Cell(line.cut(rest, left, level + half), {BOARD_B: whole}))
        strip = line.cut(line.cut(rest, (-left[0], -left[1]), -(level + half)), left, level - half)
        cells.append(Cell(line.cut(strip, (-out[0], -out[1]), -seat), {BOARD_B: whole}))
        pocket = line.cut(strip, out, seat)
        cells.append(Cell(line.cut(pocket, (-out[0], -out[1]), -end), {BOARD_B: pocketed}))
        cells.append(Cell(line.cut(pocket, out, end), {BOARD_B: whole}))
        rest = line.cut(rest, (-left[0], -left[1]), -(level - half))
    cells.append(Cell(rest, {BOARD_B: whole}))
    return tuple(cell for cell in cells if cell.polygon)


def _pocket_length(full: PocketScrew, axes: Axes) -> float:
    """From the head to where the pocket's axis comes out of the face, in the plane."""
    if not axes.slant:
        return 1e4  # the strip leaves the board by itself
    depth = float(full.head_diameter or 0.0)
    return depth / tan(axes.slant)


def cuts(joint: PocketScrew, boards: Boards) -> Mapping[str, int]:
    """What is cut for one corner: a stepped hole for every screw, in one go."""
    return {"board ends": 2, "holes": int(filled(joint, boards).screws or 0)}


FRAME_WORDS = tuple(
    fastener_words(f"screw {place + 1}", ENDS, plural=False) for place in range(MOST_IN_FRAME)
)

POCKET_SCREW = JointKind(
    kind="pocket screw",
    aliases=("pocket screws", "pocket hole", "pocket-screwed butt"),
    summary="a butt screwed from slanted pockets in board B into board A, with glue or without",
    parameters=PocketScrew,
    surfaces=BUTT.surfaces,
    pieces=BUTT.pieces,
    allows_thickness_b=True,
    problems=problems,
    layout=layout,
    filled=filled,
    cuts=cuts,
    fastener_surfaces=tuple(words for each in (WORDS, *FRAME_WORDS) for words in each.values()),
    holds_dry=True,
)
