"""The corner cut open parallel to each board's outside face: how the pieces stand across the width."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle
from math import cos
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon

from glueline.geometries import BOARD_A, BOARD_B, Layout
from glueline.geometries.across import whole_width
from glueline.geometries.section import Band, Cut, Place, bands, best_cut, furthest
from glueline.geometries.section_glue import glue_seen
from glueline.geometries.silhouettes import silhouettes
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import format_length, length_factor, length_unit
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, new_sheet, wood_fill
from glueline.studies.show.lettering import text_width

GRAIN = "#b08d57"
STEEL = "#8d99a6"
SMALL, MIDDLE, LARGE = 11, 12, 14  # points
GRAIN_SPACING = 0.13  # inches
END_GRAIN = 0.2  # of a piece's grain that lies along the cut; below it the cut shows end grain
WIDEST, HIGHEST = 9.6, 4.6  # inches for one panel
COLUMN_GAP, ROW_GAP, HEAD_AND_AXIS, LEGEND_ROW = 1.2, 1.5, 2.4, 0.25  # inches beside and below panels
NARROWEST = 8.4  # inches, for the heading and the legend


@dataclass(frozen=True)
class Panel:
    """A cut and how far along its board it is drawn, in mm."""

    cut: Cut
    reach: float


def draw_face_view(prediction: Prediction, units: Units) -> Figure:
    """A panel for each board: pieces in their woods, glue in the colours of the parts picture."""
    corner = prediction.corner
    layout = corner.layout
    panels = [_panel(layout, board) for board in (BOARD_A, BOARD_B)]
    handles = _legend_of_pieces(corner, panels)
    inches = _inches_per_mm(layout, panels)
    beside = _stand_beside(layout, panels)
    colours = dict(zip((each.name for each in corner.connections), cycle(LINE_COLOURS), strict=False))
    seen = {name: 0 for name in colours}
    sheet, columns = _sheet(layout, panels, inches, beside, len(handles) + len(colours))
    for axes, panel in zip(columns, panels, strict=True):
        _draw_bands(axes, corner, panel, inches)
        _draw_silhouettes(axes, corner, panel)
        for glue in glue_seen(layout, panel.cut):
            _draw_glue(axes, glue.lines, glue.areas, colours[glue.joining])
            seen[glue.joining] += len(glue.lines) + len(glue.areas)
        _frame(axes, layout, panel, units)
    for connection in corner.connections:
        if seen[connection.name]:
            handles.append(Line2D([], [], color=colours[connection.name], linewidth=4, label=connection.legend))
    _legend(sheet, handles)
    sheet.suptitle(f"{prediction.specimen.kind.capitalize()} corner, cut open", fontsize=LARGE, color=INK)
    return sheet


def _panel(layout: Layout, board: str) -> Panel:
    cut = best_cut(layout, board)
    leg = cut.leg(layout)
    reach = max(furthest(layout, cut) + 0.3 * leg.clear_from, 1.6 * leg.clear_from, 0.4 * whole_width(layout))
    return Panel(cut, min(leg.length, reach))


def _stand_beside(layout: Layout, panels: list[Panel]) -> bool:
    """Whether panels stand side by side; below one another where they are much longer than wide."""
    return max(panel.reach for panel in panels) < 1.8 * whole_width(layout)


def _inches_per_mm(layout: Layout, panels: list[Panel]) -> float:
    longest, width = max(panel.reach for panel in panels), whole_width(layout)
    if _stand_beside(layout, panels):
        return min(HIGHEST / width, WIDEST / sum(panel.reach for panel in panels))
    return min(HIGHEST / 2 / width, WIDEST / longest)


def _sheet(
    layout: Layout, panels: list[Panel], inches: float, beside: bool, entries: int
) -> tuple[Figure, list[Any]]:
    """A sheet on which the panels fit at one scale, with room for the legend."""
    reaches, high = [panel.reach * inches for panel in panels], whole_width(layout) * inches
    legend = HEAD_AND_AXIS + LEGEND_ROW * entries
    if beside:
        sheet = new_sheet(max(sum(reaches) + 2 * COLUMN_GAP, NARROWEST), high + legend)
        return sheet, list(sheet.subplots(1, 2, squeeze=False, width_ratios=reaches)[0])
    sheet = new_sheet(max(*reaches, NARROWEST) + COLUMN_GAP, 2 * high + ROW_GAP + legend)
    return sheet, list(sheet.subplots(2, 1, squeeze=False)[:, 0])


def _draw_bands(axes: Any, corner: CornerModel, panel: Panel, inches: float) -> None:
    wood = {piece.name for piece in corner.layout.pieces}
    for band in bands(corner.layout, panel.cut):
        fill = wood_fill(corner, band.piece) if band.piece in wood else STEEL
        axes.add_patch(Polygon(band.outline, closed=True, facecolor=fill, edgecolor=INK, linewidth=1.0))
        if band.piece in wood:
            _draw_grain(axes, corner.layout, panel, band, GRAIN_SPACING / inches)


def _draw_grain(axes: Any, layout: Layout, panel: Panel, band: Band, spacing: float) -> None:
    """Lines along the grain, or dots where the cut shows end grain, clipped to the band."""
    leg = panel.cut.leg(layout)
    angle = layout.piece(band.piece).grain_angle
    turn = 0.0 if leg.along[0] else np.pi / 2
    corners = np.array(band.outline)
    (left, low), (right, high) = corners.min(axis=0), np.minimum(corners.max(axis=0), (panel.reach, np.inf))
    clip = Polygon(band.outline, closed=True, transform=axes.transData)
    rows = np.arange(np.floor(low / spacing), np.ceil(high / spacing)) * spacing + spacing / 2
    if abs(cos(angle - turn)) > END_GRAIN:
        drawn = axes.hlines(rows, left, right, colors=GRAIN, linewidths=0.7)
    else:
        columns = np.arange(np.floor(left / spacing), np.ceil(right / spacing)) * spacing + spacing / 2
        across, along = np.meshgrid(rows, columns)
        along = along + spacing / 2 * (np.arange(len(rows)) % 2)  # every other row is shifted
        drawn = axes.scatter(along.ravel(), across.ravel(), s=3, color=GRAIN, linewidths=0)
    drawn.set_clip_path(clip)


STYLES: dict[str, dict[str, Any]] = {
    "rod": {"facecolor": "none", "edgecolor": INK, "linewidth": 1.4, "linestyle": "--"},
    "pocket": {"facecolor": "white", "edgecolor": INK, "linewidth": 1.0, "linestyle": "--"},
    "shank": {"facecolor": STEEL, "edgecolor": INK, "linewidth": 1.0},
    "head": {"facecolor": STEEL, "edgecolor": INK, "linewidth": 2.6},
}
"""How what is let in is drawn; dashed where it lies behind the cut or before it."""


def _draw_silhouettes(axes: Any, corner: CornerModel, panel: Panel) -> None:
    for each in silhouettes(corner.layout, panel.cut):
        style = dict(STYLES[each.what])
        if each.what == "rod":
            style["facecolor"] = wood_fill_of_rod(corner, each.name)
        axes.add_patch(Polygon(each.outline, closed=True, zorder=2.5, **style))


def wood_fill_of_rod(corner: CornerModel, name: str) -> str:
    """The fill of a rod by the member that it belongs to."""
    rod = next(rod for rod in corner.layout.rods if rod.name == name)
    return wood_fill(corner, rod.name) if rod.name in {p.name for p in corner.layout.pieces} else rod.name


def _draw_glue(
    axes: Any, lines: tuple[tuple[Place, ...], ...], areas: tuple[tuple[Place, ...], ...], colour: str
) -> None:
    for line in lines:
        places = np.array(line)
        axes.plot(places[:, 0], places[:, 1], color=colour, linewidth=4, solid_capstyle="butt", zorder=3)
    for area in areas:
        axes.add_patch(
            Polygon(area, closed=True, facecolor="none", edgecolor=colour, hatch="..", linewidth=0, zorder=2)
        )


def _frame(axes: Any, layout: Layout, panel: Panel, units: Units) -> None:
    """Equal scales with ticks, the board cut off by a wavy line where it goes on."""
    width, margin = whole_width(layout), 0.03 * max(whole_width(layout), panel.reach)
    axes.set_xlim(-margin, panel.reach)
    axes.set_ylim(-margin, width + margin)
    axes.set_aspect("equal")
    factor = length_factor(units)
    axes.xaxis.set_major_formatter(lambda value, _: f"{value * factor:g}")
    axes.yaxis.set_major_formatter(lambda value, _: f"{value * factor:g}")
    box = layout.boards.lay == "box"
    across = "across the width" if box else "through the thickness"
    axes.set_xlabel(f"along {panel.cut.board}, {length_unit(units)}", fontsize=MIDDLE)
    axes.set_ylabel(f"{across}, {length_unit(units)}", fontsize=MIDDLE)
    axes.tick_params(labelsize=SMALL)
    for side in axes.spines.values():
        side.set_visible(False)
    face = "outside face" if box else "outside edge"
    axes.set_title(
        f"{panel.cut.board}\ncut {format_length(panel.cut.depth, units)} under its {face}",
        fontsize=MIDDLE,
        color=INK,
    )


def _legend_of_pieces(corner: CornerModel, panels: list[Panel]) -> list[Any]:
    return []


def _legend(sheet: Figure, handles: list[Any]) -> None:
    return None
