"""How much of its strength every place in the wood uses at the break load, the critical place ringed."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from glueline.studies.corner.connections import BESIDE_GLUE
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import format_force, format_length
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.wood_limits import WoodSample, utilisation
from glueline.studies.show.canvas import (
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

Array = NDArray[np.float64]

SCALE_ENDS = (0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0)  # the colours reach to the first that covers nearly all


def _draw_sample(axes: Any, corner: CornerModel, sample: WoodSample, share: Array, top: float) -> Any:
    """Colour one piece: every corner of a cell takes the share of the nearest place on the grain rows."""
    body = corner.model.body(sample.piece)
    corners = corner.model.mesh.nodes[corner.model.mesh.triangles[body.cells][:, :3]].reshape(-1, 2)
    nearest = cKDTree(sample.rows.points).query(corners)[1]
    triangles = Triangulation(corners[:, 0], corners[:, 1], np.arange(len(corners)).reshape(-1, 3))
    return axes.tripcolor(triangles, share[nearest], shading="gouraud", cmap=SHARE, vmin=0.0, vmax=top)


def draw_utilisation(prediction: Prediction, units: Units) -> Figure:
    """One picture: the whole corner, then the pieces close up; 100 % is where the wood gives."""
    corner = prediction.corner
    u = prediction.u_at_break
    groups = panels_of(corner)
    shares = {
        sample.piece: utilisation(sample, u, np.ones(len(sample.judged), dtype=bool)).worst
        for sample in prediction.samples
    }
    most = max(float(np.percentile(share, 99.5)) for share in shares.values())
    top = next((step for step in SCALE_ENDS if step >= most), 1.0)
    sheet = new_sheet(4.6 * (1 + len(groups)) + 0.8, 5.9)
    columns = sheet.subplots(1, 1 + len(groups), squeeze=False)[0]
    colours: Any = None
    critical = prediction.critical
    depth = max(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    for index, axes in enumerate(columns):
        names = [body.name for body in (corner.model.bodies if index == 0 else groups[index - 1].bodies)]
        for sample in prediction.samples:
            if sample.piece in names:
                colours = _draw_sample(axes, corner, sample, shares[sample.piece], top)
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
    ticks = np.linspace(0, top, 5)
    bar.set_ticks(list(ticks), labels=[f"{100 * tick:.3g} %" for tick in ticks])
    bar.set_label("share of the wood's strength in use", fontsize=12)
    bar.ax.tick_params(labelsize=11)
    sheet.suptitle(
        f"Share of the wood's strength in use, {prediction.specimen.kind} at "
        f"{format_force(prediction.break_load, units)}\n"
        f"ring: what gives first ({critical.kind}); stresses are means along the grain;\n"
        f"within {format_length(BESIDE_GLUE, units)} of a glue line the glue decides",
        fontsize=12.5,
        color=INK,
    )
    return sheet
