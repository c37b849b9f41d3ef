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

VALLEY = 0.985
"""Share of the lower of two peaks to which the load must fall between them for them to count as two."""


def valley_of(load: Array) -> int | None:
    """State of the deepest valley between two peaks of a path's ``load`` (s,), None where there is none."""
    before = np.maximum.accumulate(load)
    after = np.maximum.accumulate(load[::-1])[::-1]
    lower = np.minimum(before, after)
    share = np.where(lower > 0, load / np.where(lower > 0, lower, 1.0), 1.0)
    valley = int(share.argmin())
    return valley if share[valley] <= VALLEY else None


def peaks_of(load: Array) -> tuple[float, ...]:
    """Highest loads before and after the valley of a path's ``load`` (s,); one if there is none."""
    valley = valley_of(load)
    if valley is None:
        return (float(load.max()),)
    return float(load[:valley].max()), float(load[valley:].max())


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


def over_nodes(values: Array) -> Array:
    """Values (..., m) at the nodes of a star design with those filled in that a path hides (NaN).

    The nominal run is the first and hides nothing, then come two nodes a principal axis. A hidden value is
    taken to lie on a straight line through the nominal run and the opposite node, or to be that of the
    nominal run where the opposite node hides it too.
    """
    opposite = np.arange(1, values.shape[-1]).reshape(-1, 2)[:, ::-1].ravel()
    nominal = values[..., :1]
    mirrored = 2.0 * nominal - values[..., opposite]
    hidden = np.where(np.isfinite(mirrored), mirrored, nominal)
    sides = values[..., 1:]
    return np.concatenate([nominal, np.where(np.isfinite(sides), sides, hidden)], axis=-1)


def act_at(run: Sequence[float], nominal: Sequence[float], act: int) -> int | None:
    """Which peak of a ``run`` is the counterpart of the ``nominal`` peak ``act``; None where it hides it.

    A run with one peak shows the counterpart of the highest nominal peak.
    """
    if len(nominal) == 1:
        return int(np.argmax(run))
    if len(run) == 2:
        return act
    return 0 if act == int(np.argmax(nominal)) else None


def peaks_over_nodes(peaks: Sequence[Sequence[float]]) -> Array:
    """Logarithms (peaks of the nominal run, m) of the peaks of all runs, the nominal first."""
    logs = np.full((len(peaks[0]), len(peaks)), np.nan)
    for act in range(len(peaks[0])):
        for node, run in enumerate(peaks):
            shown = act_at(run, peaks[0], act)
            if shown is not None:
                logs[act, node] = np.log(run[shown])
    return over_nodes(logs)
