"""What wood uses on larger elements, told as the corner itself would.

Stress in a corner is seen less well with larger elements, and by how much depends on how far it has given:
of a fibre that is at its strength at four fifths of the glue's peak, what differs at the peak says little.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.predict.scatter.wood_load import GlueRun

Array = NDArray[np.float64]
Use = tuple[str, str, int]
"""A piece, a family of modes and to which peak they lead."""

MOST_DIFFERENT = 1.5
"""More than that between two meshes is another place, not the same seen less well."""

TELLS = 0.05
"""Share of strength below which it is next to nothing and left alone."""


@dataclass(frozen=True)
class Difference:
    """Shares are so many ``times`` (n,) those on larger elements, at ``load`` (n,) over that of the peak."""

    load: Array
    times: Array

    def at(self, load: Array) -> Array:
        """Times at any loads (s,) over that of the peak, beyond the ends as there.

        >>> Difference(np.array([0.8, 1.0]), np.array([1.1, 1.0])).at(np.array([0.5, 0.9])).round(9).tolist()
        [1.1, 1.05]
        """
        return np.interp(load, self.load, np.clip(self.times, 1.0 / MOST_DIFFERENT, MOST_DIFFERENT))


Differences = Mapping[Use, Difference]


def differences(fine: GlueRun, large: GlueRun) -> Differences:
    """By how much shares differ between two meshes on the last climb to each peak.

    From where wood gives with the ``fine`` ones up to the peak; where it does not, by the most that it uses.
    """
    differ = {}
    of_large = _climbs(large)
    for use, (load, share) in _climbs(fine).items():
        if use not in of_large:
            continue
        large_load, large_share = of_large[use]
        if min(share.max(), large_share.max()) <= TELLS:
            continue
        if share.max() < 1.0:
            differ[use] = Difference(np.ones(1), np.array([share.max() / large_share.max()]))
            continue
        gives = _where_it_gives(load, share)
        told = np.append(gives, large_load[large_load > gives])
        other = np.maximum(np.interp(told, large_load, large_share), TELLS)
        differ[use] = Difference(told, np.interp(told, load, share) / other)
    return differ


def _where_it_gives(load: Array, share: Array) -> float:
    """The load at which a share (s,) of strength first comes to 1, as it does."""
    state = int((share >= 1.0).argmax())
    if state == 0:
        return float(load[0])
    return float(np.interp(1.0, share[state - 1 : state + 1], load[state - 1 : state + 1]))


def _climbs(run: GlueRun) -> dict[Use, tuple[Array, Array]]:
    """Loads, over that of the peak, and shares of strength on the last climb to every peak, by use."""
    climbs = {}
    for act in range(len(run.peaks)):
        states = run.states_of(act)
        loads = run.loads[states]
        if not len(loads):
            continue
        falls = np.flatnonzero(np.diff(loads) <= 0.0)
        start = int(falls[-1]) + 1 if len(falls) else 0
        for (piece, family), share in run.shares().items():
            climbs[piece, family, act] = loads[start:] / run.peaks[act], share[states][start:]
    return climbs


def in_terms_of(
    run: GlueRun, peaks: tuple[float, ...], differ: Differences, nominal: tuple[float, ...]
) -> GlueRun:
    """A run on larger elements with the ``peaks`` and shares of strength that the corner itself would have.

    The one peak of a run is the counterpart of the highest of the ``nominal`` ones.
    """
    if len(peaks) < len(run.peaks):
        run = replace(run, peaks=(run.peak_load,), valley=None)
    by_peak = np.ones(len(run.loads))
    times = {use: np.ones(len(run.loads)) for use in run.shares()}
    for act in range(len(run.peaks)):
        states = run.states_of(act)
        by_peak[states], parts = peaks[act] / run.peaks[act], run.loads[states] / run.peaks[act]
        like = act if len(run.peaks) > 1 else int(np.argmax(nominal))
        for piece, family in times:
            difference = differ.get((piece, family, like))
            if difference is not None:
                times[piece, family][states] = difference.at(parts)
    wood = tuple(
        replace(
            use,
            parts={
                strength: times[use.piece, WOOD_MODES[use.mode].family] * part
                for strength, part in use.parts.items()
            },
        )
        for use in run.wood
    )
    return GlueRun(peaks, run.loads * by_peak, wood, run.valley, run.climb)
