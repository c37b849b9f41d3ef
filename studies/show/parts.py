"""How the corner is made: its side with grain, glue and load, and the face of the joint at its spacing."""

from __future__ import annotations

from itertools import cycle
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from glueline.geometries import BOARD_A, BOARD_B, Layout, Screw
from glueline.geometries.across import whole_width
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import format_length
from glueline.studies.files.units import Units, format_cut
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, frame, member_fill, new_sheet, wood_fill
from glueline.studies.show.face_legend import STEEL, Legend, Panel, legend_of
from glueline.studies.show.face_view import draw_face, panel_of
from glueline.studies.show.lettering import wrapped
from glueline.studies.show.load_sketch import LOAD, draw_grain, draw_load_beside
from glueline.studies.show.piece_outlines import outline_of
from glueline.studies.show.rod_outlines import still_outline
from glueline.studies.show.standing_across import Standing, standing_across

TITLE, WORDS, LETTERS = 25, 16, 14  # points on a sheet of WIDTH
WIDTH = 11.5  # inches
SIDE, HIGH = 5.2, 4.7  # inches: the view of the side; how high the face may be beside it
ABOVE, HEADS, RIM = 0.75, 0.75, 0.35  # inches: the title, the heading of a view, what is left free
TICKS = 0.75  # inches, left of and below a face
MEASURE_AT, MEASURED = 0.25, 1.4  # inches right of a face: the measure of a step; what it takes with words


def draw_parts(prediction: Prediction, units: Units) -> Figure:
    """The side of the corner, and the face of its joint with what stands across the width, at its spacing."""
    corner = prediction.corner
    panel, other = (panel_of(corner.layout, board) for board in (BOARD_A, BOARD_B))
    colours = dict(zip((each.name for each in corner.connections), cycle(LINE_COLOURS), strict=False))
    sheet, side, face, inches = _sheet(corner, panel, legend_of(corner, [panel, other], colours, LETTERS))
    _draw_side(side, corner, colours)
    boards = prediction.specimen.boards
    size = f"boards {format_length(boards.thickness, units)} × {format_length(boards.width, units)}"
    side.set_title(
        f"from the side: {size},\nleg {format_length(boards.leg, units)}", fontsize=WORDS, color=INK
    )
    draw_face(face, corner, panel, inches, colours, units)
    standing = standing_across(corner.layout, panel.cut)
    _dress_face(face, panel, standing, units)
    title = f"How the {prediction.specimen.kind} corner is made"
    sheet.text(
        0.5,
        1 - 0.15 / sheet.get_figheight(),
        title,
        fontsize=TITLE,
        fontweight="bold",
        color=INK,
        ha="center",
        va="top",
    )
    return sheet


def _sheet(corner: CornerModel, panel: Panel, legend: Legend) -> tuple[Figure, Any, Any, float]:
    """The sheet, its two views and the scale of the face in inches per mm; a long face lies below."""
    across = whole_width(corner.layout)
    beside = panel.reach < across
    left = SIDE + 1.5 if beside else TICKS + RIM
    inches = min(HIGH / across, (WIDTH - left - MEASURED) / panel.reach)
    face = panel.reach * inches, across * inches
    row = max(SIDE, face[1] + TICKS) if beside else SIDE
    below = 0.0 if beside else HEADS + face[1] + TICKS + 0.1
    foot = legend.height(WIDTH) + 0.15
    tall = ABOVE + HEADS + row + below + foot
    sheet = new_sheet(WIDTH, tall)
    sheet.set_layout_engine("none")
    start = 0.25 if beside else (WIDTH - SIDE) / 2
    side = sheet.add_axes((start / WIDTH, (foot + below + row - SIDE) / tall, SIDE / WIDTH, SIDE / tall))
    left += (WIDTH - left - MEASURED - face[0]) / 2
    low = foot + TICKS if not beside else foot + max(row - face[1], TICKS)
    place = (left / WIDTH, low / tall, face[0] / WIDTH, face[1] / tall)
    legend.draw(sheet)
    return sheet, side, sheet.add_axes(place), inches


def _draw_side(axes: Any, corner: CornerModel, colours: dict[str, str]) -> None:
    """Every piece with its grain, the one in front last; glue in colour, load and supports beside."""
    layout = corner.layout
    names = [body.name for body in corner.model.bodies]
    for cell in layout.cells:
        for name in (name for name in names if name in cell.parts):
            fill = wood_fill(corner, name)
            axes.add_patch(Polygon(cell.polygon, closed=True, facecolor=fill, edgecolor="none"))
    draw_grain(axes, layout, names, min(layout.boards.depth_a, layout.boards.depth_b) / 9)
    _draw_outlines(axes, layout, names)
    _draw_connections(axes, corner, colours)
    _draw_hardware(axes, corner)
    _name_boards(axes, layout)
    frame(axes, corner, close=True)
    draw_load_beside(axes, layout, corner.specimen.arrangement, WORDS - 1)


def _dress_face(axes: Any, panel: Panel, standing: tuple[Standing, ...], units: Units) -> None:
    """A heading that counts what stands across, and the step from one to the next as a measure."""
    words = [f"face of {panel.cut.board}, cut open", *(each.words(units) for each in standing)]
    lines = [line for text in words for line in wrapped(text, WORDS - 1, 5.0, False)]
    axes.set_title("\n".join(lines[:3]), fontsize=WORDS - 1, color=INK)
    axes.set_xticks([])
    axes.set_xlabel(f"along {panel.cut.board}", fontsize=LETTERS)
    axes.yaxis.label.set_fontsize(LETTERS)
    axes.tick_params(labelsize=LETTERS)
    steps = next((each for each in standing if len(each.places) > 1), None)
    if steps is None:
        return
    low, high = steps.middles[:2]
    aside = MEASURE_AT / (axes.get_position().width * WIDTH)  # of the face's length
    right = {"xycoords": ("axes fraction", "data"), "textcoords": ("axes fraction", "data")}
    arrow = {"arrowstyle": "<|-|>", "color": LOAD, "linewidth": 2.0, "shrinkA": 0, "shrinkB": 0}
    axes.annotate(
        "", (1 + aside, low), xytext=(1 + aside, high), arrowprops=arrow, annotation_clip=False, **right
    )
    for middle in (low, high):
        dash = {"color": LOAD, "linewidth": 1.0, "linestyle": (0, (4, 3)), "clip_on": False}
        ends = [0.0, 1 + 1.3 * aside]
        axes.plot(ends, [middle, middle], transform=axes.get_yaxis_transform(), zorder=4, **dash)
    step = format_cut(round(high - low, 1) if units == "metric" else high - low, units)
    axes.annotate(
        step,
        (1 + 1.3 * aside, (low + high) / 2),
        xycoords=right["xycoords"],
        fontsize=WORDS - 1,
        color=LOAD,
        fontweight="bold",
        va="center",
        annotation_clip=False,
    )


def _draw_outlines(axes: Any, layout: Layout, names: list[str]) -> None:
    """Where a piece ends in ink; where only its thickness changes, and all other cells, faintly."""
    for cell in layout.cells:
        own = any(name in cell.parts for name in names)
        line = "-" if own else ":"
        axes.add_patch(
            Polygon(cell.polygon, closed=True, fill=False, edgecolor=FAINT, linewidth=0.8, linestyle=line)
        )
    for name in names:
        for (x0, y0), (x1, y1) in outline_of(layout, name):
            axes.plot([x0, x1], [y0, y1], color=INK, linewidth=1.2, solid_capstyle="round")


def _draw_hardware(axes: Any, corner: CornerModel) -> None:
    """Rods and bought fasteners in outline, heads as a line across."""
    for rod in corner.layout.rods:
        fill = member_fill(corner, rod.member)
        outline = still_outline(corner, rod)
        axes.add_patch(
            Polygon(outline, closed=True, facecolor=fill, edgecolor=INK, linewidth=1.2, zorder=2.5)
        )
    for each in corner.layout.hardware:
        place = still_outline(corner, each)
        axes.add_patch(Polygon(place, closed=True, facecolor=STEEL, edgecolor=INK, linewidth=1.4, zorder=2.5))
        if isinstance(each, Screw):
            along = np.subtract(each.end, each.start) / np.linalg.norm(np.subtract(each.end, each.start))
            off = 0.5 * each.head_diameter * np.array([-along[1], along[0]])
            ends = np.array([each.start - off, each.start + off])
            axes.plot(ends[:, 0], ends[:, 1], color=INK, linewidth=3.0, solid_capstyle="butt", zorder=2.6)


def _draw_connections(axes: Any, corner: CornerModel, colours: dict[str, str]) -> None:
    """Edges in colour, areas hatched."""
    for connection in corner.connections:
        colour = colours[connection.name]
        for start, end in (*connection.joining.edges, *getattr(connection.joining, "sides", ())):
            axes.plot([start[0], end[0]], [start[1], end[1]], color=colour, linewidth=5, zorder=3)
        for index in connection.joining.cells:
            area = {"facecolor": "none", "edgecolor": colour, "hatch": "..", "linewidth": 0}
            axes.add_patch(Polygon(corner.layout.cells[index].polygon, closed=True, zorder=2.1, **area))


def _name_boards(axes: Any, layout: Layout) -> None:
    boards = layout.boards
    reach = min(boards.leg, 2.6 * max(boards.depth_a, boards.depth_b))
    places = {
        BOARD_A: (boards.depth_b + 0.6 * (reach - boards.depth_b), boards.depth_a / 2, 0),
        BOARD_B: (boards.depth_b / 2, boards.depth_a + 0.75 * (reach - boards.depth_a), 90),
    }
    box = {"boxstyle": "round,pad=0.25", "facecolor": "white", "edgecolor": "none", "alpha": 0.85}
    for name, (x, y, turn) in places.items():
        axes.text(
            x, y, name, rotation=turn, bbox=box, ha="center", va="center", fontsize=WORDS, color=INK, zorder=6
        )
