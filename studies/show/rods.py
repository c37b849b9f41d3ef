"""Rods of a corner drawn in its pictures, and the glue along them."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from glueline.studies.corner.connections import Connection
from glueline.studies.corner.model import CornerModel
from glueline.studies.show.canvas import INK
from glueline.studies.show.rod_outlines import rim_places, rod_outline

Array = NDArray[np.float64]


def draw_rods(axes: Any, corner: CornerModel, u: Array, factor: float, fill: str = "none") -> None:
    """Every rod with displacements ``u`` (unknowns,) in mm magnified, in outline."""
    for rod in corner.layout.inserts:
        axes.add_patch(
            Polygon(
                rod_outline(corner, rod, u, factor),
                closed=True,
                facecolor=fill,
                edgecolor=INK,
                linewidth=1.0,
                zorder=2.5,
            )
        )


def draw_glue_along(
    axes: Any, corner: CornerModel, held: Connection, u: Array, factor: float, gone: Array, colours: Any
) -> None:
    """The points of a bond along a rod in the colours of what has ``gone`` (p,), on either side of it."""
    if all(rod.name != held.surface.plus for rod in corner.layout.inserts):
        return
    place = rim_places(corner, held, u, factor)
    drawn = axes.scatter(place[:, 0], place[:, 1], c=gone, cmap=colours, s=26, marker="s", zorder=3)
    drawn.set_clim(0.0, 1.0)
