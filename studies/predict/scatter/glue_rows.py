"""Which bonds of a corner vary together: those that one row of the glue table gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

import numpy as np

from glueline.materials import Bond, CheekBond, CheekSide
from glueline.studies.corner.model import CornerModel, grain_to_face

ROW_NAMES = {
    "side_grain": "glue on side grain",
    "grain_45": "glue on grain at 45 degrees",
    "end_grain": "glue on end grain",
}
"""Rows of the glue table, in the order of their angle, and how they are called.

Cheeks belong to side grain: their `crossed` row is a share of it and has no scatter of its own.
"""

_SCALED = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
_SCALED_SIDE = ("shear_strength", "rolling_strength", "shear_toughness", "rolling_toughness")


def glue_rows(corner: CornerModel) -> dict[str, str]:
    """The row of the glue table of every bond of a corner, by the name of its surface.

    A glue line belongs to the row nearest to the grain angle of its weaker side; where both sides are as
    weak, of the one whose scatter the bond has.
    """
    rows = {name: "side_grain" for name, bond in corner.bonds.items() if isinstance(bond, CheekBond)}
    for line in corner.layout.glue_lines:
        bond = corner.bonds[line.name]
        if not isinstance(bond, Bond):
            raise TypeError(f"{line.name} is a glue line but has the bond of a cheek")
        weaker, other = line.minus, line.plus
        if bond.weaker_side == "plus":
            weaker, other = other, weaker
        angles = [grain_to_face(corner.layout, line, piece) for piece in (weaker, other)]
        glue = corner.specimen.glue
        covs = [row.cov for row in (glue.side_grain, glue.grain_45, glue.end_grain)]
        # argmin takes the first, the weaker side, where both sides scatter alike.
        side = int(np.argmin(np.abs(np.interp(angles, (0.0, pi / 4, pi / 2), covs) - bond.cov).round(9)))
        rows[line.name] = list(ROW_NAMES)[round(angles[side] / (pi / 4))]
    return rows


def row_covs(corner: CornerModel) -> dict[str, float]:
    """Coefficient of variation of every row that a corner uses; of lines between two rows the largest."""
    covs: dict[str, float] = {}
    for name, row in glue_rows(corner).items():
        covs[row] = max(covs.get(row, 0.0), corner.bonds[name].cov)
    return {row: covs[row] for row in ROW_NAMES if row in covs}


def scaled_bonds(corner: CornerModel, row_factors: Mapping[str, float]) -> dict[str, Bond | CheekBond]:
    """The bonds of a corner with strengths and toughnesses of each row times its factor, 1 if none is given.

    Stiffness stays. Raises ValueError for a row that the glue table does not have.
    """
    unknown = set(row_factors) - set(ROW_NAMES)
    if unknown:
        raise ValueError(f"no row of the glue table is called {', '.join(sorted(unknown))}")
    rows = glue_rows(corner)
    return {name: _scaled(bond, row_factors.get(rows[name], 1.0)) for name, bond in corner.bonds.items()}


def _scaled(bond: Bond | CheekBond, factor: float) -> Bond | CheekBond:
    if isinstance(bond, Bond):
        return replace(bond, **{key: getattr(bond, key) * factor for key in _SCALED})

    def sides(pair: tuple[CheekSide, CheekSide]) -> tuple[CheekSide, CheekSide]:
        first, second = (
            replace(side, **{key: getattr(side, key) * factor for key in _SCALED_SIDE}) for side in pair
        )
        return first, second

    return replace(
        bond,
        sides=sides(bond.sides),
        low_sides=sides(bond.low_sides),
        high_sides=sides(bond.high_sides),
    )
