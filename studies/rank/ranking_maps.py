"""The stress in several corners at one load, side by side on one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from glueline.fem.stress import cell_areas, corner_stress, nodal_mean
from glueline.fem.triangle import EDGE_POINTS
from glueline.studies.corner.connections import Connection
from glueline.studies.files.display import format_force, format_length, stress_factor, stress_unit
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.canvas import (
    INK,
    LINE_COLOURS,
    SIGNED,
    new_sheet,
    outline_edges,
    round_magnification,
    shared_limit,
    standing_still,
)
from glueline.studies.show.lettering import CAPTION, LABEL, TICK, TITLE, caution_lines, short_labels
from glueline.studies.show.rods import rod_edges

Array = NDArray[np.float64]
Rectangle = tuple[float, float, float, float]  # left, bottom, width, height

ACROSS = 1  # the component of stress that is shown
MOST_COLUMNS = 4
PANEL, LONE_PANEL = 3.4, 5.0  # inches, the side of a panel
HEAD, FOOT, BAR = 1.1, 1.35, 1.85  # inches, around the panels
NAME_LINE, BELOW_LINE = 0.36, 0.25  # inches


@dataclass(frozen=True)
class CornerField:
    """Stress across the grain in one corner for P = 1 N, as little as a picture needs.

    Where pieces overlap, each cell shows the piece with the larger stress. ``places`` (m, 3, 2) cell corners
    in mm and their ``displacements`` in mm; ``stress`` (m, 3) in MPa; ``areas`` (m,) in mm2; ``edges`` and
    ``edge_displacements`` (e, 3, 2) outlines as start, middle, end; ``glue`` and ``glue_displacements``
    (g, 3, 2) the elements of the glue lines likewise, ``opening`` (g,) their mean opening traction in MPa;
    ``point`` where it breaks.
    """

    label: str
    break_load: float
    arrangement: str
    depth: float
    leg: float
    places: Array
    displacements: Array
    stress: Array
    areas: Array
    edges: Array
    edge_displacements: Array
    glue: Array
    glue_displacements: Array
    opening: Array
    point: tuple[float, float]
    largest_move: float


def corner_field(prediction: Prediction, label: str) -> CornerField:
    """What the side-by-side picture needs of a prediction, which need not be kept."""
    corner = prediction.corner
    mesh, bodies = corner.model.mesh, corner.model.bodies
    u = standing_still(corner, prediction.u)
    move = {body.name: corner.model.displacement(body.name, u) for body in bodies}
    cells, stress, displacements = _most_stressed(prediction, move)
    outlines = [(body.name, outline_edges(corner, body)[:, [0, 2, 1]]) for body in bodies]
    glue = [(each.surface.minus, each.edges[:, [0, 2, 1]]) for each in corner.connections]
    rods, rod_moves = rod_edges(corner, u)
    boards = corner.layout.boards
    x, y = prediction.critical.point
    return CornerField(
        label=label,
        break_load=prediction.break_load,
        arrangement=prediction.specimen.arrangement.name,
        depth=max(boards.depth_a, boards.depth_b),
        leg=boards.leg,
        places=mesh.nodes[mesh.triangles[cells, :3]],
        displacements=displacements,
        stress=stress,
        areas=cell_areas(mesh, cells),
        edges=np.concatenate([*(mesh.nodes[edges] for _, edges in outlines), rods]),
        edge_displacements=np.concatenate([*(move[name][edges] for name, edges in outlines), rod_moves]),
        glue=np.concatenate([mesh.nodes[edges] for _, edges in glue]),
        glue_displacements=np.concatenate([move[name][edges] for name, edges in glue]),
        opening=np.concatenate([_opening(prediction, each) for each in corner.connections]),
        point=(float(x), float(y)),
        largest_move=float(np.abs(u).max()),
    )


def _most_stressed(prediction: Prediction, move: dict[str, Array]) -> tuple[NDArray[np.int64], Array, Array]:
    """For every cell of the mesh the piece with the largest mean stress: cells, stress, displacements."""
    model = prediction.corner.model
    count = len(model.mesh.triangles)
    largest = np.full(count, -1.0)
    stress = np.zeros((count, 3))
    displacements = np.zeros((count, 3, 2))
    for body in model.bodies:
        own = nodal_mean(model, body, corner_stress(model, body, prediction.u))[..., ACROSS]
        size = np.abs(own).mean(axis=1)
        more = size > largest[body.cells]
        chosen = body.cells[more]
        largest[chosen], stress[chosen] = size[more], own[more]
        displacements[chosen] = move[body.name][model.nodes_of(body)[more][:, :3]]
    cells = np.flatnonzero(largest >= 0)
    return cells, stress[cells], displacements[cells]


def _opening(prediction: Prediction, held: Connection) -> Array:
    """Mean opening traction (e,) in MPa on every edge of a connection for P = 1 N."""
    count, each = len(held.edges), len(EDGE_POINTS)
    traction = held.surface.tractions(prediction.u)[: each * count, 1].reshape(count, each)
    weight = held.surface.weight[: each * count].reshape(count, each)
    return np.asarray((traction * weight).sum(axis=1) / weight.sum(axis=1))


def draw_maps(fields: Sequence[CornerField], units: Units) -> Figure:
    """One panel a corner, strongest first, all at the lowest break load among them and on one scale."""
    ranked = sorted(fields, key=lambda field: -field.break_load)
    load = ranked[-1].break_load
    factor = load * stress_factor(units)
    limit = shared_limit(
        [field.stress * factor for field in ranked],
        [np.repeat(field.areas, 3).reshape(-1, 3) for field in ranked],
    )
    magnification = min(round_magnification(field.largest_move * load, field.leg) for field in ranked)
    columns = min(MOST_COLUMNS, len(ranked)) if len(ranked) not in (5, 6, 9) else 3
    rows = math.ceil(len(ranked) / columns)
    side = PANEL if len(ranked) > 1 else LONE_PANEL
    width = max(10.5, columns * side + BAR)
    wide = (width - BAR) / columns
    labels = short_labels([field.label for field in ranked], LABEL - 1, wide - 0.35, 2, bold=True)
    below = _below(ranked, units)
    name = 0.1 + NAME_LINE * (2 + max(label.count("\n") for label in labels))
    tall = name + side + 0.15 + BELOW_LINE * max(len(words.splitlines()) for words in below)
    height = HEAD + rows * tall + FOOT
    sheet = new_sheet(width, height)
    sheet.set_layout_engine("none")
    colours: Any = None
    for index, (field, label, words) in enumerate(zip(ranked, labels, below, strict=True)):
        row, column = divmod(index, columns)
        top = height - HEAD - row * tall
        place = (0.1 + column * wide, top - name - side, wide - 0.15, side)
        axes = sheet.add_axes(_shares(place, width, height))
        colours = _draw_field(axes, field, factor, load * magnification, limit)
        heading = f"{label}\nbreaks at {format_force(field.break_load, units)}"
        axes.set_title(heading, fontsize=LABEL - 1, color=INK, fontweight="bold", pad=6)
        axes.set_xlabel(words, fontsize=CAPTION, color=INK)
    bar_height = min(rows * tall, side + 1) - 1.5
    bar = (width - BAR + 0.25, height - HEAD - name - 0.2 - bar_height, 0.3, bar_height)
    _draw_scale(sheet, colours, _shares(bar, width, height), units)
    _write(sheet, len(ranked), load, magnification, units, height)
    return sheet


def _shares(place: Rectangle, width: float, height: float) -> Rectangle:
    """Left, bottom, width and height in inches as shares of the sheet."""
    return place[0] / width, place[1] / height, place[2] / width, place[3] / height


def _below(ranked: Sequence[CornerField], units: Units) -> list[str]:
    """What stands below each panel: how it is loaded and how deep its boards are, where corners differ."""
    loaded = len({field.arrangement for field in ranked}) > 1
    sized = len({round(field.depth, 3) for field in ranked}) > 1
    return [
        "\n".join([field.arrangement] * loaded + [f"boards {format_length(field.depth, units)} deep"] * sized)
        for field in ranked
    ]


def _draw_field(axes: Any, field: CornerField, factor: float, move: float, limit: float) -> Any:
    """One corner near its joint; ``factor`` multiplies stress and ``move`` displacements for 1 N."""
    corners = (field.places + move * field.displacements).reshape(-1, 2)
    triangles = Triangulation(corners[:, 0], corners[:, 1], np.arange(len(corners)).reshape(-1, 3))
    norm = Normalize(-limit, limit)
    values = (field.stress * factor).ravel()
    drawn = axes.tripcolor(triangles, values, shading="gouraud", cmap=SIGNED, norm=norm)
    outline = list(field.edges + move * field.edge_displacements)
    axes.add_collection(LineCollection(outline, colors=INK, linewidths=1.6))
    line = list(field.glue + move * field.glue_displacements)
    axes.add_collection(LineCollection(line, colors=INK, linewidths=10.5, capstyle="butt"))
    glue = LineCollection(line, linewidths=7.5, capstyle="butt", cmap=SIGNED, norm=norm)
    glue.set_array(field.opening * factor)
    axes.add_collection(glue)
    axes.plot(
        *field.point,
        marker="o",
        fillstyle="none",
        linestyle="none",
        markeredgecolor=LINE_COLOURS[2],
        markersize=27,
        markeredgewidth=3.5,
    )
    reach = min(field.leg, 2.6 * field.depth)
    axes.set_xlim(-0.14 * reach, reach)
    axes.set_ylim(-0.09 * reach, 1.05 * reach)
    axes.set_aspect("equal")
    axes.set_xticks([])
    axes.set_yticks([])
    for side in axes.spines.values():
        side.set_visible(False)
    return drawn


def _draw_scale(sheet: Figure, colours: Any, place: Rectangle, units: Units) -> None:
    bar = sheet.colorbar(colours, cax=sheet.add_axes(place), extend="both")
    bar.set_label(f"{stress_unit(units)}   − pressed, + pulled", fontsize=TICK, color=INK)
    bar.ax.tick_params(labelsize=TICK, labelcolor=INK)
    bar.ax.locator_params(axis="y", nbins=7)


def _write(sheet: Figure, count: int, load: float, magnification: float, units: Units, height: float) -> None:
    """Heading, and what to read the picture with."""
    at_load = format_force(load, units)
    title = f"Every corner at {at_load}" if count > 1 else f"The corner at {at_load}"
    sheet.text(0.02, 1 - 0.14 / height, title, fontsize=TITLE, fontweight="bold", color=INK, va="top")
    words = "stress across the grain; glue lines: what pulls the glue open"
    if count > 1:
        words = f"the lowest break load of them; {words}"
    sheet.text(0.02, 1 - 0.66 / height, words, fontsize=TICK, color=INK, va="top")
    foot = [
        f"Before any glue softens; deformation × {magnification:g}; ring: where a corner breaks at its own "
        "load; where",
        "pieces overlap, the more stressed is shown; the colours cover the stress of 99.5 % of the area.",
        *caution_lines(),
    ]
    sheet.text(0.02, 0.1 / height, "\n".join(foot), fontsize=CAPTION, color="#444444", va="bottom")
