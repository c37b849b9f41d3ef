"""Results in which every text is what a test wants, markup for one."""

from __future__ import annotations

import json
from typing import Any, TypeVar, get_args

from msgspec import convert

from glueline.studies.files.json_text import json_line
from glueline.studies.predict.answer import Reason
from glueline.studies.report.directory import Results
from glueline.studies.show.record import Record

CLOSED = {"metric", "imperial", "progressive", "elastic", "glue", "wood", "bond", "ok", "failed"}
CLOSED |= set(get_args(Reason))
"""Words of which only these are read: no other text gets to the page in their places."""


def hostile(value: Any, text: str) -> Any:
    """The same JSON with ``text`` behind every text that may be any."""
    if isinstance(value, dict):
        return {key: hostile(each, text) for key, each in value.items()}
    if isinstance(value, list):
        return [hostile(each, text) for each in value]
    return value + text if isinstance(value, str) and value not in CLOSED else value


Shape = TypeVar("Shape")


def hostile_struct(value: Shape, text: str) -> Shape:
    """The same with every text in it ending in ``text``."""
    return convert(hostile(json.loads(json_line(value)), text), type(value))


def spoiled(results: Results, text: str) -> Results:
    """Results in which every text of the answers, the record and the points ends in ``text``."""
    record = hostile(json.loads(json_line(results.record)), text)
    record["corners"][0]["specimen"]["boards"][text] = text
    record["versions"][text] = text
    return Results(
        results.command,
        tuple(hostile_struct(corner, text) for corner in results.corners),
        convert(record, Record),
        results.pictures,
        None if results.asked is None else hostile_struct(results.asked, text),
        tuple(hostile_struct(point, text) for point in results.points),
    )
