"""Factor once, solve many load arrangements."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg

from glueline.fem.loads import Arrangement, pinned_unknowns, settle, support_reactions
from glueline.fem.model import Array, Integers, Model

SOLVER = "sparse LU"
"""The factorisation that is used, as answers record it."""


class SolveFailure(RuntimeError):
    """The linear system could not be solved; the message says what was found and what to try."""


def factor_definite(matrix: sparse.spmatrix) -> Callable[[Array], Array]:
    """Factor a symmetric positive definite ``matrix`` and return the solve.

    Raises SolveFailure on a singular matrix.
    """
    return definite_factors(matrix).solve  # type: ignore[no-any-return]


def definite_factors(matrix: sparse.spmatrix, in_order: bool = False) -> scipy.sparse.linalg.SuperLU:
    """Factors of a symmetric positive definite ``matrix``: SuperLU in symmetric mode, without pivoting.

    Its unknowns are put in minimum-degree order, or taken ``in_order``: then L and U are those of the matrix
    as it stands. Raises SolveFailure on a singular matrix.
    """
    try:
        return scipy.sparse.linalg.splu(
            matrix.tocsc(),
            permc_spec="NATURAL" if in_order else "MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            relax=2,  # wider supernodes and panels than these fill in more than they save, at these sizes
            panel_size=4,
            options={"SymmetricMode": True},
        )
    except RuntimeError as error:
        raise SolveFailure("the stiffness matrix is singular: a piece is tied to nothing") from error


@dataclass(frozen=True)
class Solution:
    """What a load P in N does: ``u`` (unknowns,) in mm, ``reactions`` (3,) in N or N mm.

    ``compliance`` in mm/N is the displacement of the load along itself for 1 N.
    """

    arrangement: str
    load: float
    u: Array
    reactions: Array
    compliance: float


class ElasticSystem:
    """A factored elastic model that answers any number of arrangements."""

    def __init__(self, model: Model, stiffness: sparse.csr_matrix) -> None:
        self.model = model
        self.stiffness = stiffness
        self._pins: Integers = pinned_unknowns(model)
        free = np.ones(model.unknowns, dtype=bool)
        free[self._pins] = False
        self._free = np.flatnonzero(free)
        self._solve = factor_definite(stiffness[self._free][:, self._free])

    def solve(self, arrangement: Arrangement, load: float = 1.0) -> Solution:
        """Displacements under P = ``load``; the mean displacement of every support is zero.

        Raises SolveFailure when the pins that only stop rigid motion were found to carry load.

        A three-cornered board held on one face and pulled on the opposite one:

        >>> from glueline.fem.bulk import bulk_stiffness
        >>> from glueline.fem.loads import even_load, even_moment
        >>> from glueline.fem.model import Body, Mesh
        >>> from glueline.fem.triangle import REFERENCE_NODES
        >>> mesh = Mesh(40.0 * REFERENCE_NODES, np.array([[0, 1, 2, 3, 4, 5]]))  # mm
        >>> board = Body("board", np.array([0]), np.array([19.0]), np.diag([12000.0, 900.0, 700.0])[None])
        >>> model, (x, y) = Model(mesh, (board,)), np.eye(2)
        >>> held, pulled = np.array([[2, 0, 5]]), np.array([[1, 2, 4]])
        >>> supports = [even_load(model, "board", held, x), even_load(model, "board", held, y)]
        >>> supports.append(even_moment(model, "board", held, x))
        >>> pull = Arrangement("pull", even_load(model, "board", pulled, x), np.stack(supports))
        >>> solution = ElasticSystem(model, bulk_stiffness(model)).solve(pull, load=1000.0)  # N
        >>> round(float(solution.reactions[0]), 3)  # N
        -1000.0
        """
        applied = arrangement.load * load
        reactions = support_reactions(self.model, applied, arrangement.supports)
        total = applied + reactions @ arrangement.supports
        u = np.zeros(self.model.unknowns)
        u[self._free] = self._solve(total[self._free])
        residual = self.stiffness @ u - total
        scale = np.abs(total).sum()
        if np.abs(residual).max() > 1e-6 * scale:
            raise SolveFailure(
                f"equilibrium is missed by {np.abs(residual).max() / scale:.1e} of the load: "
                "the model is close to singular; try a larger element size"
            )
        u = settle(self.model, arrangement, u)
        return Solution(arrangement.name, load, u, reactions, float(arrangement.load @ u) / load)
