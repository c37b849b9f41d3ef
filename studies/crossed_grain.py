"""The glue load at both ends of what can be believed of shear across crossed grain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from materials import Bond, CheekBond
from studies.break_path import BreakPath, CornerFollower, laws_of
from studies.corner_model import CornerModel
from studies.glue_limits import Limit, cheek_limit

Array = NDArray[np.float64]


def glue_load_range(corner: CornerModel, glue: tuple[Limit, ...], u: Array) -> tuple[float, float] | None:
    """Glue load in N with the strength across crossed grain at either end of its credible range."""
    bonds = {name: bond for name, bond in corner.bonds.items() if isinstance(bond, CheekBond)}
    if not bonds:
        return None
    fixed = [limit.load for limit in glue if limit.part not in bonds]
    ends = []
    for choice in ("low_sides", "high_sides"):
        cheeks = [
            cheek_limit(corner, surface, bonds[surface.name], getattr(bonds[surface.name], choice), u).load
            for surface in corner.surfaces
            if surface.name in bonds
        ]
        ends.append(min([*fixed, *cheeks]))
    return ends[0], ends[1]


def crossed_range(follower: CornerFollower, found: BreakPath) -> tuple[float, float] | None:
    """Highest load in N of the glue followed with either end of the credible range; None without cheeks."""
    corner = follower.corner
    if not any(isinstance(bond, CheekBond) for bond in corner.bonds.values()):
        return None
    ends = []
    for choice in ("low_sides", "high_sides"):
        bonds: Mapping[str, Bond | CheekBond] = {
            name: replace(bond, sides=getattr(bond, choice)) if isinstance(bond, CheekBond) else bond
            for name, bond in corner.bonds.items()
        }
        path = follower.follow(laws_of(corner, bonds))
        ends.append(float(path.load[path.highest]))
    return ends[0], ends[1]
