"""The 5 and 95 % ends of the break load: a few paths, a surface for glue and for each mode of wood, draws.

Glue and every mode of wood have a surface of their own and the least of them is taken draw by draw: the least
itself has kinks that no smooth surface follows.

Stiffness needs no path. Where bodies are linear and strengths r and toughnesses r of the glue scale together,
dimensions alone give for all stiffnesses (wood and film) times c

    glue load (r, c) = c glue load (r / c, 1),   wood load (x, r, c) = c wood load (x / c, r / c, 1),

because stresses, strengths and toughnesses times c leave every jump as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from studies.corner_model import CornerModel
from studies.scatter.lognormal import log_deviation
from studies.scatter.peaks import peaks_over_nodes
from studies.scatter.surface import StarDesign, star_design
from studies.scatter.variables import Variables, variables_of
from studies.scatter.wood_load import FAMILIES, GlueRun, WoodUse, load_of_wood

Array = NDArray[np.float64]

DRAWS = 1 << 13
FEWER_DRAWS = 1 << 12  # enough to tell which variables matter
ENDS = (0.05, 0.95)
MATTERS = 0.01
"""Share of an end of the band that a variable must move to be named among those that matter."""

# Wood that would need so many times its load of the nominal path to lead in any draw is left out.
_MARGIN = 1.5


class Follow(Protocol):
    """Follows a corner with the bonds of each row of the glue table times a factor (``scaled_bonds``)."""

    def __call__(self, row_factors: dict[str, float], judge_wood: bool) -> GlueRun:
        """The run; without ``judge_wood`` its ``wood`` may be empty. Raises ComputationError."""
        ...


@dataclass(frozen=True)
class Band:
    """Ends of the break load in N: ``low`` is undercut by 5 % of corners made alike, ``high`` by 95 %.

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


@dataclass(frozen=True)
class BreakSurface:
    """Glue and wood loads of a corner for any factors, from ``runs`` at the nodes of ``design``."""

    variables: Variables
    design: StarDesign
    runs: tuple[GlueRun, ...]
    modes: tuple[tuple[str, str], ...]

    def glue_load(self, logs: Array) -> Array:
        """Highest load of the glue in N (n,) for logarithms (n, k) of the factors."""
        weights, stiffness = self._weights(logs)
        peaks = peaks_over_nodes([run.peaks for run in self.runs])
        return np.asarray(np.exp((weights @ peaks.T).max(axis=1) + stiffness))

    def wood_load(self, logs: Array, mode: tuple[str, str]) -> Array:
        """Load in N (n,) at which a (piece, family of modes) is met; above the glue's it tells how far."""
        weights, stiffness = self._weights(logs)
        loads = [
            load_of_wood(run.loads, _uses(run, mode), *self._strengths(logs, mode[0])) for run in self.runs
        ]
        return np.asarray(np.exp((weights * np.log(np.stack(loads, axis=1))).sum(axis=1) + stiffness))

    def least(self, logs: Array) -> tuple[Array, Array]:
        """Break load in N (n,), and whether wood gives first (n,)."""
        glue = self.glue_load(logs)
        wood = [self.wood_load(logs, mode) for mode in self.modes]
        least = np.min([glue, *wood], axis=0)
        return least, least < glue

    def used_variables(self) -> list[int]:
        """Places of what the loads depend on: glue, stiffness, and strengths of wood that may lead."""
        strengths = {
            (self.variables.wood_of_piece[use.piece], strength)
            for mode in self.modes
            for use in _uses(self.runs[0], mode)
            for strength in use.parts
        }
        return [*range(self.variables.stiffness + 1), *sorted(self.variables.wood[key] for key in strengths)]

    def _weights(self, logs: Array) -> tuple[Array, Array]:
        place = self.variables.stiffness
        stiffness = logs[:, place]
        return self.design.weights(logs[:, :place] - stiffness[:, None]), stiffness

    def _strengths(self, logs: Array, piece: str) -> tuple[dict[str, Array], Array]:
        wood = self.variables.wood_of_piece[piece]
        factors = {
            strength: np.exp(logs[:, place])
            for (name, strength), place in self.variables.wood.items()
            if name == wood
        }
        return factors, np.exp(-logs[:, self.variables.stiffness])


def _uses(run: GlueRun, mode: tuple[str, str]) -> list[WoodUse]:
    return [use for use in run.wood if (use.piece, FAMILIES[use.mode]) == mode]


def scatter_band(corner: CornerModel, follow: Follow, nominal: GlueRun, *, seed: int = 0) -> Band:
    """The 5 and 95 % ends of the break load. ``nominal`` is the run with all factors 1, its wood judged.

    Two paths are followed for every row of the glue table that the corner uses. The same seed and inputs give
    the same digits. Raises what ``follow`` raises.
    """
    surface, logs = break_surface(corner, follow, nominal, seed)
    loads, wood_first = surface.least(logs)
    low, high = (float(value) for value in np.quantile(loads, ENDS))
    found = _what_matters(surface, logs[:FEWER_DRAWS])
    names = tuple(surface.variables.names[i] for i in found)
    share, solves = float(wood_first.mean()), len(surface.runs) - 1
    note = _note(surface.variables, found, share, solves)
    return Band(low, high, seed, names, solves, share, note)


def break_surface(
    corner: CornerModel, follow: Follow, nominal: GlueRun, seed: int
) -> tuple[BreakSurface, Array]:
    """The surface of a corner and the logarithms (DRAWS, k) of its factors. Raises what ``follow`` raises."""
    variables = variables_of(corner)
    logs = variables.factors.log_draws(DRAWS, seed)
    design = star_design(_covariance(variables))
    modes = _modes_that_may_lead(variables, design, nominal, logs)
    runs = [nominal]
    for node in design.nodes[1:]:
        factors = {row: float(np.exp(value)) for row, value in zip(variables.rows, node, strict=True)}
        runs.append(follow(factors, bool(modes)))
    return BreakSurface(variables, design, tuple(runs), modes), logs


def _covariance(variables: Variables) -> Array:
    """Covariance of the logarithms that the surface sees: glue rows over stiffness."""
    rows = len(variables.rows)
    deviation = log_deviation(variables.factors.cov)
    glue = variables.factors.correlation[:rows, :rows] * np.outer(deviation[:rows], deviation[:rows])
    return np.asarray(glue + deviation[variables.stiffness] ** 2)


def _modes_that_may_lead(
    variables: Variables, design: StarDesign, nominal: GlueRun, logs: Array
) -> tuple[tuple[str, str], ...]:
    """Families of modes whose load comes near that of the glue in any draw.

    The glue's load grows no faster than the largest of its factors and the stiffness: more glue of one row,
    or stiffer wood, cannot help by more than all of both together.
    """
    alone = StarDesign(design.axes[:, :0], design.nodes[:1])
    place = variables.stiffness
    glue = nominal.peak_load * np.exp(logs[:, : place + 1].max(axis=1))
    found = []
    for mode in dict.fromkeys((use.piece, FAMILIES[use.mode]) for use in nominal.wood):
        surface = BreakSurface(variables, alone, (nominal,), (mode,))
        if (surface.wood_load(logs, mode) < _MARGIN * glue).any():
            found.append(mode)
    return tuple(found)


def _what_matters(surface: BreakSurface, logs: Array) -> list[int]:
    """Variables without whose scatter an end of the band would lie elsewhere, the most important first."""
    before = np.quantile(surface.least(logs)[0], ENDS)
    moved = {}
    for index in surface.used_variables():
        held = logs.copy()
        held[:, index] = -0.5 * log_deviation(surface.variables.factors.cov[index]) ** 2
        ends = np.quantile(surface.least(held)[0], ENDS)
        moved[index] = float(np.abs(ends / before - 1.0).max())
    return sorted((i for i, by in moved.items() if by > MATTERS), key=lambda i: -moved[i])


def _note(variables: Variables, found: Sequence[int], wood_first: float, solves: int) -> str:
    named = [f"{variables.names[i]} ({100 * variables.factors.cov[i]:.0f} %)" for i in found]
    listed = ", ".join(named) if named else "nothing"
    others = "" if len(found) == len(variables.names) else "; the rest moves neither end by over 1 %"
    return (
        f"What matters (coefficient of variation): {listed}{others}. Wood gives first in "
        f"{100 * wood_first:.1f} % of the draws. Lognormal with mean 1; a bond's strength and toughness "
        "scatter as one, lines of one row of the glue table too, different rows are correlated by half. "
        f"{solves} further paths."
    )
