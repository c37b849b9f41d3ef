"""How much of its strength every place uses as it breaks, what gives ringed."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import INK, new_sheet
from glueline.studies.show.lettering import balanced, wrapped
from glueline.studies.show.load_sketch import HALO, draw_load, frame_loaded
from glueline.studies.show.strength_colours import draw_scale
from glueline.studies.show.strength_drawing import draw_strength, frame_close
from glueline.studies.show.strength_field import StrengthField, strength_field

TITLE, WORDS = 25, 17  # points on a sheet of WIDTH
WIDTH, HEIGHT = 11.5, 6.6  # inches


def draw_share_of_strength(prediction: Prediction, units: Units) -> Figure:
    """The whole corner with its load, and the joint close up; 100 % is where wood, glue or fastener gives."""
    field = strength_field(prediction)
    sheet = new_sheet(WIDTH, HEIGHT)
    whole, close = sheet.subplots(1, 2, width_ratios=(1.0, 1.35))
    draw_strength(whole, field, 17)
    draw_load(whole, field.layout, field.arrangement, WORDS)
    frame_loaded(whole, field.layout)
    colours = draw_strength(close, field, 34)
    frame_close(close, field)
    _say_what_gives(close, prediction, field)
    draw_scale(sheet, colours, [whole, close], WORDS - 1, shrink=0.8, pad=0.02)
    kind = prediction.specimen.kind
    force = format_force(prediction.break_load, units).replace(" ", "\N{NO-BREAK SPACE}")
    title = f"Strength in use as the {kind} corner breaks, at {force}"
    sheet.suptitle(balanced(title, TITLE, WIDTH - 0.6), fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _say_what_gives(axes: Any, prediction: Prediction, field: StrengthField) -> None:
    """What gives first, beside the ring, in the empty quarter of the close view."""
    critical = prediction.critical
    words = [*wrapped(critical.mode, WORDS, 3.0, True), *wrapped(critical.where, WORDS, 3.0, False)]
    if field.jumping:
        words += wrapped("while the cracked corner jumps", WORDS, 3.0, False)
    axes.annotate(
        "\n".join(words),
        critical.point,
        xytext=(1.2 * field.depth, 2.5 * field.depth),
        ha="left",
        va="top",
        fontsize=WORDS,
        color=INK,
        path_effects=HALO,
        arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 1.6, "shrinkB": 17},
        zorder=8,
    )
