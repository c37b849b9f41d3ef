"""Break loads drawn from a lognormal and seen through load steps."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.studies.predict.scatter.lognormal import log_deviation

Array = NDArray[np.float64]


def stepped(
    random: np.random.Generator,
    logs: int,
    specimens: int,
    mean: float,
    cov: float,
    step: float,
    most: float = np.inf,
) -> tuple[Array, Array]:
    """Lower and upper bounds (logs, specimens); unbroken at ``most``, which has no upper bound."""
    spread = log_deviation(cov)
    loads = mean * np.exp(spread * random.standard_normal((logs, specimens)) - spread**2 / 2)
    lower = np.floor(loads / step) * step
    unbroken = lower >= most
    return np.where(unbroken, most, lower), np.where(unbroken, np.inf, lower + step)
