"""Bars of what moves the break load: from the load at the low end of each range to that at its high end."""

from __future__ import annotations

from matplotlib.figure import Figure

from glueline.studies.files.display import force_factor, force_unit, format_force
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, new_sheet
from glueline.studies.sweeps.influence import Ranking
from glueline.studies.sweeps.ranges import written

LOW_COLOUR, HIGH_COLOUR = LINE_COLOURS[5], LINE_COLOURS[1]
BAR = 0.62


def draw_influences(ranking: Ranking, units: Units) -> Figure:
    """One bar a range, the widest on top, about the corner's own break load; the ends are written out."""
    shown = [each for each in ranking.influences if each.swing >= 0]
    factor = force_factor(units)
    own = ranking.nominal.break_load * factor
    sheet = new_sheet(10.5, 1.9 + 0.62 * max(len(shown), 1))
    axes = sheet.subplots()
    least, most = own, own
    for place, each in enumerate(shown):
        ends = [
            (float(load or 0.0) * factor, written(end, units), colour, broke)
            for load, end, colour, broke in (
                (each.break_at_low, each.moved_range.low, LOW_COLOUR, each.breaks_at_low),
                (each.break_at_high, each.moved_range.high, HIGH_COLOUR, each.breaks_at_high),
            )
        ]
        least, most = min(least, ends[0][0], ends[1][0]), max(most, ends[0][0], ends[1][0])
        for at, _, colour, broke in sorted(ends, key=lambda end: -abs(end[0] - own)):
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
                fontsize=11,
            )
    axes.axvline(own, color=INK, linewidth=1.5)
    axes.set_yticks(range(len(shown)), [each.moved_range.description for each in shown])
    axes.set_ylim(len(shown) - 0.4, -0.6)
    room = 0.22 * max(most - least, 0.02 * own)
    axes.set_xlim(least - room, most + room)
    axes.set_xlabel(f"break load, {force_unit(units)}", fontsize=13)
    axes.tick_params(labelsize=12)
    axes.grid(axis="x", color=FAINT, alpha=0.3)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    _legend(sheet, any({each.breaks_at_low, each.breaks_at_high} - {"glue", None} for each in shown))
    answer = ranking.nominal
    sheet.suptitle(
        f"What moves the break load of this {answer.joint} corner "
        f"({format_force(answer.break_load, units)}, {answer.arrangement}, "
        f"{answers_said([answer.method])})",
        fontsize=13,
        color=INK,
    )
    return sheet


def _legend(sheet: Figure, wood: bool) -> None:
    from matplotlib.patches import Patch

    handles = [
        Patch(facecolor=LOW_COLOUR, label="at the low end of its range"),
        Patch(facecolor=HIGH_COLOUR, label="at the high end"),
    ]
    if wood:
        handles.append(
            Patch(facecolor="white", edgecolor=INK, hatch="///", label="breaks elsewhere than in the glue")
        )
    sheet.legend(handles=handles, loc="outside lower center", ncols=3, frameon=False, fontsize=12)
