"""Grain on a corner that is drawn bent: lines along it that move with the wood."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from glueline.fem.model import Body
from glueline.studies.corner.model import CornerModel
from glueline.studies.show.load_sketch import GRAIN

Array = NDArray[np.float64]


def draw_bent_grain(
    axes: Any, corner: CornerModel, body: Body, place: Array, spacing: float, colour: str = GRAIN
) -> None:
    """Lines ``spacing`` mm apart along the grain of a body whose nodes are drawn at ``place`` (n, 2).

    They are where the distance across the grain, as it was before the load, is a whole number of spacings.
    """
    angle = corner.layout.piece(body.name).grain_angle
    across = corner.model.mesh.nodes @ np.array([-np.sin(angle), np.cos(angle)])
    corners = corner.model.nodes_of(body)[:, :3]
    used, numbers = np.unique(corners, return_inverse=True)
    triangles = Triangulation(place[used, 0], place[used, 1], numbers.reshape(corners.shape))
    low, high = across[used].min(), across[used].max()
    levels = np.arange(np.floor(low / spacing), np.ceil(high / spacing)) * spacing + spacing / 2
    inside = levels[(levels > low) & (levels < high)]
    if len(inside):
        look = {"linewidths": 0.8, "linestyles": "solid", "alpha": 0.7, "zorder": 1.6}
        axes.tricontour(triangles, across[used], levels=inside, colors=colour, **look)
