"""The 5 and 95 % ends of the break load: a few paths, a surface for glue and for each mode of wood, draws.

Glue and every mode of wood have a surface of their own and the least of them is taken draw by draw: the
least itself has kinks that no smooth surface follows. On the way to each peak of the glue, wood has two
surfaces: its largest share of strength, which says whether it gives, and the load at which it does. The load
alone would not do, because it jumps where wood just holds until a peak has passed and the corner goes on.

Stiffness needs no path. Where bodies are linear and strengths r and toughnesses r of the glue scale together,
dimensions alone give for all stiffnesses (wood and film) times c

    glue load (r, c) = c glue load (r / c, 1),   wood load (x, r, c) = c wood load (x / c, r / c, 1),

because stresses, strengths and toughnesses times c leave every jump as it was. So stiffer wood is taken to
crush later by the same factor.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.files.copies import shared_out
from glueline.studies.predict.scatter.lognormal import log_deviation
from glueline.studies.predict.scatter.peaks import act_at, carried_by_weight, over_nodes, peaks_over_nodes
from glueline.studies.predict.scatter.surface import StarDesign, star_design
from glueline.studies.predict.scatter.variables import Variables, variables_of
from glueline.studies.predict.scatter.wood_load import GlueRun, WoodInAct, WoodUse, wood_in_act

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
WoodMet = Mapping[tuple[int, tuple[str, str]], tuple[Array, Array]]  # by peak and (piece, family of modes)

DRAWS = 1 << 13
FEWER_DRAWS = 1 << 11  # enough to tell which variables matter
ENDS = (0.05, 0.95)
MATTERS = 0.01
"""Share of an end of the band that a variable must move to be named among those that matter."""

# Wood is not told apart below and above these: it is far from giving, and a surface would swing with them.
LEAST_SHARE, MOST_LOAD = 0.1, 4.0

NEAR = 0.9
"""Share of its strength from which wood is near giving; of the load at which it gives, the peak likewise."""

# Wood is left out whose load is more than so many times that of the glue in all but so few of the draws.
_MARGIN, _FEW = 1.5, 0.005


class Follow(Protocol):
    """Follows a corner with each row of the glue table times a factor (``scaled_holds``)."""

    def __call__(self, row_factors: dict[str, float], judge_wood: bool) -> GlueRun:
        """The run; without ``judge_wood`` its ``wood`` may be empty. Raises ComputationError."""
        ...


@dataclass(frozen=True)
class Band:
    """Ends of the break load in N: ``low`` is undercut by 5 % of corners made alike, ``high`` by 95 %.

    ``median`` is undercut by half; ``at_first_crack`` is the share of draws in which the first crack is not
    held and is the break.

    ``variables`` names those that move an end by over 1 %, the most important first; ``solves`` counts the
    paths followed for it; ``wood_first`` is the share of draws in which wood gives before the glue; ``note``
    says all that in plain words.
    """

    low: float
    high: float
    seed: int
    variables: tuple[str, ...]
    solves: int
    wood_first: float
    note: str
    median: float
    at_first_crack: float


@dataclass(frozen=True)
class BreakSurface:
    """Glue and wood loads of a corner for any factors, from ``runs`` at the nodes of ``design``."""

    variables: Variables
    design: StarDesign
    runs: tuple[GlueRun, ...]
    modes: tuple[tuple[str, str], ...]

    def glue_peaks(self, logs: Array) -> Array:
        """Loads in N (peaks, n) at which the glue peaks, for logarithms (n, k) of the factors."""
        weights, stiffness = self._weights(logs)
        peaks = peaks_over_nodes([run.peaks for run in self.runs])
        return np.asarray(np.exp(peaks @ weights.T + stiffness))

    def _wood_in_act(
        self, logs: Array, weights: Array, act: int, mode: tuple[str, str]
    ) -> tuple[Array, Array]:
        """What a (piece, family of modes) does on the way to a peak of the glue, for logarithms (n, k).

        Its largest share of strength (n,), and the load (n,) at which it gives over that of the peak; above 1
        it tells how far. ``weights`` are those of the nodes.
        """
        nodes, wood = self._laid_out[act, mode]
        share, load = wood.at(*self._strengths(logs, mode[0], wood.strengths))
        shares_and_loads = np.full((2, len(logs), len(self.runs)), np.nan)
        shares_and_loads[0][:, nodes] = np.log(np.maximum(share, LEAST_SHARE))
        shares_and_loads[1][:, nodes] = np.log(np.minimum(load, MOST_LOAD))
        if len(nodes) < len(self.runs):
            shares_and_loads = over_nodes(shares_and_loads)
        share, load = np.exp(np.einsum("nm,inm->in", weights, shares_and_loads))
        return share, load

    @cached_property
    def _laid_out(self) -> dict[tuple[int, tuple[str, str]], tuple[list[int], WoodInAct]]:
        """What wood uses in the runs that show a peak, and the places of those runs, by peak and mode."""
        laid_out = {}
        for act, mode in product(self._judged_acts(), self.modes):
            shown = [act_at(run.peaks, self.runs[0].peaks, act) for run in self.runs]
            seen = {
                node: (run, at, _uses(run, mode))
                for node, (run, at) in enumerate(zip(self.runs, shown, strict=True))
                if at is not None and len(run.loads[run.states_of(at)])
            }
            laid_out[act, mode] = list(seen), WoodInAct.of(list(seen.values()))
        return laid_out

    def wood_in_acts(self, logs: Array) -> WoodMet:
        """What wood does on the way to every peak, mode by mode, for logarithms (n, k) of the factors."""
        weights, _ = self._weights(logs)
        return {which: self._wood_in_act(logs, weights, *which) for which in self._laid_out}

    def wood_in_acts_but_for(self, logs: Array, known: WoodMet, index: int) -> WoodMet:
        """The same where ``known`` is that of factors that differ in variable ``index`` alone."""
        if index <= self.variables.stiffness or index in self.variables.followed:
            return self.wood_in_acts(logs)
        (weights, _), met = self._weights(logs), dict(known)
        for (act, mode), (_, wood) in self._laid_out.items():
            name = self.variables.wood_of_piece[mode[0]]
            if index in [self.variables.wood[name, strength] for strength in wood.strengths]:
                met[act, mode] = self._wood_in_act(logs, weights, act, mode)
        return met

    def glue_loads(self, logs: Array) -> tuple[Array, Flags]:
        """Load in N (n,) at which glue lets go under dead weight; whether that is at the first peak (n,)."""
        peaks = self.glue_peaks(logs)
        climbs = [run.climb if len(run.peaks) > 1 else None for run in self.runs]
        if len(peaks) == 1 or climbs[0] is None:
            return peaks[0], np.ones(len(logs), dtype=bool)
        values = [[np.nan, np.nan] if each is None else [each.absorbed, each.fall] for each in climbs]
        weights, _ = self._weights(logs)
        absorbed, fall = np.exp(over_nodes(np.log(np.array(values).T)) @ weights.T)
        carried = carried_by_weight(peaks[0], peaks[1], absorbed, fall)
        return carried, carried <= peaks[0]

    def least(self, logs: Array, wood: WoodMet | None = None) -> tuple[Array, Flags, Flags]:
        """Break load in N (n,), whether wood gives before (n,), whether the glue's first peak is it (n,).

        From the last peak to the first: where wood gives on the way to one, nothing after it counts. Wood
        that nearly gives at a peak is taken to give only where both its surfaces say so; with the share alone
        too many draws gave, and the 5 % end of a splined mitre pulled open lay 3 % low. ``wood`` is what
        ``wood_in_acts`` says of the same factors, if that is known.
        """
        wood = self.wood_in_acts(logs) if wood is None else wood
        peaks = self.glue_peaks(logs)
        glue, is_first = self.glue_loads(logs)
        least = glue
        for act in reversed(self._judged_acts()):
            first = np.full(len(logs), np.inf)
            for mode in self.modes:
                share, load = wood[act, mode]
                first = np.minimum(first, np.where((share >= 1.0) & (load <= 1.0), load, np.inf))
            held = peaks[:act].max(axis=0, initial=0.0)
            # On the way to a peak that dead weight does not reach nothing gives.
            broken = np.isfinite(first) & ((act == 0) | ~is_first)
            given = np.maximum(held, np.where(broken, first, 1.0) * peaks[act])
            least = np.where(broken, np.minimum(given, glue) if act else given, least)
        by_wood = np.asarray(least < glue)
        return least, by_wood, is_first & ~by_wood

    def wood_is_near(self, logs: Array) -> Flags:
        """Whether (n,) wood gives, or so nearly does (``NEAR``) that surfaces cannot tell."""
        _, is_first = self.glue_loads(logs)
        near = np.zeros(len(logs), dtype=bool)
        for (act, _), (share, load) in self.wood_in_acts(logs).items():
            near |= (share > NEAR) & (load * NEAR < 1.0) & ((act == 0) | ~is_first)
        return near

    def of_run(self, run: GlueRun) -> tuple[float, bool]:
        """Break load in N of a run as it stands, and whether wood gives before its glue."""
        alone = replace(self, design=StarDesign(self.design.axes[:, :0], self.design.nodes[:1]), runs=(run,))
        load, by_wood, _ = alone.least(np.zeros((1, len(self.variables.names))))
        return float(load[0]), bool(by_wood[0])

    def _judged_acts(self) -> list[int]:
        nominal = self.runs[0]
        return [act for act in range(len(nominal.peaks)) if len(nominal.loads[nominal.states_of(act)])]

    def used_variables(self) -> list[int]:
        """Places of what the loads depend on: glue, stiffness, and strengths of wood that may lead."""
        strengths = {
            (self.variables.wood_of_piece[use.piece], strength)
            for mode in self.modes
            for use in _uses(self.runs[0], mode)
            for strength in use.parts
        }
        splits = {(wood, "tension_across") for wood in self.variables.splits}
        woods = sorted(self.variables.wood[key] for key in strengths | splits)
        return [*range(self.variables.stiffness + 1), *woods]

    def _weights(self, logs: Array) -> tuple[Array, Array]:
        stiffness = logs[:, self.variables.stiffness]
        return self.design.weights(logs[:, self.variables.followed] - stiffness[:, None]), stiffness

    def _strengths(self, logs: Array, piece: str, strengths: Iterable[str]) -> tuple[dict[str, Array], Array]:
        wood = self.variables.wood_of_piece[piece]
        factors = {name: np.exp(logs[:, self.variables.wood[wood, name]]) for name in strengths}
        return factors, np.exp(-logs[:, self.variables.stiffness])


def _uses(run: GlueRun, mode: tuple[str, str]) -> list[WoodUse]:
    return [use for use in run.wood if (use.piece, WOOD_MODES[use.mode].family) == mode]


def scatter_band(corner: CornerModel, follow: Follow, nominal: GlueRun, *, seed: int = 0) -> Band:
    """The 5 and 95 % ends of the break load. ``nominal`` is the run with all factors 1, its wood judged.

    Two paths are followed for every row of the glue table that the corner uses. The same seed and inputs give
    the same digits. Raises what ``follow`` raises.
    """
    surface, logs = break_surface(corner, follow, nominal, seed)
    return band_of(surface, logs, seed)


def band_of(surface: BreakSurface, logs: Array, seed: int) -> Band:
    """The ends from a surface and the logarithms (DRAWS, k) of its factors, drawn with ``seed``."""
    loads, wood_first, at_first_crack = surface.least(logs)
    low, median, high = (float(value) for value in np.quantile(loads, (ENDS[0], 0.5, ENDS[1])))
    important = _what_matters(surface, logs[:FEWER_DRAWS])
    names = tuple(surface.variables.names[i] for i in important)
    share, solves = float(wood_first.mean()), len(surface.runs) - 1
    note = _note(surface.variables, important, share, solves)
    return Band(low, high, seed, names, solves, share, note, median, float(at_first_crack.mean()))


def break_surface(
    corner: CornerModel, follow: Follow, nominal: GlueRun, seed: int
) -> tuple[BreakSurface, Array]:
    """The surface of a corner and the logarithms (DRAWS, k) of its factors. Raises what ``follow`` raises."""
    variables = variables_of(corner)
    logs = variables.factors.log_draws(DRAWS, seed)
    design = star_design(_covariance(variables))
    modes = _modes_that_may_lead(variables, design, nominal, logs)
    rows = (*variables.rows, *variables.splits)

    def followed(node: Array) -> GlueRun:
        factors = {row: float(np.exp(value)) for row, value in zip(rows, node, strict=True)}
        return follow(factors, bool(modes))

    runs = (nominal, *shared_out(followed, list(design.nodes[1:])))
    return BreakSurface(variables, design, runs, modes), logs


def _covariance(variables: Variables) -> Array:
    """Covariance of the logarithms that the surface sees: glue rows and splits over stiffness."""
    rows = variables.followed
    deviation = log_deviation(variables.factors.cov)
    own = variables.factors.correlation[np.ix_(rows, rows)] * np.outer(deviation[rows], deviation[rows])
    return np.asarray(own + deviation[variables.stiffness] ** 2)


def _modes_that_may_lead(
    variables: Variables, design: StarDesign, nominal: GlueRun, logs: Array
) -> tuple[tuple[str, str], ...]:
    """Families of modes whose load comes near that of the glue in more than a few draws.

    The glue's load grows no faster than the largest of its factors and the stiffness: more glue of one row,
    or stiffer wood, cannot help by more than all of both together.
    """
    alone = BreakSurface(variables, StarDesign(design.axes[:, :0], design.nodes[:1]), (nominal,), ())
    place = variables.stiffness
    growth = np.exp(logs[:, [*variables.followed, place]].max(axis=1) - logs[:, place])
    modes = []
    for mode in dict.fromkeys((use.piece, WOOD_MODES[use.mode].family) for use in nominal.wood):
        drawn_on = {strength for use in _uses(nominal, mode) for strength in use.parts}
        strengths = alone._strengths(logs, mode[0], drawn_on)
        for act in alone._judged_acts():
            _, load = wood_in_act(nominal, act, _uses(nominal, mode), *strengths)
            if mode not in modes and (load < _MARGIN * growth).mean() > _FEW:
                modes.append(mode)
    return tuple(modes)


def _what_matters(surface: BreakSurface, logs: Array) -> list[int]:
    """Variables without whose scatter an end of the band would lie elsewhere, the most important first."""
    wood = surface.wood_in_acts(logs)
    before = np.quantile(surface.least(logs, wood)[0], ENDS)
    moved = {}
    for index in surface.used_variables():
        held = logs.copy()
        held[:, index] = -0.5 * log_deviation(surface.variables.factors.cov[index]) ** 2
        ends = np.quantile(surface.least(held, surface.wood_in_acts_but_for(held, wood, index))[0], ENDS)
        moved[index] = float(np.abs(ends / before - 1.0).max())
    return sorted((i for i, by in moved.items() if by > MATTERS), key=lambda i: -moved[i])


def _note(variables: Variables, important: Sequence[int], wood_first: float, solves: int) -> str:
    named = [f"{variables.names[i]} ({100 * variables.factors.cov[i]:.0f} %)" for i in important]
    listed = ", ".join(named) if named else "nothing"
    others = "" if len(important) == len(variables.names) else "; the rest moves neither end by over 1 %"
    return (
        f"What matters, with its scatter: {listed}{others}. Wood gives first in "
        f"{share_words(wood_first)} of the corners drawn. Each scatters about its mean (lognormal); the "
        "strength and toughness of a bond move together, as do bonds of one row of the glue table, those of "
        f"different rows half together. {solves} more calculations."
    )


def share_words(share: float) -> str:
    """A share of the draws to a tenth of a percent, told apart from none and from all."""
    if share <= 0.0:
        return "none"
    if share >= 1.0:
        return "all"
    if share < 0.001:
        return "less than 0.1 %"
    return "more than 99.9 %" if share > 0.999 else f"{100 * share:.1f} %"
