"""Load against displacement of the load along its own line."""

from __future__ import annotations

from matplotlib.figure import Figure

from glueline.studies.files.display import (
    force_factor,
    force_unit,
    format_force,
    length_factor,
    length_unit,
)
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.inch_axes import rule_ticks

TITLE, WORDS = 23, 16  # points on a sheet 10 inches wide


def draw_load_curve(prediction: Prediction, units: Units) -> Figure:
    """The elastic line up to the break load, with first damage marked."""
    sheet = new_sheet(10.0, 7.2)
    axes = sheet.subplots()
    force, length = force_factor(units), length_factor(units)
    end = prediction.break_load
    axes.plot(
        [0, prediction.compliance * end * length], [0, end * force], color=LINE_COLOURS[0], linewidth=3.5
    )
    marks = [
        (end, f"break ({prediction.critical.kind}): {format_force(end, units)}", "X", LINE_COLOURS[1]),
    ]
    damage = prediction.first_damage_load
    if damage is not None and damage < end:
        text = f"first glue point at its strength: {format_force(damage, units)}"
        marks.append((damage, text, "o", LINE_COLOURS[4]))
    for load, text, marker, colour in marks:
        axes.plot(
            [prediction.compliance * load * length],
            [load * force],
            marker=marker,
            markersize=16,
            linestyle="none",
            color=colour,
            label=text,
        )
    axes.set_xlim(0, 1.25 * prediction.compliance * end * length)
    axes.set_ylim(0, 1.25 * end * force)
    axes.set_xlabel(f"give at the load, {length_unit(units)}", fontsize=WORDS)
    rule_ticks(axes.xaxis, units)
    axes.set_ylabel(f"load P, {force_unit(units)}", fontsize=WORDS)
    axes.tick_params(labelsize=WORDS - 1)
    axes.legend(fontsize=WORDS - 2, frameon=False, loc="upper left")
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    sheet.suptitle(
        f"The {prediction.specimen.kind} corner under load, {answers_said([prediction.method])}",
        fontsize=TITLE,
        fontweight="bold",
        color=INK,
    )
    return sheet
