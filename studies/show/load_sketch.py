"""Load, supports and grain, as every picture of a corner shows them."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from numpy.typing import NDArray

from glueline.geometries import Layout
from glueline.studies.corner.arrangements import Arrow, LoadArrangement, Support
from glueline.studies.show.canvas import INK, without_frame
from glueline.studies.show.view_frames import ARROW, loaded_frame

Array = NDArray[np.float64]

GRAIN = "#b08d57"
LOAD = "#0b4f6c"  # dark, and no colour of the scale of strength
GROUND = 0.1  # of a leg: half the width of what it stands on
HALO = (withStroke(linewidth=5, foreground="white"),)
SKETCH_PLACE = (0.5, 0.47, 0.5, 0.5)  # of a close view: where the legs leave it empty
SKETCH_WOOD = "#efe3cd"


def draw_load(axes: Any, layout: Layout, arrangement: LoadArrangement, size: float) -> None:
    """P as arrows and what the corner stands on, beside its tips; letters of ``size`` points."""
    sketch, leg = arrangement.sketch(layout.boards), layout.boards.leg
    for arrow in sketch.arrows:
        _draw_arrow(axes, arrow, leg, size)
    for support in sketch.supports:
        _draw_support(axes, support, leg, 0.5 * max(layout.boards.depth_a, layout.boards.depth_b))


def draw_grain(axes: Any, layout: Layout, names: list[str], spacing: float, **style: Any) -> None:
    """Thin lines along the grain, ``spacing`` mm apart, clipped to each piece's cells."""
    for cell in layout.cells:
        for name in names:
            if name in cell.parts:
                _draw_grain_of(axes, np.array(cell.polygon), layout.piece(name).grain_angle, spacing, style)


def draw_load_beside(axes: Any, layout: Layout, arrangement: LoadArrangement, size: float) -> None:
    """The whole corner with load and supports, small, where a close view is empty."""
    inside = axes.inset_axes(SKETCH_PLACE)
    inside.set_in_layout(False)  # nothing of it sticks out of the view
    draw_loaded_corner(inside, layout, arrangement, size)


def draw_loaded_corner(axes: Any, layout: Layout, arrangement: LoadArrangement, size: float) -> None:
    """The whole corner with load and supports, small, on axes of its own."""
    axes.set_label("load")
    for cell in layout.cells:
        axes.add_patch(Polygon(cell.polygon, closed=True, facecolor=SKETCH_WOOD, edgecolor="none"))
    boards = layout.boards
    names = [piece.name for piece in layout.pieces]
    draw_grain(axes, layout, names[:2], 0.34 * min(boards.depth_a, boards.depth_b), linewidth=0.6)
    draw_load(axes, layout, arrangement, size)
    frame_loaded(axes, layout)


def frame_loaded(axes: Any, layout: Layout) -> None:
    """Equal scales about a whole corner with its arrows, no ticks."""
    (left, low), (right, high) = loaded_frame(layout.boards)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    without_frame(axes)


def _draw_grain_of(axes: Any, corners: Array, angle: float, spacing: float, style: dict[str, Any]) -> None:
    along = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-along[1], along[0]])
    reach = float(np.abs(corners).max()) * 1.5
    low, high = (corners @ across).min(), (corners @ across).max()
    offsets = np.arange(np.ceil(low / spacing), np.floor(high / spacing) + 1) * spacing
    lines = offsets[:, None, None] * across + reach * np.array([[-1.0], [1.0]]) * along
    look = {"color": GRAIN, "linewidth": 0.7, "zorder": 1.5, "label": "_grain", **style}
    draw_lines(axes, lines, corners, **look)


def draw_lines(axes: Any, lines: Array, outline: Array, **style: Any) -> None:
    """Straight ``lines`` (n, 2, 2) clipped to a polygon (m, 2), all as one thing to draw."""
    drawn = LineCollection(list(lines), capstyle="projecting", in_layout=False, **style)
    axes.add_collection(drawn, autolim=False)
    drawn.set_clip_path(Polygon(outline, closed=True, transform=axes.transData))


def _draw_arrow(axes: Any, arrow: Arrow, leg: float, size: float) -> None:
    at, toward = np.array(arrow.at), np.array(arrow.toward)
    gap = 0.02 * leg
    near, far = (
        (at + side * toward * leg for side in (0.02, ARROW))
        if arrow.pulls
        else (at - side * toward * leg for side in (0.02, ARROW))
    )
    tail, head = (near, far) if arrow.pulls else (far, near)
    look = {"arrowstyle": "-|>,head_width=0.5,head_length=0.8", "color": LOAD, "linewidth": size / 4.5}
    axes.annotate("", head, xytext=tail, arrowprops={**look, "shrinkA": 0, "shrinkB": 0}, zorder=6)
    place = at + (far - at) * (1.0 + (0.07 * leg + gap) / np.linalg.norm(far - at))
    axes.text(
        *place,
        "P",
        ha="center",
        va="center",
        fontsize=size,
        fontweight="bold",
        color=LOAD,
        zorder=6,
        path_effects=HALO,
    )


def _draw_support(axes: Any, support: Support, leg: float, half_depth: float) -> None:
    """A wedge whose tip the corner stands on, or the jaws of a clamp, both with the ground hatched."""
    at, outward = np.array(support.at), np.array(support.outward)
    side = np.array([-outward[1], outward[0]])
    wide = GROUND * leg if not support.clamps else max(GROUND * leg, 1.25 * half_depth)
    foot = at if support.clamps else at + 0.11 * leg * outward
    style = {"facecolor": "white", "edgecolor": LOAD, "linewidth": 1.6, "zorder": 5, "clip_on": False}
    if not support.clamps:
        axes.add_patch(
            Polygon([at, foot + 0.7 * wide * side, foot - 0.7 * wide * side], closed=True, **style)
        )
    ground = [foot + wide * side, foot - wide * side]
    ground += [ground[1] + 0.05 * leg * outward, ground[0] + 0.05 * leg * outward]
    axes.add_patch(
        Polygon(ground, closed=True, **{**style, "hatch": "////", "linewidth": 0}, label="support")
    )
    axes.plot(*np.array(ground[:2]).T, color=LOAD, linewidth=2.2, zorder=5.1)


def draw_ring(axes: Any, place: tuple[float, float] | Array, size: float) -> None:
    """Ring what gives first: ink between two rims of white, to be seen on pale and strong alike."""
    for width, colour in ((size / 4.5, "white"), (size / 11, INK)):
        axes.plot(
            *place,
            marker="o",
            fillstyle="none",
            linestyle="none",
            markersize=size,
            markeredgewidth=width,
            color=colour,
            zorder=7,
            label="ring" if colour == INK else "_rim",
        )
