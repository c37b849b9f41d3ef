"""A maker's own wood and own glue: files of their own, named in a specimen file by their path."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from glueline.materials import (
    RANGE_IN_WORDS,
    Glue,
    GlueTableError,
    Sag,
    UnknownName,
    UnlikelyWood,
    Wood,
    find_glue,
    find_wood,
    glue_from_tables,
    glue_to_tables,
    like_wood,
)
from glueline.materials.glue_keys import OF_CALIBRATION
from glueline.studies.files.failures import InputError
from glueline.studies.files.toml_tables import Problems, Table, read_toml, toml_value
from glueline.studies.files.units import DENSITY, LENGTH, STRESS, WEIGHT, read, significant

Material = TypeVar("Material")
LONGEST_NAME = 100
LARGEST_NUMBER = 10**15
OWN_NUMBER = {"source": "the maker's own glue file, which states no source", "mark": "judgement"}


def is_path(name: str) -> bool:
    """Whether a name of a wood or glue is meant as a path to a file."""
    return "/" in name or "\\" in name or name.casefold().endswith(".toml")


def by_name(table: Table, key: str, name: str, find: Callable[[str], Material], kind: str) -> Material | None:
    """The wood or glue of that name from the table of woods or glues; what is wrong is noted at ``key``."""
    if len(name) > LONGEST_NAME:
        table.wrong(key, f"is too long for the name of a {kind}; `glueline list {kind}s` shows them all")
        return None
    try:
        return find(name)
    except UnknownName as error:
        names = ", ".join(f'"{near}"' for near in error.nearest)
        if getattr(error, "ambiguous", False):
            message = f"could be more than one {kind}: say which of {names}"
        else:
            hint = f"did you mean {names}? " if names else ""
            message = f"is not a {kind} known here: {hint}`glueline list {kind}s` shows them all"
        table.wrong(key, f"{message}; or give the path of a {kind} file")
        return None


def read_wood_file(path: str) -> Wood:
    """The wood of a wood file, at 12 % moisture.

    ``like`` names a wood of the table; any of ``name``, ``density``, ``stiffness`` (the bending modulus as
    tables give it) or a table ``sag`` of the maker's own board: span, weight, sag, thickness, width. Raises
    InputError with everything that is wrong.
    """
    tables = read_toml(path)
    problems = Problems(path)
    top = Table("", tables, problems)
    like = top.text("like", '"white oak"', required=True)
    base = None if like is None else by_name(top, "like", like, find_wood, "wood")
    own_name = top.text("name", '"my oak"') or os.path.splitext(os.path.basename(path))[0]
    density = top.quantity("density", DENSITY)
    stiffness = top.quantity("stiffness", STRESS)
    sag = None
    if top.has("sag"):
        sag = _sag(top)
        if top.has("stiffness"):
            top.wrong("stiffness", "cannot stand beside the sag of a board: give one of the two")
    top.refuse_unknown()
    problems.raise_if_any()
    if base is None:
        raise TypeError("a wood file without a base wood is an error above")
    try:
        return like_wood(base, name=own_name, density=density, stiffness=stiffness, sag=sag)
    except UnlikelyWood as error:
        if error.key == "sag":
            problems.add("sag", None, f"{error} ({_as_typed(tables['sag'])})", shown=False)
        else:
            problems.add(error.key, tables[error.key], _limits(error, tables[error.key]))
        raise InputError(tuple(problems.entries)) from None


def _limits(error: UnlikelyWood, typed: str) -> str:
    """Between what a density or stiffness should lie, in the unit it was typed in."""
    quantity = DENSITY if error.key == "density" else STRESS
    unit = read(typed, quantity)[1]
    low, high = (end / float(quantity.units[unit]) for end in (error.low, error.high))
    size = 10.0 ** (math.floor(math.log10(low)) - 2)
    low, high = math.ceil(low / size) * size, math.floor(high / size) * size
    return f"should lie between {significant(low, 4)} and {significant(high, 4)} {unit}, {RANGE_IN_WORDS}"


def _as_typed(measures: Mapping[str, Any]) -> str:
    """The measures of a board as its file has them."""
    return ", ".join(f"{name} = {toml_value(value)}" for name, value in measures.items())


def _sag(top: Table) -> Sag | None:
    values = top.values["sag"]
    if not isinstance(values, Mapping):
        top.wrong("sag", "must be a table [sag] with span, weight, sag, thickness and width of the board")
        return None
    table = Table("sag", values, top.problems)
    measures = {
        name: table.quantity(name, WEIGHT if name == "weight" else LENGTH, required=True)
        for name in ("span", "weight", "sag", "thickness", "width")
    }
    table.refuse_unknown()
    given = {name: value for name, value in measures.items() if value is not None}
    if len(given) < len(measures):
        return None
    try:
        return Sag(**given)
    except ValueError as error:
        top.problems.add("sag", None, f"{error} ({_as_typed(values)})", shown=False)
        return None


def read_glue_file(path: str) -> Glue:
    """The glue of a glue file, with the keys of a row of the glue table.

    With ``like = "pva"`` the file need only hold what differs. Raises InputError with everything wrong.
    """
    tables = read_toml(path)
    problems = Problems(path)
    top = Table("", tables, problems)
    whole: Mapping[str, Any] = tables
    if top.has("like"):
        like = top.text("like", '"pva"')
        base = None if like is None else by_name(top, "like", like, find_glue, "glue")
        if base is not None and not base.holds:
            top.wrong("like", "is a dry joint; name a glue")
            base = None
        problems.raise_if_any()
        if base is not None:
            whole = _overlay(glue_to_tables(base), tables, os.path.splitext(os.path.basename(path))[0])
    for key, number in _endless(tables):
        problems.add(key, number, "is too large to be meant")
    problems.raise_if_any()
    try:
        return glue_from_tables(whole)
    except GlueTableError as error:
        for key, value, message in error.problems:
            problems.add(key, value, message, shown=value is not None)
        raise InputError(tuple(problems.entries)) from None


def _endless(tables: Mapping[str, Any], prefix: str = "", depth: int = 3) -> Iterator[tuple[str, int]]:
    """Whole numbers beyond any measure, which a float could not hold, by dotted key."""
    for key, value in tables.items():
        if isinstance(value, Mapping) and depth:
            yield from _endless(value, f"{prefix}{key}.", depth - 1)
        elif isinstance(value, int) and abs(value) > LARGEST_NUMBER:
            yield prefix + key, value


def _overlay(base: Mapping[str, Any], own: Mapping[str, Any], name: str) -> dict[str, Any]:
    """``base`` with everything that ``own`` says; a number of one's own never rests on the base's source."""
    merged = {key: dict(value) if isinstance(value, Mapping) else value for key, value in base.items()}
    merged["name"] = name
    for key, value in own.items():
        inside = merged.get(key)
        if key == "like":
            continue
        if isinstance(value, Mapping) and isinstance(inside, dict):
            inside.update(value)
        else:
            merged[key] = value
    stated, sources = own.get("sources", {}), merged["sources"]
    if isinstance(stated, Mapping) and isinstance(sources, dict):
        for number in _numbers_of(own):
            row = number.partition(".")[0]
            if number not in stated and row in stated:
                sources.pop(number, None)
            elif number not in stated:
                sources[number] = dict(OWN_NUMBER)
    return merged


TEXTS = ("like", "name", "softening", "also_called", "calibrated", "sources")


def _numbers_of(own: Mapping[str, Any]) -> Iterator[str]:
    """The keys of a glue file that stand for numbers, dotted inside a table."""
    for key, value in own.items():
        if isinstance(value, Mapping) and key != "sources":
            yield from (f"{key}.{inner}" for inner in value)
        elif key not in (*TEXTS, *OF_CALIBRATION):
            yield key
