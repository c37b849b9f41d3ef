"""Fields of a prediction as an unstructured grid that other programs open (VTU)."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from glueline.fem.stress import corner_stress, nodal_mean
from glueline.studies.predict.prediction import Prediction

Array = NDArray[np.float64]


def fields_vtu(prediction: Prediction) -> bytes:
    """The bytes of a VTU file: six-node triangles of every piece, at the break load.

    Point data: displacement (mm), stress along the grain, across it and in shear (MPa). Cell data: piece
    (its index in the order of the JSON's pieces) and thickness (mm). Pieces do not share points.
    """
    import meshio

    model = prediction.corner.model
    u = prediction.u_at_break
    cells, pieces, thickness = [], [], []
    total = np.zeros((len(model.positions), 3))
    count = np.zeros(len(model.positions))
    for index, body in enumerate(model.bodies):
        numbers = model.numbers[body.name][model.nodes_of(body)]
        corner = nodal_mean(model, body, corner_stress(model, body, u))
        middles = 0.5 * (corner + corner[:, [1, 2, 0]])
        values = np.concatenate([corner, middles], axis=1)
        for component in range(3):
            np.add.at(total[:, component], numbers.ravel(), values[..., component].ravel())
        np.add.at(count, numbers.ravel(), 1.0)
        cells.append(numbers)
        pieces.append(np.full(len(numbers), index))
        thickness.append(body.thickness)
    stress = total / count[:, None]
    grid = meshio.Mesh(
        points=np.column_stack([model.positions, np.zeros(len(count))]),
        cells=[("triangle6", np.concatenate(cells))],
        point_data={
            "displacement_mm": np.column_stack(
                [u[: model.body_unknowns].reshape(-1, 2), np.zeros(len(count))]
            ),
            "stress_along_grain_MPa": stress[:, 0],
            "stress_across_grain_MPa": stress[:, 1],
            "shear_stress_MPa": stress[:, 2],
        },
        cell_data={"piece": [np.concatenate(pieces)], "thickness_mm": [np.concatenate(thickness)]},
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fields.vtu"
        grid.write(path, file_format="vtu", binary=True)
        return path.read_bytes()
