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
from glueline.studies.files.wording import BAND
from glueline.studies.predict.said_aloud import NamedLoad, five_loads
from glueline.studies.rank.ranking import RankedCorner, arms_differ, strongest_first
from glueline.studies.show.tables import NOT_FOUND, band_words, shown_load


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
        f"band, {BAND}": [band_words(corner.band, units) for corner in ranked],
        "bending then": [format_moment(1000 * corner.break_moment_Nm, units) for corner in ranked],
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
        del columns["bending then"]
    return columns


def loads_table(corners: Sequence[RankedCorner], units: Units) -> str:
    """The five loads of every corner, strongest first, and under them what each is for."""
    head, *rows = loads_rows(corners, units)
    return "\n".join([aligned([head, *rows]), *load_purposes(corners)])


def loads_rows(corners: Sequence[RankedCorner], units: Units) -> list[list[str]]:
    """The cells of that table, headings first; a column that no corner has is left out."""
    ranked = strongest_first(corners)
    loads = [{each.name: each.load for each in five_loads(corner)} for corner in ranked]
    names = [each.name for each in most_loads(corners)]
    return [
        ["corner", *names],
        *(
            [corner.label, *(shown_load(own.get(name), units) for name in names)]
            for corner, own in zip(ranked, loads, strict=True)
        ),
    ]


def load_purposes(corners: Sequence[RankedCorner]) -> list[str]:
    """What each of the loads is for, a line each."""
    return [f"{each.name}: {each.purpose}." for each in most_loads(corners)]


def most_loads(corners: Sequence[RankedCorner]) -> list[NamedLoad]:
    """The loads of the corner that has most of them."""
    return max((five_loads(corner) for corner in corners), key=len)
