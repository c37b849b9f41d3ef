"""Tables for spreadsheets (CSV, UTF-8), of which no cell is taken for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(rows: Iterable[Iterable[object]]) -> bytes:
    """Rows of cells as CSV (RFC 4180, UTF-8); numbers with every digit they have, nothing for None."""
    text = io.StringIO()
    csv.writer(text).writerows(["" if cell is None else harmless(str(cell)) for cell in row] for row in rows)
    return text.getvalue().encode()


def harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: one that looks like it gets a leading apostrophe."""
    return f"'{cell}" if cell.startswith(FORMULA_SIGNS) else cell


def without_mark(cell: str) -> str:
    """A cell as it was meant, without the apostrophe that ``harmless`` puts before it."""
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(FORMULA_SIGNS) else cell
