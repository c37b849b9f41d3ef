"""One corner for a projector, 16:9: how it is loaded, where it gives, at what load, and the caution."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure

from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.said_aloud import (
    TREAT_AS_BROKEN,
    force_down,
    force_up,
    place_to_watch,
    stand_clear_from,
    still_holds,
    with_article,
)
from glueline.studies.show.canvas import INK, new_sheet
from glueline.studies.show.lettering import caution_lines, wrapped
from glueline.studies.show.load_sketch import LOAD, draw_load, frame_loaded
from glueline.studies.show.strength_colours import draw_scale
from glueline.studies.show.strength_drawing import draw_strength
from glueline.studies.show.strength_field import StrengthField, strength_field

WIDTH, HEIGHT = 12.8, 7.2  # inches, 16 to 9
TITLE, LOAD_SIZE, WORDS, CAUTION = 36, 60, 22, 15  # points: read from the back of a room
LEFT, PICTURE = 0.25, 6.6  # inches: the margin, the width of the picture
CAUTION_HIGH, HEAD = 1.05, 0.95  # inches
TEXT = PICTURE + 0.45  # inches from the left edge
CAUTION_FILL = "#f1ece2"

Line = tuple[str, float, bool, str]
"""Words, points, whether bold, colour."""


def draw_slide(prediction: Prediction, units: Units) -> Figure:
    """The slide of one prediction."""
    answer, field = prediction.answer, strength_field(prediction)
    sheet = slide_sheet(f"{prediction.specimen.kind.capitalize()} corner, predicted")
    draw_slide_corner(sheet, field)
    _write_beside(sheet, slide_lines(answer, units))
    return sheet


def _write_beside(sheet: Figure, lines: list[Line]) -> None:
    """Words beside the corner, as large as fits above the cautions."""
    room, share = HEIGHT - HEAD - CAUTION_HIGH - 0.1, 1.0
    while (laid := _laid_out(lines, share))[1] > room and share > 0.5:
        share -= 0.04
    high = HEIGHT - HEAD
    for words, size, bold, colour, step in laid[0]:
        high -= step
        weight = "bold" if bold else "normal"
        place = TEXT / WIDTH, high / HEIGHT
        sheet.text(*place, words, fontsize=size, fontweight=weight, color=colour, va="bottom")


def _laid_out(lines: list[Line], share: float) -> tuple[list[tuple[str, float, bool, str, float]], float]:
    """Lines that fit beside the corner, each with its distance from the last, and their height, in inches."""
    laid, high = [], 0.0
    for words, full, bold, colour in lines:
        size, gap = share * full, 0.13 * share
        for line in wrapped(words, size, WIDTH - TEXT - 0.2, bold):
            laid.append((line, size, bold, colour, size / 72 * 1.22 + gap))
            high, gap = high + laid[-1][-1], 0.0
    return laid, high


def slide_sheet(title: str) -> Figure:
    """An empty slide with its title and the cautions."""
    sheet = new_sheet(WIDTH, HEIGHT)
    sheet.set_layout_engine("none")
    size = TITLE if len(wrapped(title, TITLE, WIDTH - 2 * LEFT, True)) == 1 else TITLE * 0.7
    sheet.text(LEFT / WIDTH, 1 - 0.2 / HEIGHT, title, fontsize=size, fontweight="bold", color=INK, va="top")
    strip = sheet.add_axes((0.0, 0.0, 1.0, CAUTION_HIGH / HEIGHT), label="caution")
    strip.set_facecolor(CAUTION_FILL)
    strip.set_xticks([])
    strip.set_yticks([])
    for side in strip.spines.values():
        side.set_visible(False)
    strip.text(
        LEFT / WIDTH,
        0.5,
        "\n".join(caution_lines()),
        fontsize=CAUTION,
        color=INK,
        va="center",
        linespacing=1.25,
    )
    return sheet


def draw_slide_corner(sheet: Figure, field: StrengthField) -> None:
    """The corner with load and supports on the left, what gives first ringed, and its scale."""
    tall = HEIGHT - HEAD - CAUTION_HIGH - 0.1
    wide = PICTURE - 0.95
    place = (0.05 / WIDTH, (CAUTION_HIGH + 0.05) / HEIGHT, wide / WIDTH, tall / HEIGHT)
    axes: Any = sheet.add_axes(place, label="corner")
    colours = draw_strength(axes, field, 40)
    draw_load(axes, field.layout, field.arrangement, WORDS)
    frame_loaded(axes, field.layout)
    bar = (wide / WIDTH, (CAUTION_HIGH + 0.75) / HEIGHT, 0.2 / WIDTH, (tall - 1.5) / HEIGHT)
    draw_scale(sheet, colours, None, CAUTION, cax=sheet.add_axes(bar, label="scale"))


def slide_lines(answer: Answer, units: Units) -> list[Line]:
    """What stands beside the corner: words, points, whether bold, colour.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> answer = predict(read_specimen(example_path("butt")), method="elastic").answer
    >>> [words for words, *_ in slide_lines(answer, "metric")][0]
    'gives at about'
    """
    least, _ = stand_clear_from(answer)
    holds = still_holds(answer)
    lines: list[Line] = [
        ("gives far by about" if holds else "gives at about", WORDS, False, INK),
        (
            f"{significant(answer.break_load * force_factor(units), 3)} {force_unit(units)}",
            LOAD_SIZE,
            True,
            INK,
        ),
    ]
    if answer.band is not None:
        low, high = answer.band
        likely = f"nine of ten alike between {force_down(low, units)} and {force_up(high, units)}"
        lines.append((likely, WORDS, False, INK))
    else:
        lines.append(("how far corners made alike differ is left out", WORDS - 4, False, INK))
    return [
        *lines,
        ("force on the joint, not weight stacked", WORDS - 4, False, INK),
        (f"Stand clear from {force_down(least, units)}", WORDS + 6, True, LOAD),
        (f"Watch {with_article(place_to_watch(answer))}", WORDS, False, INK),
        (f"What gives: {answer.mode}", WORDS, False, INK),
        (TREAT_AS_BROKEN, WORDS - 4, False, INK),
    ]
