"""Which surfaces of a corner vary together: those of one row of the glue table, the splits of one wood."""

from __future__ import annotations

from collections.abc import Mapping

from glueline.studies.corner.connections import FITTINGS, WITHDRAWAL, Hold
from glueline.studies.corner.model import CornerModel

ROW_NAMES = {
    "side_grain": "glue on side grain",
    "grain_45": "glue on grain at 45 degrees",
    "end_grain": "glue on end grain",
    WITHDRAWAL: "withdrawal of the screws",
    FITTINGS: "pull of the fittings",
}
"""Rows of the glue table, in the order of their angle, then what fasteners hold, and how they are called."""


def split_woods(corner: CornerModel) -> tuple[str, ...]:
    """The woods, by name, in which a corner has split lines, each once."""
    return tuple(dict.fromkeys(split.scatter_row for split in corner.splits))


def row_covs(corner: CornerModel) -> dict[str, float]:
    """Coefficient of variation of every row that a corner uses; where a row has several, the largest.

    Raises ValueError where a connection belongs to none of them: it would not scatter.
    """
    covs: dict[str, float] = {}
    for each in (*corner.connections, *corner.bearings):
        if each.scatter_row:
            covs[each.scatter_row] = max(covs.get(each.scatter_row, 0.0), each.cov)
    unknown = set(covs) - set(ROW_NAMES)
    if unknown:
        raise ValueError(f"no row of the glue table is called {', '.join(sorted(unknown))}")
    return {row: covs[row] for row in ROW_NAMES if row in covs}


def row_ranges(corner: CornerModel) -> dict[str, tuple[float, float]]:
    """Factors between which each judged row that a corner uses can be believed, the widest of a row."""
    ranges: dict[str, tuple[float, float]] = {}
    for each in corner.connections:
        low, high = each.credible
        before = ranges.get(each.scatter_row, (1.0, 1.0))
        ranges[each.scatter_row] = min(low, before[0]), max(high, before[1])
    return {row: ranges[row] for row in ROW_NAMES if ranges.get(row, (1.0, 1.0)) != (1.0, 1.0)}


def scaled_holds(corner: CornerModel, row_factors: Mapping[str, float]) -> tuple[Hold, ...]:
    """All that may give with strengths and toughnesses of each row times its factor, 1 if none is given.

    A split line goes by the name of its wood. Stiffness stays. Raises ValueError for a row that neither the
    glue table nor a split line has.
    """
    unknown = set(row_factors) - set(ROW_NAMES) - set(split_woods(corner))
    if unknown:
        raise ValueError(f"no row of the glue table is called {', '.join(sorted(unknown))}")
    return tuple(each.scaled(row_factors.get(each.scatter_row, 1.0)) for each in corner.holds)
