"""Films of trade glues, films.csv, and the one rule that makes a row of the glue table of each."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any

from glueline.materials.film import Film
from glueline.materials.glue import BOND_NUMBERS, BondRow, Glue
from glueline.materials.provenance import Provenance
from glueline.materials.wood_table import read_cell, read_table


@cache
def find_film(name: str) -> Film:
    """The tabled film of the glue of that name. Raises KeyError where no film is tabled."""
    row = _rows()[name]

    def value(column: str, missing: float) -> float:
        return read_cell(row, column)[0] if row[column] else missing

    return Film(
        thickness=read_cell(row, "thickness")[0],
        modulus=read_cell(row, "modulus")[0],
        poisson=read_cell(row, "poisson")[0],
        block_shear=read_cell(row, "block_shear")[0] if row["block_shear"] else None,
        opening_toughness=value("opening_toughness", math.inf),
        shear_toughness=value("shear_toughness", math.inf),
    )


def film_names() -> tuple[str, ...]:
    """The glues whose films are tabled."""
    return tuple(_rows())


def film_sources(name: str) -> dict[str, Provenance]:
    """Source of each number of a tabled film, by column. Raises KeyError where no film is tabled."""
    row = _rows()[name]
    return {column: read_cell(row, column)[1] for column in row if column != "name" and row[column]}


def glue_from_film(name: str, film: Film, wood_limited: Glue) -> Glue:
    """A glue from its film: every row is the lesser of the film and of the rows of `wood_limited`.

    `wood_limited` is `pva`, whose rows on white oak are set by the wood, by the starved end grain and by
    the mitre between; flat grain on end grain held the same with three different glues (Follrich et al.
    2007), which is why no glue is given a better end-grain row. Stiffness and limits of the film are those
    of `Film`.
    """
    caps: dict[str, float] = {
        "opening_strength": film.opening_strength(),
        "shear_strength": film.shear_strength(),
        "opening_toughness": film.opening_toughness,
        "shear_toughness": film.shear_toughness,
    }

    def lesser(row: BondRow) -> BondRow:
        return replace(row, **{key: min(getattr(row, key), caps[key]) for key in BOND_NUMBERS})

    film_limits: dict[str, Any] = {f"film_{key}": cap for key, cap in caps.items()}
    return replace(
        wood_limited,
        name=name,
        film_thickness=film.thickness,
        opening_stiffness=film.opening_stiffness(),
        shear_stiffness=film.shear_stiffness(),
        side_grain=lesser(wood_limited.side_grain),
        grain_45=lesser(wood_limited.grain_45),
        end_grain=lesser(wood_limited.end_grain),
        **film_limits,
        sources=film_sources(name) if name in film_names() else {},
    )


@cache
def _rows() -> dict[str, dict[str, str]]:
    return {row["name"]: row for row in read_table("films.csv")}
