"""The wood judged along a path that has been followed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from glueline.fem.path import PathResult
from glueline.fem.traction_law import TractionLaw
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.break_path import BreakPath, WoodShare, traction_at
from glueline.studies.predict.dead_weight import carried, drops
from glueline.studies.predict.wood_limits import WoodSample, shares_at_states, wood_limits

Array = NDArray[np.float64]

LOOKS = 10  # states up to the highest load at which wood is judged, besides those of its peaks
TOGETHER = 5  # of them are judged at a time


def wood_at(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
    state: int,
    criterion: str = DEFAULT_CRITERION,
) -> tuple[Limit, ...]:
    """All limits of wood at a state of a path; a limit's load is that at which it is met, held so."""
    return wood_at_states(corner, path, laws, samples, [state], criterion)[0]


def wood_at_states(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
    states: Sequence[int],
    criterion: str = DEFAULT_CRITERION,
) -> list[tuple[Limit, ...]]:
    """The same at each of several states, whose stresses are found in one go.

    Displacements may hold a rigid motion of the whole, which stresses nothing.
    """
    u = path.displacements_at(states)
    unit = u / path.load[list(states)]
    used = [shares_at_states(sample, unit, criterion) for sample in samples]
    limiting = [hold for hold in corner.holds if hold.limits_wood]
    limits = []
    for place, state in enumerate(states):
        load = float(path.load[state])
        tractions = {hold.name: traction_at(hold, u[:, place], path, laws, state) / load for hold in limiting}
        shares = [each[place] for each in used]
        limits.append(wood_limits(corner, samples, unit[:, place], tractions, criterion, shares))
    return limits


def states_to_judge(path: PathResult, last: int, first: int = 1) -> list[int]:
    """States from ``first`` to ``last`` at which to look at the wood: even ones and all peaks."""
    upto = path.load[: last + 1]
    peaks = np.flatnonzero((upto[1:-1] > upto[:-2]) & (upto[1:-1] >= upto[2:])) + 1
    even = np.linspace(first, last, LOOKS).round().astype(int)
    return [int(state) for state in np.unique([*even, *peaks[peaks >= first]])]


def judge_path(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
    criterion: str = DEFAULT_CRITERION,
) -> BreakPath:
    """What the wood does along a path that has been followed."""
    seen: list[WoodShare] = []
    splitting: list[tuple[int, WoodShare]] = []
    judged: dict[int, tuple[Limit, ...]] = {}

    def share(state: int, soon: Sequence[int] = ()) -> tuple[float, tuple[Limit, ...]]:
        if state not in judged:
            states = [state, *(each for each in soon if each not in judged)]
            found = wood_at_states(corner, path, laws, samples, states, criterion)
            judged.update(zip(states, found, strict=True))
        limits = judged[state]
        first = _first_to_break(limits)
        load = float(path.load[state])
        seen.append(WoodShare(load / first.load, load, first))
        splitting.extend(
            (state, WoodShare(load / limit.load, load, limit))
            for limit in limits
            if WOOD_MODES[limit.mode].family == SPLIT_OR_SHEAR
        )
        return seen[-1].share, limits

    passed = drops(path.load, path.displacement, path.stored + path.spent)
    end = min(int(np.ceil(passed[-1].peak)), len(path.load) - 1)
    met = _first_met(states_to_judge(path, end), share)
    if met is None:
        at, wood_state, (_, limits) = passed[-1].peak, None, share(end)
        most = max(seen, key=lambda each: each.share)
        break_load = passed[-1].load
        highest = path.load[: _last_before_wood(path, end, share) + 1].max()
    else:
        before, part, wood_state, limits = met
        break_load, at = carried(passed, path.load, before + part)
        most = WoodShare(1.0, _between(path.load, before + part), _first_to_break(limits))
        highest = max(path.load[: before + 1].max(), _between(path.load, before + part))
    splits = met is not None and WOOD_MODES[_first_to_break(limits).mode].family == SPLIT_OR_SHEAR
    partings = _partings(corner, path, at)
    parted = min(partings.values(), default=None)
    wood_load = break_load / most.share if parted is None else carried(passed, path.load, parted)[0]
    return BreakPath(
        corner=corner,
        path=path,
        laws=laws,
        drops=passed,
        held_load=passed[-1].load,
        highest_load=float(highest),
        wood=_first_to_break(limits),
        wood_load=wood_load,
        wood_share=most,
        split_share=None if splits else _largest_upto(at, splitting),
        break_load=break_load,
        state=round(at),
        wood_state=wood_state,
        partings=partings,
        displacement=_between(path.displacement, at),
        energy=_between(path.work, at),
        wood_limits=limits,
    )


def _largest_upto(place: float, shares: Sequence[tuple[int, WoodShare]]) -> WoodShare | None:
    """The largest of the shares of states up to a place on the path."""
    before = [share for state, share in shares if state <= np.ceil(place)]
    return max(before, key=lambda each: each.share, default=None)


def _partings(corner: CornerModel, path: PathResult, upto: float) -> dict[str, int]:
    """The first state, up to ``upto``, in which a point of a split line holds nothing any more, by line."""
    partings = {}
    for split in corner.splits:
        parted = np.flatnonzero((path.damage[split.name] >= 1.0).any(axis=1))
        if len(parted) and parted[0] <= upto:
            partings[split.name] = int(parted[0])
    return partings


class Share(Protocol):
    """Largest share of its strength that wood uses at a state, and all limits there."""

    def __call__(self, state: int, soon: Sequence[int] = ()) -> tuple[float, tuple[Limit, ...]]:
        """``soon`` are states that are likely to be asked for next."""
        ...


def _first_met(looks: list[int], share: Share) -> tuple[int, float, int, tuple[Limit, ...]] | None:
    """Where a wood criterion is first met: between which states, and the limits.

    Looks along the path, then halves the stretch. Shares of strength go straight between two states.
    """
    low, low_share = 0, 0.0
    for place, look in enumerate(looks):
        high, (high_share, limits) = look, share(look, looks[place + 1 : place + TOGETHER])
        if high_share < 1.0:
            low, low_share = look, high_share
            continue
        while high - low > 1:
            middle = (low + high) // 2
            middle_share, middle_limits = share(middle)
            if middle_share >= 1.0:
                high, high_share, limits = middle, middle_share, middle_limits
            else:
                low, low_share = middle, middle_share
        return low, (1.0 - low_share) / (high_share - low_share), high, limits
    return None


def _last_before_wood(path: PathResult, end: int, share: Share) -> int:
    """The highest state, or the last before the wood gives on the way to it from ``end``."""
    if path.highest <= end:
        return path.highest
    met = _first_met(states_to_judge(path, path.highest, end), share)
    return path.highest if met is None else met[0]


def _between(values: Array, at: float) -> float:
    """The value at a place between two states."""
    return float(np.interp(at, np.arange(len(values)), values))


def _first_to_break(limits: tuple[Limit, ...]) -> Limit:
    return min((limit for limit in limits if limit.breaks), key=lambda limit: limit.load)
