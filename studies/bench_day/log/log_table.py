"""The cells of a log, from a table in CSV or from a spreadsheet, before anything is made of them."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from glueline.materials.names import nearest, plain
from glueline.studies.bench_day.log.spreadsheet import spreadsheet_rows
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import printable, read_text

COLUMNS = ("specimen", "label", "held", "broke", "unit", "failure", "notes")
OPTIONAL_COLUMNS = ("cracked", "load_is", "steps", "photo")
KNOWN_COLUMNS = (*COLUMNS, *OPTIONAL_COLUMNS)
LARGEST_LOG = 50_000_000  # bytes
SPREADSHEET = ".xlsx"
EXPECTED = "the log of a bench day (CSV or XLSX)"

LoadKind = Literal["stacked weight", "force"]
STACKED, FORCE = LOAD_KINDS = ("stacked weight", "force")
"""What the numbers of a log can be: weights stacked on a rig, or force on the joint."""


@dataclass(frozen=True)
class LogTable:
    """The cells of a log; every row has as many as there are columns.

    ``line_word`` is what a row is called in messages; ``problems`` are rows that have too many cells.
    """

    path: str
    line_word: str
    columns: dict[str, int]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    problems: tuple[InputProblem, ...]

    @property
    def name(self) -> str:
        """The file as messages name it."""
        return printable(self.path)

    @property
    def folder(self) -> str:
        """Where its specimens are looked for."""
        return os.path.dirname(os.path.abspath(self.path))

    def cells(self) -> list[tuple[int, dict[str, str]]]:
        """Each row's line number and its cells by column."""
        return [(line, {name: row[at] for name, at in self.columns.items()}) for line, row in self.rows]

    def wrong(self, line: int, column: str, value: str | None, message: str) -> InputProblem:
        """What is wrong in a cell."""
        shown = None if value is None else printable(value, 60)
        return InputProblem(self.name, f"{self.line_word} {line}: {column}", shown, message)


def is_spreadsheet(path: str | os.PathLike[str]) -> bool:
    """Whether a log is a spreadsheet, by the end of its name."""
    return os.fspath(path).casefold().endswith(SPREADSHEET)


def read_table(path: str | os.PathLike[str]) -> LogTable:
    """The cells of a log. Raises InputError where it is no such table or its columns are not known."""
    file = os.fspath(path)
    name = printable(file)
    if is_spreadsheet(path):
        word, found = "row", spreadsheet_rows(path, EXPECTED, LARGEST_LOG)
    else:
        hint = f"its first line names the columns: {','.join(COLUMNS)}"
        word, found = "line", _csv_rows(read_text(path, EXPECTED, LARGEST_LOG, hint), name)
    if not found:
        message = f"holds nothing but {'empty cells' if word == 'row' else 'commas'}: the first {word} must "
        raise InputError((InputProblem(name, "", None, f"{message}be {','.join(COLUMNS)}"),))
    header = [cell.strip() for cell in found[0][1]]
    columns = _columns(header, name, word)
    rows, problems = [], []
    for line, cells in found[1:]:
        if len(cells) > len(header):
            message = f"has {len(cells)} cells where the first {word} names {len(header)} columns"
            if word == "line":
                message += ": put text with commas in quotes, and write decimals with a point"
            problems.append(InputProblem(name, f"{word} {line}", None, message))
            continue
        padded = (*cells, *[""] * (len(header) - len(cells)))
        rows.append((line, tuple(cell.strip() for cell in padded)))
    return LogTable(file, word, columns, tuple(rows), tuple(problems))


def stated_kind(table: LogTable) -> LoadKind | None:
    """What a log says its loads are, by the rows that say so; None where none does.

    Raises InputError where a word is not known, or rows say both.
    """
    said: dict[LoadKind, int] = {}
    problems = []
    for line, cells in table.cells():
        cell = cells.get("load_is", "")
        if not cell:
            continue
        if plain(cell) == plain(STACKED):
            said.setdefault("stacked weight", line)
        elif plain(cell) == FORCE:
            said.setdefault("force", line)
        else:
            near = nearest(cell, LOAD_KINDS)
            hint = f"did you mean {near}? It" if near else "it"
            message = (
                f"is not known here: {hint} must be {STACKED} (what was stacked on the rig) or {FORCE} "
                "(what the joint bore)"
            )
            problems.append(table.wrong(line, "load_is", cell, message))
    if len(said) > 1:
        both = ", ".join(f"{kind} ({table.line_word} {line})" for kind, line in said.items())
        message = f"is mixed: {both}; keep weights and forces in logs of their own"
        problems.append(InputProblem(table.name, "load_is", None, message))
    if problems:
        raise InputError(tuple(problems))
    return next(iter(said), None)


def _csv_rows(text: str, name: str) -> list[tuple[int, list[str]]]:
    """Every line that is not blank with its number."""
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
    return rows


def _columns(header: Sequence[str], name: str, word: str) -> dict[str, int]:
    """Where each column stands. Raises InputError with every one that is missing, unknown or there twice."""
    places: dict[str, int] = {}
    problems = []
    for at, cell in enumerate(header):
        column = plain(cell).replace(" ", "_")
        if column in places:
            problems.append(InputProblem(name, f"{word} 1", printable(cell, 40), "is there twice"))
        elif column in KNOWN_COLUMNS:
            places[column] = at
        elif cell:
            near = nearest(cell, KNOWN_COLUMNS)
            hint = f"did you mean {near}? " if near else ""
            message = f"is not a column known here: {hint}The columns are {', '.join(KNOWN_COLUMNS)}"
            problems.append(InputProblem(name, f"{word} 1", printable(cell, 40), message))
    missing = [column for column in COLUMNS if column not in places]
    if missing:
        parted = ""
        if word == "line" and len(header) == 1 and len(missing) > 1:
            parted = "; its cells must be parted by commas"
        message = f"has no column {', '.join(missing)}: the first {word} must be {','.join(COLUMNS)}{parted}"
        raise InputError((InputProblem(name, f"{word} 1", None, message), *([] if parted else problems)))
    if problems:
        raise InputError(tuple(problems))
    return places
