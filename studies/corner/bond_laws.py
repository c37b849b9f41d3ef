"""From bonds to the traction-separation laws of their surfaces, and what must be said of brittle ones."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.cheek_law import CheekLaw, CheekSideLaw
from glueline.fem.line_law import LineLaw
from glueline.fem.softening import KINK_ENERGY
from glueline.fem.traction_law import TractionLaw
from glueline.materials import Bond, CheekBond
from glueline.studies.corner.glue_limits import cheek_angles
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]

# A bond that stores more energy at its strength than its toughness lets go at once, and all that it stored is
# spent. Its law softens over a twentieth of the way to its strength instead of none.
BRITTLE = 1.05
MIXTURES = 101  # of opening and sliding, over which a bond's energies are compared
DIRECTIONS = 720  # of shear on a cheek, over half a turn


def laws_of(
    corner: CornerModel, bonds: Mapping[str, Bond | CheekBond] | None = None, crushing: bool = False
) -> dict[str, TractionLaw]:
    """The law of every surface; ``bonds`` in place of its own, ``crushing`` where faces may crush."""
    bonds = corner.bonds if bonds is None else bonds
    return {
        surface.name: law_of(corner, surface, bonds[surface.name], crushing) for surface in corner.surfaces
    }


def law_of(
    corner: CornerModel,
    surface: BondedSurface,
    bond: Bond | CheekBond | None = None,
    crushing: bool = False,
) -> TractionLaw:
    """The traction-separation law of a surface with the bond that its glue and woods make."""
    bond = corner.bonds[surface.name] if bond is None else bond
    if not isinstance(bond, Bond):
        return _cheek_law(corner, surface, bond)
    return LineLaw(
        surface.stiffness,
        np.array([bond.opening_strength]),
        np.array([bond.shear_strength]),
        np.array([bond.opening_toughness * _line_excess(bond)]),
        np.array([bond.shear_toughness * _line_excess(bond)]),
        softening=bond.softening,
        mixing="linear" if bond.mixing_exponent is None else "benzeggagh-kenane",
        exponent=bond.mixing_exponent or 1.0,
        crushing_strength=np.array([bond.crushing_strength if crushing else np.inf]),
    )


def brittle_surfaces(corner: CornerModel) -> dict[str, float]:
    """Surfaces whose bond stores more at its strength than its toughness, and how many times as much."""
    found = {}
    for surface in corner.surfaces:
        bond = corner.bonds[surface.name]
        excess = _line_excess(bond) if isinstance(bond, Bond) else _cheek_excess(corner, surface, bond)
        if excess > 1.0:
            found[surface.name] = excess / BRITTLE
    return found


def _before_kink(softening: str) -> float:
    return KINK_ENERGY if softening == "bridging" else 1.0


def _line_excess(bond: Bond) -> float:
    """By how much the toughness must grow for what is stored at the strength, at least 1.

    What is stored and a toughness that mixes linearly mix alike (both as a sum of inverses), so the pure
    modes decide; with an exponent all mixtures are looked at.
    """
    opening = bond.opening_strength**2 / (2.0 * bond.opening_stiffness)
    shear = bond.shear_strength**2 / (2.0 * bond.shear_stiffness)
    worst = max(opening / bond.opening_toughness, shear / bond.shear_toughness)
    if bond.mixing_exponent is not None:
        mixture = np.linspace(0.0, 1.0, MIXTURES)
        more = (bond.shear_toughness - bond.opening_toughness) * mixture**bond.mixing_exponent
        stored = 1.0 / ((1.0 - mixture) / opening + mixture / shear)
        worst = float((stored / (bond.opening_toughness + more)).max())
    return max(1.0, BRITTLE * worst / _before_kink(bond.softening))


def _cheek_excess(corner: CornerModel, surface: BondedSurface, bond: CheekBond) -> float:
    """The same for a cheek, over all directions of shear: its springs hold the wood's own shear too."""
    turns = np.linspace(0.0, np.pi, DIRECTIONS, endpoint=False)
    jump = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    stiffness = np.broadcast_to(surface.stiffness[0], (DIRECTIONS, 2, 2))
    pull = np.einsum("pij,pj->pi", stiffness, jump)
    index, toughness = [], []
    for side, angle in zip(bond.sides, cheek_angles(corner, surface), strict=True):
        along = (pull @ np.array([np.cos(angle), np.sin(angle)]) / side.shear_strength) ** 2
        across = (pull @ np.array([-np.sin(angle), np.cos(angle)]) / side.rolling_strength) ** 2
        share = across / (along + across)
        index.append(along + across)
        toughness.append(side.shear_toughness + (side.rolling_toughness - side.shear_toughness) * share)
    stored = 0.5 * (pull * jump).sum(axis=1) / np.max(index, axis=0)
    worst = float((stored / np.min(toughness, axis=0)).max())
    return max(1.0, BRITTLE * worst / _before_kink(bond.softening))


def _cheek_law(corner: CornerModel, surface: BondedSurface, bond: CheekBond) -> CheekLaw:
    excess = _cheek_excess(corner, surface, bond)
    first, second = (
        CheekSideLaw(
            angle,
            side.shear_strength,
            side.rolling_strength,
            side.shear_toughness * excess,
            side.rolling_toughness * excess,
        )
        for angle, side in zip(cheek_angles(corner, surface), bond.sides, strict=True)
    )
    return CheekLaw.of(surface.stiffness, (first, second), softening=bond.softening)
