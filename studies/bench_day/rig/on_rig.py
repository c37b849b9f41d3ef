"""Loads on the joint as weights stacked on a rig, for what is said aloud."""

from __future__ import annotations

from dataclasses import dataclass

from glueline.studies.bench_day.rig.rig import (
    COVERAGE_FACTOR,
    Rig,
    joint_force_uncertainty,
    stacked_weight,
)

ROUNDS = 20  # of narrowing the weight down; each leaves a few per cent of the one before


@dataclass(frozen=True)
class WeightsOnRig:
    """The weights of one rig.

    >>> from glueline.studies.bench_day.rig.rig_file import read_rig
    >>> from glueline.studies.examples import bench_day_path
    >>> weights = WeightsOnRig(read_rig(bench_day_path("bench_rig.toml")))
    >>> round(weights.weight(1000.0), 1), round(weights.cautious_weight(1000.0), 1), weights.weight(10.0)
    (31.7, 30.9, 0.0)
    """

    rig: Rig

    def weight(self, force: float) -> float:
        """The weight in kg that puts this force in N on the joint; 0 where the rig alone does."""
        return float(stacked_weight(self.rig, force))

    def cautious_weight(self, force: float) -> float:
        """The weight in kg at which the force with its error, about 95 %, reaches this one in N."""
        weight = self.weight(force)
        for _ in range(ROUNDS):
            error = COVERAGE_FACTOR * float(joint_force_uncertainty(self.rig, weight))
            weight = self.weight(force - error)
        return weight
