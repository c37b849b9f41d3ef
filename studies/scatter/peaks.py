"""The two highest loads of a path that falls and climbs again.

A corner of several surfaces may peak twice: a splined mitre when its mitre parts and again when its splines
do. Which of the two is the higher changes with the glue, and the higher of them has a kink there. So each has
a surface of its own and the higher is taken after.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

VALLEY = 0.97
"""Share of the lower of two peaks to which the load must fall between them for them to count as two."""


def peaks_of(load: Array) -> tuple[float, ...]:
    """Highest loads before and after the deepest valley of a path's ``load`` (s,); one if there is none."""
    before = np.maximum.accumulate(load)
    after = np.maximum.accumulate(load[::-1])[::-1]
    lower = np.minimum(before, after)
    share = np.where(lower > 0, load / np.where(lower > 0, lower, 1.0), 1.0)
    valley = int(share.argmin())
    if share[valley] > VALLEY:
        return (float(load.max()),)
    return float(before[valley]), float(after[valley])


def grown_peaks(
    nominal: Sequence[float], own_nominal: Sequence[float], own: Sequence[float]
) -> tuple[float, ...]:
    """The ``nominal`` peaks times the growth from ``own_nominal`` to ``own``, which another mesh tells.

    Peak by peak where all three have two; otherwise of the highest alone.
    """
    if len(nominal) == len(own_nominal) == len(own) == 2:
        pairs = zip(nominal, own_nominal, own, strict=True)
        return tuple(peak * after / before for peak, before, after in pairs)
    return (max(nominal) * max(own) / max(own_nominal),)


def peaks_over_nodes(peaks: Sequence[Sequence[float]]) -> Array:
    """Logarithms (peaks, m) of the peaks at the nodes of a star design, the highest of the nominal run first.

    ``peaks`` lists those of every run, the nominal first, then two a principal axis. A run with one peak
    shows the counterpart of the highest; the other, which it hides, is taken to lie on a straight line
    through the nominal run and the opposite node, or to grow like the highest where that hides it too.
    """
    highest = int(np.argmax(peaks[0]))
    main = np.log([own[highest] if len(own) == 2 else max(own) for own in peaks])
    if len(peaks[0]) < 2:
        return np.asarray(main[None])
    other = np.array([np.log(own[1 - highest]) if len(own) == 2 else np.nan for own in peaks])
    opposite = np.arange(1, len(peaks)).reshape(-1, 2)[:, ::-1].ravel()
    mirrored = 2.0 * other[0] - other[opposite]
    alike = other[0] + main[1:] - main[0]
    hidden = np.where(np.isfinite(mirrored), mirrored, alike)
    other[1:] = np.where(np.isfinite(other[1:]), other[1:], hidden)
    return np.stack([main, other])
