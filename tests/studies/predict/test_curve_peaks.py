"""Peaks of a path, against a library's routine."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import find_peaks

from glueline.studies.predict.curve_peaks import peaks_that_stand_out


@pytest.mark.parametrize("seed", range(20))
def test_the_peaks_are_those_of_scipy(seed: int) -> None:
    """Of curves of a few heights, which have many flat tops, and of curves that have none."""
    random = np.random.default_rng(seed)
    for curve in (random.integers(0, 6, 60).astype(float), random.normal(size=60).cumsum()):
        for least in (0.5, 1.0, 2.0, 3.0):
            assert peaks_that_stand_out(curve, least) == find_peaks(curve, prominence=least)[0].tolist()


@pytest.mark.parametrize("curve", [[1.0], [1.0, 2.0], [2.0, 2.0, 2.0], [0.0, 1.0, 2.0]])
def test_a_curve_without_a_top_has_no_peak(curve: list[float]) -> None:
    assert peaks_that_stand_out(np.array(curve), 0.1) == []
