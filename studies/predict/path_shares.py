"""What each glued surface carries of the corner moment at every state of a path."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.measures import moments_on_a

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


def path_shares(break_path: BreakPath) -> PathShares:
    """Moments and shares along the whole path, from the tractions of the damaged glue."""
    path = break_path.path
    states = [
        moments_on_a(break_path.corner, break_path.tractions(state)) for state in range(1, len(path.load))
    ]
    moment = {name: np.array([0.0, *(each[name] for each in states)]) for name in states[0]}
    total = np.sum(list(moment.values()), axis=0)
    share = {}
    for name, values in moment.items():
        share[name] = np.divide(values, total, out=np.zeros_like(values), where=total != 0)
        share[name][0] = share[name][path.first_damage]
    return PathShares(moment, total, share)
