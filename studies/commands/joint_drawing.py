"""A small drawing of a joint in letters, from its own geometry, with its table as a specimen file has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from glueline.geometries import Layout
from glueline.geometries.across import Strip, strips_with_rods, whole_width
from glueline.geometries.joinings import Point
from glueline.geometries.joint_kind import JointKind
from glueline.geometries.layout import distance_to_segment
from glueline.geometries.polygons import holds
from glueline.geometries.words import BOARD_A, BOARD_B
from glueline.studies.corner.proportions import measures
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import Units, format_length

COLUMNS, ROWS = 26, 12  # a letter stands about twice as high as wide: the drawing comes out square
SEEN = 1.75  # how much of the legs is drawn, in depths of the deeper one
LETTERS_ACROSS = 60


def joint_table(kind: JointKind, specimen: Specimen) -> list[str]:
    """The lines of ``[joint]`` in a specimen file: all measures that may be stated beside one another."""
    joint, boards = specimen.joint, specimen.boards
    lines = ["[joint]", f'kind = "{kind.kind}"']
    for each in measures(kind, joint, boards):
        if not kind.problems(replace(joint, **{each.key: each.value}), boards):
            lines.append(f"{each.key} = {_toml(each.as_typed)}")
    return lines


def drawing(layout: Layout, units: Units) -> list[str]:
    """The corner in its plane, board A below; in a cell that pieces share their letters take turns.

    Under it what stands across the width where most pieces follow one another, and what the letters mean.
    """
    letters = letters_of(layout)
    lines = _raster(layout, letters)
    across = [strips_with_rods(layout, cell) for cell in layout.cells]
    most = max(across, key=len)
    if len(most) > 1:
        lines += ["", f"across the width, {format_length(whole_width(layout), units)}:", _bar(most, letters)]
    return [*lines, "", ", ".join(f"{letter}: {name}" for name, letter in letters.items())]


def letters_of(layout: Layout) -> dict[str, str]:
    """The letter of every piece and of what is let in, by name."""
    others = [piece.name for piece in layout.pieces if piece.name not in (BOARD_A, BOARD_B)]
    others += [each.name for each in layout.inserts]
    return {BOARD_A: "A", BOARD_B: "B"} | {name: name[0] for name in others}


def _raster(layout: Layout, letters: Mapping[str, str]) -> list[str]:
    side = SEEN * max(layout.boards.depth_a, layout.boards.depth_b)
    wide, high = side / COLUMNS, side / ROWS
    lines = []
    for row in reversed(range(ROWS)):
        points = [((column + 0.5) * wide, (row + 0.5) * high) for column in range(COLUMNS)]
        found = [_letter(layout, letters, point, row + column, high) for column, point in enumerate(points)]
        lines.append("".join(found).rstrip())
    return lines


def _letter(layout: Layout, letters: Mapping[str, str], point: Point, turn: int, high: float) -> str:
    """What stands at a point; what is let in is drawn at least a row high, or it would be missed."""
    for each in layout.inserts:
        reach = max(each.diameter, high) / 2
        if distance_to_segment(np.array([point]), each.start, each.end)[0] <= reach:
            return letters[each.name]
    names = next((list(cell.parts) for cell in layout.cells if holds(cell.polygon, point)), None)
    return " " if names is None else letters[names[turn % len(names)]]


def _bar(strips: tuple[Strip, ...], letters: Mapping[str, str]) -> str:
    """The strips in turn, every one at least one letter long."""
    scale = LETTERS_ACROSS / strips[-1].end
    return "".join(letters[each.piece] * max(1, round(each.width * scale)) for each in strips)


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else str(value)
