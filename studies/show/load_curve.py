"""Load against displacement of the load along its own line."""

from __future__ import annotations

from matplotlib.figure import Figure

from glueline.studies.files.display import (
    force_factor,
    force_unit,
    format_force,
    format_length,
    length_factor,
    length_unit,
)
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.inch_axes import rule_ticks


def draw_load_curve(prediction: Prediction, units: Units) -> Figure:
    """The elastic line up to the break load, with first damage marked."""
    sheet = new_sheet(7.5, 5.2)
    axes = sheet.subplots()
    force, length = force_factor(units), length_factor(units)
    end = prediction.break_load
    axes.plot(
        [0, prediction.compliance * end * length], [0, end * force], color=LINE_COLOURS[0], linewidth=2.5
    )
    marks = [
        (end, f"break ({prediction.critical.kind}): {format_force(end, units)}", "X", LINE_COLOURS[1]),
    ]
    damage = prediction.first_damage_load
    if damage is not None and damage < end:
        text = (
            f"first glue point at its strength: {format_force(damage, units)}\n"
            f"(elements of {format_length(prediction.corner.mesh.element_size, units)}; falls as they shrink)"
        )
        marks.append((damage, text, "o", LINE_COLOURS[4]))
    for load, text, marker, colour in marks:
        axes.plot(
            [prediction.compliance * load * length],
            [load * force],
            marker=marker,
            markersize=12,
            linestyle="none",
            color=colour,
            label=text,
        )
    axes.set_xlim(0, 1.25 * prediction.compliance * end * length)
    axes.set_ylim(0, 1.25 * end * force)
    axes.set_xlabel(f"displacement of the load along its own line, {length_unit(units)}", fontsize=12)
    rule_ticks(axes.xaxis, units)
    axes.set_ylabel(f"load P, {force_unit(units)}", fontsize=12)
    axes.tick_params(labelsize=11)
    axes.legend(fontsize=11.5, frameon=False, loc="upper left")
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.set_title(
        f"{prediction.specimen.kind.capitalize()}, {prediction.specimen.arrangement}, "
        f"{answers_said([prediction.method])}",
        fontsize=13,
        color=INK,
    )
    return sheet
