"""The ranking as a picture for a room: one bar a corner, its scatter, what breaks and where."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from math import ceil
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from glueline.studies.files.display import force_factor, force_unit, format_force
from glueline.studies.files.units import Units
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.predict.said_aloud import force_down, place_to_watch, stand_clear_from, with_article
from glueline.studies.rank.ranking import RankedCorner, comparison_notes, strongest_first
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.lettering import (
    CAPTION,
    LABEL,
    TICK,
    TITLE,
    caution_lines,
    short_labels,
    shortened,
    text_width,
)

WIDTH = 13.3  # inches, the width of a projected sheet
LEFT, LINE = 2.55, 10.5  # inches, left of the bars and along them
ROW = 1.12  # inches
BAR = 0.42  # of a row
JUDGED_ABOVE = 0.27  # of a row, above the middle of its bar
JUDGED = "#7a7a7a"
AT_THE_END = 0.01  # of the break load: a crack nearer to it than that is the break
LEGEND_COLUMNS, LEGEND_LINE = 3, 0.3  # entries side by side, inches a line of them
BAR_MIDDLE = -0.12  # of a row, the words stand below
# Told apart by hue, by lightness and by hatching, so also in print without colour.
KINDS = {
    "glue": (LINE_COLOURS[5], "", "the glue breaks"),
    "wood": (LINE_COLOURS[1], "//", "the wood breaks"),
    "fastener": (LINE_COLOURS[3], "xx", "the fastener breaks"),
}


def draw_ranking(corners: Sequence[RankedCorner], units: Units) -> Figure:
    """Bars of the break load, strongest at the top, with the band from 5 to 95 % and the first crack."""
    ranked = strongest_first(corners)
    notes = [line for note in comparison_notes(corners) for line in textwrap.wrap(note, 130)]
    legend = _legend(ranked)
    foot = 1.55 + LEGEND_LINE * ceil(len(legend) / LEGEND_COLUMNS) + 0.22 * len(notes)
    height = 1.1 + ROW * len(ranked) + foot + 0.1
    sheet = new_sheet(WIDTH, height)
    sheet.set_layout_engine("none")
    labels = short_labels([corner.label for corner in ranked], LABEL, LEFT - 0.35, 3)
    axes = sheet.add_axes((LEFT / WIDTH, foot / height, LINE / WIDTH, ROW * len(ranked) / height))
    factor = force_factor(units)
    ends = [max([corner.break_load, *(corner.band or ()), *_judged_loads(corner)]) for corner in ranked]
    axes.set_xlim(0, 1.05 * max(ends) * factor)
    axes.set_ylim(len(ranked) - 0.5, -0.5)
    for row, corner in enumerate(ranked):
        _draw_corner(axes, row, corner, units)
    axes.set_yticks([row + BAR_MIDDLE for row in range(len(ranked))], labels)
    axes.tick_params(axis="y", length=0, labelsize=LABEL, labelcolor=INK, pad=10)
    axes.tick_params(axis="x", labelsize=TICK, labelcolor=INK)
    axes.locator_params(axis="x", nbins=6)
    axes.set_xlabel(f"load P when the corner breaks, {force_unit(units)}", fontsize=TICK, color=INK)
    axes.set_axisbelow(True)
    axes.grid(axis="x", color="#d8d8d8", linewidth=1)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    _head(sheet, ranked, height)
    _foot(sheet, legend, notes, height)
    return sheet


def _draw_corner(axes: Any, row: int, corner: RankedCorner, units: Units) -> None:
    colour, hatch, _ = KINDS.get(corner.breaks_in, KINDS["glue"])
    factor = force_factor(units)
    middle = row + BAR_MIDDLE
    axes.barh(
        middle,
        corner.break_load * factor,
        height=BAR,
        color=colour,
        hatch=hatch,
        edgecolor=INK,
        linewidth=1.2,
    )
    if corner.band is not None:
        low, high = (value * factor for value in corner.band)
        axes.plot([low, high], [middle, middle], color=INK, linewidth=3.5, solid_capstyle="butt")
        for value in (low, high):
            axes.plot([value, value], [middle - 0.15, middle + 0.15], color=INK, linewidth=3.5)
    judged = [load * factor for load in _judged_loads(corner)]
    if judged:
        above = middle - JUDGED_ABOVE
        axes.plot([min(judged), max(judged)], [above, above], color=JUDGED, linewidth=2.5)
        for value, marker in ((min(judged), "<"), (max(judged), ">")):
            axes.plot([value], [above], marker=marker, markersize=7, color=JUDGED)
    crack = _crack_before(corner)
    if crack is not None:
        axes.plot(
            [crack * factor],
            [middle],
            marker="D",
            markersize=13,
            color="white",
            markeredgecolor=INK,
            markeredgewidth=2,
        )
    number = format_force(corner.break_load, units)
    written = axes.annotate(
        number,
        (0, middle + BAR / 2),
        xytext=(4, -3),
        textcoords="offset points",
        va="top",
        fontsize=LABEL,
        fontweight="bold",
        color=INK,
    )
    clear = force_down(stand_clear_from(corner)[0], units)
    room = LINE - text_width(number, LABEL, bold=True) - 0.3
    words = f"stand clear from {clear}; watch {with_article(place_to_watch(corner))}"
    # A place that is cut off cannot be watched: long words are set smaller.
    size = next((size for size in (TICK, TICK - 1, TICK - 2) if text_width(words, size) <= room), TICK - 3)
    axes.annotate(
        shortened(words, size, room),
        (1, 0),
        xycoords=written,
        xytext=(12, 2),
        textcoords="offset points",
        va="bottom",
        fontsize=size,
        color=INK,
    )


def _crack_before(corner: RankedCorner) -> float | None:
    """The load of a first crack that is heard before the break; one at the break needs no mark of its own."""
    crack = corner.first_crack_load
    return None if crack is None or crack >= (1.0 - AT_THE_END) * corner.break_load else crack


def _judged_loads(corner: RankedCorner) -> list[float]:
    """Loads at the ends of all judged values, one moved at a time."""
    return [load for pair in (corner.ranges or {}).values() for load in pair]


def _head(sheet: Figure, ranked: Sequence[RankedCorner], height: float) -> None:
    arrangements = dict.fromkeys(corner.arrangement for corner in ranked)
    methods = dict.fromkeys(corner.method for corner in ranked)
    title = (
        "At what load does each corner break?" if len(ranked) > 1 else "At what load does this corner break?"
    )
    sheet.text(0.02, 1 - 0.15 / height, title, fontsize=TITLE, fontweight="bold", color=INK, va="top")
    loaded = ", ".join(arrangements) if len(arrangements) <= 2 else f"{len(arrangements)} load arrangements"
    bands = [corner.band is not None for corner in ranked]
    scatter = f"black: band, {BAND}" if all(bands) else "no scatter band"
    if any(bands) and not all(bands):
        scatter = f"black: band, {BAND}, where it is known"
    words = f"{loaded}; {answers_said(methods)}; {scatter}"
    sheet.text(0.02, 1 - 0.66 / height, words, fontsize=TICK, color=INK, va="top")


def _legend(ranked: Sequence[RankedCorner]) -> list[Any]:
    """What is drawn, an entry each."""
    kinds = dict.fromkeys(corner.breaks_in for corner in ranked)
    handles: list[Any] = [
        Patch(facecolor=colour, hatch=hatch, edgecolor=INK, label=words)
        for kind, (colour, hatch, words) in KINDS.items()
        if kind in kinds
    ]
    banded = sum(corner.band is not None for corner in ranked)
    if banded:
        words = f"band, {BAND} (overlapping: no order)" if banded > 1 else f"band, {BAND}"
        handles.append(Line2D([], [], color=INK, linewidth=3.5, label=words))
    if any(_judged_loads(corner) for corner in ranked):
        handles.append(
            Line2D([], [], color=JUDGED, linewidth=2.5, marker="d", label="any judged value weak to strong")
        )
    if any(_crack_before(corner) is not None for corner in ranked):
        handles.append(
            Line2D(
                [],
                [],
                linestyle="none",
                marker="D",
                markersize=12,
                color="white",
                markeredgecolor=INK,
                markeredgewidth=2,
                label="first crack",
            )
        )
    return handles


def _foot(sheet: Figure, handles: Sequence[Any], notes: Sequence[str], height: float) -> None:
    """The legend of what is drawn, then notes and cautions."""
    lines = [*notes, *caution_lines()]
    above = 0.14 + 0.22 * len(lines)
    sheet.legend(
        handles=handles,
        loc="lower left",
        bbox_to_anchor=(0.0175, above / height),
        ncols=min(len(handles), LEGEND_COLUMNS),
        fontsize=TICK,
        frameon=False,
        handlelength=1.8,
        borderaxespad=0,
        borderpad=0.2,
    )
    sheet.text(
        0.02, 0.1 / height, "\n".join(lines), fontsize=CAPTION, color="#444444", va="bottom", linespacing=1.25
    )
