"""Which faces touch: elastic answers of corners with faces that bear pressure only."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.solve import ElasticSystem, Solution, SolveFailure
from glueline.studies.corner.model import CornerModel

MOST_ROUNDS = 60


def touching(corner: CornerModel, solution: Solution) -> Solution:
    """The solution with those points held together that press on each other; ``solution`` has all so.

    Nothing has a gap, so what touches does not change with the load. Raises SolveFailure where it does not
    settle.
    """
    one_way = [hold for hold in corner.holds if hold.bears_one_way]
    if not one_way:
        return solution
    closed: dict[str, NDArray[np.bool_]] = {}
    fixed = bulk_stiffness(corner.model)
    for hold in corner.holds:
        if not hold.bears_one_way:
            fixed = fixed + hold.surface.stiffness_matrix()
    for _ in range(MOST_ROUNDS):
        presses = {hold.name: hold.surface.jumps(solution.u)[:, 1] < 0 for hold in one_way}
        if closed and all(np.array_equal(closed[name], presses[name]) for name in presses):
            return solution
        closed, stiffness = presses, fixed
        for hold in one_way:
            tangent = np.zeros_like(hold.surface.stiffness)
            tangent[:, 1, 1] = hold.surface.stiffness[:, 1, 1] * closed[hold.name]
            stiffness = stiffness + hold.surface.stiffness_matrix(tangent)
        solution = ElasticSystem(corner.model, stiffness).solve(corner.loading)
    raise SolveFailure("which of the faces touch does not settle")
