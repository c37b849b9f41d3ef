"""How much weight is stacked in one step."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.bench_day.expected import Expected
from glueline.studies.bench_day.rig.rig import GRAVITY, Rig

STEP_SHARE = 0.1  # of the predicted load
LEAST_STEP_SHARE = 0.02  # finer steps take longer than they teach, however narrow the band


def load_step(expected: Expected, rig: Rig, plates_kg: Sequence[float]) -> float:
    """Stacked weight in kg of one step: the largest plate within what the spread allows, else the smallest.

    A step of at most a tenth of the predicted load, and of at most one standard deviation, over which
    grouping adds a twelfth to the variance (Sheppard 1898).
    """
    allowed = allowed_share(expected) * expected.load / (rig.line.per_stacked * GRAVITY)
    fitting = [plate for plate in plates_kg if plate <= allowed * (1 + 1e-9)]
    return max(fitting) if fitting else min(plates_kg)


def allowed_share(expected: Expected) -> float:
    """Largest step as a share of the predicted load."""
    return min(STEP_SHARE, max(expected.scatter.cov, LEAST_STEP_SHARE))


def step_share(expected: Expected, rig: Rig, step_kg: float) -> float:
    """A step in kg stacked as a share of the predicted load."""
    return step_kg * GRAVITY * rig.line.per_stacked / expected.load
