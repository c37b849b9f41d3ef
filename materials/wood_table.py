"""The wood table: woods.csv, one row a wood, every cell a value and the key of its source."""

from __future__ import annotations

import csv
import math
import statistics
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from typing import Any

from glueline.materials import wood_rules
from glueline.materials.names import NameIndex
from glueline.materials.provenance import Provenance
from glueline.materials.wood import FOLLOWS_MOISTURE, PROPERTIES, Wood
from glueline.materials.wood_rules import Sourced

Row = Mapping[str, str]

GREEN_COLUMNS = {
    "modulus_along": "green_bending_modulus",
    "bending_strength": "green_bending_strength",
    "compression_along": "green_compression_along",
    "compression_across": "green_compression_across",
    "shear_strength": "green_shear_strength",
}
RATIO_COLUMNS = {
    "modulus_radial": "radial_ratio",
    "modulus_tangential": "tangential_ratio",
    "shear_modulus_lr": "shear_ratio_lr",
    "shear_modulus_lt": "shear_ratio_lt",
    "shear_modulus_rt": "shear_ratio_rt",
}


def wood_names() -> tuple[str, ...]:
    """The names of the tabled woods, in the order of the table.

    >>> wood_names()[:3]
    ('White oak', 'Northern red oak', 'Black walnut')
    """
    return tuple(_rows())


def also_called(name: str) -> tuple[str, ...]:
    """Shop names under which a tabled wood is found as well. Raises UnknownName.

    >>> also_called("Sugar (hard) maple")
    ('hard maple', 'rock maple')
    """
    return _shop_names(_rows()[_index().find(name)])


def find_wood(name: str) -> Wood:
    """The tabled wood that goes by ``name``, at 12 % moisture.

    Any case; brackets may be left out where that leaves one wood; shop names answer too. Raises UnknownName,
    whose ``nearest`` lists what may have been meant.

    >>> find_wood("rock maple").name
    'Sugar (hard) maple'
    """
    return _wood(_index().find(name))


@cache
def wood_sources() -> Mapping[str, Provenance]:
    """What each source key of the wood table stands for."""
    return {row["key"]: Provenance(row["source"], row["mark"]) for row in read_table("sources.csv")}


@cache
def wood_scatter() -> Mapping[str, Sourced]:
    """Coefficient of variation (a share) and its source, by property name; the same for every wood."""
    return {
        row["property"]: read_cell(row, "coefficient_of_variation") for row in read_table("wood_scatter.csv")
    }


def read_table(file: str) -> list[dict[str, str]]:
    """The rows of a csv file of this package."""
    text = resources.files("glueline.materials").joinpath(file).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def _rows() -> Mapping[str, Row]:
    return {row["name"]: row for row in read_table("woods.csv")}


@cache
def _index() -> NameIndex:
    rows = _rows()
    return NameIndex("wood", rows, {name: _shop_names(row) for name, row in rows.items()})


def _shop_names(row: Row) -> tuple[str, ...]:
    return tuple(part.strip() for part in row["also_called"].split(";") if part.strip())


def read_cell(row: Row, column: str) -> Sourced:
    """The value and source of one filled cell. Raises ValueError saying which cell cannot be read."""
    text = row[column]
    name = row.get("name") or row.get("property")
    value, separator, key = text.partition(" @")
    try:
        number = float(value)
    except ValueError:
        number = math.nan
    if not separator or not math.isfinite(number):
        raise ValueError(f"{name}, {column}: {text!r} should read like '105 @handbook-5-3a'")
    if key not in wood_sources():
        raise ValueError(f"{name}, {column}: no source {key!r} in sources.csv")
    return number, wood_sources()[key]


def _yes(row: Row, column: str) -> bool:
    if row[column] not in ("yes", "no"):
        raise ValueError(f"{row['name']}, {column}: {row[column]!r} should be yes or no")
    return row[column] == "yes"


@cache
def _green_ratios(hardwood: bool) -> Mapping[str, float]:
    """Median ratio green over 12 % of the tabled hardwoods or softwoods, by property."""
    ratios: dict[str, float] = {}
    for key, green_column in GREEN_COLUMNS.items():
        column = "bending_modulus" if key == "modulus_along" else key
        ratios[key] = statistics.median(
            read_cell(row, green_column)[0] / read_cell(row, column)[0]
            for row in _rows().values()
            if _yes(row, "hardwood") == hardwood and row[column] and row[green_column]
        )
    return ratios


@cache
def _wood(name: str) -> Wood:
    """The row ``name`` with its gaps filled by the rules of wood_rules."""
    row = _rows()[name]
    hardwood, broad_rayed = _yes(row, "hardwood"), _yes(row, "broad_rayed")
    properties: dict[str, Sourced] = {key: read_cell(row, key) for key in PROPERTIES if row.get(key)}

    def fill(key: str, rule: Callable[[], Sourced]) -> float:
        if key not in properties:
            properties[key] = rule()
        return properties[key][0]

    gravity = properties["specific_gravity"][0]
    fill("density", lambda: wood_rules.density(gravity))
    along = fill("modulus_along", lambda: wood_rules.modulus_along(read_cell(row, "bending_modulus")[0]))
    for key, column in RATIO_COLUMNS.items():
        if key not in properties:
            properties[key] = wood_rules.from_ratio(along, *read_cell(row, column))
    fill("tension_across", lambda: wood_rules.tension_across(gravity, hardwood))
    fill("compression_across", lambda: wood_rules.compression_across(gravity, hardwood))
    shear = properties["shear_strength"][0]
    fill("rolling_shear_strength", lambda: wood_rules.rolling_shear_strength(shear, broad_rayed))
    fill("splitting_toughness", lambda: wood_rules.splitting_toughness(gravity))
    shear_toughness = fill("shear_toughness", lambda: wood_rules.shear_toughness(gravity))
    fill("rolling_toughness", lambda: wood_rules.rolling_toughness(shear_toughness))
    missing = [key for key in PROPERTIES if key not in properties]
    if missing:
        raise ValueError(f"{name}: the wood table has no {', '.join(missing)}")

    values: dict[str, Any] = {key: properties[key][0] for key in PROPERTIES}
    intersection, intersection_source = read_cell(row, "intersection_moisture")
    green, green_sources = _green(row, values, hardwood)
    provenance = {key: properties[key][1] for key in PROPERTIES}
    provenance["intersection_moisture"] = intersection_source
    provenance.update({f"green_{key}": source for key, source in green_sources.items()})
    return Wood(
        name=name,
        scientific=row["scientific"],
        hardwood=hardwood,
        broad_rayed=broad_rayed,
        intersection_moisture=intersection,
        green=green,
        cov={key: share for key, (share, _) in wood_scatter().items()},
        provenance=provenance,
        **values,
    )


def _green(
    row: Row, at_12: Mapping[str, float], hardwood: bool
) -> tuple[dict[str, float], dict[str, Provenance]]:
    """Values of unseasoned wood: tabled, or by the median ratio of the tabled woods."""
    green: dict[str, float] = {}
    sources: dict[str, Provenance] = {}
    for key in FOLLOWS_MOISTURE:
        column = GREEN_COLUMNS[key]
        if not row[column]:
            green[key], sources[key] = wood_rules.green_value(
                at_12[key], _green_ratios(hardwood)[key], hardwood
            )
        elif key == "modulus_along":
            tabled, source = read_cell(row, column)
            green[key] = at_12[key] * tabled / read_cell(row, "bending_modulus")[0]
            sources[key] = Provenance(
                f"E_L x green over 12 % bending modulus; green: {source.source}", source.mark
            )
        else:
            green[key], sources[key] = read_cell(row, column)
    return green, sources
