"""The command line that gives the same answer as the page, to be copied into a shell as it is."""

from __future__ import annotations

import contextlib
import shlex
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from glueline.geometries import JOINTS
from glueline.studies.corner.new_corner import problems_with, usual_corner
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError
from glueline.studies.files.key_changes import changed_value
from glueline.studies.files.toml_tables import read_toml, toml_value
from glueline.studies.files.units import Units
from glueline.studies.page.read_parts import FILE
from glueline.studies.page.texts import written

LONGEST = 600
"""Letters of a command that one still copies; a longer one gives way to a saved file."""
SAVE_FIRST = f"Save the corner as {FILE} first: all its changes make too long a command."
Changes = list[tuple[str, str]]


def command_for(
    corner: Mapping[str, Any], specimen: Specimen | None, units: Units, file: str | None = None
) -> dict[str, str | None]:
    """``command``, empty where the corner is wrong, and ``command_note``: what must be done before it, if
    anything.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> corner = read_specimen(example_path("finger"))
    >>> command_for(corner.as_read, corner, "metric")["command"]
    'glueline new finger --write corner.toml && glueline predict corner.toml --set joint.fingers=9'
    """
    if specimen is None:
        return {"command": "", "command_note": None}
    shown = [] if units == specimen.units else ["--units", units]
    for before, tables, path in _beginnings(specimen.kind, units, file):
        changes = [*_changes(corner, tables)]
        if not _is_same(specimen, tables, changes):
            continue
        words = ["glueline", "predict", path]
        for key, text in changes:
            words += ["--set", f"{key}={text}"]
        command = before + shlex.join([*words, *shown])
        if len(command) <= LONGEST:
            return {"command": command, "command_note": None}
    return {"command": shlex.join(["glueline", "predict", FILE, *shown]), "command_note": SAVE_FIRST}


def _beginnings(kind: str, units: Units, file: str | None) -> Iterator[tuple[str, dict[str, Any], str]]:
    """What may be changed into the corner: a command before, its tables, and where they lie then."""
    if file is not None:
        with contextlib.suppress(InputError):  # moved since: the corner is begun anew
            yield "", read_toml(file), file
    for name in (kind, next(iter(JOINTS))):
        tables = usual_corner(JOINTS[name], units)
        if not problems_with(tables):
            given = ["--units", units] if units == "imperial" else []
            new = shlex.join(["glueline", "new", name, *given, "--write", FILE])
            yield f"{new} && ", tables, FILE


def _changes(corner: Mapping[str, Any], begun: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """What differs in the corner, key by key, as it is typed behind --set."""
    there = dict(_flat(begun))
    for key, value in _flat(corner):
        if key not in there or there[key] != value or type(there[key]) is not type(value):
            text = written(value)
            plainly = not isinstance(value, str) or changed_value(text) == text
            yield key, text if plainly else toml_value(text)


def _flat(tables: Mapping[str, Any], path: str = "") -> Iterator[tuple[str, Any]]:
    for name, value in tables.items():
        key = f"{path}.{name}" if path else name
        if isinstance(value, Mapping):
            yield from _flat(value, key)
        else:
            yield key, value


def _is_same(specimen: Specimen, tables: Mapping[str, Any], changes: Changes) -> bool:
    """Whether tables with changes are the same corner."""
    try:
        found = specimen_of(specimen.path, tables, changes)
    except InputError:
        return False
    return replace(found, warnings=()) == replace(specimen, warnings=())
