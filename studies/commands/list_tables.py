"""glueline list: the woods, glues and joints that are known, each number with a mark of its source."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from glueline.studies.commands.arguments import add_units_argument
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
MPA_PER_PSI = 0.006894757
POUND_PER_FOOT3 = 16.01846  # kg/m3
POUND_PER_INCH = 0.1751268  # N/mm
POUND_PER_INCH3 = 2.714471e-4  # N/mm3

# Key, heading, and how many of the code's own units go into one shown: metric, then imperial.
Column = tuple[str, tuple[str, str], tuple[float, float]]
STRENGTH = (("MPa", "psi"), (1.0, MPA_PER_PSI))
TOUGHNESS = (("N/mm", "lbf/in"), (1.0, POUND_PER_INCH))
STIFFNESS = (("GPa", "million psi"), (1e3, MPA_PER_PSI * 1e6))
FILM_STIFFNESS = (("N/mm3", "million lbf/in3"), (1.0, POUND_PER_INCH3 * 1e6))
WOOD_COLUMNS: tuple[tuple[str, str, tuple[str, str], tuple[float, float]], ...] = (
    ("density", "density", ("kg/m3", "lb/ft3"), (1.0, POUND_PER_FOOT3)),
    ("modulus_along", "E along", *STIFFNESS),
    ("bending_strength", "bending", *STRENGTH),
    ("compression_along", "compression", *STRENGTH),
    ("shear_strength", "shear", *STRENGTH),
    ("tension_across", "tension across", *STRENGTH),
    ("rolling_shear_strength", "rolling shear", *STRENGTH),
    ("splitting_toughness", "splitting work", *TOUGHNESS),
    ("shear_toughness", "shear work", *TOUGHNESS),
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of list."""
    parser.add_argument("what", choices=("woods", "glues", "joints"), help="which table")
    add_units_argument(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object (N and mm) only")
    parser.add_argument("--sources", action="store_true", help="print where each number comes from")


def run(arguments: argparse.Namespace) -> int:
    """Print one of the tables."""
    if arguments.what == "joints":
        from glueline.studies.commands.joint_words import joints_object, joints_text

        if arguments.json:
            _print_json(joints_object())
        else:
            print(joints_text(arguments.units))
        return 0
    tables: Mapping[str, tuple[Callable[[], Any], Callable[[Units, bool], str]]] = {
        "woods": (woods_object, woods_text),
        "glues": (glues_object, glues_text),
    }
    as_object, as_text = tables[arguments.what]
    if arguments.json:
        _print_json(as_object())
    else:
        print(as_text(arguments.units, arguments.sources))
    return 0


def woods_object() -> dict[str, Any]:
    """The wood table for JSON: N, mm, MPa, kg/m3, at 12 % moisture."""
    from glueline.materials import also_called
    from glueline.studies.files.display import property_unit

    return {
        "woods": [
            {
                "name": wood.name,
                "scientific": wood.scientific,
                "also_called": list(also_called(wood.name)),
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

    which = 0 if units == "metric" else 1
    head = [["wood"] + [heading for _, heading, _, _ in WOOD_COLUMNS] + ["also called"]]
    head.append([""] + [unit[which] for _, _, unit, _ in WOOD_COLUMNS] + [""])
    rows = [
        [wood.name]
        + [
            _marked(getattr(wood, key) / factor[which], wood.provenance.get(key))
            for key, _, _, factor in WOOD_COLUMNS
        ]
        + [", ".join(also_called(wood.name))]
        for wood in _woods()
    ]
    parts = [
        "Woods at 12 % moisture, means of small clear specimens",
        "",
        columns(head, rows, left=(0, len(WOOD_COLUMNS) + 1)),
        "",
        legend(),
        'Work is the energy of fracture per area. Own woods: a file with like = "white oak" and your '
        "density, stiffness or sag.",
    ]
    if sources:
        for wood in _woods():
            parts += ["", f"{wood.name} ({wood.scientific})", *_source_lines(wood.provenance)]
    return "\n".join(parts)


def glues_object() -> dict[str, Any]:
    """The glue table for JSON: N, mm, MPa, on white oak at 12 %."""
    from glueline.materials import glue_to_tables

    found = []
    for glue in _glues():
        tables = {key: value for key, value in glue_to_tables(glue).items() if key != "sources"}
        sources = {key: {"mark": each.mark, "source": each.source} for key, each in glue.sources.items()}
        found.append({**tables, "sources": sources})
    return {"glues": found, "measured_on": "white oak at 12 % moisture", "default": "pva"}


def glues_text(units: Units, sources: bool) -> str:
    """The glue table for people."""
    which = 0 if units == "metric" else 1
    faces = (("side_grain", "side grain"), ("grain_45", "45 degrees"), ("end_grain", "end grain"))
    numbers = (
        ("opening_strength", "opening", STRENGTH),
        ("shear_strength", "shear", STRENGTH),
        ("opening_toughness", "opening work", TOUGHNESS),
        ("shear_toughness", "shear work", TOUGHNESS),
    )
    names = [unit[which] for _, _, (unit, _) in numbers]
    films = []
    rows = []
    for glue in _glues():
        if not glue.holds:
            films.append([glue.name, "", "", "", "", ""])
            continue
        films.append(
            [
                glue.name,
                _film_thickness(glue, units),
                _marked(glue.opening_stiffness / FILM_STIFFNESS[1][which], _film_source(glue)),
                _marked(glue.shear_stiffness / FILM_STIFFNESS[1][which], _film_source(glue)),
                glue.softening,
                significant(glue.quality * 100, 3),
            ]
        )
        for key, words in faces:
            row = getattr(glue, key)
            source = glue.sources.get(key) or glue.sources.get("rows")
            values = [
                _marked(getattr(row, number) / factor[which], _cap_source(glue, key, number) or source)
                for number, _, (_, factor) in numbers
            ]
            cov = _marked(row.cov * 100, glue.sources.get("cov") or source)
            rows.append([glue.name if key == "side_grain" else "", words, *values, cov])
    film_unit = FILM_STIFFNESS[0][which]
    film_head = [
        ["glue", "film", "opening stiffness", "shear stiffness", "softening", "quality"],
        ["", "mm" if which == 0 else "in", film_unit, film_unit, "", "%"],
    ]
    row_head = [
        ["glue", "grain to face", *(heading for _, heading, _ in numbers), "scatter"],
        ["", "", *names, "%"],
    ]
    parts = [
        "Glues: the film",
        "",
        columns(film_head, films, left=(0, 4)),
        "",
        "What a bond on white oak at 12 % moisture holds; other woods follow from it by rule",
        "",
        columns(row_head, rows, left=(0, 1)),
        "",
        legend(),
        'none is a dry joint. Own glues: a file with like = "pva" and what differs.',
    ]
    if sources:
        for glue in _glues():
            if glue.sources:
                parts += ["", glue.name, *_source_lines(glue.sources)]
    return "\n".join(parts)


def columns(head: Sequence[Sequence[str]], rows: Sequence[Sequence[str]], left: Sequence[int] = (0,)) -> str:
    """Rows as text in columns under a ruled head; those in ``left`` stand to the left, the rest right."""
    every = [*head, *rows]
    widths = [max(len(row[index]) for row in every) for index in range(len(every[0]))]

    def line(row: Sequence[str]) -> str:
        cells = [
            cell.ljust(width) if index in left else cell.rjust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        return "  ".join(cells).rstrip()

    rule = "  ".join("-" * width for width in widths)
    return "\n".join([*map(line, head), rule, *map(line, rows)])


def legend() -> str:
    """What the letters behind the numbers mean."""
    return "Marks: " + ", ".join(f"{letter} {mark}" for mark, letter in LETTERS.items()) + "."


def _marked(value: float, source: Provenance | None) -> str:
    return f"{significant(value, 3)} {LETTERS[source.mark] if source is not None else ' '}"


def _film_thickness(glue: Glue, units: Units) -> str:
    shown = glue.film_thickness if units == "metric" else glue.film_thickness / 25.4
    return _marked(shown, glue.sources.get("film_thickness") or glue.sources.get("thickness"))


def _film_source(glue: Glue) -> Provenance | None:
    """The source of a film's stiffness: its own, or the least known of what it is worked out from."""
    if "stiffness" in glue.sources:
        return glue.sources["stiffness"]
    parts = [glue.sources[key] for key in ("modulus", "poisson", "thickness") if key in glue.sources]
    return max(parts, key=lambda source: list(LETTERS).index(source.mark), default=None)


def _cap_source(glue: Glue, row: str, number: str) -> Provenance | None:
    """The source of a toughness that the film itself sets, None where the wood does."""
    capped = number.endswith("toughness") and getattr(glue, f"film_{number}") == getattr(
        getattr(glue, row), number
    )
    return glue.sources.get(number) if capped else None


def _source_lines(sources: Mapping[str, Provenance]) -> list[str]:
    """Sources with the numbers that rest on each."""
    keys: dict[tuple[str, str], list[str]] = {}
    for key, each in sources.items():
        keys.setdefault((each.source, each.mark), []).append(key.replace("_", " "))
    return [f"  {LETTERS[mark]}  {', '.join(names)}: {source}" for (source, mark), names in keys.items()]


def _woods() -> list[Wood]:
    from glueline.materials import find_wood, wood_names

    return [find_wood(name) for name in wood_names()]


def _glues() -> list[Glue]:
    from glueline.materials import find_glue, glue_names

    return [find_glue(name) for name in glue_names()]


def _print_json(what: Any) -> None:
    sys.stdout.write(json.dumps(_finite(what), indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def _finite(what: Any) -> Any:
    """The same with null for what is without limit, which JSON has no number for."""
    if isinstance(what, Mapping):
        return {key: _finite(value) for key, value in what.items()}
    if isinstance(what, list | tuple):
        return [_finite(value) for value in what]
    return None if isinstance(what, float) and what in (float("inf"), float("-inf")) else what
