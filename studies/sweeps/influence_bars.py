"""Bars of what moves the break load: from the load at the low end of each range to that at its high end."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure

from glueline.studies.files.display import force_factor, force_unit, format_force
from glueline.studies.files.units import Units
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, new_sheet
from glueline.studies.show.lettering import balanced
from glueline.studies.sweeps.influence import Ranking
from glueline.studies.sweeps.ranges import written

WEAKER, STRONGER = LINE_COLOURS[1], LINE_COLOURS[0]
BAR = 0.62
TITLE, WORDS = 24, 16  # points on a sheet 11.5 inches wide
PAD = 25  # dots about a word: its distance from the bar and as much from the frame


def draw_influences(ranking: Ranking, units: Units) -> Figure:
    """One bar a range, the widest on top, about the corner's own break load; the ends are written out."""
    shown = [each for each in ranking.influences if each.swing >= 0]
    factor = force_factor(units)
    own = ranking.nominal.break_load * factor
    sheet = new_sheet(11.5, 2.6 + 0.66 * max(len(shown), 1))
    axes = sheet.subplots()
    least, most = own, own
    for place, each in enumerate(shown):
        ends = [
            (float(load or 0.0) * factor, written(end, units), broke)
            for load, end, broke in (
                (each.break_at_low, each.moved_range.low, each.breaks_at_low),
                (each.break_at_high, each.moved_range.high, each.breaks_at_high),
            )
        ]
        least, most = min(least, ends[0][0], ends[1][0]), max(most, ends[0][0], ends[1][0])
        for at, _, broke in sorted(ends, key=lambda end: -abs(end[0] - own)):
            colour = WEAKER if at < own else STRONGER
            hatch = None if broke in ("glue", None) else "///"
            axes.barh(place, at - own, left=own, height=BAR, color=colour, hatch=hatch, edgecolor="white")
        # The end of less load is written on the left, the other on the right, even if both lie on one side.
        (lower, left, *_), (upper, right, *_) = sorted(ends, key=lambda end: end[0])
        for at, text, shift, side in (
            (min(lower, own), left, -5, "right"),
            (max(upper, own), right, 5, "left"),
        ):
            axes.annotate(
                text,
                (at, place),
                xytext=(shift, 0),
                textcoords="offset points",
                ha=side,
                va="center",
                fontsize=WORDS - 1,
            )
    axes.axvline(own, color=INK, linewidth=1.5)
    axes.set_yticks(range(len(shown)), [each.moved_range.description for each in shown])
    axes.set_ylim(len(shown) - 0.4, -0.6)
    room = 0.25 * max(most - least, 0.02 * own)
    axes.set_xlim(least - room, most + room)
    axes.set_xlabel(f"break load, {force_unit(units)}", fontsize=WORDS)
    axes.tick_params(labelsize=WORDS)
    axes.grid(axis="x", color=FAINT, alpha=0.3)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    _legend(sheet, any({each.breaks_at_low, each.breaks_at_high} - {"glue", None} for each in shown))
    answer = ranking.nominal
    force = format_force(answer.break_load, units).replace(" ", "\N{NO-BREAK SPACE}")
    title = f"What moves the {force} of this {answer.joint} corner"
    sheet.suptitle(balanced(title, TITLE, 11.0), fontsize=TITLE, fontweight="bold", color=INK)
    _make_room(sheet, axes)
    return sheet


def _make_room(sheet: Figure, axes: Any) -> None:
    """Widen the load axis until the ends as written lie between its own ends, off the names on the left."""
    sheet.draw_without_rendering()
    width = axes.get_window_extent().width
    words = [
        (text.xy[0], (text.get_window_extent().width + PAD) / width, text.get_ha()) for text in axes.texts
    ]
    low, high = axes.get_xlim()
    for _ in range(5):  # words keep their size while the axis grows, so each round asks for less
        span = high - low
        low = min([low, *(at - share * span for at, share, side in words if side == "right")])
        high = max([high, *(at + share * span for at, share, side in words if side == "left")])
    axes.set_xlim(low, high)


def _legend(sheet: Figure, wood: bool) -> None:
    from matplotlib.patches import Patch

    handles = [
        Patch(facecolor=WEAKER, label="makes it weaker"),
        Patch(facecolor=STRONGER, label="makes it stronger"),
    ]
    if wood:
        handles.append(Patch(facecolor="white", edgecolor=INK, hatch="///", label="breaks not in the glue"))
    sheet.legend(handles=handles, loc="outside lower center", ncols=3, frameon=False, fontsize=WORDS)
