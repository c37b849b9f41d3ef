"""The finished points of a sweep, and the tidy table of them: varied keys as typed, then every number."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec import UNSET, Struct, UnsetType, field, inspect, to_builtins

from glueline.studies.files.csv_text import harmless
from glueline.studies.files.json_text import Count
from glueline.studies.predict.answer import Answer
from glueline.studies.sweeps.worker import Computed, Status

Cell = str | int | float | bool | None

PAIRS = {"band_N": ("band_05_N", "band_95_N")}
"""Pairs of an answer with the names of their two columns."""


class FinishedPoint(Struct, frozen=True, kw_only=True):
    """One finished point of a sweep, a line of its journal: varied keys as typed, and what came of it."""

    number: Count = field(name="point")
    values: dict[str, str]
    status: Status
    error: str
    answer: Answer | None
    details: str | UnsetType = UNSET


def finished(number: int, values: Mapping[str, str], computed: Computed) -> FinishedPoint:
    """The point of that number, with what came of it."""
    return FinishedPoint(
        number=number,
        values=dict(values),
        status=computed.status,
        error=computed.error,
        answer=computed.answer,
        details=computed.details or UNSET,
    )


def flat(answer: Mapping[str, Any]) -> dict[str, Cell]:
    """One row of JSON: nested ones dotted, pairs of loads as two cells, longer lists left out."""
    row: dict[str, Cell] = {}
    for key, value in answer.items():
        if key in PAIRS:
            row.update(zip(PAIRS[key], value if value is not None else (None, None), strict=True))
        elif isinstance(value, Mapping):
            row.update({f"{key}.{inner}": cell for inner, cell in flat(value).items()})
        elif isinstance(value, str | int | float | bool) or value is None:
            row[key] = value
        elif len(value) == 2 and all(isinstance(cell, int | float) for cell in value):
            row.update({f"{key}.low_N": value[0], f"{key}.high_N": value[1]})
    return row


PLAIN = inspect.StrType | inspect.FloatType | inspect.BoolType | inspect.LiteralType


def standing_columns() -> list[str]:
    """Columns of every table, filled by an answer or not: its plain values and its pairs."""
    columns: list[str] = []
    for key, kind in _first_kinds().items():
        if key in PAIRS:
            columns += PAIRS[key]
        elif isinstance(kind, PLAIN):
            columns.append(key)
    return columns


def _first_kinds() -> dict[str, inspect.Type]:
    """The type of every key of an answer; of those that may be null the other one."""
    shape = inspect.type_info(Answer)
    assert isinstance(shape, inspect.StructType)
    return {
        each.encode_name: each.type.types[0] if isinstance(each.type, inspect.UnionType) else each.type
        for each in shape.fields
    }


def table(keys: Sequence[str], points: Iterable[FinishedPoint]) -> tuple[list[str], list[dict[str, Cell]]]:
    """Columns and rows of the finished points in their order; ``keys`` are the varied ones."""
    points = sorted(points, key=lambda point: point.number)
    answers = [{} if point.answer is None else flat(to_builtins(point.answer)) for point in points]
    lists = {key for key, kind in _first_kinds().items() if isinstance(kind, inspect.VarTupleType)}
    further = [column for answer in answers for column in answer if column not in lists]
    columns = list(dict.fromkeys([*keys, *standing_columns(), *further, "status", "error"]))
    rows: list[dict[str, Cell]] = []
    for point, answer in zip(points, answers, strict=True):
        row: dict[str, Cell] = dict.fromkeys(columns)
        row.update(answer)
        row.update({"status": point.status, "error": point.error or None})
        row.update({key: point.values.get(key) for key in keys})
        rows.append(row)
    return columns, rows


def csv_bytes(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> bytes:
    """The table as CSV (RFC 4180, UTF-8); numbers with every digit they have, nothing where there is none.

    No text is taken for a formula by a spreadsheet.
    """
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow([harmless(column) for column in columns])
    for row in rows:
        writer.writerow([_written(row[column]) for column in columns])
    return text.getvalue().encode()


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(cell).lower()  # as JSON writes it
    return harmless(cell) if isinstance(cell, str) else repr(cell)
