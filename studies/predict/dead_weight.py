"""What a corner does under dead weight once it has cracked: whether the crack is held.

Weight does not let up as a corner gives, so a corner that cracks jumps. Along the path, from the peak at P1
and u1 on, the energy left over at constant load is

    W = P1 (u - u1) - [(stored + spent) - (stored + spent)1],

what the weight has done less what bodies and bonds have taken up, on paths that snap back and with crushing
too. The jump ends where W has come back to nothing while the path carries at least P1: the corner holds on.
It may end past a later peak; then the load there counts, because what has gone does not come back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

DROP = 1e-3  # share of its load by which a path must fall for a peak to count


@dataclass(frozen=True)
class Drop:
    """A peak from which the load of a path falls; ``load`` in N at state ``peak``, which may lie between two.

    ``stops`` is the state (it may lie between two) at which the jump under dead weight ends, None where the
    corner lets go.
    """

    peak: float
    load: float
    stops: float | None


def drops(load: Array, displacement: Array, absorbed: Array) -> tuple[Drop, ...]:
    """The drops that a corner under growing dead weight goes through, the last one not held.

    ``load`` (s,) in N, ``displacement`` (s,) of the load in mm and the energy ``absorbed`` (s,), stored and
    spent, in N mm are those of a path that ends below its highest load. The first two go straight between two
    states, so what is absorbed goes as their work.

    >>> load = np.array([0.0, 100.0, 60.0, 120.0, 50.0])
    >>> displacement = np.array([0.0, 1.0, 1.1, 3.0, 3.2])
    >>> absorbed = np.concatenate([[0.0], np.cumsum((load[1:] + load[:-1]) / 2 * np.diff(displacement))])
    >>> [(round(drop.load), drop.stops is not None) for drop in drops(load, displacement, absorbed)]
    [(100, False)]
    """
    states = np.arange(len(load), dtype=float)
    gone_through: list[Drop] = []
    start, floor = 0.0, 0.0
    while True:
        peak = _peak_after(load, start, floor)
        level, u = (float(np.interp(peak, states, values)) for values in (load, displacement))
        before = min(int(peak), len(load) - 2)
        energy = absorbed[before] + _taken_up(load, absorbed, before) @ (peak - before) ** np.arange(1, 3)
        left = level * (displacement - u) - (absorbed - energy)
        stop = _stop(load, displacement, absorbed, left, level, peak)
        gone_through.append(Drop(peak, level, stop))
        if stop is None:
            return tuple(gone_through)
        start, floor = stop, float(np.interp(stop, states, load))


def carried(passed: tuple[Drop, ...], load: Array, at: float) -> tuple[float, float]:
    """The most weight (N) that has stood on a corner when it comes by a state ``at``, and in which state.

    While it jumps from a peak to where it stops, that is the weight of the peak.
    """
    held, place = 0.0, 0.0
    for drop in passed:
        if at <= drop.peak:
            break
        held, place = drop.load, drop.peak
        if drop.stops is None or at < drop.stops:
            return held, place
    now = float(np.interp(at, np.arange(len(load)), load))
    return (now, at) if now > held else (held, place)


def _peak_after(load: Array, start: float, floor: float) -> float:
    """The first state from ``start`` on (at the load ``floor``) from which the load falls by over DROP."""
    at, top = start, floor
    for state in range(int(np.floor(start)) + 1, len(load)):
        if load[state] > top:
            at, top = float(state), float(load[state])
        elif load[state] < (1.0 - DROP) * top:
            break
    return at


def _taken_up(load: Array, absorbed: Array, state: int) -> Array:
    """What a step from a ``state`` on absorbs up to a share t of it: factors (2,) on t and t^2."""
    before, after = load[state], load[state + 1]
    straight = 2.0 * before / (before + after) if before + after > 0 else 1.0
    return np.asarray((absorbed[state + 1] - absorbed[state]) * np.array([straight, 1.0 - straight]))


def _stop(
    load: Array, displacement: Array, absorbed: Array, left: Array, level: float, peak: float
) -> float | None:
    """Where, past ``peak``, no energy is left over and the load at least ``level``; None if nowhere."""
    first = int(np.floor(peak)) + 1
    fallen = np.flatnonzero(load[first:] < (1.0 - DROP) * level)
    if not len(fallen):
        return None
    for state in range(first + int(fallen[0]) + 1, len(load)):
        # Within a step the load passes ``level`` at one place, what is left over passes nothing at another.
        low, high = 0.0, 1.0
        before, after = load[state - 1] - level, load[state] - level
        if before < 0 and after < 0:
            continue
        if before < 0:
            low = before / (before - after)
        elif after < 0:
            high = before / (before - after)
        work = np.array([level * (displacement[state] - displacement[state - 1]), 0.0])
        slope, bend = work - _taken_up(load, absorbed, state - 1)
        used_up = _first_below(left[state - 1], slope, bend, low, high)
        if used_up is not None:
            return float(state - 1 + used_up)
    return None


def _first_below(value: float, slope: float, bend: float, low: float, high: float) -> float | None:
    """The first t from ``low`` to ``high`` at which value + slope t + bend t^2 is not above zero."""
    if value + (slope + bend * low) * low <= 0.0:
        return low
    roots = np.roots([bend, slope, value])
    inside = roots.real[np.isreal(roots) & (roots.real > low) & (roots.real <= high)]
    return float(inside.min()) if len(inside) else None
