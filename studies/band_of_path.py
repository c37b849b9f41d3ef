"""The scatter of a corner that was followed: its runs, from paths with scaled bonds."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fem.path import PathResult
from fem.traction_law import TractionLaw
from studies.break_path import BreakPath, CornerFollower, laws_of, states_to_judge, wood_at
from studies.corner_model import CornerModel
from studies.scatter.band import Band, Follow, scatter_band
from studies.scatter.glue_rows import scaled_bonds
from studies.scatter.wood_load import GlueRun, glue_run
from studies.wood_limits import WoodSample


def break_band(
    follower: CornerFollower, found: BreakPath, samples: tuple[WoodSample, ...], seed: int
) -> Band:
    """The 5 and 95 % ends of the break load of a corner that was followed. Raises ComputationError."""
    nominal = run_of_path(follower.corner, found.path, found.laws, samples)
    return scatter_band(follower.corner, corner_follower(follower, samples), nominal, seed=seed)


def corner_follower(follower: CornerFollower, samples: tuple[WoodSample, ...]) -> Follow:
    """Follows a corner with its bonds scaled row by row; ``samples`` are where its wood is judged."""

    def follow(row_factors: dict[str, float], judge_wood: bool) -> GlueRun:
        laws = laws_of(follower.corner, scaled_bonds(follower.corner, row_factors))
        path = follower.follow(laws)
        return run_of_path(follower.corner, path, laws, samples if judge_wood else ())

    return follow


def run_of_path(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
) -> GlueRun:
    """The run of a path; wood is judged at the states at which its break is looked for."""
    highest = float(path.load[path.highest])
    if not samples:
        return GlueRun(highest, np.array([0.0, highest]))
    looks = states_to_judge(path)
    limits = [wood_at(corner, path, laws, samples, state) for state in looks]
    return glue_run(highest, [float(path.load[state]) for state in looks], limits)
