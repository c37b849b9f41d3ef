"""What each glued surface carries of the corner moment at every state of a path."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.geometries import BOARD_A
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PathShares:
    """Moments (s,) in N mm on board A about the corner rectangle's centre, anticlockwise, by surface.

    ``total`` (s,) is their sum: by statics that of the forces at board A's tip. ``share`` (s,) by surface is
    the part of it; a surface that works against the others has a negative one, and the unloaded state has
    the shares of first damage, up to which everything is linear.
    """

    moment: dict[str, Array]
    total: Array
    share: dict[str, Array]


def path_shares(found: BreakPath) -> PathShares:
    """Moments and shares along the whole path, from the tractions of the damaged glue."""
    corner, path = found.corner, found.path
    held = [surface for surface in corner.surfaces if BOARD_A in (surface.minus, surface.plus)]
    moment = {surface.name: np.zeros(len(path.load)) for surface in held}
    for state in range(1, len(path.load)):
        tractions = found.tractions(state)
        for surface in held:
            moment[surface.name][state] = moment_on_a(corner, surface, tractions[surface.name])
    total = np.sum(list(moment.values()), axis=0)
    share = {}
    for name, values in moment.items():
        share[name] = np.divide(values, total, out=np.zeros_like(values), where=total != 0)
        share[name][0] = share[name][path.first_damage]
    return PathShares(moment, total, share)


def moment_on_a(corner: CornerModel, surface: BondedSurface, traction: Array) -> float:
    """Moment in N mm of local ``traction`` (p, 2) on board A about the corner rectangle's centre."""
    arm = surface.points - np.array(corner.layout.boards.corner_centre)
    force = surface.forces_on_minus(traction)
    turning = float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())
    return turning if surface.minus == BOARD_A else -turning
