"""One piece of a corner with its wood as it lies: grain, rings and the constants that follow from them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.orthotropy import OrthotropicSolid
from glueline.geometries import Boards, Member
from glueline.geometries.layout import Part
from glueline.materials import Wood

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Constants:
    """Constants of one piece as it lies: ``solid`` in plane axes, shear moduli in MPa of planes across it."""

    solid: OrthotropicSolid
    shear_along_across: float
    shear_transverse_across: float


@dataclass(frozen=True)
class PieceWood:
    """A piece by ``name``, its wood, its constants in MPa as it lies, its ``grain_angle`` in rad from x."""

    name: str
    wood: Wood
    constants: Constants
    grain_angle: float

    @property
    def along(self) -> Array:
        """Direction (2,) of its grain in x, y."""
        return np.array([np.cos(self.grain_angle), np.sin(self.grain_angle)])

    @property
    def across(self) -> Array:
        """Direction (2,) across its grain in the plane, a quarter turn anticlockwise from its grain."""
        return np.array([-np.sin(self.grain_angle), np.cos(self.grain_angle)])


def radial_in_plane(member: Member, boards: Boards, sawn: str) -> bool:
    """Whether the in-plane direction across the grain is radial: as in flat-sawn boards on edge."""
    return member.rings == "in plane" or (boards.lay == "box") == (sawn == "flat")


def piece_constants(wood: Wood, radial: bool) -> Constants:
    """Engineering constants with axis 1 along the grain, 2 across it in the plane, 3 across the plane."""
    if radial:
        solid = OrthotropicSolid(
            wood.modulus_along,
            wood.modulus_radial,
            wood.modulus_tangential,
            wood.shear_modulus_lr,
            wood.poisson_lr,
            wood.poisson_lt,
            wood.poisson_rt,
        )
        return Constants(solid, wood.shear_modulus_lt, wood.shear_modulus_rt)
    solid = OrthotropicSolid(
        wood.modulus_along,
        wood.modulus_tangential,
        wood.modulus_radial,
        wood.shear_modulus_lt,
        wood.poisson_lt,
        wood.poisson_lr,
        wood.poisson_rt * wood.modulus_tangential / wood.modulus_radial,
    )
    return Constants(solid, wood.shear_modulus_lr, wood.shear_modulus_rt)


def out_of_plane_constraint(part: Part) -> float:
    """Share of the strain across the plane that is held back: 1 - depth / width, at least 0.

    A board is free at its edges over about half its depth on either side (Saint-Venant's principle), and
    held in between; one narrower than deep is free throughout. It lies between plane stress (0) and plane
    strain (1).
    """
    return max(0.0, 1.0 - part.depth / part.single)
