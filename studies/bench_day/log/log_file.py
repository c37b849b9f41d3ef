"""Reading the log of a bench day: one row a specimen, with every mistake at once.

A row says between which loads its specimen broke. Loads are stacked weights where a rig is given, else the
force on the joint.
"""

from __future__ import annotations

import csv
import io
import math
import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from glueline.materials.names import nearest, plain
from glueline.studies.bench_day.rig.rig import Rig
from glueline.studies.files.csv_text import FORMULA_SIGNS, without_mark
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.toml_tables import printable, read_text
from glueline.studies.files.units import WEIGHT, UnitError, read
from glueline.studies.files.words import one_of

COLUMNS = ("specimen", "label", "held", "broke", "unit", "failure", "notes")
KNOWN_COLUMNS = (*COLUMNS, "cracked")
FAILURES = ("glue", "wood", "both", "fastener")
LOADS = ("held", "broke", "cracked")
LARGEST_LOG = 50_000_000  # bytes
LONGEST_LABEL = 80
NUMBER_ALONE = re.compile(r"[-+]?[\d\s./,-]*\d[\d\s./,-]*", re.ASCII)
UNITS = {unit.casefold(): unit for unit in WEIGHT.units}


@dataclass(frozen=True)
class Break:
    """One specimen: it broke above ``lower`` and at most at ``upper``, forces on the joint."""

    line: int
    specimen: str
    label: str
    lower: float  # N, 0 where it failed at the first step
    upper: float  # N, inf where it never failed
    failure: str  # one of FAILURES, or empty
    notes: str
    cracked: float | None  # N at its first crack, None where none was noted


@dataclass(frozen=True)
class BenchLog:
    """A log, checked: at least one break. Specimen paths are absolute; ``notes`` say what was made of it."""

    path: str
    rig: Rig | None
    breaks: tuple[Break, ...]
    notes: tuple[str, ...]

    @property
    def specimens(self) -> tuple[str, ...]:
        """The distinct specimen files, as they first come."""
        return tuple(dict.fromkeys(each.specimen for each in self.breaks))

    def by_label(self) -> dict[str, tuple[Break, ...]]:
        """The breaks of each label, as labels first come."""
        grouped: dict[str, list[Break]] = {}
        for each in self.breaks:
            grouped.setdefault(each.label, []).append(each)
        return {label: tuple(rows) for label, rows in grouped.items()}


@dataclass
class _Reading:
    """A log being read; ``spelled`` holds each label as it was first written, by its plain form."""

    name: str
    folder: str
    rig: Rig | None
    problems: list[InputProblem] = field(default_factory=list)
    units: dict[str, int] = field(default_factory=dict)
    spelled: dict[str, str] = field(default_factory=dict)
    respelled: set[tuple[str, str]] = field(default_factory=set)
    there: dict[str, str | None] = field(default_factory=dict)
    unbroken: int = 0

    def wrong(self, line: int, column: str, value: str | None, message: str) -> None:
        """Note what is wrong in a cell."""
        shown = None if value is None else printable(value, 60)
        self.problems.append(InputProblem(self.name, f"line {line}: {column}", shown, message))


def read_log(path: str | os.PathLike[str], rig: Rig | None = None) -> BenchLog:
    """The log in a CSV file, in N on the joint. Raises InputError, and nothing else, with all that is wrong.

    Rows with neither ``held`` nor ``broke`` nor ``failure`` have not been broken yet and are left out.

    >>> from glueline.studies.examples import bench_day_path
    >>> log = read_log(bench_day_path("bench_log.csv"))
    >>> len(log.breaks), list(log.by_label())[:2]
    (21, ['invented splined mitre', 'invented butt'])
    """
    name = printable(os.fspath(path))
    hint = f"its first line names the columns: {','.join(COLUMNS)}"
    text = read_text(path, "the log of a bench day (CSV)", LARGEST_LOG, hint)
    reading = _Reading(name, os.path.dirname(os.path.abspath(path)), rig)
    header, rows = _rows(text, name)
    columns = _columns(header, name)
    breaks = []
    for line, cells in rows:
        if len(cells) > len(header):
            message = (
                f"has {len(cells)} cells where the first line names {len(header)} columns: put text with "
                "commas in quotes, and write decimals with a point"
            )
            reading.problems.append(InputProblem(name, f"line {line}", None, message))
            continue
        padded = [*cells, *[""] * (len(header) - len(cells))]
        row = _break(reading, line, {column: padded[at].strip() for column, at in columns.items()})
        if row is not None:
            breaks.append(row)
    _one_unit(reading)
    if reading.problems:
        raise InputError(tuple(dict.fromkeys(reading.problems)))
    if not breaks:
        message = "holds no break yet: fill in held and broke, one row a specimen"
        raise InputError((InputProblem(name, "", None, message),))
    return BenchLog(os.fspath(path), rig, tuple(breaks), _notes(reading))


def _rows(text: str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The cells of the first line, and every further row that is not blank with its line number."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((reader.line_num, cells))
    except csv.Error as error:
        message = f"is not valid CSV: {printable(str(error), 100)}; each quote must be closed"
        if "field limit" in str(error):
            most = csv.field_size_limit()
            message = f"has a cell of more than {most} letters: close each quote, or shorten the text"
        raise InputError((InputProblem(name, f"line {reader.line_num}", None, message),)) from None
    if not rows:
        message = f"holds nothing but commas: the first line must be {','.join(COLUMNS)}"
        raise InputError((InputProblem(name, "", None, message),))
    return [cell.strip() for cell in rows[0][1]], rows[1:]


def _columns(header: Sequence[str], name: str) -> dict[str, int]:
    """Where each column stands. Raises InputError with every one that is missing, unknown or there twice."""
    places: dict[str, int] = {}
    problems = []
    for at, cell in enumerate(header):
        column = plain(cell)
        if column in places:
            problems.append(InputProblem(name, "line 1", printable(cell, 40), "is there twice"))
        elif column in KNOWN_COLUMNS:
            places[column] = at
        elif cell:
            near = nearest(cell, KNOWN_COLUMNS)
            hint = f"did you mean {near}? " if near else ""
            message = f"is not a column known here: {hint}The columns are {', '.join(KNOWN_COLUMNS)}"
            problems.append(InputProblem(name, "line 1", printable(cell, 40), message))
    missing = [column for column in COLUMNS if column not in places]
    if missing:
        parted = "; its cells must be parted by commas" if len(header) == 1 and len(missing) > 1 else ""
        message = f"has no column {', '.join(missing)}: the first line must be {','.join(COLUMNS)}{parted}"
        raise InputError((InputProblem(name, "line 1", None, message), *([] if parted else problems)))
    if problems:
        raise InputError(tuple(problems))
    return places


def _break(reading: _Reading, line: int, cells: dict[str, str]) -> Break | None:
    """The break in one row; None where there is none or something is wrong, which is noted."""
    before = len(reading.problems)
    specimen = _specimen(reading, line, cells["specimen"])
    label = _label(reading, line, cells["label"])
    unit = _unit(reading, line, cells["unit"])
    failure = _failure(reading, line, cells["failure"])
    if not (cells["held"] or cells["broke"] or failure or cells.get("cracked")):
        reading.unbroken += 1
        return None
    if not (cells["held"] or cells["broke"]):
        message = "are both blank: one of them must say what load it stood or broke under"
        reading.wrong(line, "held and broke", None, message)
    loads = {column: _load(reading, line, column, cells.get(column, ""), unit) for column in LOADS}
    held, broke, cracked = (loads[column] for column in LOADS)
    if held is not None and broke is not None and held >= broke:
        message = (
            f"must lie below broke = {printable(cells['broke'], 20)}: held is the highest load it stood for "
            "30 s, broke the next one, under which it let go"
        )
        reading.wrong(line, "held", cells["held"], message)
    if cracked is not None and broke is not None and cracked > broke:
        message = f"must not lie above broke = {printable(cells['broke'], 20)}"
        reading.wrong(line, "cracked", cells["cracked"], message)
    if len(reading.problems) > before or specimen is None or label is None:
        return None
    return Break(
        line=line,
        specimen=specimen,
        label=label,
        lower=0.0 if held is None else _on_joint(reading.rig, held),
        upper=math.inf if broke is None else _on_joint(reading.rig, broke),
        failure=failure or "",
        notes=without_mark(cells["notes"]),
        cracked=None if cracked is None else _on_joint(reading.rig, cracked),
    )


def _on_joint(rig: Rig | None, weight: float) -> float:
    return weight if rig is None else float(rig.line.force(weight))


def _specimen(reading: _Reading, line: int, cell: str) -> str | None:
    """The absolute path of a specimen file, looked for once."""
    if cell not in reading.there:
        typed = without_mark(cell)
        path = os.path.normpath(os.path.join(reading.folder, os.path.expanduser(typed)))
        try:
            there = bool(typed) and os.path.isfile(path)
        except ValueError:
            there = False
        reading.there[cell] = path if there else None
    if not cell:
        reading.wrong(line, "specimen", None, "is blank: name the specimen file (TOML), relative to the log")
    elif reading.there[cell] is None:
        message = "no such specimen file; paths are relative to the log"
        reading.wrong(line, "specimen", cell, message)
    return reading.there[cell]


def _label(reading: _Reading, line: int, cell: str) -> str | None:
    label = " ".join(without_mark(cell).split())
    if not label:
        reading.wrong(line, "label", None, 'is blank: name the joint, such as "nine fingers"')
        return None
    if len(label) > LONGEST_LABEL or not label.isprintable():
        reading.wrong(line, "label", cell, f"must be at most {LONGEST_LABEL} plain letters")
        return None
    first = reading.spelled.setdefault(plain(label), label)
    if label != first:
        reading.respelled.add((label, first))
    return first


def _unit(reading: _Reading, line: int, cell: str) -> str | None:
    unit = UNITS.get(cell.casefold())
    if unit is not None:
        reading.units.setdefault(unit, line)
        return unit
    right = f"{'weights stacked' if reading.rig else 'loads'} are in {one_of(list(WEIGHT.units))}"
    if cell:
        reading.wrong(line, "unit", cell, f"is not a unit of load: {right}")
    else:
        reading.wrong(line, "unit", None, f"is blank: {right}")
    return None


def _one_unit(reading: _Reading) -> None:
    if len(reading.units) > 1:
        units = ", ".join(f"{unit} (line {line})" for unit, line in reading.units.items())
        message = f"are mixed: {units}; write all loads of one log in one unit"
        reading.problems.append(InputProblem(reading.name, "units", None, message))


def _failure(reading: _Reading, line: int, cell: str) -> str | None:
    """One of FAILURES, empty where the cell is blank (or says so), None where it is something else."""
    word = plain(cell)
    if word in ("", "blank"):
        return ""
    if word in FAILURES:
        return word
    near = nearest(cell, FAILURES)
    hint = f"did you mean {near}? It" if near else "it"
    reading.wrong(
        line, "failure", cell, f"is not known here: {hint} must be {', '.join(FAILURES)} or left blank"
    )
    return None


def _load(reading: _Reading, line: int, column: str, cell: str, unit: str | None) -> float | None:
    """A load in N as weight or force, None where blank or wrong."""
    if not cell:
        return None
    unit = unit or next(iter(WEIGHT.units))
    if NUMBER_ALONE.fullmatch(cell) is None:
        if cell.startswith(FORMULA_SIGNS):
            message = "is a formula: write its value"
        else:
            message = "must be a number alone; its unit stands in the column unit, remarks in notes"
        reading.wrong(line, column, cell, message)
        return None
    try:
        load, _ = read(f"{cell} {unit}", WEIGHT)
    except UnitError as error:
        reading.wrong(line, column, cell, str(error).partition("; write a weight")[0])
        return None
    if load < 0 or (load == 0 and column != "held"):
        reading.wrong(line, column, cell, "must be above zero" if column != "held" else "is below zero")
        return None
    return load


def _notes(reading: _Reading) -> tuple[str, ...]:
    notes = []
    if reading.unbroken == 1:
        notes.append("1 row says nothing of a break yet and is left out")
    elif reading.unbroken:
        notes.append(f"{reading.unbroken} rows say nothing of a break yet and are left out")
    notes += [f'the label "{label}" is taken for "{first}"' for label, first in sorted(reading.respelled)]
    return tuple(notes)
