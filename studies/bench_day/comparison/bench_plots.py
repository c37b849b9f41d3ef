"""The bench beside the prediction, for a room: measured over predicted, and the joints ranked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import floor, log10
from typing import Any

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from glueline.studies.bench_day.comparison.bench_words import prediction_words, short_force
from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison
from glueline.studies.bench_day.comparison.parity_labels import label_places
from glueline.studies.bench_day.estimates.doubtful_rows import median_load
from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.show.canvas import INK, LINE_COLOURS, new_sheet
from glueline.studies.show.lettering import (
    CAPTION,
    LABEL,
    POINTS_PER_INCH,
    TICK,
    TITLE,
    caution_lines,
    plain_text,
    short_labels,
    text_width,
)

MOST_DRAWN = 20
"""Joints that a room can still read; of more the strongest are drawn."""

WIDTH = 13.3  # inches, the width of a projected sheet
ROW = 1.7
AXES_SHARE = 0.79  # of the width of the sheet
MEASURED, PREDICTED, ROWS_COLOUR = LINE_COLOURS[0], LINE_COLOURS[1], LINE_COLOURS[5]
BREAKS_LANE, MEAN_LANE, BAND_LANE, WORDS_LANE = -0.33, 0.07, 0.2, 0.27  # of a row, down from its middle
BREAKS_HEIGHT = 0.26
MEAN_SIZE = 15  # points
FARTHEST = 2.5
"""How many times off its mean a limit is still drawn."""

FAR = 10.0
"""How many times off the break load a number is still drawn to scale; what is farther off is only named."""

ROOMY = 9
"""Joints that can be listed in large letters beside a plot."""

WORDS_SHARE = 0.31  # of the width of the sheet: the words beside the parity plot
POINT = 9  # points, the dot of a mean
MANY_TIMES = 3.0
"""Ratio from which on it is said as so many times."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def draw_parity(comparison: Comparison, units: Units) -> Figure:
    """Measured mean against predicted load on one logarithmic scale, with limits and band."""
    joints = _drawn(comparison)
    sheet = new_sheet(WIDTH, 9.6)
    sheet.set_layout_engine("none")
    axes = sheet.add_axes((0.09, 0.2, 0.52, 0.66))
    factor = force_factor(units)
    ends = [end * factor for joint in joints for end in _ends(joint) if end > _break_load(joint) / FAR]
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
    _head(sheet, comparison, "Did the bench bear out the prediction?")
    _parity_list(sheet, joints, len(comparison.joints) - len(joints))
    key = (
        "line: measured as predicted; grey: within a factor of 1.25; bars: limits and predicted band; "
        "brackets: limits over predicted"
    )
    _foot(sheet, [key, *caution_lines()], 0.012)
    return sheet


def draw_bench_ranking(comparison: Comparison, units: Units) -> Figure:
    """The joints by measured mean: every break, the mean with its limits, the prediction with its band."""
    joints = _drawn(comparison)
    foot = 1.75 if len(joints) == len(comparison.joints) else 1.97
    height = 1.15 + foot + ROW * len(joints)
    sheet = new_sheet(WIDTH, height)
    sheet.set_layout_engine("none")
    axes = sheet.add_axes((0.19, foot / height, AXES_SHARE, ROW * len(joints) / height))
    factor = force_factor(units)
    right = 1.16 * factor * max(end for joint in joints for end in _ends(joint))
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
    _head(sheet, comparison, "What did the bench say?")
    _ranking_legend(sheet, comparison, height)
    return sheet


def _drawn(comparison: Comparison) -> list[ComparedJoint]:
    """The joints to draw, strongest first; those without a mean by what they held."""
    ranked = sorted(comparison.joints, key=lambda joint: -(joint.measured.mean or _held(joint)))
    return ranked[:MOST_DRAWN]


def _held(joint: ComparedJoint) -> float:
    return max(row.lower for row in joint.measured.breaks)


def _limits(joint: ComparedJoint) -> tuple[float, float] | None:
    """Limits of the mean as far as they are drawn: those that limit little would push all else together."""
    each = joint.measured
    if each.limits is None or each.mean is None:
        return None
    return max(each.limits[0], each.mean / FARTHEST), min(each.limits[1], each.mean * FARTHEST)


def _ends(joint: ComparedJoint) -> list[float]:
    """Every load above zero that a picture has to hold: those that are not far above the break load."""
    each = joint.measured
    loads = [joint.predicted or 0.0, *(joint.band or ()), *(_limits(joint) or ()), each.mean or 0.0]
    loads += [load for row in each.breaks for load in (row.lower, row.upper)]
    return [load for load in loads if 0 < load <= FAR * _break_load(joint)]


def _break_load(joint: ComparedJoint) -> float:
    """The load in N that others are held against: as predicted, else the median of the breaks."""
    return joint.predicted or median_load(joint.measured.breaks)


def _far_words(joint: ComparedJoint) -> str:
    """Whether the mean lies too far off to be drawn to scale, in words; empty where it does not."""
    mean, at = joint.measured.mean, _break_load(joint)
    if mean is None or at / FAR < mean <= FAR * at:
        return ""
    return "far above" if mean > at else "far below"


def _colour(number: int) -> str:
    return LINE_COLOURS[number % len(LINE_COLOURS)]


def _draw_parity_joint(axes: Any, joint: ComparedJoint, number: int, factor: float) -> None:
    """A point where the mean stands, with its limits and band; a joint without a ratio is only listed."""
    each = joint.measured
    if each.mean is None or joint.predicted is None:
        return
    x, y, colour = joint.predicted * factor, _shown_mean(axes, joint, factor), _colour(number)
    far = _far_words(joint)
    if far:
        below = -1 if far == "far above" else 1
        place: dict[str, Any] = {"xytext": (0, below * 2 * POINT), "textcoords": "offset points"}
        axes.annotate(far, (x, y), **place, ha="center", va="center", fontsize=CAPTION, color=INK)
    if joint.band is not None:
        axes.plot([end * factor for end in joint.band], [y, y], color=colour, linewidth=3, alpha=0.75)
    limits = None if far else _limits(joint)
    if limits is not None:
        axes.plot([x, x], [end * factor for end in limits], color=colour, linewidth=3, alpha=0.75)
        for end, whole, marker in zip(limits, each.limits or limits, "v^", strict=True):
            if end != whole:
                axes.plot([x], [end * factor], marker=marker, markersize=12, color=colour)
    axes.plot([x], [y], marker="o", markersize=POINT, color=colour, markeredgecolor=INK, zorder=3)


def _shown_mean(axes: Any, joint: ComparedJoint, factor: float) -> float:
    """Where the mean of a measured joint is drawn: at the rim where it lies too far off."""
    far = _far_words(joint)
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
    far = _far_words(joint)
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
    limits = _limits(joint)
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


def _head(sheet: Figure, comparison: Comparison, title: str) -> None:
    height = sheet.get_figheight()
    sheet.text(0.02, 1 - 0.15 / height, title, fontsize=TITLE, fontweight="bold", color=INK, va="top")
    words = answers_said([comparison.method]) if comparison.method else "no prediction could be made"
    if comparison.bias is not None:
        words = prediction_words(comparison)[0]
    sheet.text(0.02, 1 - 0.66 / height, words, fontsize=TICK, color=INK, va="top")


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
    _foot(sheet, lines, 0.1 / height)


def _foot(sheet: Figure, lines: Sequence[str], at: float) -> None:
    text = "\n".join(lines)
    sheet.text(0.02, at, text, fontsize=CAPTION, color="#444444", va="bottom", linespacing=1.25)
