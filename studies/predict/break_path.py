"""What is known of a corner that was followed past its peak."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from glueline.fem.crushing import borne_jump
from glueline.fem.loads import settle
from glueline.fem.path import PathResult
from glueline.fem.traction_law import TractionLaw, growth_share, pulled, spent_share
from glueline.studies.corner.connections import Grip, Hold
from glueline.studies.corner.limit import BreaksIn, Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.dead_weight import Drop
from glueline.studies.predict.glue_break import what_gives

Array = NDArray[np.float64]

LARGEST_TURN = 0.2  # rad of the corner: in small displacements a captive piece never lets go


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
    def jumping(self) -> bool:
        """Whether the wood, or a rod of it, gives while the cracked corner jumps."""
        gives = self.wood_state
        return gives is not None and any(
            drop.peak < gives and (drop.stops is None or gives <= drop.stops) for drop in self.drops
        )

    @property
    def gives_at(self) -> int:
        """The state in which it gives way: the one at the break load, or one in the jump from there."""
        return self.wood_state if self.wood_state is not None and self.jumping else self.state

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
        """Load in N at which the first glue point reaches its strength.

        Its share of it is taken to go on as between the two states before: what has damaged moves faster.
        """
        names = [each.name for each in self.corner.glued]
        if not names:
            return None
        damaged = np.any([(self.path.damage[name] > 0).any(axis=1) for name in names], axis=0)
        after = max(1, int(damaged.argmax()))
        if after == 1:
            return float(self.path.load[1])
        before, last, first = (float(load) for load in self.path.load[after - 2 : after + 1])
        low, high = (self._most_of_strength(state) for state in (after - 2, after - 1))
        if high <= low or high >= 1.0:
            return last
        grown = last + (1.0 - high) * (last - before) / (high - low)
        return min(max(grown, min(last, first)), max(last, first))

    def _most_of_strength(self, state: int) -> float:
        """The largest share of its strength that a glue point uses at a state, had it not been damaged."""
        u = self.path.at_surfaces(state)
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
        u = self.path.at_surfaces(state)
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


def farthest_of(corner: CornerModel) -> float:
    """Displacement in mm of the load at the largest turn: a moment M = P a that turns the corner by w moves
    the load by a w.
    """
    return LARGEST_TURN * abs(corner.specimen.moment_per_load)


def tractions_at(
    corner: CornerModel, path: PathResult, laws: Mapping[str, TractionLaw], state: int
) -> dict[str, Array]:
    """Local tractions (p, 2) in MPa by surface at a state of a path."""
    u = path.at_surfaces(state)
    return {hold.name: traction_at(hold, u, path, laws, state) for hold in corner.holds}


def traction_at(hold: Hold, u: Array, path: PathResult, laws: Mapping[str, TractionLaw], state: int) -> Array:
    """The same (p, 2) of one surface, whose points move as the displacements ``u`` of the state say."""
    jump = borne_jump(hold.surface.jumps(u), path.crushed[hold.name][state])
    return pulled(laws[hold.name], jump, path.damage[hold.name][state]).traction
