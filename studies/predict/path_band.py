"""The scatter of a corner that was followed: its runs, from paths with scaled bonds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from glueline.fem.follower import Watch
from glueline.fem.guide import FALLEN, early_peak, hump_after, past_early
from glueline.fem.model import Array
from glueline.fem.path import PathResult
from glueline.fem.path_control import PathControl
from glueline.fem.traction_law import TractionLaw
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.connections import Grip, Hold, laws_of
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import AnyGuide, CornerFollower
from glueline.studies.predict.dead_weight import drops
from glueline.studies.predict.scatter.glue_rows import scaled_holds
from glueline.studies.predict.scatter.mesh_difference import Differences, differences, in_terms_of
from glueline.studies.predict.scatter.peaks import (
    climb_of,
    counted,
    grown_peaks,
    peaks_of,
    turns_of,
    valley_of,
)
from glueline.studies.predict.scatter.wood_load import GlueRun, glue_run
from glueline.studies.predict.wood_limits import WoodSample, sample_wood
from glueline.studies.predict.wood_on_path import judge_path, wood_at_states

COARSER = 1.7
LOOKS = 12  # states between turns of the load at which wood is judged, at most
LEAST, APART = 0.4, 0.02  # share of the highest load from which it is judged, and by which loads differ then


@dataclass(frozen=True)
class CoarseFollower:
    """The same corner with larger elements and longer steps: it tells by how much loads change.

    ``follower`` follows it; ``nominal`` is its path with the bonds as they are, which stands for that of the
    corner itself. ``crushing`` tells whether faces crush on it and all others.
    """

    follower: CornerFollower
    nominal: PathResult
    crushing: bool
    progress: Callable[[str], None]
    guide: AnyGuide | None

    @property
    def corner(self) -> CornerModel:
        """The model with larger elements."""
        return self.follower.corner

    def laws(self, connections: Sequence[Hold]) -> dict[str, TractionLaw]:
        """The laws of connections of this corner, with other bonds perhaps."""
        return laws_of(connections, self.crushing)

    def changed(
        self, laws: Mapping[str, TractionLaw], growth: float = np.inf, whole: bool = False
    ) -> PathResult:
        """The path with other laws, whose strengths and toughnesses grow so far at most.

        It is found beside the nominal one, or followed as a ``whole`` to a little past the peak that takes
        the place of that one's. Raises ComputationError.
        """
        self.progress("following it with other glue")
        guide = None if whole or self.guide is None else self.guide.grown(growth)
        control = self._past_the_peak(growth) if whole else COARSE_CONTROL
        return counted(self.follower.follow(laws, control, guide))

    def _past_the_peak(self, growth: float) -> PathControl:
        """How a path is followed that is to end past its peak, unless a later one might come out higher.

        The load must first come to more than the nominal one's, and than an early peak of that can grow to.
        """
        known = self.nominal
        if hump_after(known.load, known.highest) is not None:
            return COARSE_CONTROL
        past = max(float(known.load.max()), past_early(early_peak(known, known.highest), growth))
        return replace(COARSE_CONTROL, known_peak=past, stop_past_known=FALLEN)

    def growth(self, path: PathResult) -> float:
        """The load under dead weight of a changed path over that with the bonds as they are."""
        return weight_carried(path) / weight_carried(self.nominal)


def weight_carried(path: PathResult) -> float:
    """The highest dead weight in N that a followed corner carries, as far as its glue goes."""
    return drops(path.load, path.displacement, path.stored + path.spent)[-1].load


COARSE_CONTROL = PathControl(audit=0.02, residual=1e-6)


def coarse_follower(
    corner: CornerModel,
    progress: Callable[[str], None] = lambda _: None,
    reuse: Reuse | None = None,
    crushing: bool = True,
    watch: Watch | None = None,
    known: PathResult | None = None,
) -> CoarseFollower:
    """Larger elements for a corner, as far as its depth allows; ``watch`` is told of its paths.

    Its nominal path is found beside that of the corner itself, if this is ``known``. Raises ComputationError.
    """
    depth = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    size = min(COARSER * corner.mesh.element_size, depth / 4)
    larger = corner
    if size > 1.2 * corner.mesh.element_size:
        larger = build_corner(corner.specimen, size, reuse, "coarse corner", corner.split_places)
    follower = CornerFollower(larger, reuse, watch=watch)
    laws = laws_of(larger.holds, crushing)
    guide = None if known is None else follower.guide(laws, known, corner.surfaces)
    nominal = counted(follower.follow(laws, COARSE_CONTROL, guide))
    return CoarseFollower(follower, nominal, crushing, progress, follower.guide_along(nominal))


def coarse_runs(
    coarse: CoarseFollower,
    break_path: BreakPath,
    samples: tuple[WoodSample, ...],
    criterion: str = DEFAULT_CRITERION,
) -> CoarseRuns:
    """Runs of a corner of which ``break_path`` is the nominal one; ``samples`` are where wood is judged."""
    nominal = run_of_path(break_path.corner, break_path.path, break_path.laws, samples, criterion)
    return CoarseRuns(coarse, nominal, criterion)


@dataclass(frozen=True)
class CoarseRuns:
    """Runs with other glue, followed on ``coarse`` and told in terms of the corner's own ``nominal`` run.

    What they tell is by how much loads and shares of strength change.
    """

    coarse: CoarseFollower
    nominal: GlueRun
    criterion: str = DEFAULT_CRITERION

    def scaled(self, row_factors: dict[str, float], judge_wood: bool) -> GlueRun:
        """The run with its bonds scaled row by row. Raises ComputationError."""
        laws = self.coarse.laws(scaled_holds(self.coarse.corner, row_factors))
        factors = [row_factors.get(row, 1.0) for row in _rows_that_hold(self.coarse.corner)]
        growth = max(factors, default=1.0)
        return self.run(self.coarse.changed(laws, growth), laws, judge_wood)

    def run(self, path: PathResult, laws: Mapping[str, TractionLaw], judge_wood: bool) -> GlueRun:
        """The run of a path that was followed with these laws; without ``judge_wood`` it has none."""
        peaks = grown_peaks(self.nominal.peaks, peaks_of(self.coarse.nominal.load), peaks_of(path.load))
        if not judge_wood:
            return GlueRun(peaks, np.array([0.0, max(peaks)]), climb=climb_of(path))
        run = run_of_path(self.coarse.corner, path, laws, self._samples, self.criterion, self._one_peak)
        return in_terms_of(run, peaks, self._differs, self.nominal.peaks)

    def judged(self, path: PathResult, laws: Mapping[str, TractionLaw]) -> BreakPath:
        """A path that was followed with these laws, its wood judged, on the larger elements as they are."""
        return judge_path(self.coarse.corner, path, laws, self._samples, self.criterion)

    @property
    def _one_peak(self) -> bool:
        return len(self.nominal.peaks) == 1

    @cached_property
    def _samples(self) -> tuple[WoodSample, ...]:
        return sample_wood(self.coarse.corner)

    @cached_property
    def _differs(self) -> Differences:
        corner, path = self.coarse.corner, self.coarse.nominal
        laws = self.coarse.laws(corner.holds)
        own = run_of_path(corner, path, laws, self._samples, self.criterion, self._one_peak)
        return differences(self.nominal, own)


def _rows_that_hold(corner: CornerModel) -> list[str]:
    """The rows by which all scatters that softens; what bears and bends only is left out, as crushing is."""
    gripping = (each for each in corner.bearings if isinstance(each, Grip))
    return [each.scatter_row for each in (*corner.glued, *corner.splits, *gripping)]


def run_of_path(
    corner: CornerModel,
    path: PathResult,
    laws: Mapping[str, TractionLaw],
    samples: tuple[WoodSample, ...],
    criterion: str = DEFAULT_CRITERION,
    one_peak: bool | None = None,
) -> GlueRun:
    """The run of a path; wood is judged from first damage to the highest load, on the way to every peak.

    With ``one_peak`` the highest counts alone; without an answer to that the path itself tells.
    """
    path = counted(path)
    if one_peak is None:
        one_peak = len(turns_of(path)) == 1
    valley = None if one_peak else valley_of(path.load)
    if valley is not None and valley > path.highest:
        valley = None
    looks = looks_along(path, valley)
    limits = wood_at_states(corner, path, laws, samples, looks, criterion)
    turn = None if valley is None else looks.index(valley)
    loads = [float(path.load[state]) for state in looks]
    peaks = (float(path.load.max()),) if one_peak else peaks_of(path.load)
    return glue_run(peaks, loads, limits, turn, None if one_peak else climb_of(path))


def looks_along(path: PathResult, valley: int | None) -> list[int]:
    """States at which wood is judged: evenly between first damage, peaks, the valley and the highest load.

    Where the load only rises they are fewer: what wood uses grows in proportion to it at first, and hardly
    differs where it does not.
    """
    turns = {path.first_damage, path.highest}
    if valley is not None:
        turns |= {int(path.load[:valley].argmax()), valley}
    looks = set(turns)
    for start, end in pairwise(sorted(turns)):
        looks |= {int(state) for state in np.linspace(start, end, LOOKS).round()}
    rise = path.load[path.first_damage : path.highest + 1]
    only_rises = (np.diff(rise) > 0).all() and not path.goes_on
    return _thinned(sorted(looks), path.load) if only_rises else sorted(looks)


def _thinned(looks: list[int], load: Array) -> list[int]:
    """Looks on a rise to the last of them, without those far below it and those at next to the same load."""
    top = float(load[looks[-1]])
    kept = [looks[-1]]
    for look in reversed(looks[:-1]):
        if load[look] >= LEAST * top and load[kept[-1]] - load[look] >= APART * top:
            kept.append(look)
    return kept[::-1]
