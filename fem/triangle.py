"""Six-node triangle: nodes, shape functions, quadrature.

Index letters used throughout fem/: c cell, q quadrature point, a or b node of an element, i or j component
of a vector, v component of strain or stress in the order (11, 22, 12 with the engineering shear strain).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Corners first, anticlockwise, then the middles of the edges 0-1, 1-2 and 2-0.
REFERENCE_NODES: Array = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]])


def shape_functions(points: Array) -> Array:
    """Values of the six shape functions at reference ``points`` (q, 2); shape (q, 6)."""
    r, s = points[:, 0], points[:, 1]
    t = 1.0 - r - s
    return np.stack(
        [t * (2 * t - 1), r * (2 * r - 1), s * (2 * s - 1), 4 * t * r, 4 * r * s, 4 * s * t], axis=1
    )


def shape_gradients(points: Array) -> Array:
    """Reference gradients of the shape functions at ``points`` (q, 2); shape (q, 6, 2)."""
    r, s = points[:, 0], points[:, 1]
    t = 1.0 - r - s
    zero = np.zeros_like(r)
    by_r = np.stack([1 - 4 * t, 4 * r - 1, zero, 4 * (t - r), 4 * s, -4 * s], axis=1)
    by_s = np.stack([1 - 4 * t, zero, 4 * s - 1, -4 * r, 4 * r, 4 * (t - s)], axis=1)
    return np.stack([by_r, by_s], axis=2)


# Three points, exact for quadratic polynomials: enough for the stiffness of a straight-sided cell.
STIFFNESS_POINTS: Array = np.array([[1 / 6, 1 / 6], [2 / 3, 1 / 6], [1 / 6, 2 / 3]])
STIFFNESS_WEIGHTS: Array = np.full(3, 1 / 6)

_A, _B = 0.445948490915965, 0.091576213509771
# Six points, exact for quartic polynomials (Dunavant 1985, table II): products of two shape functions.
AREA_POINTS: Array = np.array(
    [[_A, _A], [1 - 2 * _A, _A], [_A, 1 - 2 * _A], [_B, _B], [1 - 2 * _B, _B], [_B, 1 - 2 * _B]]
)
AREA_WEIGHTS: Array = 0.5 * np.array([0.223381589678011] * 3 + [0.109951743655322] * 3)

# Three-point Gauss rule on the edge coordinate 0..1, exact to degree five.
EDGE_POINTS: Array = 0.5 + 0.5 * np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)])
EDGE_WEIGHTS: Array = np.array([5.0, 8.0, 5.0]) / 18.0


def edge_shape_functions(points: Array) -> Array:
    """Quadratic edge functions of (start, end, middle) at ``points`` (q,) in 0..1; shape (q, 3)."""
    r = points
    return np.stack([(1 - r) * (1 - 2 * r), r * (2 * r - 1), 4 * r * (1 - r)], axis=1)


def edge_shape_slopes(points: Array) -> Array:
    """Derivatives of the edge functions by the edge coordinate at ``points`` (q,); shape (q, 3)."""
    r = points
    return np.stack([4 * r - 3, 4 * r - 1, 4 - 8 * r], axis=1)
