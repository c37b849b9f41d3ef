"""What scatters in a corner: glue by row, the strengths of each wood, and stiffness."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.connections import FITTINGS, WITHDRAWAL
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.scatter.glue_rows import ROW_NAMES, row_covs, split_woods
from glueline.studies.predict.scatter.lognormal import LognormalFactors

Array = NDArray[np.float64]

ROW_CORRELATION = 0.5
"""Of the logarithms of two rows of the glue table: one glue, one mix, one day's clamping, but other faces.

A judgement. Lines of one row are glued alike and vary as one.
"""

STRENGTHS = ("bending_strength", "tension_across", "shear_strength", "rolling_shear_strength")

STRENGTH_CORRELATION = np.array(
    [
        [1.0, 0.4, 0.4, 0.4],
        [0.4, 1.0, 0.6, 0.6],
        [0.4, 0.6, 1.0, 0.6],
        [0.4, 0.6, 0.6, 1.0],
    ]
)
"""Of the logarithms of one wood's strengths, in the order of STRENGTHS.

JCSS Probabilistic Model Code, part 3.5 (timber), correlation matrix: bending with tension across 0.4, bending
with shear 0.4, tension across with shear 0.6, each "quantified by judgment" for softwoods. It has no rolling
shear, for which the figures of shear are taken and 0.6 with shear itself.
"""

_WORDS = {
    "bending_strength": "bending strength",
    "tension_across": "tension across the grain",
    "shear_strength": "shear strength",
    "rolling_shear_strength": "rolling shear strength",
}


@dataclass(frozen=True)
class Variables:
    """Random factors of a corner in one order: glue rows, stiffness, strengths wood by wood.

    ``names`` say in words what each is; ``rows`` lists the glue rows; ``wood`` gives the place of every
    (wood, strength); ``wood_of_piece`` the wood's name by piece; ``splits`` are the woods with split lines,
    which scatter with the tension of the wood across its grain. Glue, stiffness and different woods are
    independent of each other. Stiffness is one factor on the moduli of all woods and on the film's, and on
    the pressure at which faces crush: its scatter is that of the modulus along the grain, the largest of the
    woods.
    """

    names: tuple[str, ...]
    factors: LognormalFactors
    rows: tuple[str, ...]
    wood: dict[tuple[str, str], int]
    wood_of_piece: dict[str, str]
    splits: tuple[str, ...] = ()

    @property
    def followed(self) -> list[int]:
        """Places of what a path must be followed for: glue rows, then splits."""
        return [*range(len(self.rows)), *(self.wood[wood, "tension_across"] for wood in self.splits)]

    @property
    def stiffness(self) -> int:
        """Place of the stiffness."""
        return len(self.rows)


def variables_of(corner: CornerModel) -> Variables:
    """The random factors of a corner, with the scatter of its glue table and its woods."""
    rows = row_covs(corner)
    woods = {piece.name: piece.wood for piece in corner.pieces.values()}
    by_name = {wood.name: wood for wood in woods.values()}
    names = [ROW_NAMES[row] for row in rows] + ["stiffness"]
    covs = [*rows.values(), max(wood.cov["modulus_along"] for wood in by_name.values())]
    places: dict[tuple[str, str], int] = {}
    for wood in by_name.values():
        for strength in STRENGTHS:
            places[wood.name, strength] = len(covs)
            names.append(f"{_WORDS[strength]} of {wood.name.lower()}")
            covs.append(wood.cov[strength])
    correlation = np.eye(len(covs))
    among_rows = np.full((len(rows), len(rows)), ROW_CORRELATION)
    bought = np.isin(list(rows), (WITHDRAWAL, FITTINGS))
    among_rows[bought] = among_rows[:, bought] = 0.0  # no glue
    np.fill_diagonal(among_rows, 1.0)
    correlation[: len(rows), : len(rows)] = among_rows
    for start in range(len(rows) + 1, len(covs), len(STRENGTHS)):
        own = slice(start, start + len(STRENGTHS))
        correlation[own, own] = STRENGTH_CORRELATION
    return Variables(
        tuple(names),
        LognormalFactors(np.array(covs), correlation),
        tuple(rows),
        places,
        {piece: wood.name for piece, wood in woods.items()},
        split_woods(corner),
    )
