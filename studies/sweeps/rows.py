"""The finished points of a sweep, and the tidy table of them: varied keys as typed, then every number."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

from msgspec import UNSET, Struct, UnsetType, field, inspect, to_builtins

from glueline.studies.files.csv_text import harmless
from glueline.studies.files.json_text import Count
from glueline.studies.predict.answer import Answer
from glueline.studies.sweeps.worker import Computed, Status

Cell = str | int | float | bool | None

PAIRS = {"band_N": ("band_05_N", "band_95_N")}
"""Pairs of an answer with the names of their two columns."""


ONE_CELL = frozenset((str, int, float, bool, type(None)))
"""What stands in a cell as it is."""


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
        elif type(value) in ONE_CELL:
            row[key] = value
        elif isinstance(value, Mapping):
            row.update({f"{key}.{inner}": cell for inner, cell in flat(value).items()})
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


def cells_of(keys: Sequence[str], point: FinishedPoint) -> dict[str, Cell]:
    """What a point has to say by column, its longer lists left out; ``keys`` are the varied ones."""
    cells = _flat_answer(point)
    for column in _list_columns():
        cells.pop(column, None)
    return {**cells, **_beside_answer(keys, point)}


def table(keys: Sequence[str], points: Iterable[FinishedPoint]) -> tuple[list[str], list[dict[str, Cell]]]:
    """Columns and rows of the finished points in their order; ``keys`` are the varied ones."""
    found = [(point.number, _flat_answer(point), _beside_answer(keys, point)) for point in points]
    found.sort(key=lambda each: each[0])
    lists = _list_columns()
    further = [column for _, answer, _ in found for column in answer if column not in lists]
    columns = list(dict.fromkeys([*keys, *standing_columns(), *further, "status", "error"]))
    return columns, [{**dict.fromkeys(columns), **answer, **beside} for _, answer, beside in found]


def _flat_answer(point: FinishedPoint) -> dict[str, Cell]:
    return {} if point.answer is None else flat(to_builtins(point.answer))


def _beside_answer(keys: Sequence[str], point: FinishedPoint) -> dict[str, Cell]:
    beside: dict[str, Cell] = {"status": point.status, "error": point.error or None}
    return {**beside, **{key: point.values.get(key) for key in keys}}


@cache
def _list_columns() -> frozenset[str]:
    return frozenset(key for key, kind in _first_kinds().items() if isinstance(kind, inspect.VarTupleType))


def csv_bytes(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> bytes:
    """The table as CSV (RFC 4180, UTF-8); numbers with every digit they have, nothing where there is none.

    No text is taken for a formula by a spreadsheet.
    """
    lines = [csv_line([csv_cell(column) for column in columns])]
    lines += [csv_line([csv_cell(row[column]) for column in columns]) for row in rows]
    return "".join(lines).encode()


def csv_line(cells: Sequence[str]) -> str:
    """One line of such a table, with its end."""
    text = io.StringIO()
    csv.writer(text).writerow(cells)
    return text.getvalue()


def csv_cell(cell: Cell) -> str:
    """What such a table writes for a value."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(cell).lower()  # as JSON writes it
    return harmless(cell) if isinstance(cell, str) else repr(cell)
