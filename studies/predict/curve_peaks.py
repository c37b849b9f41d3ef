"""Peaks that stand out of a curve."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def peaks_that_stand_out(curve: Array, least: float) -> list[int]:
    """Places in ``curve`` (s,) of its peaks that stand out by ``least`` or more, in the curve's unit.

    A peak stands out by its height over the higher of two feet: the lowest that the curve comes down to on
    either side before it is higher again or ends. A flat top counts once, in its middle; the ends are no
    peaks. Written out, since the routine for it in scipy.signal takes longer to load than a corner to solve.

    >>> peaks_that_stand_out(np.array([0.0, 5.0, 3.0, 4.0, 4.0, 4.0, 1.0, 9.0]), 1.0)
    [1, 4]
    >>> peaks_that_stand_out(np.array([0.0, 5.0, 3.0, 4.0, 4.0, 4.0, 1.0, 9.0]), 1.5)
    [1]
    """
    begins = np.concatenate([[0], np.flatnonzero(np.diff(curve)) + 1])  # of stretches of one height
    ends = np.append(begins[1:], len(curve)) - 1
    height = curve[begins]
    found = []
    for top in 1 + np.flatnonzero((height[1:-1] > height[:-2]) & (height[1:-1] > height[2:])):
        higher = np.flatnonzero(height > height[top])
        left = higher[higher < top].max(initial=-1) + 1
        right = higher[higher > top].min(initial=len(height))
        foot = max(height[left:top].min(), height[top + 1 : right].min())
        if height[top] - foot >= least:
            found.append(int(begins[top] + ends[top]) // 2)
    return found
