"""Bonded surfaces: where two bodies are tied, as points with a jump, a weight and a stiffness.

Ties differ only in how their points are laid (``fem.ties``); behind that each is a list of points at which a
jump (plus less minus) makes a traction. Traction is the force per area that plus exerts on minus
with the sign turned so that a positive opening traction pulls the faces together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BondedSurface:
    """Integration points of one tie.

    ``points`` (p, 2) in mm; ``weight`` (p,) glued area in mm2 that belongs to a point; ``axes`` (p, 2, 2)
    rows are the local directions in x, y: for a line the tangent and the normal from minus to plus (so the
    local components are slip and opening), for a cheek x and y; ``jump`` (2 p, unknowns) gives the local
    jump from the displacements; ``stiffness`` (p, 2, 2) local traction per jump in N/mm3.
    """

    name: str
    minus: str
    plus: str
    points: Array
    weight: Array
    axes: Array
    jump: sparse.csr_matrix
    stiffness: Array

    def jumps(self, u: Array) -> Array:
        """Local jump (p, 2) in mm under the displacements ``u``."""
        return np.asarray(self.jump @ u).reshape(-1, 2)

    def tractions(self, u: Array) -> Array:
        """Local elastic traction (p, 2) in MPa under the displacements ``u``."""
        return np.asarray(np.einsum("pij,pj->pi", self.stiffness, self.jumps(u)))

    def forces_on_minus(self, tractions: Array) -> Array:
        """Forces (p, 2) in N in x, y that act on the minus body at each point."""
        return np.asarray(np.einsum("p,pi,pij->pj", self.weight, tractions, self.axes))

    def nodal_forces(self, tractions: Array) -> Array:
        """Internal forces (unknowns,) in N that balance ``tractions`` (p, 2)."""
        return np.asarray(self.jump.T @ (self.weight[:, None] * tractions).ravel())

    def stiffness_matrix(self, tangent: Array | None = None) -> sparse.csr_matrix:
        """Stiffness (unknowns, unknowns) in N/mm with ``tangent`` (p, 2, 2), the elastic one by default."""
        return _tied_stiffness(self.jump, self.stiffness if tangent is None else tangent, self.weight)


def elastic_stiffness(
    surfaces: Sequence[BondedSurface], tangents: Sequence[Array] | None = None
) -> sparse.csr_matrix:
    """Stiffness (unknowns, unknowns) in N/mm of all ``surfaces``, of which there is at least one.

    With ``tangents`` (p, 2, 2) in N/mm3 for each, the elastic ones by default.
    """
    if tangents is None:
        tangents = [surface.stiffness for surface in surfaces]
    return _tied_stiffness(
        sparse.vstack([surface.jump for surface in surfaces], format="csr"),
        np.concatenate(tangents),
        np.concatenate([surface.weight for surface in surfaces]),
    )


def _tied_stiffness(jump: sparse.csr_matrix, tangent: Array, weight: Array) -> sparse.csr_matrix:
    """What points of ``tangent`` (p, 2, 2) and ``weight`` (p,) with a ``jump`` (2 p, unknowns) make."""
    count = len(weight)
    columns = np.repeat(np.arange(2 * count, dtype=np.int32).reshape(-1, 2), 2, axis=0)
    ends = np.arange(0, 4 * count + 1, 2, dtype=np.int32)
    local = sparse.csr_matrix(
        ((tangent * weight[:, None, None]).ravel(), columns.ravel(), ends), shape=(2 * count, 2 * count)
    )
    return (jump.T.tocsr() @ (local @ jump)).tocsr()
