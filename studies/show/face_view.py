"""The corner cut open parallel to each board's outside face: how the pieces stand across the width."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import cycle
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.ticker import MaxNLocator

from glueline.geometries import BOARD_A, BOARD_B, Layout
from glueline.geometries.across import whole_width
from glueline.geometries.choice_of_cut import best_cut, furthest
from glueline.geometries.section import Band, bands, edges
from glueline.geometries.section_glue import GlueSeen, glue_seen
from glueline.geometries.silhouettes import silhouettes
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import length_factor, length_unit
from glueline.studies.files.units import Units, format_cut
from glueline.studies.show.canvas import INK, LINE_COLOURS, member_fill, new_sheet, wood_fill
from glueline.studies.show.face_legend import (
    BEFORE,
    BEHIND,
    STEEL,
    STYLES,
    UNCUT,
    Legend,
    Panel,
    legend_of,
    shows_end_grain,
)
from glueline.studies.show.inch_axes import RuleLocator, inch_words
from glueline.studies.show.load_sketch import GRAIN, draw_loaded_corner

SMALL, MIDDLE, LARGE = 11, 12, 20  # points
GRAIN_SPACING = 0.13  # inches
LONGEST, HIGHEST = (
    9.6,
    4.6,
)  # inches: panels along their boards, both where they stand side by side; and across
LEAST_COLUMN, LEAST_SHEET = 3.2, 9.4  # inches
TOP, TITLE, LEFT, RIGHT, BOTTOM = (
    0.6,
    0.6,
    0.85,
    0.3,
    0.75,
)  # inches about a panel, above it the sheet's heading
LOADED, RIM = 2.5, 0.1  # inches: the loaded corner at the right, and what is free beside it
MARGIN = 1.0  # mm about what is drawn
TICKS, ROUND_STEPS = 8, (1, 2, 5, 10)


def draw_face_view(corner: CornerModel, units: Units) -> Figure:
    """A panel for each board: pieces in their woods, glue in the colours of the parts picture."""
    layout = corner.layout
    panels = [panel_of(layout, board) for board in (BOARD_A, BOARD_B)]
    inches = _inches_per_mm(layout, panels)
    colours = dict(zip((each.name for each in corner.connections), cycle(LINE_COLOURS), strict=False))
    sheet, columns, beside = _sheet(layout, panels, inches, legend_of(corner, panels, colours))
    for axes, panel in zip(columns, panels, strict=True):
        draw_face(axes, corner, panel, inches, colours, units)
    draw_loaded_corner(beside, layout, corner.specimen.arrangement, MIDDLE + 1)
    heading = f"The {corner.specimen.kind} corner, cut open along either board"
    sheet.suptitle(
        heading, y=1 - 0.14 / sheet.get_figheight(), va="top", fontsize=LARGE, fontweight="bold", color=INK
    )
    return sheet


def draw_face(
    axes: Any, corner: CornerModel, panel: Panel, inches: float, colours: Mapping[str, str], units: Units
) -> None:
    """One cut at ``inches`` per mm, glue in ``colours`` by its name."""
    _draw_bands(axes, corner, panel, inches)
    _draw_silhouettes(axes, corner, panel)
    for glue in glue_seen(corner.layout, panel.cut):
        _draw_glue(axes, glue, colours[glue.joining])
    _frame(axes, corner.layout, panel, units)


def panel_of(layout: Layout, board: str) -> Panel:
    """The cut along a board that meets most of the joint, and how far it is drawn."""
    cut = best_cut(layout, board)
    leg = cut.leg(layout)
    reach = max(furthest(layout, cut) + 0.3 * leg.clear_from, 1.6 * leg.clear_from, 0.4 * whole_width(layout))
    return Panel(cut, min(leg.length, reach))


def _stand_beside(layout: Layout, panels: list[Panel]) -> bool:
    """Whether panels stand side by side; below one another where they are much longer than wide."""
    return max(panel.reach for panel in panels) < 1.8 * whole_width(layout)


def _inches_per_mm(layout: Layout, panels: list[Panel]) -> float:
    reaches, width = [panel.reach for panel in panels], whole_width(layout)
    if _stand_beside(layout, panels):
        return min(HIGHEST / width, LONGEST / sum(reaches))
    return min(HIGHEST / 2 / width, LONGEST / max(reaches))


def _sheet(
    layout: Layout, panels: list[Panel], inches: float, legend: Legend
) -> tuple[Figure, list[Any], Any]:
    """A sheet with a panel for each board, all at one scale, the loaded corner beside, the legend below.

    Every place is given in inches: what matplotlib lays out by itself does not know how high panels of equal
    scales become.
    """
    lengths = [(panel.reach + MARGIN) * inches for panel in panels]
    high = (whole_width(layout) + 2 * MARGIN) * inches
    if _stand_beside(layout, panels):
        rooms = [max(length, LEAST_COLUMN) for length in lengths]
        wanted = 2 * LEFT + sum(rooms) + RIGHT + LOADED
        wide, row = max(wanted, LEAST_SHEET), 0.0
        first = LEFT + (wide - wanted) / 2
        left = [first, first + rooms[0] + LEFT]
        left = [at + (room - length) / 2 for at, room, length in zip(left, rooms, lengths, strict=True)]
    else:
        wide, row = max(LEFT + max(lengths) + RIGHT + LOADED, LEAST_SHEET), TITLE + high + BOTTOM
        left = [LEFT, LEFT]
    below = legend.height(wide) + BOTTOM
    tall = below + row + high + TITLE + TOP
    sheet = new_sheet(wide, tall)
    sheet.set_layout_engine("none")
    places = zip(left, (below + row, below), lengths, strict=True)
    axes = [sheet.add_axes((at / wide, low / tall, length / wide, high / tall)) for at, low, length in places]
    low = below + (row + high - LOADED) / 2
    beside = sheet.add_axes(((wide - LOADED - RIM) / wide, low / tall, LOADED / wide, LOADED / tall))
    legend.draw(sheet)
    return sheet, axes, beside


def _draw_bands(axes: Any, corner: CornerModel, panel: Panel, inches: float) -> None:
    """Pieces in their woods with their grain, slots in the colour of what stands in them."""
    layout = corner.layout
    slots = [each.name for each in layout.hardware]
    for band in bands(layout, panel.cut):
        fill = STEEL if band.piece in slots else wood_fill(corner, band.piece)
        axes.add_patch(Polygon(band.outline, closed=True, facecolor=fill, edgecolor=fill, linewidth=0.5))
        if band.piece not in slots:
            _draw_grain(axes, layout, panel, band, GRAIN_SPACING / inches)
    for edge in edges(layout, panel.cut):
        axes.plot(*np.array(edge).T, color=INK, linewidth=1.0, solid_capstyle="round", zorder=2.2)


def _draw_grain(axes: Any, layout: Layout, panel: Panel, band: Band, spacing: float) -> None:
    """Lines along the grain, or dots where the cut shows end grain, clipped to the band."""
    corners = np.array(band.outline)
    left, low = corners.min(axis=0)
    right, high = min(corners[:, 0].max(), panel.reach), corners[:, 1].max()
    rows = np.arange(np.floor(low / spacing), np.ceil(high / spacing)) * spacing + spacing / 2
    if not shows_end_grain(layout, panel.cut, band.piece):
        drawn = axes.hlines(rows, left, right, colors=GRAIN, linewidths=0.7)
    else:
        columns = np.arange(np.floor(left / spacing) - 1, np.ceil(right / spacing)) * spacing + spacing / 2
        across, along = np.meshgrid(rows, columns)
        shifted = along + spacing / 2 * (np.round(rows / spacing - 0.5) % 2)  # every other row
        drawn = axes.scatter(shifted.ravel(), across.ravel(), s=3, color=GRAIN, linewidths=0)
    drawn.set_clip_path(Polygon(band.outline, closed=True, transform=axes.transData))


def _draw_silhouettes(axes: Any, corner: CornerModel, panel: Panel) -> None:
    """Rods below their glue, bought fasteners above all glue; dashed where the cut misses them."""
    rods = {rod.name: rod.member for rod in corner.layout.rods}
    for each in silhouettes(corner.layout, panel.cut):
        style = {"edgecolor": INK, **STYLES[each.what]}
        if each.name in rods:
            style["facecolor"] = member_fill(corner, rods[each.name])
        if not each.is_cut:
            style |= UNCUT
        above = 2.5 if each.name in rods else 3.5
        axes.add_patch(Polygon(each.outline, closed=True, zorder=above, **style))


def _draw_glue(axes: Any, glue: GlueSeen, colour: str) -> None:
    """Thick where the cut goes through it, hatched one way where it lies before the cut, the other behind."""
    for line in glue.lines:
        axes.plot(*np.array(line).T, color=colour, linewidth=4, solid_capstyle="butt", zorder=3)
    for areas, hatch in ((glue.before, BEFORE), (glue.behind, BEHIND)):
        for area in areas:
            outline = {"facecolor": "none", "edgecolor": colour, "linewidth": 0}
            axes.add_patch(Polygon(area, closed=True, hatch=hatch, zorder=2.1, **outline))


def _frame(axes: Any, layout: Layout, panel: Panel, units: Units) -> None:
    """Equal scales with ticks; a board that goes on has no line across it there."""
    axes.set_xlim(-MARGIN, panel.reach)
    axes.set_ylim(-MARGIN, whole_width(layout) + MARGIN)
    _set_ticks(axes.xaxis, panel.reach, units)
    _set_ticks(axes.yaxis, whole_width(layout), units)
    box = layout.boards.lay == "box"
    across = "across the width" if box else "through the thickness"
    unit = length_unit(units)
    axes.set_xlabel(f"along {panel.cut.board} from the corner, {unit}", fontsize=MIDDLE)
    axes.set_ylabel(f"{across}, {unit}", fontsize=MIDDLE)
    axes.tick_params(labelsize=SMALL)
    for side in axes.spines.values():
        side.set_visible(False)
    depth = format_cut(round(panel.cut.depth, 1) if units == "metric" else panel.cut.depth, units)
    title = f"{panel.cut.board}\ncut {depth} under its outside {'face' if box else 'edge'}"
    axes.set_title(title, fontsize=MIDDLE, color=INK)


INCH_TICKS = 4  # 1 and 1 1/4 close together are misread


def _set_ticks(axis: Any, end: float, units: Units) -> None:
    """Round numbers of the shown unit from 0 to ``end`` mm, of inches fractions as on a rule."""
    factor = length_factor(units)
    if units == "imperial":
        places = RuleLocator(INCH_TICKS).tick_values(0.0, end * factor)
        axis.set_ticks(places / factor, [inch_words(place) for place in places])
        return
    ticks = np.asarray(MaxNLocator(TICKS, steps=ROUND_STEPS).tick_values(0.0, end * factor))
    shown = ticks[ticks <= end * factor * (1 + 1e-9)]
    axis.set_ticks(shown / factor, [f"{tick:g}" for tick in shown])
