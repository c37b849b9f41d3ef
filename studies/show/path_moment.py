"""Who carries the corner moment along the path; for a single glue line, how far the glue has gone."""

from __future__ import annotations

from itertools import cycle
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from glueline.studies.corner.connections import Curve
from glueline.studies.files.display import force_factor, force_unit, length_factor, length_unit
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.path_shares import path_shares
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, drawn, new_sheet
from glueline.studies.show.inch_axes import rule_ticks
from glueline.studies.show.lettering import balanced
from glueline.studies.show.path_marks import PathMarks, is_damaged, marks_of, way_along
from glueline.studies.show.strength_colours import GONE_WORDS, STRENGTH_TICKS, strength_colours

Array = NDArray[np.float64]

STYLES = ("-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)), (0, (1, 1)))  # so that no line is told by hue alone

TITLE, WIDTH = 20, 8.6  # points; inches

LETTER = 1.35  # % of the picture's width that one letter of a mark takes


def path_moment_png(break_path: BreakPath, units: Units) -> bytes:
    """The picture as PNG bytes."""
    return drawn(draw_path_moment, break_path, units)


def draw_path_moment(break_path: BreakPath, units: Units) -> Figure:
    """The load above, the shares of the moment below, both against the way along the load curve.

    One glue line alone carries all of the moment, so the lower panel then shows how much of it has gone.
    """
    corner, marks = break_path.corner, marks_of(break_path)
    way = 100 * way_along(break_path)
    sheet = new_sheet(WIDTH, 7.4)
    above, below = sheet.subplots(2, 1, sharex=True, height_ratios=(1.0, 1.9))
    above.plot(way, break_path.path.load * force_factor(units), color=INK, linewidth=2.0)
    above.set_ylim(0, None)
    above.set_ylabel(f"load P, {force_unit(units)}", fontsize=12)
    first, *others = corner.connections
    alone = not others and not corner.layout.hardware
    curves = first.curves(break_path.tractions(break_path.state)[first.name]) if alone else ()
    if curves:
        title = "How far along its line the glue has gone"
        _draw_gone(below, break_path, first.name, curves[0], way, units)
    else:
        title = "Who carries the bending"
        _draw_shares(below, break_path, way)
    _draw_marks(above, below, marks, way, break_path)
    for axes in (above, below):
        axes.tick_params(labelsize=11)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    below.set_xlim(0, 100)
    below.set_xlabel("way along the load-displacement curve, % of its length", fontsize=12)
    heading = balanced(f"{title}, {corner.specimen.kind} corner", TITLE, WIDTH - 0.4)
    sheet.suptitle(heading, fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _draw_shares(axes: Any, break_path: BreakPath, way: Array) -> None:
    """One line a surface that touches board A, in % of the moment about the centroid of pressure."""
    shares = path_shares(break_path).share
    axes.axhline(0, color=FAINT, linewidth=0.8)
    for (name, share), colour, style in zip(shares.items(), cycle(LINE_COLOURS), cycle(STYLES), strict=False):
        axes.plot(way, 100 * share, color=colour, linestyle=style, linewidth=2.6, label=name)
    axes.set_ylabel("share of the bending at the corner, %", fontsize=12)
    low = min(0.0, *(100 * float(share.min()) for share in shares.values()))
    high = max(100.0, *(100 * float(share.max()) for share in shares.values()))
    axes.set_ylim(1.08 * low, 1.04 * high)
    axes.figure.legend(
        *axes.get_legend_handles_labels(),
        loc="outside lower center",
        ncols=len(shares),
        fontsize=11.5,
        frameon=False,
    )


def _draw_gone(axes: Any, break_path: BreakPath, name: str, curve: Curve, way: Array, units: Units) -> None:
    """Share of the toughness spent, in colour over the way and the place along the line."""
    inside = [0, *range(len(curve.points)), -1]  # from the outermost glue points to the ends of the line
    place = np.clip(curve.distance[inside], 0.0, curve.length)
    place[0], place[-1] = 0.0, curve.length
    gone = np.stack([break_path.gone(state)[name] for state in range(len(way))])[:, curve.points][:, inside]
    # The way comes in uneven steps; between two states it is taken to grow evenly.
    even = np.linspace(0.0, way[-1], 400)
    shown = np.stack([np.interp(even, way, one) for one in gone.T])
    colours = axes.pcolormesh(
        even,
        place * length_factor(units),
        shown,
        cmap=strength_colours(),
        vmin=0.0,
        vmax=1.0,
        shading="gouraud",
        rasterized=True,
    )
    axes.set_ylim(0.0, curve.length * length_factor(units))
    rule_ticks(axes.yaxis, units)
    axes.set_ylabel(
        f"along the {name}, {length_unit(units)}\n(0: {curve.ends[0]}; top: {curve.ends[1]})",
        fontsize=12,
    )
    bar = axes.figure.colorbar(colours, ax=axes, orientation="horizontal", shrink=0.6, pad=0.03, aspect=40)
    bar.set_ticks(list(STRENGTH_TICKS), labels=[words.replace("\n", " ") for words in GONE_WORDS])
    bar.set_label("share of its toughness spent", fontsize=12)
    bar.ax.tick_params(labelsize=11)


def _beside(place: float, room: float) -> tuple[str, float, float]:
    """How words that take so much ``room`` are set at a place, and where they begin and end; all in %."""
    if place < 0.5 * room:
        return "left", place, place + room
    if place > 100.0 - 0.5 * room:
        return "right", place - room, place
    return "center", place - 0.5 * room, place + 0.5 * room


def _draw_marks(above: Any, below: Any, marks: PathMarks, way: Array, break_path: BreakPath) -> None:
    """Upright lines through both panels; those at one place share their words."""
    words: dict[int, list[str]] = {}
    held = break_path.ends_held
    for state, name in (
        (marks.first_damage if is_damaged(break_path) else None, "first damage"),
        (marks.first_crack, "first crack"),
        (marks.broken, "still held" if held else "break"),
        (None if held else marks.highest, "highest load"),
        (marks.wood, "wood gives"),
    ):
        if state is not None:
            words.setdefault(state, []).append(name)
    relative = {"left": 0.0, "center": 0.5, "right": 1.0}
    taken: list[float] = []  # how far the words of every row have come
    for state, names in sorted(words.items()):
        text = ", ".join(names)
        side, begin, end = _beside(float(way[state]), LETTER * len(text))
        row = next((row for row, so_far in enumerate(taken) if so_far <= begin), len(taken))
        taken[row : row + 1] = [end]
        for axes in (above, below):
            axes.axvline(way[state], color=LINE_COLOURS[1], linewidth=1.3, linestyle=(0, (4, 2)))
        above.annotate(
            text,
            (way[state], 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 6 + 17 * row),
            textcoords="offset points",
            ha=side,
            va="bottom",
            fontsize=11,
            color=INK,
            arrowprops={
                "arrowstyle": "-",
                "color": LINE_COLOURS[1],
                "relpos": (relative[side], 0),
                "shrinkA": 0,
                "shrinkB": 0,
            },
        )
