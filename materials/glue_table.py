"""The glue table, glues.toml, and glues from a maker's own file with the same keys."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources

from glueline.materials.glue import NO_GLUE, Glue, GlueTableError
from glueline.materials.glue_keys import read_glue
from glueline.materials.names import NameIndex

DEFAULT_GLUE = "pva"


def glue_names() -> tuple[str, ...]:
    """The names of the tabled glues, and ``none`` for a dry joint.

    >>> glue_names()[0], glue_names()[-1]
    ('pva', 'none')
    """
    return (*_rows(), NO_GLUE.name)


def find_glue(name: str) -> Glue:
    """The tabled glue that goes by ``name``, in any case. Raises UnknownName with the nearest names.

    >>> find_glue("White Glue").name
    'pva'
    """
    return _glue(_index().find(name))


def glue_also_called(name: str) -> tuple[str, ...]:
    """Shop names under which a tabled glue is found as well. Raises UnknownName.

    >>> glue_also_called("pva")
    ('pvac', 'white glue')
    """
    return _shop_names()[_index().find(name)]


def glue_from_tables(tables: Mapping[str, object]) -> Glue:
    """A glue from the tables of a glue file or of one row of the glue table.

    Needed: name, film_thickness (mm), opening_stiffness and shear_stiffness (N/mm3), softening, and the
    tables side_grain, grain_45 and end_grain, each with opening_strength and shear_strength (MPa),
    opening_toughness and shear_toughness (N/mm) and cov (share). Optional: credible_low and credible_high of
    a row, quality, sources (texts, or tables of source and mark), the crossed row, the film_ limits,
    moist_share, gap_share and also_called; what is left out is as for ``pva``. With mixing_exponent (1 to 10)
    the toughness under opening and sliding mixes as Benzeggagh and Kenane have it, without it linearly.

    Raises GlueTableError, a ValueError whose ``problems`` lists (key, value, message) for everything missing,
    unknown, not a number, or beyond belief.

    >>> from dataclasses import replace
    >>> from glueline.materials import glue_to_tables
    >>> tables = glue_to_tables(find_glue("pva")) | {"name": "my own", "quality": 0.9}
    >>> glue_from_tables(tables) == replace(find_glue("pva"), name="my own", quality=0.9)
    True
    """
    glue, problems = read_glue(tables)
    if glue is None or problems:
        raise GlueTableError(problems)
    return glue


@cache
def _rows() -> Mapping[str, Mapping[str, object]]:
    text = resources.files("glueline.materials").joinpath("glues.toml").read_text(encoding="utf-8")
    return {row["name"]: row for row in tomllib.loads(text)["glue"]}


@cache
def _index() -> NameIndex:
    return NameIndex("glue", glue_names(), _shop_names())


@cache
def _shop_names() -> Mapping[str, tuple[str, ...]]:
    tabled = {name: tuple(str(other) for other in _also(row)) for name, row in _rows().items()}
    return {**tabled, NO_GLUE.name: ("dry", "no glue")}


def _also(row: Mapping[str, object]) -> list[object]:
    names = row.get("also_called", [])
    return names if isinstance(names, list) else []


@cache
def _glue(name: str) -> Glue:
    return NO_GLUE if name == NO_GLUE.name else glue_from_tables(_rows()[name])
