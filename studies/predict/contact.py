"""Which faces touch: elastic answers of corners with faces that bear pressure only."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from glueline.fem.bond import elastic_stiffness
from glueline.fem.solve import ElasticSystem, Solution, SolveFailure
from glueline.studies.corner.model import CornerModel

MOST_ROUNDS = 60


def touching(corner: CornerModel, bodies: csr_matrix, solution: Solution) -> Solution:
    """The solution with those points held together that press on each other; ``solution`` has all so.

    ``bodies`` is the stiffness with nothing tied.
    Nothing has a gap, so what touches does not change with the load. Raises SolveFailure where it does not
    settle.
    """
    one_way = [hold for hold in corner.holds if hold.bears_one_way]
    if not one_way:
        return solution
    closed: dict[str, NDArray[np.bool_]] = {}
    both_ways = [hold.surface for hold in corner.holds if not hold.bears_one_way]
    fixed = bodies + elastic_stiffness(both_ways) if both_ways else bodies
    for _ in range(MOST_ROUNDS):
        presses = {hold.name: hold.surface.jumps(solution.u)[:, 1] < 0 for hold in one_way}
        if closed and all(np.array_equal(closed[name], presses[name]) for name in presses):
            return solution
        closed = presses
        tangents = [np.zeros_like(hold.surface.stiffness) for hold in one_way]
        for hold, tangent in zip(one_way, tangents, strict=True):
            tangent[:, 1, 1] = hold.surface.stiffness[:, 1, 1] * closed[hold.name]
        stiffness = fixed + elastic_stiffness([hold.surface for hold in one_way], tangents)
        solution = ElasticSystem(corner.model, stiffness).solve(corner.loading)
    raise SolveFailure("which of the faces touch does not settle")
