"""What each glued surface carries of the corner moment at every state of a path."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.measures import moments_on_a, pressure_centroid

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PathShares:
    """Moments (s,) in N mm on board A, anticlockwise, by surface, at every state about a place of its own.

    ``about`` (s, 2) in mm is the centroid of pressure on board A at that state, the corner rectangle's
    centre where nothing presses. ``total`` (s,) is the sum of the moments: by statics that of the forces on
    board A's outside about the same place. ``share`` (s,) by surface is the part of it; a surface that works
    against the others has a negative one. The unloaded state has place and shares of first damage, up to
    which everything is linear.
    """

    about: Array
    moment: dict[str, Array]
    total: Array
    share: dict[str, Array]


def path_shares(break_path: BreakPath) -> PathShares:
    """Moments and shares along the whole path, from the tractions of the damaged glue."""
    path, corner = break_path.path, break_path.corner
    tractions = [break_path.tractions(state) for state in range(1, len(path.load))]
    places = [pressure_centroid(corner, each) for each in tractions]
    states = [moments_on_a(corner, each, place) for each, place in zip(tractions, places, strict=True)]
    about = np.stack([places[path.first_damage - 1], *places])
    moment = {name: np.array([0.0, *(each[name] for each in states)]) for name in states[0]}
    total = np.sum(list(moment.values()), axis=0)
    share = {}
    for name, values in moment.items():
        share[name] = np.divide(values, total, out=np.zeros_like(values), where=total != 0)
        share[name][0] = share[name][path.first_damage]
    return PathShares(about, moment, total, share)
