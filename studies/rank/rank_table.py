"""The ranking as a table that people read."""

from __future__ import annotations

from collections.abc import Sequence

from glueline.studies.files.columns import aligned
from glueline.studies.files.display import (
    format_area,
    format_force,
    format_moment,
    format_rotational_stiffness,
)
from glueline.studies.files.units import Units
from glueline.studies.rank.ranking import RankedCorner, arms_differ, strongest_first
from glueline.studies.show.tables import NOT_FOUND, band_words


def rank_table(corners: Sequence[RankedCorner], units: Units) -> str:
    """Several corners side by side, strongest first."""
    return aligned(rank_rows(corners, units))


def rank_rows(corners: Sequence[RankedCorner], units: Units) -> list[list[str]]:
    """The cells of the ranking's table, headings first; columns that would say nothing are left out."""
    columns = rank_columns(corners, units)
    return [list(columns), *(list(row) for row in zip(*columns.values(), strict=True))]


def rank_columns(corners: Sequence[RankedCorner], units: Units) -> dict[str, list[str]]:
    """The same by heading, each from the strongest corner to the weakest."""
    ranked = strongest_first(corners)
    columns = {
        "corner": [corner.label for corner in ranked],
        "joint": [corner.joint for corner in ranked],
        "break load": [format_force(corner.break_load, units) for corner in ranked],
        "5 to 95 %": [band_words(corner.band, units) for corner in ranked],
        "moment then": [format_moment(1000 * corner.break_moment_Nm, units) for corner in ranked],
        "what breaks": [corner.what_breaks for corner in ranked],
        "where": [corner.where for corner in ranked],
        "first crack": [
            NOT_FOUND if corner.first_crack_load is None else format_force(corner.first_crack_load, units)
            for corner in ranked
        ],
        "stiffness": [
            format_rotational_stiffness(1000 * corner.corner_stiffness_Nm_per_rad, units) for corner in ranked
        ],
        "glue area": [format_area(sum(corner.glue_area.values()), units) for corner in ranked],
    }
    if columns["corner"] == columns["joint"]:
        del columns["corner"]
    if not arms_differ(corners):
        del columns["moment then"]
    return columns
