"""How much of its strength every place in the wood uses at the break load, the critical place ringed."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from studies.display import format_force
from studies.figures.canvas import (
    FAINT,
    INK,
    LINE_COLOURS,
    SHARE,
    draw_outline,
    frame,
    new_sheet,
    outline_edges,
    panels_of,
)
from studies.prediction import Prediction
from studies.units import Units
from studies.wood_limits import WoodSample, utilisation

Array = NDArray[np.float64]


def _draw_sample(axes: Any, sample: WoodSample, share: Array, angle: float) -> Any:
    """Colour the grain-aligned grid of one piece."""
    rows = sample.rows
    c, s = np.cos(angle), np.sin(angle)
    turned = rows.points @ np.array([[c, -s], [s, c]])
    row, column = np.nonzero(rows.inside)
    along = np.linspace(turned[:, 0].min(), turned[:, 0].max(), int(column.max() - column.min()) + 1)
    across = np.linspace(turned[:, 1].min(), turned[:, 1].max(), int(row.max() - row.min()) + 1)
    grid = np.full((len(across), len(along)), np.nan)
    grid[row - row.min(), column - column.min()] = share
    x, y = np.meshgrid(along, across)
    return axes.pcolormesh(
        x * c - y * s,
        x * s + y * c,
        np.ma.masked_invalid(grid),
        shading="gouraud" if not np.isnan(grid).any() else "nearest",
        cmap=SHARE,
        vmin=0.0,
        vmax=1.0,
        rasterized=True,
    )


def draw_utilisation(prediction: Prediction, units: Units) -> Figure:
    """One picture: the whole corner, then the pieces close up; 100 % is where the wood gives."""
    corner = prediction.corner
    u = prediction.u * prediction.break_load
    groups = panels_of(corner)
    shares = {
        sample.piece: utilisation(sample, u, np.ones(len(sample.judged), dtype=bool)).worst
        for sample in prediction.samples
    }
    sheet = new_sheet(4.6 * (1 + len(groups)) + 0.8, 5.9)
    columns = sheet.subplots(1, 1 + len(groups), squeeze=False)[0]
    colours: Any = None
    critical = prediction.critical
    depth = max(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    for index, axes in enumerate(columns):
        names = [body.name for body in (corner.model.bodies if index == 0 else groups[index - 1].bodies)]
        for sample in prediction.samples:
            if sample.piece in names:
                angle = corner.layout.piece(sample.piece).grain_angle
                colours = _draw_sample(axes, sample, shares[sample.piece], angle)
        for body in corner.model.bodies:
            own = body.name in names
            draw_outline(
                axes,
                corner.model.mesh.nodes,
                outline_edges(corner, body),
                colors=INK if own else FAINT,
                linewidths=1.0 if own else 0.6,
            )
        ring = dict(marker="o", fillstyle="none", linestyle="none", color=LINE_COLOURS[1], markeredgewidth=3)
        axes.plot(*critical.point, markersize=26 if index else 18, **ring)
        if index == 0:
            axes.annotate(
                f"{critical.mode}:\n{critical.where}",
                critical.point,
                xytext=(1.9 * depth, 2.6 * depth),
                fontsize=11,
                color=INK,
                arrowprops={"arrowstyle": "-", "color": LINE_COLOURS[1], "shrinkB": 11},
            )
        frame(axes, corner, close=index > 0)
        axes.set_title("whole corner" if index == 0 else groups[index - 1].title, fontsize=12, color=INK)
    bar = sheet.colorbar(colours, ax=list(columns), shrink=0.75, extend="max", pad=0.02)
    bar.set_ticks([0, 0.25, 0.5, 0.75, 1.0], labels=["0", "25 %", "50 %", "75 %", "100 %"])
    bar.set_label("share of the wood's strength in use", fontsize=12)
    bar.ax.tick_params(labelsize=11)
    sheet.suptitle(
        f"Share of the wood's strength in use, {prediction.specimen.kind} at "
        f"{format_force(prediction.break_load, units)}\n"
        f"ring: what gives first ({critical.kind}); stresses are means along the grain;\n"
        "within 2 mm of a glue line the glue decides",
        fontsize=12.5,
        color=INK,
    )
    return sheet
