"""Whether a table to fill in has been filled in, so that a new plan never takes the place of measurements."""

from __future__ import annotations

import csv
import io
import os
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from glueline.materials.names import plain
from glueline.studies.bench_day.log.log_table import (
    COLUMNS,
    EXPECTED,
    KNOWN_COLUMNS,
    LARGEST_LOG,
    is_spreadsheet,
)
from glueline.studies.bench_day.log.spreadsheet import spreadsheet_rows
from glueline.studies.files.csv_text import without_mark
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import printable, read_plain
from glueline.studies.files.words import counted

PLANNED = ("specimen", "label", "unit", "load_is", "steps")
"""Columns that the plan fills itself; in ``notes`` it writes only the specimen's name."""
FURTHER = "a further column"


def refuse_filled(log: Path, out: str | os.PathLike[str]) -> None:
    """Raises InputError where a plan written to ``out`` would lose what stands in its table ``log``.

    Nothing is lost with a table that is as the plan wrote it, or empty. One that cannot be read as such a
    table may hold anything, and is kept.
    """
    if not os.path.lexists(log):
        return
    if not os.path.isfile(log):
        raise _refused(log, out, "is not a plain file")
    try:
        filled, rows = _filled(_rows(log))
    except InputError as error:
        raise _refused(log, out, error.problems[0].message) from None
    except OSError as error:
        raise _refused(log, out, f"cannot be read: {error.strerror or error}") from None
    except ValueError as error:
        raise _refused(log, out, f"may hold measurements: {error}") from None
    if filled:
        names = [name for name in (*KNOWN_COLUMNS, FURTHER) if name in filled]
        raise _refused(log, out, f"has been filled in ({', '.join(names)} in {counted(rows, 'row')})")


def _refused(log: Path, out: str | os.PathLike[str], why: str) -> InputError:
    message = (
        f"its {log.name} {why}, and a new plan would take its place: give another --out, or move that file"
    )
    return InputError((InputProblem("command line", "--out", printable(os.fspath(out), 200), message),))


def _rows(log: Path) -> list[list[str]]:
    """The cells of every row. Raises ValueError, InputError or OSError where it cannot be read."""
    if is_spreadsheet(log):
        return [cells for _, cells in spreadsheet_rows(log, EXPECTED, LARGEST_LOG)]
    text = read_plain(log, "a table to fill in", LARGEST_LOG).decode("utf-8-sig")
    try:
        return list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error:
        raise ValueError("it is no CSV any more") from None


def _filled(rows: list[list[str]]) -> tuple[Counter[str], int]:
    """In how many rows each column holds more than the plan writes, and in how many rows any does.

    Raises ValueError where the cells are not those of such a table.
    """
    rows = [row for row in rows if any(cell.strip() for cell in row)]
    if not rows:
        return Counter(), 0
    columns = [plain(cell).replace(" ", "_") for cell in rows[0]]
    if not {*COLUMNS, "cracked"} <= set(columns):
        raise ValueError("its first line does not name the columns a plan writes")
    filled = [_filled_columns(columns, row) for row in rows[1:]]
    return Counter(name for names in filled for name in names), sum(map(bool, filled))


def _filled_columns(columns: Sequence[str], row: Sequence[str]) -> set[str]:
    """The columns of one row that hold what the plan does not write."""
    cells = list(zip([*columns, *[""] * (len(row) - len(columns))], row, strict=False))
    label = _words(next((cell for column, cell in cells if column == "label"), ""))
    filled = set()
    for column, cell in cells:
        written = _words(cell)
        if not written or column in PLANNED or (column == "notes" and _is_name(written, label)):
            continue
        filled.add(column if column in KNOWN_COLUMNS else FURTHER)
    return filled


def _is_name(note: str, label: str) -> bool:
    """Whether a note is the name of a specimen and no more: its label and a number."""
    start, _, number = note.rpartition(" ")
    return start == label and number.isdecimal()


def _words(cell: str) -> str:
    """A cell's words without the mark that keeps a spreadsheet from taking it for a formula."""
    return without_mark(" ".join(cell.split()))
