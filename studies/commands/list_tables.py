"""glueline list: the woods, glues and joints that are known, each number with a mark of its source."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from math import inf
from typing import TYPE_CHECKING, Any

from glueline.studies.commands.arguments import JSON_HELP, add_units_argument
from glueline.studies.commands.streams import print_json
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import property_unit, shown_unit
from glueline.studies.files.units import Units, significant

if TYPE_CHECKING:
    from glueline.materials import Glue, Provenance, Wood

LETTERS = {
    "read in source": "r",
    "from memory": "m",
    "derived": "d",
    "estimate": "e",
    "judgement": "j",
}
LEGEND = "Marks: " + ", ".join(f"{letter} {mark}" for mark, letter in LETTERS.items()) + "."
WOOD_COLUMNS = {
    "density": "density",
    "modulus_along": "stiffness along",
    "bending_strength": "bending",
    "compression_along": "compression",
    "shear_strength": "shear",
    "tension_across": "tension across",
    "rolling_shear_strength": "rolling shear",
    "splitting_toughness": "splitting work",
    "shear_toughness": "shear work",
}
FILM_COLUMNS = {
    "film_thickness": "film",
    "opening_stiffness": "opening stiffness",
    "shear_stiffness": "shear stiffness",
}
BOND_COLUMNS = {
    "opening_strength": "opening",
    "shear_strength": "shear",
    "opening_toughness": "opening work",
    "shear_toughness": "shear work",
    "cov": "scatter",
}
GRAINS = {"side_grain": "side grain", "grain_45": "45 degrees", "end_grain": "end grain"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of list."""
    parser.add_argument("what", choices=("woods", "glues", "joints"), help="which table")
    add_units_argument(parser, "metric")
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and mm"))
    parser.add_argument("--sources", action="store_true", help="print where each number comes from")


def run(arguments: argparse.Namespace) -> int:
    """Print one of the tables."""
    from glueline.studies.commands.joint_words import joints_object, joints_text
    from glueline.studies.files.json_text import json_text

    if arguments.json:
        objects = {"woods": woods_object, "glues": glues_object, "joints": joints_object}
        print_json(json_text(objects[arguments.what]()))
    elif arguments.what == "joints":
        print(joints_text(arguments.units))
    else:
        as_text = woods_text if arguments.what == "woods" else glues_text
        print(as_text(arguments.units, arguments.sources))
    return 0


def woods_object() -> dict[str, Any]:
    """The wood table for JSON: N, mm, MPa, kg/m3, at 12 % moisture."""
    from glueline.materials import also_called

    return {
        "woods": [
            {
                "name": wood.name,
                "scientific": wood.scientific,
                "also_called": also_called(wood.name),
                "hardwood": wood.hardwood,
                "broad_rayed": wood.broad_rayed,
                "moisture_percent": wood.moisture,
                "properties": {
                    key: {
                        "value": getattr(wood, key),
                        "unit": property_unit(key),
                        "cov": wood.cov.get(key),
                        "mark": source.mark,
                        "source": source.source,
                    }
                    for key, source in wood.provenance.items()
                    if hasattr(wood, key)
                },
            }
            for wood in _woods()
        ]
    }


def woods_text(units: Units, sources: bool) -> str:
    """The wood table for people."""
    from glueline.materials import also_called

    rows = [
        ["wood", *WOOD_COLUMNS.values(), "also called"],
        ["", *_unit_row(WOOD_COLUMNS, units), ""],
    ]
    for wood in _woods():
        cells = [_cell(wood, key, wood.provenance.get(key), units) for key in WOOD_COLUMNS]
        rows.append([wood.name, *cells, ", ".join(also_called(wood.name))])
    parts = [
        "Woods at 12 % moisture, means of small clear specimens; along and across: of the grain",
        "",
        aligned(rows, head=2, right=range(1, len(WOOD_COLUMNS) + 1)),
        "",
        LEGEND,
        'Work is what a crack takes for each area that it opens. Own woods: a file with like = "white oak" '
        "and your density, stiffness or sag.",
    ]
    if sources:
        for wood in _woods():
            parts += ["", f"{wood.name} ({wood.scientific})", *_source_lines(wood.provenance)]
    return "\n".join(parts)


def glues_object() -> dict[str, Any]:
    """The glue table for JSON: N, mm, MPa, on white oak at 12 %; null where a film sets no limit."""
    from glueline.materials import glue_to_tables

    tables = [glue_to_tables(glue) for glue in _glues()]
    glues = [{key: None if value == inf else value for key, value in table.items()} for table in tables]
    return {"glues": glues, "measured_on": "white oak at 12 % moisture", "default": "pva"}


def glues_text(units: Units, sources: bool) -> str:
    """The glue table for people."""
    from glueline.materials import glue_source

    films = [
        ["glue", *FILM_COLUMNS.values(), "softening", "quality"],
        ["", *_unit_row(FILM_COLUMNS, units), "", "%"],
    ]
    bonds = [
        ["glue", "grain to face", *BOND_COLUMNS.values(), "credible"],
        ["", "", *_unit_row(BOND_COLUMNS, units), "%"],
    ]
    for glue in _glues():
        if not glue.holds:
            films.append([glue.name, "", "", "", "", ""])
            continue
        cells = [_cell(glue, key, glue_source(glue, key), units) for key in FILM_COLUMNS]
        films.append([glue.name, *cells, glue.softening, significant(glue.quality * 100, 3)])
        for grain, words in GRAINS.items():
            row = getattr(glue, grain)
            cells = [_cell(row, key, glue_source(glue, f"{grain}.{key}"), units) for key in BOND_COLUMNS]
            believed = glue_source(glue, f"{grain}.credible_low")
            low, high = (f"{100 * end:.0f}" for end in (row.credible_low, row.credible_high))
            cells.append(f"{low} to {high} {LETTERS[believed.mark] if believed is not None else ' '}")
            bonds.append([glue.name if grain == "side_grain" else "", words, *cells])
    parts = [
        "Glues: the film, and how far it gives; softening: how it lets go once past its strength",
        "",
        aligned(films, head=2, right=(1, 2, 3, 5)),
        "",
        "What a bond on white oak at 12 % moisture holds; other woods follow from it by rule",
        "",
        aligned(bonds, head=2, right=range(2, len(BOND_COLUMNS) + 3)),
        "",
        LEGEND,
        "Credible: between which shares of the row its strengths and works can be believed; own glue files "
        "may give credible_low and credible_high in a row, else those of pva are taken.",
        'none is a dry joint. Own glues: a file with like = "pva" and what differs.',
    ]
    if sources:
        for glue in _glues():
            if glue.sources:
                parts += ["", glue.name, *_source_lines(glue.sources)]
    return "\n".join(parts)


def _column_unit(key: str, units: Units) -> tuple[str, float]:
    """The unit of a column, and how many of the code's go into it: large numbers in GPa or millions."""
    unit, factor = shown_unit(property_unit(key), units)
    if key == "cov":
        return "%", 0.01
    if key == "modulus_along" and units == "metric":
        return "GPa", 1e3
    if key == "modulus_along" or (key.endswith("stiffness") and units == "imperial"):
        return f"million {unit}", 1e6 * factor
    return unit, factor


def _unit_row(columns: Iterable[str], units: Units) -> list[str]:
    return [_column_unit(key, units)[0] for key in columns]


def _cell(of: object, key: str, source: Provenance | None, units: Units) -> str:
    """One number of a wood, a glue or a row of one, with the mark of its source."""
    value: float = getattr(of, key) / _column_unit(key, units)[1]
    return f"{significant(value, 3)} {LETTERS[source.mark] if source is not None else ' '}"


def _source_lines(sources: Mapping[str, Provenance]) -> list[str]:
    """Sources with the numbers that rest on each."""
    keys: dict[Provenance, list[str]] = {}
    for key, source in sources.items():
        keys.setdefault(source, []).append(key.replace("_", " "))
    return [f"  {LETTERS[each.mark]}  {', '.join(names)}: {each.source}" for each, names in keys.items()]


def _woods() -> list[Wood]:
    from glueline.materials import find_wood, wood_names

    return [find_wood(name) for name in wood_names()]


def _glues() -> list[Glue]:
    from glueline.materials import find_glue, glue_names

    return [find_glue(name) for name in glue_names()]
