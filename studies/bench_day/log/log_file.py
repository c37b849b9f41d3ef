"""Reading the log of a bench day: one row a specimen, with every mistake at once.

A row says between which loads its specimen broke. Its loads are weights stacked on a rig, or the force on the
joint; the log says which, or whoever reads it does.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from glueline.materials.names import nearest, plain
from glueline.studies.bench_day.log.log_table import LogTable, read_table, stated_kind
from glueline.studies.bench_day.log.rigs_of_logs import rigs_of
from glueline.studies.bench_day.rig.rig import Rig, common_error
from glueline.studies.files.csv_text import FORMULA_SIGNS, without_mark
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import printable
from glueline.studies.files.units import WEIGHT, UnitError, read
from glueline.studies.files.words import one_of

FAILURES = ("glue", "wood", "both", "fastener")
LOADS = ("held", "broke", "cracked")
LONGEST_LABEL = 80
LONGEST_PHOTO = 200
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
    photo: str = ""  # the name of a file, as it was written
    written: str = ""  # its loads as they were written, with their unit
    least: float = 0.0  # N, what the joint bears with nothing stacked
    day: int = 0  # which of several logs it stands in


@dataclass(frozen=True)
class BenchLog:
    """A log, checked: at least one break. Specimen paths are absolute; ``notes`` say what was made of it.

    ``rig`` is None where its loads are force on the joint. Of several logs pooled, ``days`` has each, and
    ``path`` is that of the first.
    """

    path: str
    rig: Rig | None
    breaks: tuple[Break, ...]
    notes: tuple[str, ...]
    line_word: str = "line"
    days: tuple[BenchLog, ...] = ()

    @property
    def rigs(self) -> tuple[Rig | None, ...]:
        """The rig of each day."""
        return tuple(day.rig for day in self.days) or (self.rig,)

    def place(self, row: Break) -> str:
        """Where a row stands, in words; the log is named where there are several."""
        if not self.days:
            return f"{self.line_word} {row.line}"
        day = self.days[row.day]
        return f"{printable(day.path)}, {day.line_word} {row.line}"

    def rig_error(self, rows: Sequence[Break], force: float) -> float:
        """Half-width in logarithms, about 95 %, of the error of rigs in the mean of ``rows``, ``force`` N.

        A rig's error is common to all its loads; those of different rigs are independent, so they add in
        quadrature, each by the share of the rows that were broken on it.
        """
        errors = []
        for rig in dict.fromkeys(rig for rig in self.rigs if rig is not None):
            share = sum(self.rigs[row.day] == rig for row in rows) / len(rows)
            errors.append(share * common_error(rig, force))
        return math.hypot(*errors)

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

    table: LogTable
    rig: Rig | None
    problems: list[InputProblem]
    units: dict[str, int] = field(default_factory=dict)
    spelled: dict[str, str] = field(default_factory=dict)
    respelled: set[tuple[str, str]] = field(default_factory=set)
    there: dict[str, str | None] = field(default_factory=dict)
    unbroken: int = 0

    def wrong(self, line: int, column: str, value: str | None, message: str) -> None:
        """Note what is wrong in a cell."""
        self.problems.append(self.table.wrong(line, column, value, message))


def read_log(path: str | os.PathLike[str], rig: Rig | None = None, *, force: bool = False) -> BenchLog:
    """The log in a CSV or XLSX file, in N on the joint; ``force`` says that its loads are that already.

    Raises InputError, and nothing else, with all that is wrong: also where the log says otherwise, or
    nobody says what its loads are. Rows with neither ``held`` nor ``broke`` nor ``failure`` have not been
    broken yet and are left out.

    >>> from glueline.studies.bench_day.rig.rig_file import read_rig
    >>> from glueline.studies.examples import bench_day_path
    >>> log = read_log(bench_day_path("bench_log.csv"), read_rig(bench_day_path("bench_rig.toml")))
    >>> len(log.breaks), list(log.by_label())[:2]
    (21, ['invented splined mitre', 'invented butt'])
    """
    return read_logs([path], [] if rig is None else [rig], force=force)


def read_logs(
    paths: Sequence[str | os.PathLike[str]],
    rigs: Sequence[Rig] = (),
    *,
    force: bool = False,
    typed: Callable[[str], str] | None = None,
) -> BenchLog:
    """Several logs as one, each with its own rig: one of ``rigs`` for all of them, or one for each.

    ``typed`` gives the command line with options added, for messages. Raises InputError as ``read_log``.
    """
    tables = [read_table(path) for path in paths]
    found = rigs_of(tables, [stated_kind(table) for table in tables], rigs, force, typed)
    logs: list[BenchLog] = []
    problems: list[InputProblem] = []
    for table, rig in zip(tables, found, strict=True):
        try:
            logs.append(_log(table, rig))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    return logs[0] if len(logs) == 1 else _pooled(logs)


def _pooled(logs: Sequence[BenchLog]) -> BenchLog:
    """Several logs as one; a label is spelled as it first comes."""
    spelled: dict[str, str] = {}
    breaks = [
        replace(row, day=day, label=spelled.setdefault(plain(row.label), row.label))
        for day, log in enumerate(logs)
        for row in log.breaks
    ]
    notes = [f"{printable(log.path)}: {note}" for log in logs for note in log.notes]
    return BenchLog(logs[0].path, None, tuple(breaks), tuple(notes), days=tuple(logs))


def _log(table: LogTable, rig: Rig | None) -> BenchLog:
    """One log in N on the joint."""
    reading = _Reading(table, rig, list(table.problems))
    rows = (_break(reading, line, cells) for line, cells in table.cells())
    breaks = tuple(row for row in rows if row is not None)
    _one_unit(reading)
    if reading.problems:
        raise InputError(tuple(dict.fromkeys(reading.problems)))
    if not breaks:
        message = f"holds no break yet: fill in held and broke, one {table.line_word} a specimen"
        raise InputError((InputProblem(table.name, "", None, message),))
    return BenchLog(table.path, rig, breaks, _notes(reading), table.line_word)


def _break(reading: _Reading, line: int, cells: dict[str, str]) -> Break | None:
    """The break in one row; None where there is none or something is wrong, which is noted."""
    before = len(reading.problems)
    specimen = _specimen(reading, line, cells["specimen"])
    label = _label(reading, line, cells["label"])
    unit = _unit(reading, line, cells["unit"])
    failure = _failure(reading, line, cells["failure"])
    photo = _photo(reading, line, cells.get("photo", ""))
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
        photo=photo or "",
        written=_written(cells, unit or ""),
        least=_on_joint(reading.rig, 0.0),
    )


def _written(cells: dict[str, str], unit: str) -> str:
    """The loads of a row as they stand in the log: ``held 190, broke 200 kg``."""
    said = [f"{column} {printable(cells[column], 20)}" for column in ("held", "broke") if cells[column]]
    return f"{', '.join(said)} {unit}"


def _on_joint(rig: Rig | None, weight: float) -> float:
    return weight if rig is None else float(rig.line.force(weight))


def _specimen(reading: _Reading, line: int, cell: str) -> str | None:
    """The absolute path of a specimen file, looked for once."""
    if cell not in reading.there:
        typed = without_mark(cell)
        path = os.path.normpath(os.path.join(reading.table.folder, os.path.expanduser(typed)))
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


def _photo(reading: _Reading, line: int, cell: str) -> str | None:
    """The name of a photo, which need not be there: it may still be in the camera."""
    name = without_mark(cell)
    if len(name) > LONGEST_PHOTO or not name.isprintable():
        reading.wrong(line, "photo", cell, f"must be the name of a file, at most {LONGEST_PHOTO} letters")
        return None
    return name


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
        word = reading.table.line_word
        units = ", ".join(f"{unit} ({word} {line})" for unit, line in reading.units.items())
        message = f"are mixed: {units}; write all loads of one log in one unit"
        reading.problems.append(InputProblem(reading.table.name, "units", None, message))


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
