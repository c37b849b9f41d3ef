"""Quantiles of the standard normal for whole arrays; scipy.special has them, but takes longer to load.

Rational functions in three stretches, good to 16 digits: AS 241 (Wichura 1988, Applied Statistics 37).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# Numerator and denominator of every stretch, the highest power first.
_MIDDLE = (
    (
        2.5090809287301226727e3,
        3.3430575583588128105e4,
        6.7265770927008700853e4,
        4.5921953931549871457e4,
        1.3731693765509461125e4,
        1.9715909503065514427e3,
        1.3314166789178437745e2,
        3.3871328727963666080e0,
    ),
    (
        5.2264952788528545610e3,
        2.8729085735721942674e4,
        3.9307895800092710610e4,
        2.1213794301586595867e4,
        5.3941960214247511077e3,
        6.8718700749205790830e2,
        4.2313330701600911252e1,
        1.0,
    ),
)
_OUTER = (
    (
        7.74545014278341407640e-4,
        2.27238449892691845833e-2,
        2.41780725177450611770e-1,
        1.27045825245236838258e0,
        3.64784832476320460504e0,
        5.76949722146069140550e0,
        4.63033784615654529590e0,
        1.42343711074968357734e0,
    ),
    (
        1.05075007164441684324e-9,
        5.47593808499534494600e-4,
        1.51986665636164571966e-2,
        1.48103976427480074590e-1,
        6.89767334985100004550e-1,
        1.67638483018380384940e0,
        2.05319162663775882187e0,
        1.0,
    ),
)
_OUTERMOST = (
    (
        2.01033439929228813265e-7,
        2.71155556874348757815e-5,
        1.24266094738807843860e-3,
        2.65321895265761230930e-2,
        2.96560571828504891230e-1,
        1.78482653991729133580e0,
        5.46378491116411436990e0,
        6.65790464350110377720e0,
    ),
    (
        2.04426310338993978564e-15,
        1.42151175831644588870e-7,
        1.84631831751005468180e-5,
        7.86869131145613259100e-4,
        1.48753612908506148525e-2,
        1.36929880922735805310e-1,
        5.99832206555887937690e-1,
        1.0,
    ),
)


def normal_quantile(share: ArrayLike) -> Array:
    """Value below which each ``share``, between 0 and 1, of a standard normal lies; same shape.

    >>> normal_quantile([0.05, 0.5]).round(6).tolist()
    [-1.644854, 0.0]
    """
    share = np.asarray(share, dtype=float)
    away = share - 0.5
    value = np.asarray(away * _ratio(_MIDDLE, 0.180625 - away * away))
    out = np.abs(away) > 0.425
    if out.any():
        lesser = np.minimum(share[out], 1.0 - share[out])
        root = np.sqrt(-np.log(lesser))
        size = np.where(root <= 5.0, _ratio(_OUTER, root - 1.6), _ratio(_OUTERMOST, root - 5.0))
        value[out] = np.copysign(size, away[out])
    return value


def _ratio(stretch: tuple[tuple[float, ...], tuple[float, ...]], at: Array) -> Array:
    above, below = (_polynomial(each, at) for each in stretch)
    return np.asarray(above / below)


def _polynomial(factors: tuple[float, ...], at: Array) -> Array:
    """By Horner's rule."""
    value = np.full_like(at, factors[0])
    for factor in factors[1:]:
        value *= at
        value += factor
    return value
