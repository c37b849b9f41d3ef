"""What the answers rest on: inputs, what was asked, versions, and the source of every material value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from glueline.studies.corner.material_values import Material, MaterialValue
from glueline.studies.files.display import format_length, format_property, percent, words_in_units
from glueline.studies.files.json_text import json_line
from glueline.studies.files.units import Units
from glueline.studies.files.wording import GLOSSARY, answers_said
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import Request
from glueline.studies.report.directory import Results
from glueline.studies.report.markup import Markup, cells_table, element, joined, listed, pairs_table
from glueline.studies.show.record import Record

KINDS = {"wood": "Wood", "glue": "Glue", "bond": "Bond"}


def inputs_section(results: Results) -> Markup:
    """Every key of the specimens: those that all share, then those that differ."""
    if results.asked is not None:
        varied = [(key, ", ".join(values)) for key, values in results.asked.vary.items()]
        parts = [pairs_table(_keys(results.asked.specimen).items())]
        if varied:
            parts += [element("h3", "Varied"), pairs_table(varied)]
        return joined(parts)
    return joined(record_inputs(results.record))


def record_inputs(record: Record) -> list[Markup]:
    """Every key of the specimens of a record, with the files they come from."""
    corners = record.corners
    keys = [_keys(corner.specimen) for corner in corners]
    every = list(dict.fromkeys(key for own in keys for key in own))
    shared = [key for key in every if all(own.get(key) == keys[0].get(key) for own in keys)]
    differing = [key for key in every if key not in shared]
    parts = [pairs_table((key, keys[0][key]) for key in shared)]
    if differing:
        rows = [
            [corner.label, *(own.get(key, "") for key in differing)]
            for corner, own in zip(corners, keys, strict=True)
        ]
        parts += [element("h3", "Where the corners differ"), cells_table(["corner", *differing], rows)]
    files = [(corner.label, corner.file) for corner in corners if corner.file]
    return [*parts, element("h3", "Files"), pairs_table(files)] if files else parts


def _keys(tables: Mapping[str, Any], within: str = "") -> dict[str, str]:
    """Every key of a specimen, dotted, with its value as typed."""
    keys: dict[str, str] = {}
    for name, value in tables.items():
        if isinstance(value, Mapping):
            keys |= _keys(value, f"{within}{name}.")
        else:
            keys[within + name] = value if isinstance(value, str) else json_line(value).decode()
    return keys


def method_section(results: Results, units: Units) -> Markup:
    """How the answers were found: method, solver, mesh, what was asked for; then the versions."""
    answers, request = results.corners, results.record.request
    sizes = [each.element_size for each in answers]
    unknowns = [each.mesh.unknowns for each in answers]
    rows = [
        ("method", answers_said(each.method for each in answers)),
        ("solver", ", ".join(dict.fromkeys(each.solver for each in answers))),
        ("elements at the glue", _from_to([format_length(size, units) for size in sorted(sizes)])),
        ("unknowns", _from_to([str(count) for count in sorted(unknowns)])),
        ("wood criterion", request.criterion),
        ("scatter band", _band_words(answers, request)),
        ("seed", str(request.seed)),
        ("crushing where faces press", _crushing_words(answers, request)),
    ]
    assumptions = list(dict.fromkeys(line for each in answers for line in each.out_of_plane))
    return joined(
        [
            pairs_table(rows),
            element("h3", "Taken out of the plane"),
            listed([words_in_units(line, units) for line in assumptions]),
            *_versions(results.record),
        ]
    )


def asked_section(record: Record) -> Markup:
    """What was asked of every prediction behind a page of words, and the versions."""
    rows = [
        ("method", answers_said([record.method])),
        ("solver", record.solver),
        ("wood criterion", record.request.criterion),
        ("seed", str(record.request.seed)),
    ]
    return joined([pairs_table(rows), *_versions(record)])


def _versions(record: Record) -> list[Markup]:
    return [element("h3", "Versions"), pairs_table(record.versions.items())]


def words_section() -> Markup:
    """What the words of the page mean, each with the engineers' term for it in brackets."""
    return pairs_table((each.word, f"({each.term}) {each.meaning}") for each in GLOSSARY)


def _band_words(answers: Sequence[Answer], request: Request) -> str:
    if all(each.method == "elastic" for each in answers):
        return "none, as the answer is elastic"
    return "asked for" if request.band else "left out (--no-band)"


def _crushing_words(answers: Sequence[Answer], request: Request) -> str:
    if all(each.method == "elastic" for each in answers):
        return "none, as the answer is elastic"
    return "followed" if request.crushing else "left out (--no-crushing)"


def _from_to(values: Sequence[str]) -> str:
    return values[0] if values[0] == values[-1] else f"{values[0]} to {values[-1]}"


def materials_section(record: Record, units: Units) -> Markup:
    """Every material value with its scatter, how it was come by, and a number that leads to its source."""
    materials = record.materials
    values = [value for entry in materials for value in entry.values]
    sources = {text: number for number, text in enumerate(dict.fromkeys(value.source for value in values), 1)}
    parts = [_material(entry, sources, units) for entry in materials]
    numbered = (element("li", text, id=f"source-{number}") for text, number in sources.items())
    return joined(
        [*parts, element("h3", "Sources"), element("ol", *numbered, class_="sources")],
    )


def _material(entry: Material, sources: Mapping[str, int], units: Units) -> Markup:
    uses = f" ({', '.join(entry.used_for)})" if entry.used_for else ""
    title = f"{KINDS.get(entry.kind, entry.kind)}: {entry.name}"
    rows = [
        [
            value.key.replace("_", " ").replace(".", ", "),
            _number(value, units),
            "" if value.cov is None else percent(value.cov),
            value.mark or "",
            element("a", str(sources[value.source]), href=f"#source-{sources[value.source]}"),
        ]
        for value in entry.values
    ]
    notes = [element("p", note) for note in entry.notes]
    head = ["value of", "number", "scatter", "come by", "source"]
    return joined([element("h3", title + uses), *notes, cells_table(head, rows)])


def _number(value: MaterialValue, units: Units) -> str:
    if value.value is None:
        return "without limit"
    text, dry = format_property(value.value, value.unit, units), value.at_12_percent
    return text if dry is None else f"{text} ({format_property(dry, value.unit, units)} at 12 % moisture)"
