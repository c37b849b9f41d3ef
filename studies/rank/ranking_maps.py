"""What breaks each of several corners: strength in use in wood and glue, side by side on one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure

from glueline.studies.files.display import format_force, format_length
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import INK, new_sheet
from glueline.studies.show.lettering import CAPTION, LABEL, TICK, TITLE, caution_lines, short_labels, wrapped
from glueline.studies.show.load_sketch import draw_load_beside
from glueline.studies.show.strength_colours import draw_scale
from glueline.studies.show.strength_drawing import draw_strength, frame_close
from glueline.studies.show.strength_field import StrengthField, strength_field

Rectangle = tuple[float, float, float, float]  # left, bottom, width, height

COLUMNS = {1: 1, 2: 2, 4: 2}  # by the number of corners, else three
PANEL, LONE_PANEL = 3.4, 5.0  # inches, the side of a panel
HEAD, FOOT, BAR = 0.65, 0.95, 1.75  # inches, around the panels
NAME_LINE, BELOW_LINE = 0.36, 0.27  # inches


@dataclass(frozen=True)
class CornerField:
    """One corner of the picture: its label, load in N, how it gives, and its ``strength`` in use then."""

    label: str
    break_load: float
    mode: str
    strength: StrengthField


def corner_field(prediction: Prediction, label: str) -> CornerField:
    """What the side-by-side picture needs of a prediction, which need not be kept."""
    return CornerField(label, prediction.break_load, prediction.critical.mode, strength_field(prediction))


def draw_maps(fields: Sequence[CornerField], units: Units) -> Figure:
    """One panel a corner, strongest first, each as it breaks at its own load, all on one scale."""
    ranked = sorted(fields, key=lambda field: -field.break_load)
    columns = COLUMNS.get(len(ranked), 3)
    rows = math.ceil(len(ranked) / columns)
    side = PANEL if len(ranked) > 1 else LONE_PANEL
    width = max(10.5, columns * side + BAR)
    wide = (width - BAR) / columns
    labels = short_labels([field.label for field in ranked], LABEL - 1, wide - 0.35, 2, bold=True)
    below = _below(ranked, units, wide)
    name = 0.1 + NAME_LINE * (2 + max(label.count("\n") for label in labels))
    tall = name + side + 0.15 + BELOW_LINE * max(len(words.splitlines()) for words in below)
    height = HEAD + rows * tall + FOOT
    sheet = new_sheet(width, height)
    sheet.set_layout_engine("none")
    colours: Any = None
    for index, (field, label, words) in enumerate(zip(ranked, labels, below, strict=True)):
        row, column = divmod(index, columns)
        top = height - HEAD - row * tall
        place = (0.1 + column * wide, top - name - side, wide - 0.15, side)
        axes = sheet.add_axes(_shares(place, width, height))
        colours = draw_strength(axes, field.strength, 27)
        frame_close(axes, field.strength)
        draw_load_beside(axes, field.strength.layout, field.strength.arrangement, CAPTION)
        heading = f"{label}\nbreaks at {format_force(field.break_load, units)}"
        axes.set_title(heading, fontsize=LABEL - 1, color=INK, fontweight="bold", pad=6)
        axes.set_xlabel(words, fontsize=TICK - 1, color=INK)
    bar_height = min(rows * tall, side + 1) - 1.5
    bar = (width - BAR + 0.25, height - HEAD - name - 0.2 - bar_height, 0.3, bar_height)
    draw_scale(sheet, colours, None, TICK, cax=sheet.add_axes(_shares(bar, width, height)))
    title = "What breaks each corner?" if len(ranked) > 1 else "What breaks this corner?"
    sheet.text(0.02, 1 - 0.14 / height, title, fontsize=TITLE, fontweight="bold", color=INK, va="top")
    foot = "\n".join(caution_lines())
    sheet.text(0.02, 0.1 / height, foot, fontsize=CAPTION, color="#444444", va="bottom")
    return sheet


def _shares(place: Rectangle, width: float, height: float) -> Rectangle:
    """Left, bottom, width and height in inches as shares of the sheet."""
    return place[0] / width, place[1] / height, place[2] / width, place[3] / height


def _below(ranked: Sequence[CornerField], units: Units, width: float) -> list[str]:
    """What stands below each panel: how it gives, and how deep its boards are where corners differ."""
    depths = [format_length(field.strength.depth, units) for field in ranked]
    sized = len(set(depths)) > 1
    return [
        "\n".join(wrapped(field.mode, TICK - 1, width - 0.3, False) + [f"boards {depth} deep"] * sized)
        for field, depth in zip(ranked, depths, strict=True)
    ]
