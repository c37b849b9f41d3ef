"""Load against displacement over the whole path: first damage, first crack, break, and what comes after."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from glueline.studies.files.display import (
    force_factor,
    force_unit,
    format_force,
    length_factor,
    length_unit,
)
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, drawn, new_sheet
from glueline.studies.show.curve_marks import AFTER, MarkKind, curve_marks, mark_place, under_weight
from glueline.studies.show.inch_axes import rule_ticks
from glueline.studies.show.lettering import balanced
from glueline.studies.show.path_marks import marks_of, what_holds

Array = NDArray[np.float64]

TITLE, WORDS = 23, 16  # points on a sheet 10 inches wide

BLUE, RED, GREEN, PINK, ORANGE, _ = LINE_COLOURS
LOOKS: dict[MarkKind, tuple[str, str]] = {
    "first damage": ("o", ORANGE),
    "first crack": ("v", GREEN),
    "wood gives": ("s", PINK),
    "break": ("X", RED),
    "highest load": ("D", GREEN),
    "holds later": ("d", GREEN),
}
"""Marker and colour of every kind of mark."""


def path_curve_png(break_path: BreakPath, units: Units, whole: bool = False) -> bytes:
    """The picture as PNG bytes."""
    return drawn(draw_path_curve, break_path, units, whole)


def draw_path_curve(break_path: BreakPath, units: Units, whole: bool = False) -> Figure:
    """Load over displacement up to the break.

    The ``whole`` path also has what comes after, in the order it happens, so that a snap-back turns back in
    the picture too; no rig of weights can follow that.
    """
    path, marks, corner = break_path.path, marks_of(break_path), break_path.corner
    load, displacement = path.load * force_factor(units), path.displacement * length_factor(units)
    sheet = new_sheet(10.0, 8.0)
    axes = sheet.subplots()
    displacement, load, broken = _through_the_break(break_path, displacement, load, units)
    end = broken + 1
    shown = np.arange(end) if whole else under_weight(load[:end])
    axes.plot(displacement[shown], load[shown], color=BLUE, linewidth=3.5, label="the corner holds")
    held = break_path.ends_held
    if whole and not held:
        axes.plot(
            displacement[end - 1 :],
            load[end - 1 :],
            color=BLUE,
            linewidth=2.0,
            linestyle=(0, (3, 1.5)),
            label=AFTER[break_path.breaks_in].format(glue=what_holds(corner)),
        )
    for state, text, kind in curve_marks(break_path, marks, units):
        if not (whole or kind == "break" or state in shown):
            continue
        at, height = mark_place(break_path, state, kind)
        axes.plot(
            at * length_factor(units),
            height * force_factor(units),
            marker=LOOKS[kind][0],
            markersize=16,
            markeredgecolor="white",
            linestyle="none",
            color=LOOKS[kind][1],
            label=text,
            zorder=4,
        )
    if whole and marks.first_crack is not None and marks.first_crack < marks.broken:
        _jump(axes, displacement, load, marks.first_crack)
    drawn_to = slice(None) if whole else shown
    right = 1.42 * displacement[drawn_to].max()
    if not held:
        _dead_weight(axes, displacement[broken], load[broken], right)
    if marks.wood is None:
        axes.plot([], [], linestyle="none", label=_wood_out_of_reach(break_path, units))
    axes.set_xlim(0, right)
    axes.set_ylim(0, 1.16 * load[drawn_to].max())
    axes.set_xlabel(f"give at the load, {length_unit(units)}", fontsize=WORDS, color=INK)
    rule_ticks(axes.xaxis, units)
    axes.set_ylabel(f"load P, {force_unit(units)}", fontsize=WORDS, color=INK)
    axes.tick_params(labelsize=WORDS - 1)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    sheet.legend(loc="outside lower left", fontsize=WORDS - 2, frameon=False, ncols=1)
    ends = "up to the largest turn" if held else "past its break" if whole else "up to its break"
    title = f"The {corner.specimen.kind} corner under load, {ends}"
    sheet.suptitle(balanced(title, TITLE, 9.4), fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _through_the_break(
    break_path: BreakPath, displacement: Array, load: Array, units: Units
) -> tuple[Array, Array, int]:
    """Displacements and loads as they are drawn, with the break where it lies between two states, and which
    of them that is."""
    state = break_path.state
    at = break_path.displacement * length_factor(units)
    height = break_path.break_load * force_factor(units)
    if np.isclose(load[state], height, rtol=1e-6):
        return displacement, load, state
    place = state if load[state] > height else state + 1
    return np.insert(displacement, place, at), np.insert(load, place, height), place


def _wood_out_of_reach(break_path: BreakPath, units: Units) -> str:
    """What is known of a wood load that the path does not meet; it may be no more than the glue's peak."""
    load = format_force(break_path.wood_load, units)
    if break_path.split is not None:
        return f"wood: begins to split at {format_force(break_path.split.load, units)}, held up to the break"
    glue_load = break_path.glue_load
    if glue_load is None or break_path.wood_load > glue_load:
        return f"wood: not reached; had the {what_holds(break_path.corner)} held, it would give at {load}"
    return f"wood: not reached, it holds at least {load}"


def _jump(axes: Any, displacement: Array, load: Array, crack: int) -> None:
    """Where hung weights take the corner when it cracks but holds again: level, to the same load."""
    again = np.flatnonzero(load[crack + 1 :] >= load[crack])
    if len(again):
        state = crack + 1 + int(again[0])
        axes.plot(displacement[[crack, state]], load[[crack, crack]], color=FAINT, linestyle=":", zorder=1)


def _dead_weight(axes: Any, displacement: float, load: float, right: float) -> None:
    """A faint level line from the break to the right: hung weights keep their load and fall along it."""
    axes.annotate(
        "",
        (right, load),
        xytext=(displacement, load),
        arrowprops={"arrowstyle": "-|>", "color": FAINT, "linestyle": ":", "linewidth": 1.4, "shrinkA": 8},
    )
    axes.annotate(
        "under dead weight\nit lets go here",
        (right, load),
        xytext=(-6, 5),
        textcoords="offset points",
        ha="right",
        va="bottom",
        fontsize=WORDS - 2,
        color="#555555",
    )
