"""The load at which wood gives along a path, for wood of any strength, without another path.

Glue and wood meet in the stresses alone: how strong the wood is changes nothing along a path but the place
at which it ends. So one path answers for all strengths of the wood.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.limit import Limit
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.scatter.peaks import Climb

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

_NOTHING = 1e-300


@dataclass(frozen=True)
class WoodUse:
    """Share of strength used (s,) by one mode at the states of a run, at the mean strengths.

    ``parts`` lists the shares by strength (a property of the wood); the square root of the sum of their
    squares is the whole share. So with strengths times factors x the share is that of parts over x, held at
    the place that was worst at the mean.
    """

    piece: str
    mode: str
    parts: Mapping[str, Array]


@dataclass(frozen=True)
class GlueRun:
    """A path with given factors on its glue, from the unloaded state to the highest load.

    ``peaks`` in N as of ``peaks_of``; ``loads`` (s,) in N at the sampled states, the first 0 and the last the
    highest; ``wood`` what every breaking mode uses at these states, empty where wood was not judged.
    ``valley`` is the sampled state that begins the climb to the second peak, None where the run ends before;
    ``climb`` what lies between the two peaks.
    """

    peaks: tuple[float, ...]
    loads: Array
    wood: tuple[WoodUse, ...] = ()
    valley: int | None = None
    climb: Climb | None = None

    @property
    def peak_load(self) -> float:
        """The highest load in N."""
        return max(self.peaks)

    def __post_init__(self) -> None:
        if not self.peaks or not min(self.peaks) > 0 or len(self.loads) < 2 or self.loads[0] != 0:
            raise ValueError("a run starts unloaded and has a load above zero")
        if any(part.shape != self.loads.shape for use in self.wood for part in use.parts.values()):
            raise ValueError("wood must be judged at every state of the run")
        if self.valley is not None and not (len(self.peaks) == 2 and 0 < self.valley < len(self.loads)):
            raise ValueError("a valley lies between two peaks")

    def shares(self) -> dict[tuple[str, str], Array]:
        """Share of strength (s,) that every piece uses, by piece and family of modes."""
        shares: dict[tuple[str, str], Array] = {}
        for use in self.wood:
            key = use.piece, WOOD_MODES[use.mode].family
            own = np.sqrt(np.sum([np.square(part) for part in use.parts.values()], axis=0))
            shares[key] = np.maximum(shares.get(key, 0.0), own)
        return shares

    def states_of(self, act: int) -> slice:
        """The sampled states that lead to the peak ``act``; none where the run ends before."""
        if self.valley is None:
            return slice(None) if act == 0 else slice(0, 0)
        return slice(None, self.valley) if act == 0 else slice(self.valley, None)


def glue_run(
    peaks: tuple[float, ...],
    loads: Sequence[float],
    limits: Sequence[Sequence[Limit]] | None = None,
    valley: int | None = None,
    climb: Climb | None = None,
) -> GlueRun:
    """A run from ``loads`` (N) of states in order up to the highest and the ``limits`` of wood at each.

    The unloaded state is added; every limit's own load is that at which it would be met, held so. ``valley``
    counts among ``loads``.
    """
    states = np.array([0.0, *loads])
    used: dict[tuple[str, str], dict[str, Array]] = {}
    for state, state_limits in enumerate(limits or (), start=1):
        for limit in state_limits:
            if limit.kind == "glue" or not limit.breaks:
                continue
            parts = used.setdefault((limit.part, limit.mode), {})
            for strength, share in _shares(limit).items():
                here = parts.setdefault(strength, np.zeros(len(states)))
                here[state] = max(here[state], share * states[state] / limit.load)
    wood = tuple(WoodUse(piece, mode, parts) for (piece, mode), parts in used.items())
    return GlueRun(peaks, states, wood, None if valley is None else valley + 1, climb)


def _shares(limit: Limit) -> dict[str, float]:
    mode = WOOD_MODES[limit.mode]
    if mode.family != SPLIT_OR_SHEAR:
        return {mode.strength: 1.0}
    shear = limit.shear_share
    return {"tension_across": float(np.sqrt(1.0 - shear)), "shear_strength": float(np.sqrt(shear))}


@dataclass(frozen=True)
class WoodInAct:
    """What wood of one mode uses on the way to a peak of each of several runs, laid out for many draws.

    ``loads`` (runs, s) in N at the sampled states, the last repeated where a run has fewer than others;
    ``peaks`` (runs,) in N; ``uses`` has for every use the strengths it draws on and the squares (strengths,
    runs times s) of its shares, at the mean strengths.
    """

    loads: Array
    peaks: Array
    uses: tuple[tuple[tuple[str, ...], Array], ...]

    @classmethod
    def of(cls, runs: Sequence[tuple[GlueRun, int, Sequence[WoodUse]]]) -> WoodInAct:
        """That of runs, each with the peak that it leads to and what its wood uses in the mode."""
        states = [run.states_of(act) for run, act, _ in runs]
        longest = max(len(run.loads[own]) for (run, _, _), own in zip(runs, states, strict=True))
        loads, peaks = np.empty((len(runs), longest)), np.empty(len(runs))
        squares: dict[str, dict[str, Array]] = {}
        for row, ((run, act, uses), own) in enumerate(zip(runs, states, strict=True)):
            count = len(run.loads[own])
            loads[row, :count], loads[row, count:] = run.loads[own], run.loads[own][-1]
            peaks[row] = run.peaks[act]
            for use in uses:
                parts = squares.setdefault(use.mode, {})
                for strength, part in use.parts.items():
                    parts.setdefault(strength, np.zeros(loads.shape))[row, :count] = np.square(part[own])
        made = tuple(
            (tuple(parts), np.stack([each.ravel() for each in parts.values()])) for parts in squares.values()
        )
        return cls(loads, peaks, made)

    @property
    def strengths(self) -> frozenset[str]:
        """What it draws on."""
        return frozenset(name for names, _ in self.uses for name in names)

    def at(self, factors: Mapping[str, Array], reach: Array) -> tuple[Array, Array]:
        """Largest share (n, runs) of strength used on the way to the peak, and the load at which wood gives.

        Strengths are times ``factors`` (n,) by property and all times ``reach`` (n,). The load (n, runs) is
        over that of the peak: the highest before the share reaches 1, straight between states; where it stays
        below 1, as if it had gone on in proportion from where it is largest, infinite where nothing is used.
        So the load is continuous in the strength where the share only grows; more strength never lowers it.
        """
        square = np.zeros((len(reach), self.loads.size))
        for names, squares in self.uses:
            weak = np.stack([1.0 / np.square(factors[name] * reach) for name in names], axis=1)
            np.maximum(square, weak @ squares, out=square)
        square = square.reshape(-1, self.loads.shape[1])
        row, run = np.arange(len(square)), np.tile(np.arange(len(self.peaks)), len(reach))
        largest = square.argmax(axis=1)
        most = np.sqrt(square[row, largest])
        upto = np.maximum.accumulate(self.loads, axis=1)
        load = np.where(most > 0.0, upto[run, largest] / np.maximum(most, _NOTHING), np.inf)
        crossed = np.flatnonzero(most >= 1.0)
        if len(crossed):
            load[crossed] = self._crossed_at(np.sqrt(square[crossed]), run[crossed], upto)
        shape = (len(reach), len(self.peaks))
        return most.reshape(shape), load.reshape(shape) / self.peaks

    def _crossed_at(self, share: Array, run: Integers, upto: Array) -> Array:
        """The load (k,) in N at which each ``share`` (k, s) of a ``run`` (k,) first reaches 1."""
        row = np.arange(len(share))
        after = (share >= 1.0).argmax(axis=1)
        before = np.maximum(after - 1, 0)
        low, high = share[row, before], share[row, after]
        part_way = np.clip((1.0 - low) / np.maximum(high - low, _NOTHING), 0.0, 1.0)
        first, second = self.loads[run, before], self.loads[run, after]
        return np.asarray(np.maximum(upto[run, before], first + part_way * (second - first)))


def wood_in_act(
    run: GlueRun, act: int, uses: Sequence[WoodUse], factors: Mapping[str, Array], reach: Array
) -> tuple[Array, Array]:
    """Largest share (n,) of one run and the load (n,) at which its wood gives, see ``WoodInAct``."""
    share, load = WoodInAct.of([(run, act, uses)]).at(factors, reach)
    return share[:, 0], load[:, 0]
