"""Break load with its band against a varied key, marked by what broke."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Literal

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from glueline.studies.files.display import force_factor, force_unit, length_factor, length_unit
from glueline.studies.files.units import ANGLE, FORCE, LENGTH, PERCENT, Quantity, UnitError, Units, read
from glueline.studies.predict.answer import Answer
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, new_sheet
from glueline.studies.show.inch_axes import inch_words, rule_ticks
from glueline.studies.show.lettering import (
    CAPTION,
    LABEL,
    TICK,
    TITLE,
    balanced,
    caution_lines,
    plain_text,
    short_labels,
    shortened,
    text_width,
    wrapped,
)
from glueline.studies.show.sheet_legend import LegendBlock, draw_legend, legend_block
from glueline.studies.sweeps.leftover import WIDTH_KEY, Fingers
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.said_of_sweep import stand_clear_words
from glueline.studies.sweeps.sweep_failures import FAILED, draw_failed, failure_words
from glueline.studies.sweeps.sweep_words import circumstances, key_words, question

MARKERS = {"glue": "o", "wood": "s", "fastener": "^"}
LINE_STYLES: tuple[Literal["-", "--", ":", "-."], ...] = ("-", "--", ":", "-.")
MOST_NAMED = 12
"""Lines that the legend still names."""

WIDTH = 13.3  # inches, the width of a projected sheet
MARGIN = 0.27  # inches, left and right of words
PANELS = 5.4  # inches, the height of the panels with their axes
AXIS_WORDS = 1.3  # inches, left of the first panel
TITLE_LINE, HEAD_LINE, CAUTION_LINE = 0.47, 0.31, 0.22  # inches
MOST_UPRIGHT = 6
"""Names that still stand upright below the axis."""

SLANTED, FOR_SLANTED = (
    3.0,
    1.4,
)  # inches, the longest name that stands slanted below the axis; further height for such

MARK = 13.0  # points
FINGERS_LABEL = "below: fingers of both boards; how wide the last is, where it differs"

DODGE = 0.5
"""Share of the distance between two categories over which lines stand beside each other."""


@dataclass(frozen=True)
class Scale:
    """Where the values of a key stand on the axis: ``places`` by value, as numbers or as categories.

    ``inches`` are numbers that are shown as fractions.
    """

    label: str
    places: Mapping[str, float]
    numeric: bool
    inches: bool = False


@dataclass(frozen=True)
class Line:
    """The points of one line in order: places, loads, bands and what broke (None: no answer)."""

    name: str
    places: tuple[float, ...]
    load: tuple[float | None, ...]
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]
    breaks_in: tuple[str | None, ...]


def draw_sweep(
    keys: Sequence[str],
    points: Sequence[FinishedPoint],
    units: Units,
    fingers: Mapping[int, Fingers] | None = None,
) -> Figure | None:
    """Break load against the first of ``keys``, a line for each value of the others; None without answers.

    Keys that take turns with the first one (fingers, finger_width) get a panel each. ``fingers`` by the
    number of a point are written below their width.
    """
    answers = [point.answer for point in points if point.answer is not None]
    if not answers:
        return None
    first = keys[0]
    across = [first] + [
        key for key in keys[1:] if not any(first in point.values and key in point.values for point in points)
    ]
    others = [key for key in keys if key not in across]
    names = list(dict.fromkeys(_name(point, others) for point in points))
    head = _head_lines(across, [stand_clear_words(points, units), circumstances(keys, answers)])
    blocks = _legend_blocks(names, others, points, first)
    scales = {
        key: scale_of(key, [point.values[key] for point in points if key in point.values], units)
        for key in across
    }
    slanted = any(not scale.numeric and len(scale.places) > MOST_UPRIGHT for scale in scales.values())
    sheet = _room_sheet(head, blocks, PANELS + FOR_SLANTED * slanted)
    panels = sheet.subplots(1, len(across), sharey=True, squeeze=False)[0]
    for axes, key in zip(panels, across, strict=True):
        own = [point for point in points if key in point.values]
        by_name: dict[str, list[FinishedPoint]] = {}
        for point in own:
            by_name.setdefault(_name(point, others), []).append(point)
        scale = scales[key]
        for index, name in enumerate(names):
            line = _line(name, key, by_name.get(name, []), scale, units)
            shift = 0.0 if scale.numeric else DODGE * ((index + 0.5) / len(names) - 0.5)
            _draw_line(axes, line, index, len(names), scale.numeric, shift)
        answered = [scale.places[point.values[key]] for point in own if point.answer is not None]
        below = _fingers_below(key, own, scale, fingers or {}, units)
        _dress(axes, scale, answered, (WIDTH - AXIS_WORDS) / len(across), below)
        draw_failed(axes, key, own, scale.places, MARK)
    panels[0].set_ylabel(f"break load, {force_unit(units)}", fontsize=LABEL, color=INK)
    top = 1.08 * _highest(answers) * force_factor(units)
    panels[0].set_ylim(-0.04 * top, top)
    return sheet


def scale_of(key: str, values: Sequence[str], units: Units) -> Scale:
    """The axis of a key: numbers in the units shown where all values are of one quantity, else categories."""
    different = list(dict.fromkeys(values))
    name = key_words(key)
    if all(value.lstrip("+-").isdigit() for value in different):
        return Scale(name, {value: float(value) for value in different}, True)
    shown: tuple[tuple[Quantity, float, str], ...] = (
        (LENGTH, length_factor(units), length_unit(units)),
        (PERCENT, 1.0, "%"),
        (ANGLE, 57.29577951308232, "degrees"),
        (FORCE, force_factor(units), force_unit(units)),
    )
    for quantity, factor, unit in shown:
        try:
            numbers = {value: read(value, quantity)[0] * factor for value in different}
        except UnitError:
            continue
        return Scale(f"{name}, {unit}", numbers, True, unit == "in")
    return Scale(name, {value: float(place) for place, value in enumerate(different)}, False)


def _name(point: FinishedPoint, others: Sequence[str]) -> str:
    return ", ".join(point.values[key] for key in others if key in point.values)


def _line(name: str, key: str, points: Sequence[FinishedPoint], scale: Scale, units: Units) -> Line:
    factor = force_factor(units)
    ordered = sorted(points, key=lambda point: scale.places[point.values[key]])
    answers = [point.answer for point in ordered]
    bands = [answer.band if answer is not None else None for answer in answers]
    return Line(
        name,
        tuple(scale.places[point.values[key]] for point in ordered),
        tuple(None if answer is None else answer.break_load * factor for answer in answers),
        tuple(None if band is None else band[0] * factor for band in bands),
        tuple(None if band is None else band[1] * factor for band in bands),
        tuple(None if answer is None else answer.breaks_in for answer in answers),
    )


def _draw_line(axes: Any, line: Line, index: int, lines: int, numeric: bool, shift: float) -> None:
    colour = LINE_COLOURS[index % len(LINE_COLOURS)]
    style = LINE_STYLES[index // len(LINE_COLOURS) % len(LINE_STYLES)]
    at = [place + shift for place in line.places]
    there = [place for place, load in zip(at, line.load, strict=True) if load is not None]
    loads = [load for load in line.load if load is not None]
    banded = [
        (place, load, low, high)
        for place, load, low, high in zip(at, line.load, line.low, line.high, strict=True)
        if load is not None and low is not None and high is not None
    ]
    strength = 1.0 if numeric else 0.3
    axes.plot(there, loads, color=colour, linestyle=style, linewidth=3, alpha=strength, zorder=2)
    if banded:
        places, middle, low, high = zip(*banded, strict=True)
        if numeric and lines <= 3 and len(banded) > 1:
            axes.fill_between(places, low, high, color=colour, alpha=0.14, linewidth=0, zorder=1)
            for edge in (low, high):
                axes.plot(places, edge, color=colour, alpha=0.55, linewidth=1.4, zorder=1)
        else:
            below = [max(load - end, 0.0) for load, end in zip(middle, low, strict=True)]
            above = [max(end - load, 0.0) for load, end in zip(middle, high, strict=True)]
            axes.errorbar(
                places,
                middle,
                [below, above],
                fmt="none",
                ecolor=colour,
                elinewidth=2.2,
                alpha=0.7,
                capsize=7,
                zorder=1,
            )
    broken = [broke for broke in line.breaks_in if broke is not None]
    # Neighbours that break alike are drawn at once: a mark alone takes as long as a line.
    for broke, alike in groupby(zip(broken, there, loads, strict=True), key=lambda each: each[0]):
        _, places, heights = zip(*alike, strict=True)
        marker = MARKERS.get(broke, "D")
        inside = colour if broke == "glue" else "white"
        axes.plot(places, heights, marker, color=colour, markerfacecolor=inside, ms=MARK, mew=2.6, zorder=3)


def _fingers_below(
    key: str, points: Sequence[FinishedPoint], scale: Scale, fingers: Mapping[int, Fingers], units: Units
) -> dict[float, str]:
    """What is written below a finger width, by its place; nothing where points of one width differ."""
    found: dict[float, set[str]] = {}
    for point in points if key == WIDTH_KEY and scale.numeric else ():
        if point.number in fingers:
            found.setdefault(scale.places[point.values[key]], set()).add(fingers[point.number].words(units))
    return {place: min(words) for place, words in found.items() if len(words) == 1}


def _dress(
    axes: Any, scale: Scale, answered: Sequence[float], width: float, below: Mapping[float, str]
) -> None:
    """Labels, ticks and limits; a numeric axis ends near its last answers, however far points without go.

    ``width`` is that of the panel in inches, about; ``below`` is written below a number by its place.
    """
    label = f"{scale.label}\n{FINGERS_LABEL}" if below else scale.label
    axes.set_xlabel(label, fontsize=LABEL, color=INK)
    axes.tick_params(labelsize=TICK, labelcolor=INK)
    axes.grid(axis="y", color=FAINT, alpha=0.25)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    places = sorted(set(scale.places.values()))
    if not scale.numeric:
        _name_categories(axes, scale, width)
        return
    if answered:
        room = 0.15 * (max(answered) - min(answered)) or 1.0
        places = [place for place in places if min(answered) - room <= place <= max(answered) + room]
        margin = 0.05 * (places[-1] - places[0]) or 1.0
        axes.set_xlim(places[0] - margin, places[-1] + margin)
    if len(places) <= 12:
        named = inch_words if scale.inches else _number
        words = {
            place: "\n".join([named(place), *below.get(place, "").split("\n")]).strip() for place in places
        }
        shown = _apart(words, width)
        axes.set_xticks(shown, [words[place] for place in shown])
    elif scale.inches:
        rule_ticks(axes.xaxis, "imperial")


def _name_categories(axes: Any, scale: Scale, width: float) -> None:
    """Names below their places, slanted where they are many."""
    names = list(scale.places)
    crowded = len(names) > MOST_UPRIGHT
    shown = (
        short_labels(names, TICK, SLANTED, 1)
        if crowded
        else short_labels(names, TICK, 0.92 * width / (len(names) + 0.2), 3)
    )
    axes.set_xticks(list(scale.places.values()), shown)
    if crowded:
        for tick in axes.get_xticklabels():
            tick.set(rotation=40, ha="right", rotation_mode="anchor")
    axes.set_xlim(-0.6, len(names) - 0.4)


def _number(place: float) -> str:
    return f"{place:.4g}"


def _apart(words: Mapping[float, str], width: float) -> list[float]:
    """Those of the sorted places whose ``words`` stand clear of each other on ``width`` inches."""
    places = list(words)
    scale = 0.9 * width / ((places[-1] - places[0]) or 1.0)
    kept: list[float] = []
    free = float("-inf")
    for place in places:
        half = max(text_width(line, TICK) for line in words[place].split("\n")) / 2
        if place * scale - half >= free:
            kept.append(place)
            free = place * scale + half + 0.12
    return kept


def _highest(answers: Sequence[Answer]) -> float:
    return max(max(answer.break_load, *(answer.band or (0.0,))) for answer in answers)


def _head_lines(across: Sequence[str], sentences: Sequence[str]) -> tuple[list[str], ...]:
    """The lines of the title, and those of the sentences below it."""
    room = WIDTH - 2 * MARGIN
    title = balanced(question(across), TITLE, room).split("\n")
    return title, [line for each in sentences for line in wrapped(each, TICK, room, False)]


def _room_sheet(head: tuple[list[str], ...], blocks: Sequence[LegendBlock], panels: float) -> Figure:
    """A sheet with its title above, legend and cautions below, and ``panels`` inches between them."""
    title, words = head
    cautions = caution_lines()
    above = 0.15 + TITLE_LINE * len(title) + HEAD_LINE * len(words) + 0.15
    foot = 0.15 + CAUTION_LINE * len(cautions) + 0.12
    below = foot + sum(block.height for block in blocks) + 0.1
    height = above + panels + below
    sheet = new_sheet(WIDTH, height)
    engine: Any = sheet.get_layout_engine()
    engine.set(rect=(0.01, below / height, 0.98, panels / height))

    def write(lines: Sequence[str], down: float, **style: Any) -> None:
        text = "\n".join(plain_text(line) for line in lines)
        written = sheet.text(MARGIN / WIDTH, 1 - down / height, text, va="top", **style)
        written.set_in_layout(False)

    write(title, 0.15, fontsize=TITLE, fontweight="bold", color=INK, linespacing=1.1)
    write(words, 0.15 + TITLE_LINE * len(title) + 0.05, fontsize=TICK, color=INK)
    write(cautions, height - foot + 0.12, fontsize=CAPTION, color="#444444", linespacing=1.25)
    bottom = below - 0.05
    for block in blocks:
        bottom -= block.height
        draw_legend(sheet, block, MARGIN, bottom)
    return sheet


def _legend_blocks(
    names: Sequence[str], others: Sequence[str], points: Sequence[FinishedPoint], first: str
) -> list[LegendBlock]:
    """The legend below: a line for each value of the other keys, a mark for everything that broke."""
    room = WIDTH - 2 * MARGIN
    lines = []
    if others:
        for index, name in enumerate(names[:MOST_NAMED]):
            colour = LINE_COLOURS[index % len(LINE_COLOURS)]
            style = LINE_STYLES[index // len(LINE_COLOURS) % len(LINE_STYLES)]
            lines.append(Line2D([], [], color=colour, linestyle=style, linewidth=3.5, label=name))
        if len(names) > MOST_NAMED:
            more = f"and {len(names) - MOST_NAMED} more lines"
            lines.append(Line2D([], [], linestyle="none", label=more))
    marks = []
    for kind in dict.fromkeys(point.answer.breaks_in for point in points if point.answer is not None):
        inside = INK if kind == "glue" else "white"
        marks.append(_mark(MARKERS.get(kind, "D"), f"breaks in {kind}", inside))
    blocks = [legend_block(marks, room)]
    if failed := [_mark(FAILED, words, INK) for words in failure_words(points, first)]:
        blocks.append(legend_block(failed, room))
    if lines:
        title = shortened(", ".join(key_words(key) for key in others), TICK, room)
        blocks.insert(0, legend_block(lines, room, title))
    return blocks


def _mark(marker: str, label: str, inside: str) -> Line2D:
    return Line2D(
        [], [], linestyle="none", marker=marker, color=INK, mfc=inside, ms=MARK, mew=2.5, label=label
    )
