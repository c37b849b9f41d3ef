"""The glue load at both ends of what can be believed of shear across crossed grain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from glueline.fem.traction_law import growth_share
from glueline.materials import CheekBond
from glueline.studies.corner.bond_laws import law_of, laws_of
from glueline.studies.corner.glue_limits import Limit, cheek_limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.path_band import CoarseFollower

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


def crossed_range(coarse: CoarseFollower, found: BreakPath) -> tuple[float, float] | None:
    """Highest load in N of the glue followed with either end of the credible range; None without cheeks.

    ``coarse`` tells by how much the load changes. An end that can change nothing is not followed.
    """
    corner = coarse.corner
    cheeks = {name: bond for name, bond in corner.bonds.items() if isinstance(bond, CheekBond)}
    if not cheeks:
        return None
    ends = []
    for choice, may_change in (("low_sides", _weak_may_change), ("high_sides", _strong_may_change)):
        sides = {name: replace(bond, sides=getattr(bond, choice)) for name, bond in cheeks.items()}
        if not may_change(found, sides):
            ends.append(found.glue_load)
            continue
        growth = coarse.growth(laws_of(corner, {**corner.bonds, **sides}))
        ends.append(found.glue_load * growth)
    return ends[0], ends[1]


def _weak_may_change(found: BreakPath, cheeks: Mapping[str, CheekBond]) -> bool:
    """Whether weaker cheeks would have been damaged anywhere up to the highest load."""
    corner, path = found.corner, found.path
    u = path.displacements(path.highest)
    for surface in corner.surfaces:
        if surface.name not in cheeks:
            continue
        law = law_of(corner, surface, cheeks[surface.name])
        if growth_share(law, surface.jumps(u), np.zeros(len(surface.weight))).max() > 1.0:
            return True
    return False


def _strong_may_change(found: BreakPath, cheeks: Mapping[str, CheekBond]) -> bool:
    """Whether stronger cheeks would lift the highest load, or what the path holds after it above that.

    No load grows by more than the largest growth of strength and toughness.
    """
    corner, path = found.corner, found.path
    if any(path.damage[name][path.highest].max() > 0 for name in cheeks):
        return True
    growth = 1.0
    for name, strong in cheeks.items():
        bond = corner.bonds[name]
        assert isinstance(bond, CheekBond)
        for before, after in zip(bond.sides, strong.sides, strict=True):
            growth = max(
                growth,
                after.rolling_strength / before.rolling_strength,
                after.rolling_toughness / before.rolling_toughness,
            )
    later = path.load[path.highest :]
    valley = int(np.argmax(later < 0.95 * later[0]))
    return bool(valley and growth * later[valley:].max() > found.glue_load)
