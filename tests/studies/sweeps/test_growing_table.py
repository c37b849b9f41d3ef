"""The table of a sweep that grows point by point is that of all points at once, and takes little room."""

from __future__ import annotations

import random
import tracemalloc
from pathlib import Path

from glueline.studies.files.json_text import json_line
from glueline.studies.sweeps.growing_table import GrowingTable
from glueline.studies.sweeps.journal import Journal
from glueline.studies.sweeps.rows import FinishedPoint, csv_bytes, finished, table
from glueline.studies.sweeps.worker import Computed
from tests.studies.made_up_answers import made_up

KEYS = ("joint.fingers", "boards.wood")


def made_up_points(number: int) -> list[FinishedPoint]:
    """Points with columns that others have not, texts that need quotes, and some without an answer."""
    points = []
    for each in range(number):
        values = {"joint.fingers": str(each), **({} if each % 5 else {"boards.wood": 'red "oak",\nwet'})}
        share = {f"face {each % 3}": 1.0, "\ttab": 0.0}
        answer = made_up(100.0 + each, moment_share=share, where='=middle, "of"\r\nit')
        computed = Computed(answer) if each % 4 else Computed(None, "it fails,\nas it must")
        points.append(finished(each, values, computed))
    return points


def test_points_in_any_order_make_the_table_of_all() -> None:
    points = made_up_points(30)
    plain = csv_bytes(*table(KEYS, points))
    mixed = random.Random(1).sample(points, len(points))
    grown = GrowingTable(KEYS)
    for point in mixed:
        grown.add(point)
    assert grown.content(range(30)) == plain
    assert grown.content([7, 3]) == csv_bytes(*table(KEYS, [points[7], points[3]]))


def test_the_journal_reads_back_what_was_added_and_keeps_little_of_it(tmp_path: Path) -> None:
    answer = made_up(100.0, warnings=tuple(f"{'long ' * 200}{number}" for number in range(10)))
    journal = Journal(tmp_path / "points.jsonl", [{"joint.fingers": str(each)} for each in range(100)])
    tracemalloc.start()
    try:
        for number in reversed(range(100)):
            point = finished(number, {"joint.fingers": str(number)}, Computed(answer))
            journal.add(point, json_line(point))
        kept, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert journal.size > 100 * 10_000
    assert kept < 100 * 3_000
    assert not journal.is_in_order()
    journal.put_in_order()
    assert journal.is_in_order()
    assert next(iter(journal.values())).number == 99
    assert all(journal[number].answer == answer for number in range(100))
    journal.close()
    again = Journal(tmp_path / "points.jsonl", [{"joint.fingers": str(each)} for each in range(100)])
    assert [point.number for point in again.read()] == list(range(100))
    again.close()
