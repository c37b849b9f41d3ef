"""The corner with its grain and the joint's parts named."""

from __future__ import annotations

from itertools import cycle, pairwise
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from glueline.geometries import BOARD_A, BOARD_B, Layout, Screw
from glueline.geometries.joinings import Point
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import format_length
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, frame, new_sheet, panels_of, wood_fill
from glueline.studies.show.rods import still_outline

ON_EDGE = 1e-6  # mm


def draw_parts(prediction: Prediction, units: Units) -> Figure:
    """Pieces with grain lines, glue lines in colour, cheeks hatched, measures in the heading."""
    corner = prediction.corner
    layout = corner.layout
    groups = panels_of(corner)
    sheet = new_sheet(5.4 * len(groups) + 2.2, 6.0)
    columns = sheet.subplots(1, len(groups), squeeze=False)[0]
    handles: dict[str, Any] = {}
    for axes, group in zip(columns, groups, strict=True):
        names = [body.name for body in group.bodies]
        for cell in layout.cells:
            for name in names:
                if name in cell.parts:
                    fill = wood_fill(corner, name)
                    axes.add_patch(Polygon(cell.polygon, closed=True, facecolor=fill, edgecolor="none"))
        _draw_grain(axes, layout, names)
        _draw_outlines(axes, layout, names)
        _draw_connections(axes, corner, names, handles)
        _draw_hardware(axes, corner, handles)
        _name_pieces(axes, layout, names)
        frame(axes, corner, close=True)
        axes.set_title(group.title, fontsize=13, color=INK)
    sheet.legend(
        list(handles.values()),
        list(handles),
        loc="outside lower center",
        ncols=min(3 if len(groups) > 1 else 2, len(handles)),
        fontsize=12,
        frameon=False,
    )
    boards = prediction.specimen.boards
    size = (
        f"boards {format_length(boards.thickness, units)} × {format_length(boards.width, units)}, "
        f"leg {format_length(boards.leg, units)}, as in a {boards.lay}"
    )
    sheet.suptitle(f"{prediction.specimen.kind.capitalize()} corner\n{size}", fontsize=14, color=INK)
    return sheet


def _draw_grain(axes: Any, layout: Layout, names: list[str]) -> None:
    """Thin lines along the grain, clipped to each piece's cells."""
    depth = min(layout.boards.depth_a, layout.boards.depth_b)
    for cell in layout.cells:
        for name in names:
            if name not in cell.parts:
                continue
            angle = layout.piece(name).grain_angle
            along = np.array([np.cos(angle), np.sin(angle)])
            across = np.array([-along[1], along[0]])
            corners = np.array(cell.polygon)
            reach = float(np.abs(corners).max()) * 1.5
            low, high = (corners @ across).min(), (corners @ across).max()
            clip = Polygon(cell.polygon, closed=True, transform=axes.transData)
            for offset in np.arange(np.ceil(low / depth * 9), np.floor(high / depth * 9) + 1) * depth / 9:
                ends = np.stack([offset * across - reach * along, offset * across + reach * along])
                (line,) = axes.plot(
                    ends[:, 0], ends[:, 1], color="#b08d57", linewidth=0.7, scalex=False, scaley=False
                )
                line.set_clip_path(clip)


def _draw_outlines(axes: Any, layout: Layout, names: list[str]) -> None:
    """Where a piece ends in ink; where only its thickness changes, and all other cells, faintly."""
    for cell in layout.cells:
        own = any(name in cell.parts for name in names)
        line = "-" if own else ":"
        axes.add_patch(
            Polygon(cell.polygon, closed=True, fill=False, edgecolor=FAINT, linewidth=0.8, linestyle=line)
        )
    for name in names:
        for (x0, y0), (x1, y1) in _outline(layout, name):
            axes.plot([x0, x1], [y0, y1], color=INK, linewidth=1.2, solid_capstyle="round")


def _outline(layout: Layout, name: str) -> list[tuple[Point, Point]]:
    """The stretches of a piece's cells beyond which there is no other cell of it."""
    corners = np.unique([corner for cell in layout.cells for corner in cell.polygon], axis=0)
    stretches: dict[frozenset[Point], tuple[Point, Point]] = {}
    shared = set()
    for cell in (each for each in layout.cells if name in each.parts):
        for start, end in zip(cell.polygon, (*cell.polygon[1:], cell.polygon[0]), strict=True):
            side = np.subtract(end, start)
            share = (corners - start) @ side / (side @ side)
            away = np.linalg.norm(corners - start - share[:, None] * side, axis=1)
            between = np.sort(share[(away < ON_EDGE) & (share > 0) & (share < 1)])
            places = [_rounded(np.add(start, part * side)) for part in (0.0, *between, 1.0)]
            for pair in pairwise(places):
                key = frozenset(pair)
                if key in stretches:
                    shared.add(key)
                stretches[key] = pair
    return [pair for key, pair in stretches.items() if key not in shared]


def _rounded(place: NDArray[np.float64]) -> Point:
    return round(float(place[0]), 5), round(float(place[1]), 5)


def _draw_hardware(axes: Any, corner: CornerModel, handles: dict[str, Any]) -> None:
    """Bought fasteners in outline, heads as a line across."""
    for each in corner.layout.hardware:
        place = still_outline(corner, each)
        outline = Polygon(place, closed=True, facecolor="white", edgecolor=INK, linewidth=1.4, zorder=2.5)
        many = each.number > 1
        label = f"{each.number} {each.singular}s" if many else each.name
        handles.setdefault(label, axes.add_patch(outline))
        if isinstance(each, Screw):
            along = np.subtract(each.end, each.start) / np.linalg.norm(np.subtract(each.end, each.start))
            off = 0.5 * each.head_diameter * np.array([-along[1], along[0]])
            ends = np.array([each.start - off, each.start + off])
            axes.plot(ends[:, 0], ends[:, 1], color=INK, linewidth=3.0, solid_capstyle="butt", zorder=2.6)


def _draw_connections(axes: Any, corner: CornerModel, names: list[str], handles: dict[str, Any]) -> None:
    """Edges in colour, areas hatched, of what holds any of the pieces ``names``."""
    for connection, colour in zip(corner.connections, cycle(LINE_COLOURS), strict=False):
        if connection.surface.minus not in names and connection.surface.plus not in names:
            continue
        for start, end in (*connection.joining.edges, *getattr(connection.joining, "sides", ())):
            (drawn,) = axes.plot([start[0], end[0]], [start[1], end[1]], color=colour, linewidth=4)
            handles.setdefault(connection.legend, drawn)
        for index in connection.joining.cells:
            patch = axes.add_patch(
                Polygon(
                    corner.layout.cells[index].polygon,
                    closed=True,
                    facecolor="none",
                    edgecolor=colour,
                    hatch="..",
                    linewidth=0,
                )
            )
            handles.setdefault(connection.legend, patch)


def _name_pieces(axes: Any, layout: Layout, names: list[str]) -> None:
    boards = layout.boards
    depth = max(boards.depth_a, boards.depth_b)
    reach = min(boards.leg, 2.6 * depth)
    places = {
        BOARD_A: (boards.depth_b + 0.55 * (reach - boards.depth_b), boards.depth_a / 2, 0),
        BOARD_B: (boards.depth_b / 2, boards.depth_a + 0.55 * (reach - boards.depth_a), 90),
    }
    others = [name for name in names if name not in places]
    for name in names:
        style = {"ha": "center", "va": "center", "fontsize": 13, "color": INK}
        box = {"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": "none", "alpha": 0.85}
        if name in others:
            corners = np.concatenate([np.array(c.polygon) for c in layout.cells if name in c.parts])
            middle = corners.mean(axis=0)
            axes.annotate(
                name,
                middle,
                xytext=(1.5 * depth, (1.8 - 0.3 * others.index(name)) * depth),
                bbox=box,
                arrowprops={"arrowstyle": "-"},
                **style,
            )
            continue
        x, y, turn = places[name]
        axes.text(x, y, name, rotation=turn, bbox=box, **style)
