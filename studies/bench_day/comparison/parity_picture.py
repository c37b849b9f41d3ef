"""Measured over predicted, for a room: one point a joint on one logarithmic scale."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10
from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison
from glueline.studies.bench_day.comparison.parity_labels import label_places
from glueline.studies.bench_day.comparison.projected_sheet import (
    FAR,
    WIDTH,
    break_load,
    drawn_joints,
    drawn_limits,
    drawn_loads,
    far_words,
    write_foot,
    write_head,
)
from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.lettering import (
    CAPTION,
    LABEL,
    POINTS_PER_INCH,
    TICK,
    caution_lines,
    short_labels,
    text_width,
)

ROOMY = 9
"""Joints that can be listed in large letters beside a plot."""

WORDS_SHARE = 0.31  # of the width of the sheet: the words beside the parity plot
POINT = 9  # points, the dot of a mean
MANY_TIMES = 3.0
"""Ratio from which on it is said as so many times."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def draw_parity(comparison: Comparison, units: Units) -> Figure:
    """Measured mean against predicted load on one logarithmic scale, with limits and band."""
    joints = drawn_joints(comparison)
    sheet = new_sheet(WIDTH, 9.6)
    sheet.set_layout_engine("none")
    axes = sheet.add_axes((0.09, 0.2, 0.52, 0.66))
    factor = force_factor(units)
    ends = [end * factor for joint in joints for end in drawn_loads(joint) if end > break_load(joint) / FAR]
    low, high = min(ends) / 1.12, max(ends) * 1.12
    axes.set(xscale="log", yscale="log", xlim=(low, high), ylim=(low, high))
    axes.set_aspect("equal")
    axes.fill_between([low, high], [0.8 * low, 0.8 * high], [1.25 * low, 1.25 * high], color="#ececec", lw=0)
    axes.plot([low, high], [low, high], color=INK, linewidth=2)
    for number, joint in enumerate(joints):
        _draw_parity_joint(axes, joint, number, factor)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(FixedLocator(_round_loads(low, high)))
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(FuncFormatter(lambda value, _: significant(float(value), 3)))
    axes.tick_params(labelsize=TICK, labelcolor=INK)
    axes.set_xlabel(f"predicted load, {force_unit(units)}", fontsize=LABEL, color=INK)
    axes.set_ylabel(f"measured mean, {force_unit(units)}", fontsize=LABEL, color=INK)
    _letter_points(axes, joints, factor, 25 if len(joints) <= ROOMY else 17)
    write_head(sheet, comparison, "Did the bench bear out the prediction?")
    _parity_list(sheet, joints, len(comparison.joints) - len(joints))
    key = (
        "line: measured as predicted; grey: within a factor of 1.25; bars: limits and predicted band; "
        "brackets: limits over predicted"
    )
    write_foot(sheet, [key, *caution_lines()], 0.012)
    return sheet


def _round_loads(low: float, high: float) -> list[float]:
    """Loads to write beside a logarithmic axis: about four to eight round ones."""
    loads: list[float] = []
    for firsts in (
        (1,),
        (1, 3),
        (1, 2, 5),
        (1, 1.5, 2, 3, 5, 7),
        (1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 4, 5, 6, 8),
    ):
        loads = [
            first * 10.0**power
            for power in range(floor(log10(low)), floor(log10(high)) + 1)
            for first in firsts
            if low <= first * 10.0**power <= high
        ]
        if len(loads) >= 4:
            break
    return loads


def _colour(number: int) -> str:
    return LINE_COLOURS[number % len(LINE_COLOURS)]


def _draw_parity_joint(axes: Any, joint: ComparedJoint, number: int, factor: float) -> None:
    """A point where the mean stands, with its limits and band; a joint without a ratio is only listed."""
    each = joint.measured
    if each.mean is None or joint.predicted is None:
        return
    x, y, colour = joint.predicted * factor, _shown_mean(axes, joint, factor), _colour(number)
    far = far_words(joint)
    if far:
        below = -1 if far == "far above" else 1
        place: dict[str, Any] = {"xytext": (0, below * 2 * POINT), "textcoords": "offset points"}
        axes.annotate(far, (x, y), **place, ha="center", va="center", fontsize=CAPTION, color=INK)
    if joint.band is not None:
        axes.plot([end * factor for end in joint.band], [y, y], color=colour, linewidth=3, alpha=0.75)
    limits = None if far else drawn_limits(joint)
    if limits is not None:
        axes.plot([x, x], [end * factor for end in limits], color=colour, linewidth=3, alpha=0.75)
        for end, whole, marker in zip(limits, each.limits or limits, "v^", strict=True):
            if end != whole:
                axes.plot([x], [end * factor], marker=marker, markersize=12, color=colour)
    axes.plot([x], [y], marker="o", markersize=POINT, color=colour, markeredgecolor=INK, zorder=3)


def _shown_mean(axes: Any, joint: ComparedJoint, factor: float) -> float:
    """Where the mean of a measured joint is drawn: at the rim where it lies too far off."""
    far = far_words(joint)
    if not far:
        return (joint.measured.mean or 0.0) * factor
    low, high = axes.get_ylim()
    inside = (high / low) ** 0.05
    return float(high / inside if far == "far above" else low * inside)


def _letter_points(axes: Any, joints: Sequence[ComparedJoint], factor: float, size: float) -> None:
    """A letter by each point, ``size`` points wide, none over another nor over a point."""
    there = [
        (number, joint.predicted * factor, _shown_mean(axes, joint, factor))
        for number, joint in enumerate(joints)
        if joint.measured.mean is not None and joint.predicted is not None
    ]
    if not there:
        return
    axes.apply_aspect()
    frame = axes.get_window_extent()
    pixels = axes.transData.transform([(x, y) for _, x, y in there])
    wide = (size + 2.0) * axes.figure.dpi / POINTS_PER_INCH
    placed = label_places([(x, y) for x, y in pixels], wide, (frame.x0, frame.y0, frame.x1, frame.y1))
    for (number, x, y), place, label in zip(there, pixels, placed, strict=True):
        axes.annotate(
            LETTERS[number],
            (x, y),
            xytext=(label - place) * POINTS_PER_INCH / axes.figure.dpi,
            textcoords="offset points",
            ha="center",
            va="center_baseline",
            fontsize=0.6 * size,
            fontweight="bold",
            color="white" if number % len(LINE_COLOURS) in (0, 1, 2) else INK,
            bbox={"boxstyle": "circle,pad=0.25", "facecolor": _colour(number), "edgecolor": INK},
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 1.2},
            zorder=4 + number,
        )


def _parity_list(sheet: Figure, joints: Sequence[ComparedJoint], more: int) -> None:
    """Letters, labels and ratios beside the parity plot; of many joints one line each."""
    roomy = len(joints) <= ROOMY
    size = LABEL if roomy else CAPTION + 1
    step = 0.082 if roomy else 0.034
    sheet.text(
        0.645, 0.855, "what the bench said of each", fontsize=TICK, fontweight="bold", color=INK, va="top"
    )
    words = [_ratio_words(joint, roomy) for joint in joints]
    beside = 0.0 if roomy else max(text_width(f": {each}", size) for each in words)
    labels = short_labels([joint.measured.label for joint in joints], size, 0.31 * WIDTH - beside, 1)
    at = 0.855 - 0.075
    for number, (each, label) in enumerate(zip(words, labels, strict=True)):
        sheet.text(0.645, at, LETTERS[number], fontsize=size, fontweight="bold", color=INK)
        sheet.text(0.672, at, label if roomy else f"{label}: {each}", fontsize=size, color=INK)
        if roomy:
            sheet.text(0.672, at - 0.029, each, fontsize=TICK - 2, color=INK)
        at -= step
    if more > 0:
        sheet.text(0.672, at, f"and {more} weaker ones", fontsize=CAPTION, color=INK)


def _ratio_words(joint: ComparedJoint, with_limits: bool) -> str:
    """How far the measured mean is off the prediction, as one would say it; its limits as a ratio."""
    if joint.predicted is None:
        return "not predicted"
    if joint.ratio is None:
        return "no mean"
    far = far_words(joint)
    if far:
        return f"{significant(joint.ratio, 3)}, {far}"
    off = round(100 * (joint.ratio - 1.0))
    if joint.ratio >= MANY_TIMES:
        words = f"{significant(joint.ratio, 2)} times what was predicted"
    elif off == 0:
        words = "just what was predicted"
    else:
        words = f"{abs(off)} % {'more' if off > 0 else 'less'} than predicted"
    if joint.ratio_limits is None or not with_limits:
        return words
    low, high = (significant(end, 3) if end >= 10 else f"{end:.2f}" for end in joint.ratio_limits)
    whole = f"{words} ({low} to {high})"
    return whole if text_width(whole, TICK - 2) <= WORDS_SHARE * WIDTH else words
