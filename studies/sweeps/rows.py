"""A sweep's points as rows of one tidy table: varied keys as typed, then every number of the answer.

Wall-clock times are left out, so that the same sweep always writes the same bytes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Cell = str | int | float | bool | None

LEADING_COLUMNS = (
    "joint",
    "arrangement",
    "method",
    "break_load_N",
    "band_05_N",
    "band_95_N",
    "breaks_in",
    "where",
    "mode",
    "glue_load_N",
    "wood_load_N",
    "first_damage_load_N",
    "first_crack_load_N",
    "break_moment_Nm",
    "compliance_mm_per_N",
    "corner_stiffness_Nm_per_rad",
    "displacement_at_break_mm",
    "energy_at_break_J",
)
"""Columns that stand in every table, in this order, even where no answer fills them."""

PAIRS = {"band_N": ("band_05_N", "band_95_N")}
"""Pairs of an answer with the names of their two columns."""

LEFT_OUT = ("seconds",)
"""Parts of an answer that differ from run to run."""


@dataclass(frozen=True)
class Outcome:
    """What became of one point: its answer as JSON holds it, or the reason why there is none."""

    answer: Mapping[str, Any] | None
    error: str = ""

    @property
    def status(self) -> str:
        """``ok`` or ``failed``."""
        return "failed" if self.answer is None else "ok"


def flat(answer: Mapping[str, Any]) -> dict[str, Cell]:
    """An answer as one row: nested ones dotted, pairs of numbers as two cells, longer lists left out."""
    row: dict[str, Cell] = {}
    for key, value in answer.items():
        if key in LEFT_OUT:
            continue
        if key in PAIRS:
            row.update(zip(PAIRS[key], value if value is not None else (None, None), strict=True))
        elif isinstance(value, Mapping):
            row.update({f"{key}.{inner}": cell for inner, cell in flat(value).items()})
        elif isinstance(value, str | int | float | bool) or value is None:
            row[key] = value
        elif len(value) == 2 and all(isinstance(cell, int | float) for cell in value):
            row.update({f"{key}.low": value[0], f"{key}.high": value[1]})
    return row


def table(
    keys: Sequence[str], values: Sequence[Mapping[str, str]], outcomes: Mapping[int, Outcome]
) -> tuple[list[str], list[dict[str, Cell]]]:
    """Columns and rows of the points that are done, in the order of the points.

    ``keys`` are the varied ones, ``values`` those of each point by its number.
    """
    answers = {
        number: flat(outcome.answer)
        for number, outcome in sorted(outcomes.items())
        if outcome.answer is not None
    }
    further = {column: None for answer in answers.values() for column in answer}
    columns = list(dict.fromkeys([*keys, *LEADING_COLUMNS, *further, "status", "error"]))
    rows: list[dict[str, Cell]] = []
    for number, outcome in sorted(outcomes.items()):
        row: dict[str, Cell] = dict.fromkeys(columns)
        row.update(answers.get(number, {}))
        row.update({"status": outcome.status, "error": outcome.error or None})
        row.update({key: values[number].get(key) for key in keys})
        rows.append(row)
    return columns, rows


def csv_bytes(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> bytes:
    """The table as CSV (RFC 4180, UTF-8); numbers with every digit they have, nothing where there is none."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_written(row[column]) for column in columns])
    return text.getvalue().encode()


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    return repr(cell) if isinstance(cell, float) else str(cell)
