"""The break load with each row of the glue table at both ends of what can be believed of it.

A row is one judgement, so all that it holds goes to an end together and the rest stays. Most ends are read
from the surfaces of the scatter; the others, and crossed grain, which does not scatter on its own, are
followed on larger elements, which tell by how much the load changes. What bought fasteners grip by, whose
stiffness is judged too, is followed in full.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar, get_args

import numpy as np
from numpy.typing import NDArray

from glueline.fem.traction_law import growth_share
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.connections import Connection, Hold
from glueline.studies.corner.limit import Limit, in_order
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.files.copies import shared_out
from glueline.studies.predict.answer import JudgedRow
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.path_band import CoarseRuns
from glueline.studies.predict.scatter.band import BreakSurface
from glueline.studies.predict.scatter.glue_rows import row_ranges
from glueline.studies.predict.scatter.peaks import peaks_of, turns_of, valley_of
from glueline.studies.predict.splits import Lines, ends_by_split, followed_through_splits
from glueline.studies.predict.wood_limits import sample_wood

Array = NDArray[np.float64]
Ranges = dict[JudgedRow, tuple[float, float]]
Changed = Mapping[str, Hold]  # what an end changes, by name
ChangedGlue = Mapping[str, Connection]
Ends = TypeVar("Ends", bound=Hold)

ROWS: tuple[JudgedRow, ...] = get_args(JudgedRow)
CROSSED: JudgedRow = "crossed"
GRIPS: tuple[JudgedRow, ...] = ("withdrawal", "fittings")
WEAK, STRONG = 0, 1  # the ends, in their order

BEYOND = 1.25
"""How far out a surface is read, in distances of its outermost runs; at 1.6 it erred by 3.9 %."""

FAR_BELOW = 0.9
"""Share of the load at which glue lets go below which fasteners must stay on larger elements not to count."""

TELLS = 0.02
"""Share of the break load by which an end must lie on the other side of it to be more than an error."""


def elastic_ranges(
    corner: CornerModel, glue: tuple[Limit, ...], wood_load: float, tractions: Mapping[str, Array]
) -> Ranges:
    """Break loads in N by the elastic limits, weak and strong end, by row.

    ``tractions`` (p, 2) in MPa by surface are those for P = 1 N.
    """

    def load(end: ChangedGlue) -> float:
        fixed = [limit for limit in glue if limit.part not in end]
        limits = [*fixed, *(each.elastic_limit(tractions[name]) for name, each in end.items())]
        return min([wood_load, *(limit.load for limit in sorted(limits, key=in_order)[:1])])

    return {row: (load(weak), load(strong)) for row, (weak, strong) in _glue_ends(corner).items()}


def ends_of(corner: CornerModel) -> dict[JudgedRow, tuple[Changed, Changed]]:
    """What the weak and the strong end of every judged row of a corner change; rows as in the glue table,
    then what bought fasteners grip by.
    """
    ends: dict[JudgedRow, tuple[Changed, Changed]] = {**_glue_ends(corner)}
    for row in GRIPS:
        grips = {each.name: each.believed_ends for each in corner.bearings if each.scatter_row == row}
        pairs = {name: pair for name, pair in grips.items() if pair is not None}
        if pairs:
            ends[row] = _both(pairs)
    return ends


def _both(pairs: Mapping[str, tuple[Ends, Ends]]) -> tuple[Mapping[str, Ends], Mapping[str, Ends]]:
    """All weak ones by name, then all strong ones."""
    weak, strong = ({name: pair[end] for name, pair in pairs.items()} for end in (WEAK, STRONG))
    return weak, strong


def _glue_ends(corner: CornerModel) -> dict[JudgedRow, tuple[ChangedGlue, ChangedGlue]]:
    ends: dict[JudgedRow, tuple[ChangedGlue, ChangedGlue]] = {}
    factors = row_ranges(corner)
    for row in ROWS:
        if row in factors:
            own = [each for each in corner.connections if each.scatter_row == row]
            weak, strong = ({each.name: each.scaled(end) for each in own} for end in factors[row])
            ends[row] = weak, strong
    crossed = {each.name: each.crossed_ends for each in corner.connections}
    pairs = {name: pair for name, pair in crossed.items() if pair is not None}
    if pairs:
        ends[CROSSED] = _both(pairs)
    return ends


@dataclass(frozen=True)
class RangeReader:
    """Finds the break load at the ends of a corner that was followed; ``surface`` is that of its scatter.

    ``break_path`` has the split lines that were put in for its scatter alone, ``plain`` is that without them.
    """

    runs: CoarseRuns
    break_path: BreakPath
    surface: BreakSurface
    plain: BreakPath
    reuse: Reuse = field(default_factory=Reuse)

    def ranges(self) -> Ranges:
        """Break loads in N, weak and strong end, by row. Raises ComputationError.

        An end that can change nothing is the break load itself, and so is one that comes out a hair on the
        wrong side of it.
        """
        rows = list(ends_of(self.break_path.corner))
        # Strong ends first: of what is followed in full they take the longest.
        asked = [(row, end) for end in (STRONG, WEAK) for row in rows]
        loads = dict(zip(asked, shared_out(lambda each: self._load(*each), asked), strict=True))
        return {row: (loads[row, WEAK], loads[row, STRONG]) for row in rows}

    def _may_change(self, row: JudgedRow, end: int) -> bool:
        # A softer grip gives more before anything is damaged; while there is glue that hardly counts.
        if row in GRIPS and self.break_path.breaks_in != "glue":
            return True
        changed = ends_of(self.break_path.corner)[row][end]
        return (_weak_may_change, _strong_may_change)[end](self.break_path, changed)

    def _load(self, row: JudgedRow, end: int) -> float:
        nominal, sign = self.break_path.break_load, (-1.0, 1.0)[end]
        if not self._may_change(row, end):
            return nominal
        factors = row_ranges(self.break_path.corner).get(row)
        load = None if factors is None else self.read(row, factors[end])
        if end == STRONG and self.break_path.split is not None:
            load = None  # with stronger glue other splits may lead: read or grown, it lay 3 % low
        if load is None or sign * (load / nominal - 1.0) < -TELLS:
            load = self.followed(row, end)
        wrong_side = sign * (load / nominal - 1.0)
        return nominal if -TELLS <= wrong_side < 0.0 else load

    def read(self, row: str, factor: float) -> float | None:
        """The break load in N on the surface with a factor on a row; None where it had better be followed.

        That is beyond its outermost runs, and where another thing gives than with the glue as it is, or
        might: another peak of the glue, or wood.
        """
        surface = self.surface
        logs = np.zeros((2, len(surface.variables.names)))
        rows = surface.variables.rows
        logs[1, rows.index(row)] = np.log(factor)
        along = surface.design.along(logs[1:, surface.variables.followed])
        if np.sqrt(np.square(along).sum()) > BEYOND:
            return None
        _, is_first = surface.glue_loads(logs)
        if is_first[0] != is_first[1] or surface.wood_is_near(logs)[1]:
            return None
        loads, by_wood, _ = surface.least(logs)
        return None if by_wood.any() else float(self.break_path.break_load * loads[1] / loads[0])

    def followed(self, row: JudgedRow, end: int) -> float:
        """The break load in N of an end, followed on larger elements. Raises ComputationError.

        Where wood splits, with the glue as it is or then, it is followed in full, split and all; so is what
        fasteners grip by where they may be what breaks, of which the longer steps of the others lay 4 % off.
        """
        coarse = self.runs.coarse
        is_grip = row in GRIPS
        if self.break_path.split is not None or (is_grip and self.break_path.breaks_in != "glue"):
            return self._in_full(row, end)
        changed = ends_of(coarse.corner)[row][end]
        laws = coarse.laws([changed.get(each.name, each) for each in coarse.corner.holds])
        whole = end == STRONG and self._hides_a_split(row)
        path = coarse.changed(laws, _growth(coarse.corner, changed) if whole else np.inf, whole)
        if is_grip and max(peaks_of(path.load)[1:], default=0.0) > FAR_BELOW * peaks_of(path.load)[0]:
            return self._in_full(row, end)
        glue = self.break_path.held_load * coarse.growth(path)
        if not self.surface.modes:
            return glue
        load, by_wood = self.surface.of_run(self.runs.run(path, laws, True))
        if not by_wood:
            return glue
        if ends_by_split(self.runs.judged(path, laws)):
            return self._in_full(row, end)
        before, wood_before = self.surface.of_run(self.runs.nominal)
        return load * self.break_path.break_load / before if wood_before else load

    def _hides_a_split(self, row: JudgedRow) -> bool:
        """Whether wood may split at an earlier peak that the stronger glue of a row lifts.

        Paths beside the known one leave it out, because as the glue is dead weight passes it.
        """
        path, most = self.plain.path, self.plain.split_share
        valley = valley_of(path.load)
        if most is None or valley is None or valley > path.highest or len(turns_of(path)) > 1:
            return False
        early, strong = int(path.load[:valley].argmax()), ends_of(self.plain.corner)[row][STRONG]
        lifts = any(path.damage[name][early].max() > 0 for name in strong)
        is_early = most.load <= path.load[early]
        return lifts and is_early and most.share * _growth(self.plain.corner, strong) >= 1.0

    def _in_full(self, row: JudgedRow, end: int) -> float:
        corner = self.break_path.corner
        plain = corner
        if corner.split_places:
            plain = build_corner(corner.specimen, corner.mesh.element_size, self.reuse)
        crushing = self.runs.coarse.crushing
        known = self.break_path if row in GRIPS else None
        return end_in_full(plain, row, end, self.runs.criterion, crushing, self.reuse, known).break_load


def end_in_full(
    plain: CornerModel,
    row: JudgedRow,
    end: int,
    criterion: str = DEFAULT_CRITERION,
    crushing: bool = True,
    reuse: Reuse | None = None,
    known: BreakPath | None = None,
) -> BreakPath:
    """A corner without split lines with a row at an end (WEAK, STRONG), followed with the splits it comes to.

    Its path is found beside a ``known`` one of the like. Raises ComputationError.
    """

    def built(corner: CornerModel, lines: Lines, reuse: Reuse | None) -> CornerModel:
        made = corner
        if lines:
            made = build_corner(corner.specimen, corner.mesh.element_size, reuse, "split corner", lines)
        if row in GRIPS:
            grips = ends_of(made)[row][end]
            return replace(made, bearings=tuple(grips.get(each.name, each) for each in made.bearings))
        changed = _glue_ends(made)[row][end]
        return replace(made, connections=tuple(changed.get(each.name, each) for each in made.connections))

    corner = built(plain, (), reuse)
    whole = CornerFollower(corner, reuse).broken(sample_wood(corner, reuse), criterion, crushing, known=known)
    return followed_through_splits(whole, criterion, crushing, reuse, built)


def _weak_may_change(break_path: BreakPath, weak: Changed) -> bool:
    """Whether the weaker ones would have been damaged anywhere up to the highest load."""
    u = break_path.path.displacements(round(break_path.drops[-1].peak))
    return any(
        growth_share(each.law(), each.surface.jumps(u), np.zeros(len(each.surface.weight))).max() > 1.0
        for each in weak.values()
    )


def _strong_may_change(break_path: BreakPath, strong: Changed) -> bool:
    """Whether the stronger ones would lift the highest load, or what the path holds after it above that.

    No load grows by more than the largest growth of strength and toughness.
    """
    path, state = break_path.path, round(break_path.drops[-1].peak)
    if any(path.damage[name][state].max() > 0 for name in strong):
        return True
    growth = _growth(break_path.corner, strong)
    later = path.load[state:]
    valley = int(np.argmax(later < 0.95 * later[0]))
    return bool(valley and growth * later[valley:].max() > break_path.held_load)


def _growth(corner: CornerModel, strong: Changed) -> float:
    """The largest growth of strength and toughness from the bonds of a corner to stronger ones."""
    return max(1.0, *(_named(corner, name).growth_to(each) for name, each in strong.items()))


def _named(corner: CornerModel, name: str) -> Hold:
    return next(each for each in corner.holds if each.name == name)
