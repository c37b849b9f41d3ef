"""Stress in the grain's own axes over a whole corner, as numbers, and up to where a scale of it goes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from glueline.fem.stress import cell_areas, corner_stress, nodal_mean
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.prediction import Prediction

Array = NDArray[np.float64]

STRESSES = {
    "stress_along": (0, "Stress along the grain", "pressed", "pulled"),
    "stress_across": (1, "Stress across the grain", "pressed", "pulled: splits the wood"),
    "stress_shear": (2, "Shear stress along the grain", "one way", "the other"),
}


def body_stresses(prediction: Prediction) -> dict[str, Array]:
    """Stress (m, 3, 3) in MPa at the break load, at the corners of every body's cells, smoothed."""
    model, u = prediction.corner.model, prediction.u_at_break
    return {body.name: nodal_mean(model, body, corner_stress(model, body, u)) for body in model.bodies}


def shared_limit(values: Sequence[Array], weights: Sequence[Array], share: float = 0.995) -> float:
    """Magnitude below which ``share`` of the area lies: peaks at singular corners must not eat the scale."""
    magnitude = np.abs(np.concatenate([np.ravel(v) for v in values]))
    weight = np.concatenate([np.ravel(w) for w in weights])
    order = np.argsort(magnitude)
    reached = np.cumsum(weight[order]) / weight.sum()
    return float(magnitude[order][min(np.searchsorted(reached, share), len(order) - 1)]) or 1.0


def limit_of(corner: CornerModel, stresses: dict[str, Array], component: int) -> float:
    """Up to where in MPa a scale of one component of ``stresses`` (m, 3, 3) by body goes, by area."""
    bodies = corner.model.bodies
    areas = [np.repeat(cell_areas(corner.model.mesh, body.cells), 3).reshape(-1, 3) for body in bodies]
    return shared_limit([stresses[body.name][..., component] for body in bodies], areas)
