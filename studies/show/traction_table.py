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
    """One row a point at the break load, empty in columns that its connection does not have.

    ``traction_x`` and ``traction_y`` act on the piece named first in the joint's table (minus).
    """
    rows: list[dict[str, str]] = []
    for connection in prediction.corner.connections:
        surface, local = connection.surface, prediction.tractions_at_break[connection.name]
        force = np.einsum("pi,pij->pj", local, surface.axes)
        numbers = {
            "x_mm": surface.points[:, 0],
            "y_mm": surface.points[:, 1],
            "area_mm2": surface.weight,
            "traction_x_MPa": force[:, 0],
            "traction_y_MPa": force[:, 1],
            **connection.columns(local),
        }
        for index in range(len(surface.points)):
            row = {column: f"{values[index]:.6g}" for column, values in numbers.items()}
            rows.append({"surface": connection.name, "kind": connection.kind, **row})
    buffer = io.StringIO()
    columns = dict.fromkeys([*COLUMNS, *(column for row in rows for column in row)])
    writer = csv.DictWriter(buffer, list(columns), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return buffer.getvalue()
