"""Lognormal loads, and lognormal factors of mean 1 that are correlated in their logarithms.

Tabled values are means of tests, so a factor has mean 1 and the tabled coefficient of variation. With s the
standard deviation of its logarithm (Aitchison and Brown 1957, The Lognormal Distribution),

    s^2 = ln(1 + cov^2),   mean of the logarithm = -s^2 / 2,   median = 1 / sqrt(1 + cov^2).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, expm1, log, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_PRIMES = np.array([2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71])
_NINETY = 2 * 1.6448536269514722  # standard deviations between the 5 % and 95 % values of a normal
_NORMAL = NormalDist()
_NEVER = 1e-12  # a point that falls on 0 or 1 would be a normal of infinite size


def log_deviation(cov: ArrayLike) -> Array:
    """Standard deviation of the logarithm of a lognormal factor with coefficient of variation ``cov``."""
    return np.asarray(np.sqrt(np.log1p(np.square(cov))), dtype=float)


@dataclass(frozen=True)
class LognormalLoad:
    """A lognormal break load: ``median`` in N, ``log_deviation`` the standard deviation of its logarithm."""

    median: float
    log_deviation: float

    @property
    def cov(self) -> float:
        """Coefficient of variation: sqrt(exp(s2) - 1)."""
        return sqrt(expm1(self.log_deviation**2))

    def quantile(self, share: float) -> float:
        """The load in N below which ``share`` of specimens break."""
        return self.median * exp(_NORMAL.inv_cdf(share) * self.log_deviation)


def load_of_band(low: float, high: float) -> LognormalLoad:
    """The lognormal whose 5 % and 95 % values are ``low`` and ``high`` in N. Raises ValueError.

    >>> load_of_band(100.0, 400.0).median
    200.0
    """
    if not 0 < low <= high:
        raise ValueError("a band runs from a load above zero to one that is not lower")
    return LognormalLoad(sqrt(low * high), log(high / low) / _NINETY)


@dataclass(frozen=True)
class LognormalFactors:
    """Factors of mean 1 with coefficients of variation ``cov`` (k,) and ``correlation`` (k, k) of their logs.

    Raises ValueError where a cov is negative or the correlation is not that of any set of variables.
    """

    cov: Array
    correlation: Array

    def __post_init__(self) -> None:
        if (np.asarray(self.cov) < 0).any() or not np.isfinite(self.cov).all():
            raise ValueError("a scatter must be a number, 0 or above")
        matrix = np.asarray(self.correlation)
        whole = matrix.shape == (len(self.cov),) * 2 and np.allclose(matrix, matrix.T)
        if not whole or not np.allclose(np.diag(matrix), 1.0):
            raise ValueError("a correlation matrix is symmetric with ones on its diagonal")
        if len(matrix) and np.linalg.eigvalsh(matrix).min() <= 0:
            raise ValueError("no set of variables has these correlations among them")

    def log_draws(self, count: int, seed: int) -> Array:
        """Logarithms (count, k) of ``count`` sets of factors; the same seed gives the same digits.

        Evenly spread points i sqrt(prime) modulo 1 (Richtmyer 1951, recalled), moved by a random shift that
        the seed sets (Cranley and Patterson 1976, recalled), turned into standard normals and then mixed to
        be correlated. Raises ValueError where there are more variables than primes kept here.
        """
        kinds = len(self.cov)
        if kinds > len(_PRIMES):
            raise ValueError(f"at most {len(_PRIMES)} variables, not {kinds}")
        shift = np.random.default_rng(seed).random(kinds)
        even = (np.arange(1, count + 1)[:, None] * np.sqrt(_PRIMES[:kinds]) + shift) % 1.0
        shares = np.clip(even, _NEVER, 1.0 - _NEVER)
        from scipy.special import ndtri  # only where there is scatter: it takes a while to load

        normal = ndtri(shares)
        if kinds:
            normal = normal @ np.linalg.cholesky(self.correlation).T
        deviation = log_deviation(self.cov)
        return np.asarray(normal * deviation - 0.5 * deviation**2)
