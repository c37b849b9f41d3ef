"""Plane stiffness of an orthotropic solid whose axes 1, 2 lie in the plane and 3 across it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class OrthotropicSolid:
    """Engineering constants in the material's own axes (moduli in MPa).

    ``poisson_12`` is the contraction along 2 over the extension along 1 under stress along 1, and so on.
    """

    modulus_1: float
    modulus_2: float
    modulus_3: float
    shear_modulus_12: float
    poisson_12: float
    poisson_13: float
    poisson_23: float


def plane_compliance(solid: OrthotropicSolid, constraint: float) -> Array:
    """In-plane compliance (3, 3) in 1/MPa, order 11, 22, 12 (engineering shear).

    ``constraint`` 0 is plane stress, 1 plane strain; between them the same share of the strain across the
    plane is held back: S_ij - constraint * S_i3 S_j3 / S_33 (Lekhnitskii 1968, Anisotropic Plates, reduced
    compliances, for the two ends). Raises ValueError where the constants are no stable solid.
    """
    if not 0.0 <= constraint <= 1.0:
        raise ValueError(f"constraint must lie between 0 and 1, not {constraint}")
    s = np.array(
        [
            [
                1 / solid.modulus_1,
                -solid.poisson_12 / solid.modulus_1,
                -solid.poisson_13 / solid.modulus_1,
            ],
            [
                -solid.poisson_12 / solid.modulus_1,
                1 / solid.modulus_2,
                -solid.poisson_23 / solid.modulus_2,
            ],
            [
                -solid.poisson_13 / solid.modulus_1,
                -solid.poisson_23 / solid.modulus_2,
                1 / solid.modulus_3,
            ],
        ]
    )
    if not _is_positive(s) or solid.shear_modulus_12 <= 0:
        raise ValueError(f"the elastic constants do not describe a stable solid: {solid}")
    plane = np.zeros((3, 3))
    plane[:2, :2] = s[:2, :2] - constraint * np.outer(s[:2, 2], s[:2, 2]) / s[2, 2]
    plane[2, 2] = 1 / solid.shear_modulus_12
    return plane


def _is_positive(matrix: Array) -> bool:
    """Whether a symmetric matrix (3, 3) is positive definite, by its leading determinants (Sylvester)."""
    (a, b, c), (_, d, e), (_, _, f) = matrix.tolist()
    two = a * d - b * b
    return bool(a > 0.0 and two > 0.0 and f * two - a * e * e - d * c * c + 2.0 * b * c * e > 0.0)


def stress_rotation(angle: float) -> Array:
    """Matrix (3, 3) taking stress (11, 22, 12) in x, y to axes turned by ``angle`` (rad, anticlockwise)."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c * c, s * s, 2 * c * s], [s * s, c * c, -2 * c * s], [-c * s, c * s, c * c - s * s]])


def plane_stiffness(solid: OrthotropicSolid, constraint: float, angle: float) -> Array:
    """Stiffness (3, 3) in MPa in x, y of a solid whose axis 1 makes ``angle`` (rad) with x."""
    turn = stress_rotation(angle)
    compliance = turn.T @ plane_compliance(solid, constraint) @ turn
    return np.asarray(np.linalg.inv(compliance))
