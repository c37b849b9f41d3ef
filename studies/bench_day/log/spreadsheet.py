"""The cells of a spreadsheet (XLSX) as text. Nothing in it is ever computed: a formula is its own text."""

from __future__ import annotations

import io
import os
import zipfile
from datetime import date, datetime, time
from typing import Any

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import printable, read_plain

LARGEST_UNPACKED = 200_000_000
"""Bytes that a spreadsheet may unpack to; a log of a hundred thousand rows takes a tenth."""

MOST_COLUMNS = 200
DECLARATIONS = (b"<!DOCTYPE", b"<!ENTITY")
"""What no spreadsheet program writes, and what can make a small file unfold without end."""


def spreadsheet_rows(
    path: str | os.PathLike[str], expected: str, largest: int
) -> list[tuple[int, list[str]]]:
    """Every row of the first sheet that is not blank with its number, cells as text.

    ``expected`` says in words what the file should be, ``largest`` is in bytes. Raises InputError for
    whatever keeps it from being read, and nothing else.
    """
    try:
        content = read_plain(path, expected, largest)
    except FileNotFoundError:
        raise _refused(path, "no such file") from None
    except PermissionError:
        raise _refused(path, "cannot be read: no permission") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refused(path, f"cannot be read: {reason}") from None
    try:
        if not _is_harmless(content):
            raise _refused(path, "unpacks to more than a log can hold; save the log alone in a new workbook")
        return _rows(content)
    except InputError:
        raise
    except Exception:  # a damaged file fails anywhere inside the library, each place in a way of its own
        message = "is not a spreadsheet that can be read; save it as XLSX once more, or as CSV"
        raise _refused(path, message) from None


def _is_harmless(content: bytes) -> bool:
    """Whether a workbook stays small when it is unpacked."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        if sum(each.file_size for each in packed.infolist()) > LARGEST_UNPACKED:
            return False
        parts = (packed.read(each) for each in packed.infolist() if each.filename.endswith((".xml", ".rels")))
        return not any(word in part for part in parts for word in DECLARATIONS)


def _rows(content: bytes) -> list[tuple[int, list[str]]]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
    try:
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what the file says of its own size need not be so
        rows = []
        for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), 1):
            texts = [_text(cell) for cell in cells]
            while texts and not texts[-1].strip():
                texts.pop()
            if texts:
                rows.append((number, texts))
        return rows
    finally:
        book.close()


def _text(cell: Any) -> str:
    """A cell as it would be typed; a formula as its own text, which begins with =."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, float):
        return f"{cell:.15g}"
    if isinstance(cell, datetime):
        return cell.isoformat(" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    if isinstance(cell, str | int):
        return str(cell)
    return f"={getattr(cell, 'text', '')}"  # an array formula or a data table, which come as objects


def _refused(path: str | os.PathLike[str], message: str) -> InputError:
    return InputError((InputProblem(printable(os.fspath(path)), "", None, message),))
