"""The two highest loads of a path that falls and climbs again.

A corner of several surfaces may peak twice: a splined mitre when its mitre parts and again when its splines
do. Which of the two is the higher changes with the glue, and the higher of them has a kink there. So each has
a surface of its own; which of them dead weight can reach is settled after, by the energy between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.path import PathResult, part_of
from glueline.studies.predict.dead_weight import drops

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


@dataclass(frozen=True)
class Climb:
    """What lies between the two peaks of a path, in shares of the later one, P2, at u2 after P1 at u1.

    ``absorbed`` is the energy that bodies and bonds take up between them over P2 (u2 - u1); ``fall`` the
    displacement over which the load then falls by FALLEN of P2, over u2 - u1. Where u2 is not above u1,
    nothing is left over for a jump, and both are ``MOST``.
    """

    absorbed: float
    fall: float


FALLEN = 0.1
MOST = 10.0

AGAINST = 1.3
"""Times that two peaks are taken to change against each other at most, as glue and splits scatter."""


FAR_AGAINST = 4.0
"""The same of glue and of the fasteners that outlive it: four standard deviations of what glue may be better
or worse than fasteners, and more than is judged of either."""


def climb_of(path: PathResult) -> Climb | None:
    """What lies between the two peaks of a path, None where it has one."""
    valley = valley_of(path.load)
    if valley is None:
        return None
    first = int(path.load[:valley].argmax())
    later = valley + int(path.load[valley:].argmax())
    step = float(path.displacement[later] - path.displacement[first])
    energy = path.stored + path.spent
    top = float(path.load[later])
    fallen = np.flatnonzero(path.load[later:] <= (1.0 - FALLEN) * top)
    end = later + (int(fallen[0]) if len(fallen) else len(path.load) - 1 - later)
    if step <= 0:
        return Climb(MOST, MOST)
    absorbed = float(energy[later] - energy[first]) / (top * step)
    if end == later:  # the path ends there: nothing on the way down can stop a jump
        return Climb(float(np.clip(absorbed, 1 / MOST, MOST)), 1 / MOST)
    share = FALLEN * top / (top - float(path.load[end]))
    fall = float(path.displacement[end] - path.displacement[later]) * share / step
    return Climb(float(np.clip(absorbed, 1 / MOST, MOST)), float(np.clip(fall, 1 / MOST, MOST)))


def turns_of(path: PathResult) -> tuple[int, ...]:
    """States of a path's peaks that may be the break under dead weight: one, or two, the valley between.

    The later peak does not count where it is far below the first, nor the first where what the load does up
    to the later is far above what is left over from the first: then the jump from it is held for certain.
    """
    climb, valley = climb_of(path), valley_of(path.load)
    if climb is None or valley is None:
        return (path.highest,)
    if path.goes_on:  # a peak of its own far on, of which the path tells more than its glue
        start = path.second_from
        if start is not None and FAR_AGAINST * path.load[start:].max() <= path.load.max():
            return (path.highest,)
        return int(path.load[:valley].argmax()), valley, valley + int(path.load[valley:].argmax())
    first, later = int(path.load[:valley].argmax()), valley + int(path.load[valley:].argmax())
    low, high = AGAINST * path.load[first], path.load[later]
    if AGAINST * high <= path.load[first] or (low <= high and low <= climb.absorbed * high):
        return (path.highest,)
    return first, valley, later


def counted(path: PathResult) -> PathResult:
    """A path without a last rise that dead weight does not reach: up to the fall from its highest load.

    Rods in the holes that they crush lift a machine's load once more, up to the largest turn. A path of two
    lives, and one on which nothing goes on bearing, is left whole.
    """
    load = path.load
    if not path.goes_on or path.second_from is not None or load[-1] <= load[-2]:
        return path
    valley = int(np.flatnonzero(np.diff(load) <= 0)[-1]) + 1 if (np.diff(load) <= 0).any() else 0
    if drops(load, path.displacement, path.stored + path.spent)[-1].peak > valley:
        return path
    top = int(load[: valley + 1].argmax())
    fallen = np.flatnonzero(load[top:] <= (1.0 - FALLEN) * load[top])
    return part_of(path, np.arange(top + fallen[0] + 1)) if len(fallen) else path


def carried_by_weight(first: Array, later: Array, absorbed: Array, fall: Array) -> Array:
    """Load (n,) that dead weight can reach on corners with two peaks ``first`` and ``later`` (n,), see Climb.

    The energy left over at constant load decides, as in ``predict.dead_weight``: what is held before the
    later peak carries that, what stops on the way down from it the load there, what is not held the first.
    """
    left = first - absorbed * later
    # Down from the later peak the load falls straight: at the share f of FALLEN the energy left over is
    # left + fall f (first - later (1 - FALLEN f / 2)).
    slope, bend = fall * (first - later), 0.5 * fall * FALLEN * later
    root = np.sqrt(np.maximum(slope**2 - 4.0 * bend * left, 0.0))
    stop = (-slope - root) / (2.0 * bend)
    level = later * (1.0 - FALLEN * stop)
    is_stopped = (slope**2 >= 4.0 * bend * left) & (level >= first)
    carried = np.where(left <= 0, later, np.where(is_stopped, level, first))
    return np.asarray(np.where(later > first, carried, first))


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
