"""The glue load at both ends of what can be believed of what holds a corner: shear across crossed grain."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from glueline.fem.traction_law import growth_share
from glueline.studies.corner.connections import Connection, laws_of
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.path_band import CoarseFollower

Array = NDArray[np.float64]


def glue_load_range(corner: CornerModel, glue: tuple[Limit, ...], u: Array) -> tuple[float, float] | None:
    """Glue load in N by the elastic limits, with what has a credible range at either end of it.

    None where nothing has one; ``u`` for P = 1 N.
    """
    ranged = _ends(corner)
    if ranged is None:
        return None
    names = {each.name for each in ranged[0]}
    fixed = [limit.load for limit in glue if limit.part not in names]
    weak, strong = (min([*fixed, *(each.elastic_limit(u).load for each in end)]) for end in ranged)
    return weak, strong


def crossed_range(coarse: CoarseFollower, break_path: BreakPath) -> tuple[float, float] | None:
    """Highest load in N of the glue followed with either end of the credible range; None where there is none.

    ``coarse`` tells by how much the load changes. An end that can change nothing is not followed.
    """
    ranged, own = _ends(break_path.corner), _ends(coarse.corner)
    if ranged is None or own is None:
        return None
    loads = []
    for end, coarse_end, may_change in zip(ranged, own, (_weak_may_change, _strong_may_change), strict=True):
        load = break_path.glue_load
        if may_change(break_path, end):
            changed = {each.name: each for each in coarse_end}
            load *= coarse.growth(laws_of([changed.get(each.name, each) for each in coarse.corner.holds]))
        loads.append(load)
    return loads[0], loads[1]


def _ends(corner: CornerModel) -> tuple[list[Connection], list[Connection]] | None:
    """What has a credible range, all as weak and all as strong as can be believed; None where nothing has."""
    ends = [ends for each in corner.connections if (ends := each.credible_ends) is not None]
    return ([weak for weak, _ in ends], [strong for _, strong in ends]) if ends else None


def _weak_may_change(break_path: BreakPath, weak: Sequence[Connection]) -> bool:
    """Whether the weaker ones would have been damaged anywhere up to the highest load."""
    u = break_path.path.displacements(round(break_path.drops[-1].peak))
    return any(
        growth_share(each.law(), each.surface.jumps(u), np.zeros(len(each.surface.weight))).max() > 1.0
        for each in weak
    )


def _strong_may_change(break_path: BreakPath, strong: Sequence[Connection]) -> bool:
    """Whether the stronger ones would lift the highest load, or what the path holds after it above that.

    No load grows by more than the largest growth of strength and toughness.
    """
    path, state = break_path.path, round(break_path.drops[-1].peak)
    if any(path.damage[each.name][state].max() > 0 for each in strong):
        return True
    growth = max(1.0, *(break_path.corner.connection(each.name).growth_to(each) for each in strong))
    later = path.load[state:]
    valley = int(np.argmax(later < 0.95 * later[0]))
    return bool(valley and growth * later[valley:].max() > break_path.glue_load)
