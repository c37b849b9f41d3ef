"""Stress in the grain's own axes on the deformed outline, one picture for each stress."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from glueline.fem.stress import cell_areas
from glueline.studies.files.display import format_force, stress_factor, stress_unit
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.bent_grain import draw_bent_grain
from glueline.studies.show.body_stresses import STRESSES, shared_limit
from glueline.studies.show.canvas import FAINT, INK, draw_outline, frame, new_sheet, panels_of
from glueline.studies.show.deformed import magnification_for, moved, outline_edges, standing_still
from glueline.studies.show.load_sketch import draw_load, frame_loaded
from glueline.studies.show.rods import draw_rods
from glueline.studies.show.strength_colours import signed_colours
from glueline.studies.show.strength_field import GRAIN_LINES

Array = NDArray[np.float64]


def draw_stress(prediction: Prediction, which: str, units: Units, stresses: dict[str, Array]) -> Figure:
    """One picture: the whole corner, then close views of the pieces, all on one scale."""
    component, title, low, high = STRESSES[which]
    corner = prediction.corner
    u = standing_still(corner, prediction.u_at_break)
    factor = magnification_for(corner, u)
    groups = panels_of(corner)
    values = {name: stress[..., component] * stress_factor(units) for name, stress in stresses.items()}
    areas = [
        np.repeat(cell_areas(corner.model.mesh, body.cells), 3).reshape(-1, 3) for body in corner.model.bodies
    ]
    limit = shared_limit([values[body.name] for body in corner.model.bodies], areas)
    sheet = new_sheet(4.6 * (1 + len(groups)) + 0.8, 5.9)
    columns = sheet.subplots(1, 1 + len(groups), squeeze=False)[0]
    spacing = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b) / GRAIN_LINES
    colours: Any = None
    for index, axes in enumerate(columns):
        bodies = corner.model.bodies if index == 0 else groups[index - 1].bodies
        for body in corner.model.bodies:
            place = moved(corner, body, u, factor)
            draw_outline(
                axes, corner.model.mesh.nodes, outline_edges(corner, body), colors=FAINT, linewidths=0.6
            )
            if body not in bodies:
                continue
            corners = place[corner.model.nodes_of(body)[:, :3]].reshape(-1, 2)
            triangles = Triangulation(corners[:, 0], corners[:, 1], np.arange(len(corners)).reshape(-1, 3))
            colours = axes.tripcolor(
                triangles,
                values[body.name].ravel(),
                shading="gouraud",
                cmap=signed_colours(),
                vmin=-limit,
                vmax=limit,
            )
            draw_outline(axes, place, outline_edges(corner, body))
            draw_bent_grain(axes, corner, body, place, spacing, FAINT)
        draw_rods(axes, corner, u, factor)
        if index == 0:
            draw_load(axes, corner.layout, prediction.specimen.arrangement, 14)
            frame_loaded(axes, corner.layout)
        else:
            frame(axes, corner, close=True)
        heading = "whole corner" if index == 0 else groups[index - 1].title
        axes.set_title(heading, fontsize=14, color=INK)
    bar = sheet.colorbar(colours, ax=list(columns), shrink=0.75, extend="both", pad=0.02)
    bar.set_label(f"{stress_unit(units)}    (− {low}, + {high})", fontsize=14)
    bar.ax.tick_params(labelsize=13)
    sheet.suptitle(
        f"{title}, {prediction.specimen.kind} corner at {format_force(prediction.break_load, units)}",
        fontsize=20,
        fontweight="bold",
        color=INK,
    )
    return sheet
