"""Tractions at every point of every glue line and cheek as a tidy table."""

from __future__ import annotations

import csv
import io

import numpy as np

from glueline.studies.predict.prediction import Prediction

COLUMNS = (
    "surface",
    "kind",
    "x_mm",
    "y_mm",
    "along_mm",
    "area_mm2",
    "opening_MPa",
    "shear_MPa",
    "traction_x_MPa",
    "traction_y_MPa",
)


def traction_csv(prediction: Prediction) -> str:
    """One row a point at the break load; opening and along are empty for cheeks, which only shear.

    ``traction_x`` and ``traction_y`` act on the piece named first in the joint's table (minus).
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(COLUMNS)
    for surface in prediction.corner.surfaces:
        local = prediction.tractions_at_break[surface.name]
        force = np.einsum("pi,pij->pj", local, surface.axes)
        for index in range(len(surface.points)):
            x, y = surface.points[index]
            if surface.is_line:
                opening, shear = f"{local[index, 1]:.6g}", f"{local[index, 0]:.6g}"
                along = f"{surface.distance[index]:.6g}"
            else:
                opening, shear, along = "", f"{np.hypot(*local[index]):.6g}", ""
            writer.writerow(
                [
                    surface.name,
                    "glue line" if surface.is_line else "cheek",
                    f"{x:.6g}",
                    f"{y:.6g}",
                    along,
                    f"{surface.weight[index]:.6g}",
                    opening,
                    shear,
                    f"{force[index, 0]:.6g}",
                    f"{force[index, 1]:.6g}",
                ]
            )
    return buffer.getvalue()
