"""The glue film by itself: its stiffness from its modulus, its limits from block-shear tests."""

from __future__ import annotations

import math
from dataclasses import dataclass

FILM_OPENING_STRENGTH = 10.0
"""Most that a film of ordinary PVA holds in opening, MPa (judgement: cap on every wood)."""

FILM_SHEAR_STRENGTH = 18.0
"""Most that a film of ordinary PVA holds in shear, MPa (judgement: top of the range of side-grain bonds)."""

REFERENCE_BLOCK_SHEAR = 25.0
"""Block shear on hard maple (ASTM D905) of ordinary PVA, MPa (from memory)."""


@dataclass(frozen=True)
class Film:
    """A cured film: thickness in mm, Young's modulus in MPa, Poisson's ratio, block shear on maple in MPa and
    the work of fracture of bonds that broke in the glue, N/mm.

    `block_shear` None, a toughness infinite: no figure found. Block shear is read as a ratio between glues
    only, because 25 MPa on maple is more than maple itself holds in shear.
    """

    thickness: float
    modulus: float
    poisson: float
    block_shear: float | None = None
    opening_toughness: float = math.inf
    shear_toughness: float = math.inf

    def opening_stiffness(self) -> float:
        """N/mm3: the mean of a film free to contract, E/t, and one held sideways, E (1-nu)/((1+nu)(1-2nu))/t.

        The wood beside a film holds it along the grain, where it is far stiffer, and hardly across it, where
        it is about as soft.
        """
        nu = self.poisson
        held = (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu))
        return self.modulus / self.thickness * (1.0 + held) / 2.0

    def shear_stiffness(self) -> float:
        """N/mm3: E / (2 (1 + nu)) / t."""
        return self.modulus / (2.0 * (1.0 + self.poisson)) / self.thickness

    def opening_strength(self) -> float:
        """MPa: that of PVA in the ratio of block shear; that of PVA where there is no figure."""
        return FILM_OPENING_STRENGTH * self._ratio()

    def shear_strength(self) -> float:
        """MPa: that of PVA in the ratio of block shear; that of PVA where there is no figure."""
        return FILM_SHEAR_STRENGTH * self._ratio()

    def _ratio(self) -> float:
        return 1.0 if self.block_shear is None else self.block_shear / REFERENCE_BLOCK_SHEAR
