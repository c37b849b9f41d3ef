"""Tractions along every glue line and over every cheek at the break load."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation

from glueline.studies.corner.connections import Curve, Field
from glueline.studies.files.display import (
    format_force,
    length_factor,
    length_unit,
    percent,
    stress_factor,
    stress_unit,
)
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.inch_axes import rule_ticks
from glueline.studies.show.lettering import balanced
from glueline.studies.show.strength_colours import draw_scale, strength_colours

TITLE = 20  # points


def draw_tractions(prediction: Prediction, units: Units) -> Figure:
    """One panel a surface: opening and shear traction along a line, share of strength over a cheek."""
    corner = prediction.corner
    count = len(corner.connections)
    columns = min(count, 3)
    rows = -(-count // columns)
    width = max(7.0, 5.2 * columns)
    sheet = new_sheet(width, 4.4 * rows + 0.9)
    grid = sheet.subplots(rows, columns, squeeze=False).ravel()
    for axes in grid[count:]:
        axes.set_visible(False)
    for axes, connection in zip(grid, corner.connections, strict=False):
        traction = prediction.tractions_at_break[connection.name]
        for curve in connection.curves(traction):
            _draw_curve(axes, curve, units)
        for field in connection.fields(traction):
            _draw_field(axes, field, units)
        share = prediction.moment_share.get(connection.name)
        carried = "" if share is None else f"\n{percent(share)} of the bending at the corner"
        axes.set_title(f"{connection.name}{carried}", fontsize=12.5, color=INK)
        axes.tick_params(labelsize=11)
    what = "Tractions on the glue" if corner.glued else "Tractions on faces that only bear"
    load = format_force(prediction.break_load, units)
    title = balanced(f"{what}, {prediction.specimen.kind} corner at {load}", TITLE, width - 0.4)
    sheet.suptitle(title, fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _draw_curve(axes: Any, curve: Curve, units: Units) -> None:
    """Opening and shear along a line, with its strengths as thin lines."""
    traction = curve.traction * stress_factor(units)
    shear_strength, opening_strength = (strength * stress_factor(units) for strength in curve.strengths)
    distance = curve.distance * length_factor(units)
    axes.axhline(0, color=INK, linewidth=0.8)
    axes.plot(distance, traction[:, 1], color=LINE_COLOURS[1], linewidth=2.2, label="opening (+ pulls apart)")
    axes.plot(distance, traction[:, 0], color=LINE_COLOURS[0], linewidth=2.2, linestyle="--", label="shear")
    limits = (
        (opening_strength, LINE_COLOURS[1], "-"),
        (shear_strength, LINE_COLOURS[0], "--"),
        (-shear_strength, LINE_COLOURS[0], "--"),
    )
    for strength, colour, style in limits if shear_strength else ():  # a dry face has no strength
        axes.axhline(strength, color=colour, linewidth=0.9, linestyle=style, alpha=0.5)
    span = 1.6 * shear_strength or max(1.0, float(np.abs(traction).max()))
    axes.set_ylim(
        max(-2.2 * span, min(-span, 1.05 * traction.min())), min(2.2 * span, max(span, 1.05 * traction.max()))
    )
    axes.set_xlabel(f"from {curve.ends[0]} to {curve.ends[1]}, {length_unit(units)}", fontsize=11.5)
    rule_ticks(axes.xaxis, units)
    lines = " (thin lines: strength)" if shear_strength else ""
    axes.set_ylabel(f"{stress_unit(units)}{lines}", fontsize=11.5)
    axes.legend(fontsize=11, frameon=False, loc="best")


def _draw_field(axes: Any, field: Field, units: Units) -> None:
    """Share of strength over an area in colour, tractions as arrows."""
    traction, used = field.traction, field.share
    place = field.points * length_factor(units)
    triangles = Triangulation(place[:, 0], place[:, 1])
    look = {"shading": "gouraud", "cmap": strength_colours(), "vmin": 0.0, "vmax": 1.0}
    colours = axes.tripcolor(triangles, np.clip(used, 0.0, 1.0), **look)
    chosen = np.linspace(0, len(place) - 1, min(60, len(place))).astype(int)
    axes.quiver(
        place[chosen, 0],
        place[chosen, 1],
        traction[chosen, 0],
        traction[chosen, 1],
        color="white",
        edgecolor=INK,
        linewidth=0.5,
        width=0.008,
    )
    axes.set_aspect("equal")
    axes.set_xlabel(f"along board A, {length_unit(units)}", fontsize=11.5)
    axes.set_ylabel(f"along board B, {length_unit(units)}", fontsize=11.5)
    for axis in (axes.xaxis, axes.yaxis):
        rule_ticks(axis, units)
    draw_scale(axes.figure, colours, axes, 11, shrink=0.85)
