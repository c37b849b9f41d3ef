"""Joints by what the bench said, for a room: every break, the mean, and the prediction beside it."""

from __future__ import annotations

from collections import Counter
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle

from glueline.studies.bench_day.comparison.bench_words import short_force
from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison
from glueline.studies.bench_day.comparison.projected_sheet import (
    MOST_DRAWN,
    WIDTH,
    drawn_joints,
    drawn_limits,
    drawn_loads,
    write_foot,
    write_head,
)
from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import Units
from glueline.studies.files.wording import BAND
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.lettering import (
    CAPTION,
    LABEL,
    TICK,
    caution_lines,
    plain_text,
    short_labels,
    text_width,
)

ROW = 1.7
AXES_SHARE = 0.79  # of the width of the sheet
MEASURED, PREDICTED, ROWS_COLOUR = LINE_COLOURS[0], LINE_COLOURS[1], LINE_COLOURS[5]
BREAKS_LANE, MEAN_LANE, BAND_LANE, WORDS_LANE = -0.33, 0.07, 0.2, 0.27  # of a row, down from its middle
BREAKS_HEIGHT = 0.26
MEAN_SIZE = 15  # points


def draw_bench_ranking(comparison: Comparison, units: Units) -> Figure:
    """The joints by measured mean: every break, the mean with its limits, the prediction with its band."""
    joints = drawn_joints(comparison)
    foot = 1.75 if len(joints) == len(comparison.joints) else 1.97
    height = 1.15 + foot + ROW * len(joints)
    sheet = new_sheet(WIDTH, height)
    sheet.set_layout_engine("none")
    axes = sheet.add_axes((0.19, foot / height, AXES_SHARE, ROW * len(joints) / height))
    factor = force_factor(units)
    right = 1.16 * factor * max(end for joint in joints for end in drawn_loads(joint))
    axes.set_xlim(0, right)
    axes.set_ylim(len(joints) - 0.5, -0.5)
    for row, joint in enumerate(joints):
        _draw_breaks(axes, row, joint, factor, right)
        _draw_mean(axes, row, joint, factor)
        _label_mean(axes, row, joint, factor, right, units)
        _draw_prediction(axes, row, joint, factor)
        place: dict[str, Any] = {"xytext": (4, -1), "textcoords": "offset points", "va": "top"}
        words = _order_of(comparison, joint)
        axes.annotate(words, (0, row + WORDS_LANE), **place, fontsize=TICK, color=INK)
        if row:
            axes.axhline(row - 0.5, color="#d8d8d8", linewidth=1)
    labels = short_labels([joint.measured.label for joint in joints], LABEL, 0.17 * WIDTH, 2)
    counted = [f"{text}\nn = {joint.measured.count}" for text, joint in zip(labels, joints, strict=True)]
    axes.set_yticks(range(len(joints)), counted)
    axes.tick_params(axis="y", length=0, labelsize=LABEL, labelcolor=INK, pad=10)
    axes.tick_params(axis="x", labelsize=TICK, labelcolor=INK)
    axes.locator_params(axis="x", nbins=6)
    axes.set_xlabel(f"load P on the joint, {force_unit(units)}", fontsize=TICK, color=INK)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    write_head(sheet, comparison, "What did the bench say?")
    _ranking_legend(sheet, comparison, height)
    return sheet


def _draw_breaks(axes: Any, row: int, joint: ComparedJoint, factor: float, right: float) -> None:
    """Every distinct interval as a box over its loads, as high as its share of the specimens."""
    counts = Counter((each.lower * factor, each.upper * factor) for each in joint.measured.breaks)
    top = max(counts.values())
    base = row + BREAKS_LANE + BREAKS_HEIGHT / 2
    for (low, high), count in counts.items():
        tall = BREAKS_HEIGHT * count / top
        end, middle = min(high, right), base - tall / 2
        if low > right:
            _name_far(axes, right, middle, str(count))
            continue
        look: dict[str, Any] = {"facecolor": ROWS_COLOUR, "alpha": 0.55, "edgecolor": INK, "linewidth": 0.8}
        axes.add_patch(Rectangle((low, base - tall), end - low, tall, **look))
        if high > right:
            axes.plot([right * 0.99], [middle], marker=">", markersize=11, color=INK)
        if text_width(str(count), CAPTION) < AXES_SHARE * WIDTH * (end - low) / right:
            place = ((low + end) / 2, middle)
            axes.annotate(str(count), place, ha="center", va="center", fontsize=CAPTION, color=INK)


def _name_far(axes: Any, right: float, at: float, words: str) -> None:
    """What lies far above all that is drawn: an arrow at the edge, and words before it."""
    axes.plot([right * 0.99], [at], marker=">", markersize=11, color=INK)
    place: dict[str, Any] = {"xytext": (-9, 0), "textcoords": "offset points", "ha": "right", "va": "center"}
    axes.annotate(f"{words} far above", (right * 0.99, at), **place, fontsize=CAPTION, color=INK)


def _draw_mean(axes: Any, row: int, joint: ComparedJoint, factor: float) -> None:
    """The mean with its limits, which end in arrows where they go on."""
    each = joint.measured
    middle = row + MEAN_LANE
    limits = drawn_limits(joint)
    if limits is not None:
        low, high = (end * factor for end in limits)
        axes.plot([low, high], [middle, middle], color=MEASURED, linewidth=5, solid_capstyle="butt")
        for end, whole, marker in zip(limits, each.limits or limits, "<>", strict=True):
            if end != whole:
                axes.plot([end * factor], [middle], marker=marker, markersize=14, color=MEASURED)
    right = axes.get_xlim()[1]
    if each.mean is not None and each.mean * factor > right:
        axes.plot([right * 0.985], [middle], marker=">", markersize=MEAN_SIZE, color=MEASURED)
    elif each.mean is not None:
        _draw_point(axes, each.mean * factor, middle, "o", MEAN_SIZE, MEASURED)


def _label_mean(axes: Any, row: int, joint: ComparedJoint, factor: float, right: float, units: Units) -> None:
    """The mean in words right above its point: at the end of a bar it would read as the load there."""
    mean = joint.measured.mean
    if mean is None:
        return
    words = short_force(mean, units)
    if mean * factor > right:
        words += ", far above"
    half = 0.6 * text_width(words, LABEL) / (AXES_SHARE * WIDTH) * right  # bold letters are wider
    axes.annotate(
        words,
        (min(max(mean * factor, half), right - half), row + MEAN_LANE),
        xytext=(0, MEAN_SIZE / 2 + 1),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=LABEL,
        fontweight="bold",
        color=MEASURED,
    )


def _draw_prediction(axes: Any, row: int, joint: ComparedJoint, factor: float) -> None:
    """The predicted load with its band."""
    lower = row + BAND_LANE
    if joint.band is not None:
        low, high = (end * factor for end in joint.band)
        axes.plot([low, high], [lower, lower], color=PREDICTED, linewidth=3.5, solid_capstyle="butt")
    if joint.predicted is not None:
        _draw_point(axes, joint.predicted * factor, lower, "D", 12, PREDICTED)


def _draw_point(axes: Any, x: float, y: float, marker: str, size: float, colour: str) -> None:
    axes.plot(
        [x], [y], marker=marker, markersize=size, color=colour, markeredgecolor="white", markeredgewidth=1.5
    )


def _order_of(comparison: Comparison, joint: ComparedJoint) -> str:
    """What the data support of one joint's place, short."""
    label = joint.measured.label
    if joint.measured.count == 1:
        return "one specimen: no order is claimed"
    if not any(label in (pair.stronger, pair.weaker) for pair in comparison.pairs):
        return "no order is claimed"
    below = [weak for strong, weak in comparison.supported_order if strong == label]
    if not below:
        return "no more than others, as far as these data can tell"
    words = f"holds more than {', '.join(below)}"
    if text_width(words, TICK) > 0.75 * WIDTH:
        return f"holds more than {len(below)} of the others"
    return plain_text(words)


def _ranking_legend(sheet: Figure, comparison: Comparison, height: float) -> None:
    predicted = "predicted" if comparison.in_band is None else f"predicted, {BAND}"
    handles: list[Any] = [
        Patch(facecolor=ROWS_COLOUR, alpha=0.55, edgecolor=INK, label="breaks, how many"),
        Line2D([], [], color=MEASURED, marker="o", markersize=13, linewidth=5, label="mean, 95 % limits"),
        Line2D([], [], color=PREDICTED, marker="D", markersize=11, linewidth=3.5, label=predicted),
    ]
    lines = caution_lines()
    if len(comparison.joints) > MOST_DRAWN:
        lines = [f"the strongest {MOST_DRAWN} of {len(comparison.joints)} joints", *lines]
    above = 0.14 + 0.22 * len(lines)
    sheet.legend(
        handles=handles,
        loc="lower left",
        bbox_to_anchor=(0.0175, above / height),
        ncols=len(handles),
        fontsize=TICK,
        frameon=False,
        borderaxespad=0,
        borderpad=0.2,
    )
    write_foot(sheet, lines, 0.1 / height)
