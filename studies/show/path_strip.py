"""The corner at four places of its path: where the glue has softened and where it has gone."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.model import Model
from glueline.studies.corner.connections import Connection
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.bent_grain import draw_bent_grain
from glueline.studies.show.canvas import INK, draw_outline, drawn, frame, new_sheet, wood_fill
from glueline.studies.show.deformed import moved, outline_edges
from glueline.studies.show.glue_places import cell_corners, edge_stretches
from glueline.studies.show.lettering import balanced
from glueline.studies.show.load_sketch import draw_load_beside, draw_ring
from glueline.studies.show.path_frames import Frame, frame_at, one_magnification
from glueline.studies.show.path_marks import is_damaged, just_past, marks_of
from glueline.studies.show.rods import draw_glue_along, draw_rods
from glueline.studies.show.strength_colours import GONE_WORDS, draw_scale, strength_colours
from glueline.studies.show.strength_field import GRAIN_LINES

Array = NDArray[np.float64]

TITLE, WORDS = 25, 17  # points on a sheet of WIDTH
WIDTH = 10.8  # inches


def path_strip_png(break_path: BreakPath, units: Units) -> bytes:
    """The picture as PNG bytes."""
    return drawn(draw_path_strip, break_path, units)


def draw_path_strip(break_path: BreakPath, units: Units) -> Figure:
    """Close views at one magnification, spent glue in colour: along glue lines, on cheeks."""
    corner, path = break_path.corner, break_path.path
    frames = _frames(break_path)
    factor = one_magnification(corner, frames)
    rows = -(-len(frames) // 2)
    sheet = new_sheet(WIDTH, 1.1 + 4.4 * rows)
    columns = sheet.subplots(rows, 2, squeeze=False).ravel()
    for axes in columns[len(frames) :]:
        axes.set_visible(False)
    colours = ScalarMappable(Normalize(0.0, 1.0), strength_colours())
    for axes, shown in zip(columns, frames, strict=False):
        draw_state(axes, break_path, shown, factor)
        if shown.state == path.first_damage and is_damaged(break_path):
            _ring(axes, break_path, shown.u, factor)
        frame(axes, corner, close=True)
        force = format_force(_load_of(break_path, shown.state), units)
        if axes is columns[0]:
            draw_load_beside(axes, corner.layout, corner.specimen.arrangement, WORDS - 3)
        axes.set_title(f"{shown.words}\n{force}", fontsize=WORDS, color=INK)
    if corner.glued:
        draw_scale(sheet, colours, list(columns), WORDS - 1, GONE_WORDS, shrink=0.6, pad=0.02)
    what = "Where the glue goes" if corner.glued else "How it opens without glue"
    bent = "as far as it bends" if factor == 1 else f"bent {factor:g} times as far"
    title = f"{what}: {corner.specimen.kind} corner, {bent}"
    sheet.suptitle(balanced(title, TITLE, WIDTH - 0.5), fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _load_of(break_path: BreakPath, state: int) -> float:
    """The load in N of a state; first damage and the break lie between two, at the loads all answers name."""
    damage = break_path.first_damage_load
    if state == break_path.state and not break_path.ends_held:
        return break_path.break_load
    if state == break_path.path.first_damage and is_damaged(break_path) and damage is not None:
        return damage
    return float(break_path.path.load[state])


def draw_state(axes: Any, break_path: BreakPath, shown: Frame, factor: float) -> None:
    """The corner as it stands at a state, moved ``factor`` times as far, glue coloured by what is spent."""
    corner, gone = break_path.corner, break_path.gone(shown.state)
    _draw_wood(axes, corner, shown.u, factor)
    for each in corner.connections:
        _draw_cells(axes, corner.model, each, shown.u, factor, gone[each.name])
    for body in corner.model.bodies:
        place = moved(corner, body, shown.u, factor)
        draw_outline(axes, place, outline_edges(corner, body), linewidths=0.9)
    draw_rods(axes, corner, shown.u, factor, "white")
    for each in corner.glued:
        _draw_edges(axes, corner.model, each, shown.u, factor, gone[each.name])
        draw_glue_along(axes, corner, each, shown.u, factor, gone[each.name], strength_colours())


def _frames(break_path: BreakPath) -> tuple[Frame, ...]:
    """First damage, the states on either side of the highest load, and the last.

    Where the wood breaks first, the break and the highest load that the glue would have reached; where the
    corner holds to the end, one state half the way there.
    """
    marks = marks_of(break_path)
    middle: tuple[tuple[str, int], ...] = (
        ("just before the break", max(marks.highest - 1, marks.first_damage)),
        ("just after the break", just_past(break_path)),
    )
    if marks.broken != marks.highest:
        middle = (
            (("lets go under weight", marks.broken), ("later, driven by a vice or jack", marks.highest))
            if marks.wood is None
            else (("the wood breaks", marks.broken), ("later, had the wood held", marks.highest))
        )
    if break_path.ends_held:
        far = break_path.path.displacement
        middle = (("half the way", int(np.abs(far - far[-1] / 2).argmin())),)
    last = "still held, at the largest turn" if break_path.ends_held else "as far as followed"
    first = (("first damage", marks.first_damage),) if is_damaged(break_path) else ()
    places = (*first, *middle, (last, marks.last))
    return tuple(frame_at(break_path, words, state) for words, state in places)


def _draw_wood(axes: Any, corner: CornerModel, u: Array, factor: float) -> None:
    for body in corner.model.bodies:
        place = moved(corner, body, u, factor)
        fill = wood_fill(corner, body.name)
        ring = place[corner.model.nodes_of(body)[:, [0, 3, 1, 4, 2, 5]]]
        wood = PolyCollection(list(ring), facecolors=fill, edgecolors=fill, linewidths=0.3)
        axes.add_collection(wood, autolim=False)
        spacing = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b) / GRAIN_LINES
        draw_bent_grain(axes, corner, body, place, spacing)


def _both_faces(model: Model, surface: BondedSurface, u: Array, factor: float) -> Array:
    """Magnified place (n, 2) halfway between the two glued faces, NaN where one of them is missing."""
    middle = 0.5 * (model.displacement(surface.minus, u) + model.displacement(surface.plus, u))
    return np.asarray(model.mesh.nodes + factor * middle)


def _draw_edges(axes: Any, model: Model, held: Connection, u: Array, factor: float, damage: Array) -> None:
    """Every glue point on an edge colours the stretch that its weight stands for."""
    if not len(held.edges):
        return
    place = _both_faces(model, held.surface, u, factor)
    draw_outline(axes, place, held.edges, linewidths=6.6, zorder=3)
    paths = edge_stretches(place, held.edges)
    drawn = LineCollection(
        list(paths),
        array=damage[: len(paths)],
        cmap=strength_colours(),
        linewidths=4.8,
        capstyle="butt",
        zorder=3,
    )
    drawn.set_clim(0.0, 1.0)
    axes.add_collection(drawn, autolim=False)


def _ring(axes: Any, break_path: BreakPath, u: Array, factor: float) -> None:
    """Ring the glue point that damage reaches first: in the state after, it has most of it."""
    model, damage = break_path.corner.model, break_path.path.damage
    after = break_path.path.first_damage + 1
    surface = max(break_path.corner.surfaces, key=lambda one: float(damage[one.name][after].max()))
    point = surface.points[damage[surface.name][after].argmax()]
    moved_by = model.displacement(surface.minus, u)
    away = np.linalg.norm(model.mesh.nodes - point, axis=1)
    nearest = np.where(np.isnan(moved_by[:, 0]), np.inf, away).argmin()
    place = point + factor * moved_by[nearest]
    draw_ring(axes, place, 24)


def _draw_cells(axes: Any, model: Model, held: Connection, u: Array, factor: float, damage: Array) -> None:
    """Shade a glued area."""
    if not len(held.cells):
        return
    corners = cell_corners(damage, len(held.cells))
    place = _both_faces(model, held.surface, u, factor)[model.mesh.triangles[held.cells][:, :3]].reshape(
        -1, 2
    )
    triangles = Triangulation(place[:, 0], place[:, 1], np.arange(len(place)).reshape(-1, 3))
    look = {"shading": "gouraud", "cmap": strength_colours(), "vmin": 0.0, "vmax": 1.0, "zorder": 2}
    axes.tripcolor(triangles, corners.ravel(), **look)
