"""Break load with its band against a varied key, marked by what broke."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from textwrap import fill
from typing import Any, Literal

from matplotlib.figure import Figure

from studies.display import force_factor, force_unit, length_factor, length_unit
from studies.figures.canvas import FAINT, INK, LINE_COLOURS, new_sheet
from studies.units import ANGLE, FORCE, LENGTH, PERCENT, Quantity, UnitError, Units, read

Cell = str | int | float | bool | None
Row = Mapping[str, Cell]

MARKERS = {"glue": "o", "wood": "s", "fastener": "^"}
FAILED = "x"
LINE_STYLES: tuple[Literal["-", "--", ":", "-."], ...] = ("-", "--", ":", "-.")
MOST_NAMED = 12
"""Lines that the legend still names."""

DODGE = 0.5
"""Share of the distance between two categories over which lines stand beside each other."""


@dataclass(frozen=True)
class Scale:
    """Where the values of a key stand on the axis: ``places`` by value, as numbers or as categories."""

    label: str
    places: Mapping[str, float]
    numeric: bool


@dataclass(frozen=True)
class Line:
    """The points of one line in order: places, loads, bands and what broke (None: no answer)."""

    name: str
    at: tuple[float, ...]
    load: tuple[float | None, ...]
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]
    broke: tuple[str | None, ...]


def draw_sweep(keys: Sequence[str], rows: Sequence[Row], units: Units) -> Figure | None:
    """Break load against the first of ``keys``, a line for each value of the others; None without answers.

    Keys that take turns with the first one (fingers, finger_width) get a panel each.
    """
    answers = [row for row in rows if row["status"] == "ok"]
    if not answers:
        return None
    first = keys[0]
    across = [first] + [
        key for key in keys[1:] if not any(row[first] is not None and row[key] is not None for row in rows)
    ]
    others = [key for key in keys if key not in across]
    names = list(dict.fromkeys(_name(row, others) for row in rows))
    sheet = new_sheet(7.6 if len(across) == 1 else 5.2 * len(across), 5.6)
    panels = sheet.subplots(1, len(across), sharey=True, squeeze=False)[0]
    for axes, key in zip(panels, across, strict=True):
        own = [row for row in rows if row[key] is not None]
        scale = scale_of(key, [str(row[key]) for row in own], units)
        for index, name in enumerate(names):
            line = _line(name, key, [row for row in own if _name(row, others) == name], scale, units)
            shift = 0.0 if scale.numeric else DODGE * ((index + 0.5) / len(names) - 0.5)
            _draw_line(axes, line, index, len(names), scale.numeric, shift)
        _dress(axes, scale, [scale.places[str(row[key])] for row in own if row["status"] == "ok"])
    panels[0].set_ylabel(f"break load, {force_unit(units)}", fontsize=13)
    top = 1.08 * _highest(answers) * force_factor(units)
    panels[0].set_ylim(-0.04 * top, top)
    _explain(sheet, names, others, rows)
    corner = answers[0]
    banded = any(row["band_05_N"] is not None for row in answers)
    kinds = list(dict.fromkeys(str(row["joint"]) for row in answers))
    title = f"{' and '.join(kinds).capitalize()} corner, {corner['arrangement']}, {corner['method']} answer"
    note = "band: 5 % to 95 % of corners made alike" if banded else "no band: scatter was not asked for"
    sheet.suptitle(f"{title}\n{note}", fontsize=13, color=INK)
    return sheet


def scale_of(key: str, values: Sequence[str], units: Units) -> Scale:
    """The axis of a key: numbers in the units shown where all values are of one quantity, else categories."""
    different = list(dict.fromkeys(values))
    name = key.partition(".")[2].replace("_", " ")
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
        return Scale(f"{name}, {unit}", numbers, True)
    return Scale(name, {value: float(place) for place, value in enumerate(different)}, False)


def _name(row: Row, others: Sequence[str]) -> str:
    return ", ".join(str(row[key]) for key in others if row[key] is not None)


def _line(name: str, key: str, rows: Sequence[Row], scale: Scale, units: Units) -> Line:
    factor = force_factor(units)
    ordered = sorted(rows, key=lambda row: scale.places[str(row[key])])

    def loads(column: str) -> tuple[float | None, ...]:
        cells = [row[column] for row in ordered]
        return tuple(float(cell) * factor if isinstance(cell, float | int) else None for cell in cells)

    return Line(
        name,
        tuple(scale.places[str(row[key])] for row in ordered),
        loads("break_load_N"),
        loads("band_05_N"),
        loads("band_95_N"),
        tuple(str(row["breaks_in"]) if row["status"] == "ok" else None for row in ordered),
    )


def _draw_line(axes: Any, line: Line, index: int, lines: int, numeric: bool, shift: float) -> None:
    colour = LINE_COLOURS[index % len(LINE_COLOURS)]
    style = LINE_STYLES[index // len(LINE_COLOURS) % len(LINE_STYLES)]
    at = [place + shift for place in line.at]
    there = [place for place, load in zip(at, line.load, strict=True) if load is not None]
    loads = [load for load in line.load if load is not None]
    banded = [
        (place, load, low, high)
        for place, load, low, high in zip(at, line.load, line.low, line.high, strict=True)
        if load is not None and low is not None and high is not None
    ]
    strength = 1.0 if numeric else 0.3
    axes.plot(there, loads, color=colour, linestyle=style, linewidth=2, alpha=strength, zorder=2)
    if banded:
        places, middle, low, high = zip(*banded, strict=True)
        if numeric and lines <= 3 and len(banded) > 1:
            axes.fill_between(places, low, high, color=colour, alpha=0.14, linewidth=0, zorder=1)
            for edge in (low, high):
                axes.plot(places, edge, color=colour, alpha=0.55, linewidth=1, zorder=1)
        else:
            below = [max(load - end, 0.0) for load, end in zip(middle, low, strict=True)]
            above = [max(end - load, 0.0) for load, end in zip(middle, high, strict=True)]
            axes.errorbar(
                places, middle, [below, above], fmt="none", ecolor=colour, alpha=0.7, capsize=5, zorder=1
            )
    for place, load, broke in zip(at, line.load, line.broke, strict=True):
        if broke is None or load is None:
            axes.plot([place], [0], FAILED, color=colour, ms=10, mew=2.5, zorder=4)
            continue
        marker = MARKERS.get(broke, "D")
        inside = colour if broke == "glue" else "white"
        axes.plot([place], [load], marker, color=colour, markerfacecolor=inside, ms=10, mew=2.2, zorder=3)


def _dress(axes: Any, scale: Scale, answered: Sequence[float]) -> None:
    """Labels, ticks and limits; a numeric axis ends near its last answers, however far points without go."""
    axes.set_xlabel(scale.label, fontsize=13)
    axes.tick_params(labelsize=12)
    axes.grid(axis="y", color=FAINT, alpha=0.25)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    places = sorted(set(scale.places.values()))
    if scale.numeric and answered:
        room = 0.15 * (max(answered) - min(answered)) or 1.0
        inside = [place for place in places if min(answered) - room <= place <= max(answered) + room]
        margin = 0.05 * (inside[-1] - inside[0]) or 1.0
        axes.set_xlim(inside[0] - margin, inside[-1] + margin)
        places = inside
    if not scale.numeric:
        crowded = len(places) > 6
        axes.set_xticks(
            list(scale.places.values()),
            [fill(value, 14, break_long_words=False) for value in scale.places],
            rotation=40 if crowded else 0,
            ha="right" if crowded else "center",
        )
        axes.set_xlim(-0.6, len(places) - 0.4)
    elif len(places) <= 12:
        axes.set_xticks(places, [f"{place:.4g}" for place in places])


def _highest(answers: Sequence[Row]) -> float:
    cells = [row[column] for row in answers for column in ("break_load_N", "band_95_N")]
    return max(float(cell) for cell in cells if isinstance(cell, float | int))


def _explain(sheet: Figure, names: Sequence[str], others: Sequence[str], rows: Sequence[Row]) -> None:
    """The legend below: a line for each value of the other keys, a mark for everything that broke."""
    from matplotlib.lines import Line2D

    handles = []
    if others:
        for index, name in enumerate(names[:MOST_NAMED]):
            colour = LINE_COLOURS[index % len(LINE_COLOURS)]
            style = LINE_STYLES[index // len(LINE_COLOURS) % len(LINE_STYLES)]
            handles.append(Line2D([], [], color=colour, linestyle=style, linewidth=3, label=name))
        if len(names) > MOST_NAMED:
            more = f"and {len(names) - MOST_NAMED} more lines"
            handles.append(Line2D([], [], linestyle="none", label=more))
    broke = dict.fromkeys(str(row["breaks_in"]) for row in rows if row["status"] == "ok")
    for kind in broke:
        inside = INK if kind == "glue" else "white"
        mark = MARKERS.get(kind, "D")
        label = f"breaks in {kind}"
        handles.append(
            Line2D([], [], linestyle="none", marker=mark, color=INK, mfc=inside, ms=10, mew=2, label=label)
        )
    if any(row["status"] != "ok" for row in rows):
        handles.append(
            Line2D([], [], linestyle="none", marker=FAILED, color=INK, ms=10, mew=2.5, label="no answer")
        )
    title = ", ".join(key.partition(".")[2].replace("_", " ") for key in others) or None
    sheet.legend(
        handles=handles,
        title=title,
        loc="outside lower center",
        ncols=min(len(handles), 4),
        frameon=False,
        fontsize=12,
        title_fontsize=12,
    )
