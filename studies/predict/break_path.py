"""The glue followed past its peak, and the wood judged along the way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.crushing import borne_jump
from glueline.fem.equilibrium import TiedBodies
from glueline.fem.follower import PathControl
from glueline.fem.loads import equilibrated, pinned_unknowns, settle
from glueline.fem.mirror import Mirror, find_mirror
from glueline.fem.path import PathFailure, PathResult, follow_tied
from glueline.fem.solve import SolveFailure
from glueline.fem.traction_law import TractionLaw, evaluate, growth_share, spent_share
from glueline.fem.two_lives import follow_two_lives
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.connections import Grip, Hold, laws_of
from glueline.studies.corner.limit import BreaksIn, Limit
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.dead_weight import Drop, carried, drops
from glueline.studies.predict.glue_break import what_gives
from glueline.studies.predict.wood_limits import WoodSample, sample_wood, wood_limits

Array = NDArray[np.float64]
Made = TypeVar("Made")

LARGEST_TURN = 0.2  # rad of the corner: in small displacements a captive piece never lets go
LOOKS = 6  # states up to the highest load at which wood is judged, besides those of its peaks
REMEDY = "try another element size"

MOST_EFFORT, WORTH_TRYING = 8_000_000, 4_000_000
"""Unknowns factored along one path, some 40 s of one core, and along paths that failed before it is left."""

SHORTER = (0.6, 0.4)
"""Times the steps with which a path is tried again that could not be followed to its end: a state at which
several points turn at once is seldom met twice."""


@dataclass(frozen=True)
class WoodShare:
    """The largest ``share`` of the wood's strength up to the break: at ``load`` in N, where and how."""

    share: float
    load: float
    limit: Limit


@dataclass(frozen=True)
class BreakPath:
    """A corner followed to half its highest load or less. Loads in N, displacement in mm, energy in N mm.

    ``laws`` by surface. ``drops`` are those that it goes through under dead weight, ``held_load`` the load of
    the last, which is not held. ``wood`` is what in the wood ends the corner or would; ``wood_state`` is the
    first state with a criterion met before the last drop, None where none is; then the load carried up to
    there is the break load. ``break_load`` is that or ``held_load``, ``state`` the state nearest to it.
    ``wood_load`` is the load carried up to where wood first gives, be it that a split line parts; where it
    does not, the break load over ``wood_share``. ``partings`` has the first state, up to the break, in which
    some point of a split line has lost all its toughness, by the lines' names. ``highest_load`` is what a
    machine that drives the displacement finds. ``displacement`` is that of the load at the break, ``energy``
    the work it has done by then. ``wood_limits`` are those of all modes where a criterion is first met, else
    at the break.

    On a corner with split lines, ``split`` is the limit that the first of them stands for, with its load by
    the criterion alone, and ``whole_glue_load`` the load that the glue would have carried had the wood held.
    ``unfollowed`` says why a split that ends the corner could not be followed; ``split_share`` is the
    largest share of the strength against splitting where none is met.
    """

    corner: CornerModel
    path: PathResult
    laws: Mapping[str, TractionLaw]
    drops: tuple[Drop, ...]
    held_load: float
    highest_load: float
    wood: Limit
    wood_load: float
    wood_share: WoodShare
    split_share: WoodShare | None
    break_load: float
    state: int
    wood_state: int | None
    partings: Mapping[str, int]
    displacement: float
    energy: float
    wood_limits: tuple[Limit, ...]
    split: Limit | None = None
    whole_glue_load: float | None = None
    unfollowed: str | None = None

    @cached_property
    def lets_go(self) -> Hold:
        """What lets go at the last drop."""
        return what_gives(self, round(self.drops[-1].peak))[0]

    @property
    def ends_held(self) -> bool:
        """Whether it still carried at the largest turn that is followed, wood and all."""
        return self.wood_state is None and self.glue_ends_held

    @property
    def comes_to_largest_turn(self) -> bool:
        """Whether the path goes on to the largest turn that is followed."""
        return bool(self.path.displacement[-1] >= (1.0 - 2e-3) * farthest_of(self.corner))

    @property
    def glue_ends_held(self) -> bool:
        """Whether it would still carry there if its wood had held."""
        return round(self.drops[-1].peak) == len(self.path.load) - 1

    @property
    def breaks_in(self) -> BreaksIn:
        """What breaks: wood or a rod of it by a criterion, wood along a split line, else glue."""
        return self.wood.kind if self.wood_state is not None else self.lets_go.breaks_in

    @property
    def first_life(self) -> int:
        """Number of states until what outlives the glue goes on alone; all of them where nothing does."""
        return len(self.path.load) if self.path.second_from is None else self.path.second_from

    @property
    def glue_load(self) -> float | None:
        """The load at which the glue lets go; where wood lets go, at which it would had the wood held.

        None where there is no glue.
        """
        if not self.corner.glued:
            return None
        if any(isinstance(each, Grip) for each in self.corner.bearings) and self.whole_glue_load is None:
            crack = self.path.first_peak
            return float(self.path.load[: self.first_life].max() if crack is None else self.path.load[crack])
        if self.wood_state is None and self.lets_go.breaks_in == "glue":
            return self.held_load
        return self.held_load if self.whole_glue_load is None else self.whole_glue_load

    @property
    def first_crack(self) -> int | None:
        """The first state from which the load falls, what is heard first; None if the wood goes before."""
        crack = self.path.first_peak
        if crack is None or (self.wood_state is not None and crack >= self.wood_state):
            return None
        return crack

    @property
    def first_damage_load(self) -> float | None:
        """Load in N at which the first glue point reaches its strength, straight between two states."""
        names = [each.name for each in self.corner.glued]
        if not names:
            return None
        damaged = np.any([(self.path.damage[name] > 0).any(axis=1) for name in names], axis=0)
        after = max(1, int(damaged.argmax()))
        low, high = (self._most_of_strength(state) for state in (after - 1, after))
        loads = self.path.load[after - 1 : after + 1]
        return float(np.interp(1.0, (low, high), loads)) if low < 1.0 else float(loads[0])

    def _most_of_strength(self, state: int) -> float:
        """The largest share of its strength that a glue point uses at a state, had it not been damaged."""
        u = self.path.displacements(state)
        shares = []
        for each in self.corner.glued:
            jump = borne_jump(each.surface.jumps(u), self.path.crushed[each.name][state])
            shares.append(growth_share(self.laws[each.name], jump, np.zeros(len(jump))).max())
        return float(max(shares))

    @property
    def holds_after_crack(self) -> bool | None:
        """Whether the first drop is held under dead weight; None where the wood gives before any drop.

        It is not where the wood gives while the corner jumps.
        """
        first = self.drops[0]
        if round(first.peak) == len(self.path.load) - 1:
            return None
        if self.wood_state is not None and self.wood_state <= first.peak:
            return None
        return first.stops is not None and (self.wood_state is None or self.wood_state > first.stops)

    def displacements(self, state: int) -> Array:
        """Displacements (unknowns,) in mm at a state, the supports at rest."""
        return settle(self.corner.model, self.corner.loading, self.path.displacements(state))

    def tractions(self, state: int) -> dict[str, Array]:
        """Local tractions (p, 2) in MPa by surface at a state."""
        return tractions_at(self.corner, self.path, self.laws, state)

    def gone(self, state: int) -> dict[str, Array]:
        """Share (p,) of its toughness that every glue point has spent at a state: 1 gone."""
        u = self.path.displacements(state)
        return {
            surface.name: spent_share(
                self.laws[surface.name],
                borne_jump(surface.jumps(u), self.path.crushed[surface.name][state]),
                self.path.damage[surface.name][state],
            )
            for surface in self.corner.surfaces
        }

    @cached_property
    def crushed(self) -> dict[str, float]:
        """How far, in mm, the faces of every surface that may crush are crushed at the break where most."""
        return {
            each.name: float(self.path.crushed[each.name][self.state].max())
            for each in self.corner.connections
            if self.laws[each.name].closing is not None
        }

    @cached_property
    def glue_gone(self) -> dict[str, float]:
        """Share of every surface's glue that has gone at the break, by area."""
        gone = self.gone(self.state)
        return {
            each.name: float(np.average(gone[each.name], weights=each.surface.weight))
            for each in self.corner.glued
        }


class CornerFollower:
    """Paths of one corner: its bodies are condensed once, for any bonds of the same stiffness or load.

    Where bodies, bonds and load are their own mirror image about the diagonal, half of them is followed.
    """

    def __init__(self, corner: CornerModel, reuse: Reuse | None = None) -> None:
        self.corner, self._reuse = corner, reuse or Reuse()

    def follow(self, laws: Mapping[str, TractionLaw], control: PathControl | None = None) -> PathResult:
        """The path in the corner's own arrangement. Raises ComputationError where it ends too early.

        Where it cannot be followed to its end it is followed again in shorter steps, unless that takes long.
        """
        control, trouble, effort = control or PathControl(), None, 0
        for share in (1.0, *SHORTER):
            try:
                step = share * control.step
                return self._followed(laws, replace(control, step=step, most_effort=MOST_EFFORT))
            except PathFailure as error:
                trouble = trouble or error
                effort += 0 if error.result is None else error.result.effort
                if effort > WORTH_TRYING:
                    break
        raise ComputationError("following the path", str(trouble), REMEDY, effort) from trouble

    def _followed(self, laws: Mapping[str, TractionLaw], control: PathControl) -> PathResult:
        corner = self.corner
        load = equilibrated(corner.model, corner.loading)
        control = replace(control or PathControl(), farthest=farthest_of(corner))
        every = [laws[surface.name] for surface in corner.surfaces]
        mirror = self._made("mirror", _mirror_of) if corner.layout.mirrored else None
        if mirror is not None and mirror.fits(every, load):
            half = self._made("half of the legs", lambda corner: _half_of(corner, mirror))
            return mirror.follow(half, every, load, control)
        tied = self._made("legs", _tied)
        if corner.glued and any(isinstance(each, Grip) for each in corner.bearings):
            return follow_two_lives(tied, every, load, [each.name for each in corner.glued], control)
        return follow_tied(tied, every, load, control)

    def _made(self, what: str, make: Callable[[CornerModel], Made]) -> Made:
        corner = self.corner
        try:
            return self._reuse.shared(f"{corner.role}: {what}", corner.made_from, lambda: make(corner))
        except SolveFailure as error:
            raise ComputationError("following the path", f"eliminating the legs: {error}", REMEDY) from error

    def broken(
        self,
        samples: tuple[WoodSample, ...],
        criterion: str = DEFAULT_CRITERION,
        crushing: bool = True,
        control: PathControl | None = None,
    ) -> BreakPath:
        """The corner followed and its wood judged at ``samples``. Raises ComputationError.

        Without ``crushing`` faces bear whatever presses on them.
        """
        laws = laws_of(self.corner.holds, crushing)
        return judge_path(self.corner, self.follow(laws, control), laws, samples, criterion)


def farthest_of(corner: CornerModel) -> float:
    """Displacement in mm of the load at the largest turn: a moment M = P a that turns the corner by w moves
    the load by a w.
    """
    return LARGEST_TURN * abs(corner.specimen.moment_per_load)


def _tied(corner: CornerModel) -> TiedBodies:
    return TiedBodies(bulk_stiffness(corner.model), corner.surfaces, pinned_unknowns(corner.model))


def _mirror_of(corner: CornerModel) -> Mirror | None:
    return find_mirror(corner.model, bulk_stiffness(corner.model), corner.surfaces)


def _half_of(corner: CornerModel, mirror: Mirror) -> TiedBodies:
    return mirror.half(bulk_stiffness(corner.model), corner.surfaces, pinned_unknowns(corner.model))


def follow_break(
    specimen: Specimen,
    *,
    element_size: float | None = None,
    control: PathControl | None = None,
    crushing: bool = True,
    criterion: str = DEFAULT_CRITERION,
) -> BreakPath:
    """Follow a specimen past its peak and judge its wood. Raises ComputationError where the path ends."""
    corner = build_corner(specimen, element_size)
    return CornerFollower(corner).broken(sample_wood(corner), criterion, crushing, control)


def tractions_at(
    corner: CornerModel, path: PathResult, laws: Mapping[str, TractionLaw], state: int
) -> dict[str, Array]:
    """Local tractions (p, 2) in MPa by surface at a state of a path."""
    u = path.displacements(state)
    tractions = {}
    for surface in corner.surfaces:
        jump = borne_jump(surface.jumps(u), path.crushed[surface.name][state])
        damage = path.damage[surface.name][state]
        tractions[surface.name] = evaluate(laws[surface.name], jump, damage).traction
    return tractions


def wood_at(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
    state: int,
    criterion: str = DEFAULT_CRITERION,
) -> tuple[Limit, ...]:
    """All limits of wood at a state of a path; a limit's load is that at which it is met, held so."""
    load = float(path.load[state])
    u = settle(corner.model, corner.loading, path.displacements(state))
    tractions = {name: traction / load for name, traction in tractions_at(corner, path, laws, state).items()}
    return wood_limits(corner, samples, u / load, tractions, criterion)


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
    splitting: list[WoodShare] = []

    def share(state: int) -> tuple[float, tuple[Limit, ...]]:
        limits = wood_at(corner, path, laws, samples, state, criterion)
        first = _first_to_break(limits)
        load = float(path.load[state])
        seen.append(WoodShare(load / first.load, load, first))
        splitting.extend(
            WoodShare(load / limit.load, load, limit)
            for limit in limits
            if WOOD_MODES[limit.mode].family == SPLIT_OR_SHEAR
        )
        return seen[-1].share, limits

    passed = drops(path.load, path.displacement, path.stored + path.spent)
    end = min(int(np.ceil(passed[-1].peak)), len(path.load) - 1)
    met, split_share = _first_met(states_to_judge(path, end), share), None
    if met is None:
        at, wood_state, (_, limits) = passed[-1].peak, None, share(end)
        most = max(seen, key=lambda each: each.share)
        split_share = max(splitting, key=lambda each: each.share, default=None)
        break_load = passed[-1].load
        highest = path.load[: _last_before_wood(path, end, share) + 1].max()
    else:
        before, part, wood_state, limits = met
        break_load, at = carried(passed, path.load, before + part)
        most = WoodShare(1.0, _between(path.load, before + part), _first_to_break(limits))
        highest = max(path.load[: before + 1].max(), _between(path.load, before + part))
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
        split_share=split_share,
        break_load=break_load,
        state=round(at),
        wood_state=wood_state,
        partings=partings,
        displacement=_between(path.displacement, at),
        energy=_between(path.work, at),
        wood_limits=limits,
    )


def _partings(corner: CornerModel, path: PathResult, upto: float) -> dict[str, int]:
    """The first state, up to ``upto``, in which a point of a split line holds nothing any more, by line."""
    partings = {}
    for split in corner.splits:
        parted = np.flatnonzero((path.damage[split.name] >= 1.0).any(axis=1))
        if len(parted) and parted[0] <= upto:
            partings[split.name] = int(parted[0])
    return partings


Share = Callable[[int], tuple[float, tuple[Limit, ...]]]


def _first_met(looks: list[int], share: Share) -> tuple[int, float, int, tuple[Limit, ...]] | None:
    """Where a wood criterion is first met: between which states, and the limits.

    Looks along the path, then halves the stretch. Shares of strength go straight between two states.
    """
    low, low_share = 0, 0.0
    for look in looks:
        high, (high_share, limits) = look, share(look)
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
