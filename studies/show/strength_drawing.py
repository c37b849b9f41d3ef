"""How much of its strength every place of a corner uses, drawn: wood, glue and fasteners on one scale."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.patches import Polygon
from matplotlib.tri import Triangulation

from glueline.studies.show.canvas import FAINT, INK
from glueline.studies.show.load_sketch import draw_grain, draw_ring
from glueline.studies.show.strength_colours import strength_colours
from glueline.studies.show.strength_field import GRAIN_LINES, StrengthField, sides_of
from glueline.studies.show.view_frames import close_frame

SPOT = 34.0  # square points at most: smaller where the corner, and its ring, are drawn smaller


def draw_strength(axes: Any, field: StrengthField, ring: float) -> Any:
    """One corner, wood, glue and fasteners on the one scale, its grain and a ring ``ring`` points wide."""
    colours = strength_colours()
    corners = field.places.reshape(-1, 2)
    triangles = Triangulation(corners[:, 0], corners[:, 1], np.arange(len(corners)).reshape(-1, 3))
    drawn = axes.tripcolor(
        triangles, field.share.ravel(), shading="gouraud", cmap=colours, vmin=0.0, vmax=1.0, zorder=1
    )
    names = [piece.name for piece in field.layout.pieces]
    depths = field.layout.boards.depth_a, field.layout.boards.depth_b
    draw_grain(axes, field.layout, names, min(depths) / GRAIN_LINES, color=INK, alpha=0.22)
    edges = LineCollection(list(field.edges), colors=INK, linewidths=1.4, zorder=2)
    axes.add_collection(edges, autolim=False)
    for outline, share in field.rods:
        sides, both = sides_of(outline), np.stack([share, share], axis=1)
        look = {"shading": "gouraud", "cmap": colours, "vmin": 0.0, "vmax": 1.0, "zorder": 2.4}
        axes.pcolormesh(sides[..., 0], sides[..., 1], both, label="fastener", **look)
        axes.add_patch(Polygon(outline, closed=True, fill=False, edgecolor=INK, linewidth=1.2, zorder=2.5))
    rims = LineCollection(list(field.lines), colors=INK, linewidths=10.0, zorder=3)
    axes.add_collection(rims, autolim=False)
    for seen, shares, name, width in (
        (field.splits, field.split_share, "splits", 3.0),
        (field.lines, field.line_share, "glue", 7.0),
    ):
        coloured = LineCollection(list(seen), linewidths=width, cmap=colours, zorder=3.1, label=name)
        coloured.set_array(shares)
        coloured.set_clim(0.0, 1.0)
        axes.add_collection(coloured, autolim=False)
    if len(field.spots):
        look = {"cmap": colours, "vmin": 0.0, "vmax": 1.0, "edgecolors": FAINT, "linewidths": 0.4}
        size = min(SPOT, ring**2 / SPOT)
        axes.scatter(*field.spots.T, c=field.spot_share, s=size, marker="s", zorder=3.2, **look)
    draw_ring(axes, field.point, ring)
    return drawn


def frame_close(axes: Any, field: StrengthField) -> None:
    """The corner and the first stretch of its legs, equal scales, no ticks; words may stand below."""
    (left, low), (right, high) = close_frame(field.layout.boards)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    axes.set_xticks([])
    axes.set_yticks([])
    for side in axes.spines.values():
        side.set_visible(False)
