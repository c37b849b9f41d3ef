"""A legend below a picture for a room, in as many columns as the letters leave room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from glueline.studies.show.canvas import INK
from glueline.studies.show.lettering import POINTS_PER_INCH, TICK, short_labels, text_width

EM = TICK / POINTS_PER_INCH  # inches
HANDLE, GAP, BETWEEN = 2.0, 0.6, 1.8  # in letters' sizes: a handle, from it to its words, between columns
ROW, BELOW = 1.45 * EM, 0.09  # inches: a line of the legend, and what is left free below the last
SLACK = 1.03  # kerning and rounding, over the measured width


@dataclass(frozen=True)
class LegendBlock:
    """Handles with their words in ``columns`` columns below a title; ``height`` in inches."""

    title: str
    handles: tuple[Line2D, ...]
    columns: int
    height: float


def legend_block(handles: Sequence[Line2D], width: float, title: str = "") -> LegendBlock:
    """As many columns as fit into ``width`` inches; words too long for one column are cut in the middle."""
    room = (width - (HANDLE + GAP) * EM) / SLACK
    labels = short_labels([str(handle.get_label()) for handle in handles], TICK, room, 1)
    for handle, label in zip(handles, labels, strict=True):
        handle.set_label(label)
    widths = [SLACK * text_width(label.replace("\\$", "$"), TICK) for label in labels]
    columns = next(count for count in range(len(widths), 0, -1) if count == 1 or _fits(widths, count, width))
    rows = -(-len(widths) // columns)
    return LegendBlock(title, tuple(handles), columns, ROW * (rows + bool(title)) + BELOW)


def draw_legend(sheet: Figure, block: LegendBlock, left: float, bottom: float) -> None:
    """Draw a block with its lower left corner at (left, bottom) inches on the sheet."""
    width, height = sheet.get_size_inches()
    legend = sheet.legend(
        handles=list(block.handles),
        title=block.title or None,
        loc="lower left",
        bbox_to_anchor=(left / width, (bottom + BELOW) / height),
        ncols=block.columns,
        alignment="left",
        frameon=False,
        fontsize=TICK,
        title_fontproperties={"size": TICK, "weight": "bold"},
        labelcolor=INK,
        handlelength=HANDLE,
        handletextpad=GAP,
        columnspacing=BETWEEN,
        labelspacing=0.4,
        borderaxespad=0,
        borderpad=0,
    )
    legend.set_in_layout(False)


def _fits(widths: Sequence[float], columns: int, width: float) -> bool:
    """Whether the columns, filled one after the other from the top as evenly as can be, fit."""
    needed = sum(float(max(column)) for column in np.array_split(np.array(widths), columns))
    return needed + (columns * (HANDLE + GAP) + (columns - 1) * BETWEEN) * EM <= width
