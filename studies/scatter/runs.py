"""Runs for the scatter from paths of a whole corner."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fem.bulk import bulk_stiffness
from fem.follower import PathControl
from fem.loads import equilibrated, pinned_unknowns, settle
from fem.path import PathFailure, PathResult, follow_path
from fem.traction_law import evaluate
from studies.break_path import law_of
from studies.corner_model import CornerModel
from studies.failures import ComputationError
from studies.glue_limits import Limit
from studies.scatter.band import Follow
from studies.scatter.glue_rows import scaled_bonds
from studies.scatter.wood_load import GlueRun, glue_run
from studies.wood_limits import WoodSample, wood_limits

Array = NDArray[np.float64]

LOOKS = 8
"""States at which wood is judged, from first damage to the highest load; between them shares go straight."""


def corner_follower(
    corner: CornerModel, samples: tuple[WoodSample, ...], control: PathControl | None = None
) -> Follow:
    """Follows ``corner`` with its bonds scaled row by row; ``samples`` are where its wood is judged."""
    stiffness = bulk_stiffness(corner.model)
    load = equilibrated(corner.model, corner.arrangements[corner.specimen.arrangement])
    pinned = pinned_unknowns(corner.model)

    def follow(row_factors: dict[str, float], judge_wood: bool) -> GlueRun:
        scaled = replace(corner, bonds=scaled_bonds(corner, row_factors))
        laws = [law_of(scaled, surface) for surface in corner.surfaces]
        try:
            path = follow_path(stiffness, corner.surfaces, laws, load, pinned, control)
        except PathFailure as error:
            factors = ", ".join(f"{row} {factor:.3g}" for row, factor in row_factors.items())
            raise ComputationError(
                f"following the path with glue times {factors}", str(error), "try another element size"
            ) from error
        return run_of_path(scaled, path, samples if judge_wood else ())

    return follow


def run_of_path(corner: CornerModel, path: PathResult, samples: tuple[WoodSample, ...]) -> GlueRun:
    """The run of a path; wood is judged at ``LOOKS`` states and every peak before the highest load."""
    if not samples:
        return GlueRun(float(path.load[path.highest]), np.array([0.0, path.load[path.highest]]))
    upto = path.load[: path.highest + 1]
    peaks = np.flatnonzero((upto[1:-1] > upto[:-2]) & (upto[1:-1] >= upto[2:])) + 1
    even = np.linspace(path.first_damage, path.highest, LOOKS).astype(int)
    looks = [int(state) for state in np.unique([*even, *peaks])]
    limits = [_wood_at(corner, samples, path, state) for state in looks]
    return glue_run(float(path.load[path.highest]), [float(path.load[state]) for state in looks], limits)


def _wood_at(
    corner: CornerModel, samples: tuple[WoodSample, ...], path: PathResult, state: int
) -> tuple[Limit, ...]:
    load = path.load[state]
    u = settle(corner.model, corner.arrangements[corner.specimen.arrangement], path.displacements(state))
    tractions = {
        surface.name: evaluate(
            law_of(corner, surface), surface.jumps(u), path.damage[surface.name][state]
        ).traction
        / load
        for surface in corner.surfaces
    }
    return wood_limits(corner, samples, u / load, tractions)
