"""The table of a sweep as its points come: every row is written as text once, and kept as that."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from glueline.studies.sweeps.rows import FinishedPoint, cells_of, csv_cell, csv_line, standing_columns

LAST = ("status", "error")


class GrowingTable:
    """Rows of finished points by number; ``keys`` are the varied ones.

    >>> grown = GrowingTable(["joint.fingers"])
    >>> grown.add(
    ...     FinishedPoint(number=0, values={"joint.fingers": "9"}, status="failed", error="x", answer=None)
    ... )
    >>> header, row, _ = grown.content([0]).decode().split("\\r\\n")
    >>> header[:28], row[0], row[-8:]
    ('joint.fingers,joint,arrangem', '9', 'failed,x')
    """

    def __init__(self, keys: Sequence[str]) -> None:
        self._keys = tuple(keys)
        self._first = tuple(dict.fromkeys([*keys, *standing_columns()]))
        self._columns: dict[tuple[str, ...], tuple[str, ...]] = {}
        self._rows: dict[int, tuple[tuple[str, ...], str]] = {}

    def add(self, point: FinishedPoint) -> None:
        """Write the row of a point, in columns of its own."""
        cells = cells_of(self._keys, point)
        columns = self._columns.setdefault(tuple(cells), ())
        if not columns:
            further = (name for name in cells if name not in LAST)
            columns = self._columns[tuple(cells)] = tuple(dict.fromkeys([*self._first, *further, *LAST]))
        self._rows[point.number] = columns, csv_line([csv_cell(cells.get(name)) for name in columns])

    def content(self, numbers: Iterable[int]) -> bytes:
        """The bytes that ``csv_bytes`` makes of the table of these points."""
        rows = [self._rows[number] for number in sorted(numbers)]
        kinds = dict.fromkeys(columns for columns, _ in rows)
        columns = tuple(
            dict.fromkeys([*self._first, *(name for kind in kinds for name in kind[: -len(LAST)]), *LAST])
        )
        places = {kind: [kind.index(name) if name in kind else None for name in columns] for kind in kinds}
        lines = [csv_line([csv_cell(name) for name in columns])]
        for kind, line in rows:
            lines.append(line if kind == columns else _rearranged(line, places[kind]))
        return "".join(lines).encode()


def _rearranged(line: str, places: Sequence[int | None]) -> str:
    """A row with its cells at other places, nothing where a place is None."""
    [cells] = csv.reader(io.StringIO(line, newline=""))
    return csv_line(["" if place is None else cells[place] for place in places])
