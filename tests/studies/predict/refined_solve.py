"""Solves of large definite matrices in little memory."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg
from numpy.typing import NDArray

Array = NDArray[np.float64]


def refined(matrix: sparse.csc_matrix, load: Array) -> Array:
    """Solves a positive definite ``matrix``: factors of half the digits lead conjugate gradients to the rest.

    Where half the digits do not do, as with legs thousands of times as stiff in shear, they are whole. Raises
    RuntimeError where that does not settle either.
    """
    try:
        return _by_factors(matrix, load, np.float32)
    except RuntimeError:
        return _by_factors(matrix, load, np.float64)


def _by_factors(matrix: sparse.csc_matrix, load: Array, digits: type[np.floating]) -> Array:
    factors = scipy.sparse.linalg.splu(
        matrix.astype(digits),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    columns = [_led(matrix, each, factors, digits) for each in load.reshape(len(load), -1).T]
    return np.stack(columns, axis=-1).reshape(load.shape)


def _led(
    matrix: sparse.csc_matrix, load: Array, factors: scipy.sparse.linalg.SuperLU, digits: type[np.floating]
) -> Array:
    u, missed = np.zeros(len(load)), load.copy()
    way, measure = np.zeros(len(load)), 1.0
    for _ in range(200):
        if np.abs(missed).max() < 1e-10 * np.abs(load).sum():
            return u
        guess = factors.solve(missed.astype(digits)).astype(np.float64)
        before, measure = measure, float(missed @ guess)
        if measure <= 0.0:
            raise RuntimeError("the solid's factors have too few digits")
        way = guess + measure / before * way
        push = matrix @ way
        step = measure / float(way @ push)
        u, missed = u + step * way, missed - step * push
    raise RuntimeError("the solid's displacements do not settle")
