"""One wood: an orthotropic body with strengths, toughnesses, scatter and the source of each number."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from glueline.materials.provenance import Provenance

STANDARD_MOISTURE = 12.0
"""Moisture content at which woods are tabled, percent."""

MODULI = (
    "modulus_along",
    "modulus_radial",
    "modulus_tangential",
    "shear_modulus_lr",
    "shear_modulus_lt",
    "shear_modulus_rt",
)
POISSON_RATIOS = ("poisson_lr", "poisson_lt", "poisson_rt")
STRENGTHS = (
    "bending_strength",
    "compression_along",
    "compression_across",
    "shear_strength",
    "tension_across",
    "rolling_shear_strength",
)
TOUGHNESSES = ("splitting_toughness", "shear_toughness", "rolling_toughness")
PROPERTIES = ("specific_gravity", "density", *MODULI, *POISSON_RATIOS, *STRENGTHS, *TOUGHNESSES)
"""Every number a Wood carries, by its field name."""

FOLLOWS_MOISTURE = (
    "modulus_along",
    "bending_strength",
    "compression_along",
    "compression_across",
    "shear_strength",
)
"""Properties the handbook's moisture formula speaks of; ``green`` and ``standard`` are keyed by these."""


@dataclass(frozen=True)
class Wood:
    """Means of small clear specimens of one wood, in its own grain directions L, R, T.

    Moduli and strengths in MPa, toughnesses in N/mm, density in kg/m3, moisture in percent. ``poisson_lr`` is
    the strain in R over the strain in L under stress along L. Specific gravity is oven-dry mass over volume
    at 12 %.

    ``modulus_along`` is E_L free of shear: 1.10 times a tabled bending modulus (footnote of Wood Handbook
    Table 5-3a). ``splitting_toughness`` is the work of fracture in opening along the grain,
    ``shear_toughness`` the same in sliding along it, ``rolling_toughness`` in sliding across it.

    ``green`` holds the values of unseasoned wood and ``standard`` those at 12 %, for the properties in
    ``FOLLOWS_MOISTURE``; at 12 % ``standard`` may be left empty. ``cov`` is the coefficient of variation of
    each property as a share.

    Raises ValueError naming every number that is missing, not positive and finite, or that together would
    make the compliance other than positive definite.

    >>> from glueline.materials import find_wood
    >>> oak = find_wood("white oak")
    >>> round(oak.modulus_along), round(oak.density), oak.moisture  # MPa, kg/m3, %
    (13530, 762, 12.0)
    """

    name: str
    scientific: str
    hardwood: bool
    broad_rayed: bool
    specific_gravity: float
    density: float
    modulus_along: float
    modulus_radial: float
    modulus_tangential: float
    shear_modulus_lr: float
    shear_modulus_lt: float
    shear_modulus_rt: float
    poisson_lr: float
    poisson_lt: float
    poisson_rt: float
    bending_strength: float
    compression_along: float
    compression_across: float
    shear_strength: float
    tension_across: float
    rolling_shear_strength: float
    splitting_toughness: float
    shear_toughness: float
    rolling_toughness: float
    intersection_moisture: float
    green: Mapping[str, float] = field(hash=False)
    cov: Mapping[str, float] = field(hash=False)
    provenance: Mapping[str, Provenance] = field(hash=False)
    moisture: float = STANDARD_MOISTURE
    standard: Mapping[str, float] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        if not self.standard:
            if self.moisture != STANDARD_MOISTURE:
                raise ValueError(
                    f"{self.name}: a wood at {self.moisture:g} % needs its values at 12 % (standard)"
                )
            object.__setattr__(self, "standard", {key: getattr(self, key) for key in FOLLOWS_MOISTURE})
        problems = [
            f"{key} = {getattr(self, key)!r} must be a positive number"
            for key in (*PROPERTIES, "intersection_moisture", "moisture")
            if not is_positive(getattr(self, key))
        ]
        for title, table in (("green", self.green), ("standard", self.standard)):
            problems += [
                f"{title} {key} must be a positive number"
                for key in FOLLOWS_MOISTURE
                if not is_positive(table.get(key, math.nan))
            ]
        if not problems and not is_positive_definite(compliance(self)):
            problems.append("moduli and Poisson's ratios together give energy from nothing")
        if problems:
            raise ValueError(f"{self.name}: " + "; ".join(problems))


def compliance(wood: Wood) -> NDArray[np.float64]:
    """Compliance of ``wood``, 6 x 6, 1/MPa.

    Order L, R, T, RT, LT, LR with engineering shear strains; stiffness is its inverse. Built from the three
    printed ratios nu_LR, nu_LT, nu_RT; the other three follow by symmetry, nu_RL = nu_LR E_R / E_L, because
    the handbook's own six ratios satisfy it only roughly (Wood Handbook, FPL-GTR-190, Table 5-2 and eq.
    5-1).

    >>> from glueline.materials import find_wood
    >>> round(1 / compliance(find_wood("white oak"))[0, 0])  # E_L in MPa
    13530
    """
    along, radial, tangential = wood.modulus_along, wood.modulus_radial, wood.modulus_tangential
    matrix = np.zeros((6, 6))
    matrix[0, 0], matrix[1, 1], matrix[2, 2] = 1 / along, 1 / radial, 1 / tangential
    matrix[0, 1] = matrix[1, 0] = -wood.poisson_lr / along
    matrix[0, 2] = matrix[2, 0] = -wood.poisson_lt / along
    matrix[1, 2] = matrix[2, 1] = -wood.poisson_rt / radial
    matrix[3, 3] = 1 / wood.shear_modulus_rt
    matrix[4, 4] = 1 / wood.shear_modulus_lt
    matrix[5, 5] = 1 / wood.shear_modulus_lr
    return matrix


def is_positive_definite(matrix: NDArray[np.float64]) -> bool:
    """Whether every strain in a body of this compliance stores energy."""
    scale = np.sqrt(np.diag(matrix))
    return bool(np.linalg.eigvalsh(matrix / np.outer(scale, scale)).min() > 1e-6)


def is_positive(value: float) -> bool:
    """Whether ``value`` is a finite number above zero."""
    return isinstance(value, int | float) and math.isfinite(value) and value > 0
