"""Kept corners side by side: their order, and which orders are not claimed, from their answers alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from glueline.studies.files.display import words_in_units
from glueline.studies.files.json_text import json_line, read_json
from glueline.studies.files.units import Units
from glueline.studies.page.questions import Kept
from glueline.studies.predict.answer import Answer
from glueline.studies.rank.range_orders import range_order_words
from glueline.studies.rank.rank_table import rank_columns
from glueline.studies.rank.ranking import (
    RankedCorner,
    comparison_notes,
    ranked_corner,
    scatter_words,
    strongest_first,
)


def rank_kept(kept: Sequence[Kept], units: Units) -> dict[str, Any]:
    """Order, rows and claims of kept corners, as ``glueline rank`` has them.

    Raises Damaged (a ValueError) where an answer is none.

    >>> rank_kept([], "metric")
    {'answer': 'rank', 'order': [], 'rows': [], 'claims': []}
    """
    corners = [
        ranked_corner(label, "", read_json(json_line(each.answer), Answer), each.glue or label)
        for label, each in zip(_labels(kept), kept, strict=True)
    ]
    ranked = strongest_first(corners)
    order = [next(at for at, each in enumerate(corners) if each is corner) for corner in ranked]
    return {
        "answer": "rank",
        "order": order,
        "rows": [
            {"index": index, "name": kept[index].name, **row}
            for index, row in zip(order, _rows(ranked, units), strict=True)
        ],
        "claims": _claims(corners, units),
    }


def _rows(ranked: Sequence[RankedCorner], units: Units) -> list[dict[str, str]]:
    if not ranked:
        return []
    columns = rank_columns(ranked, units)
    band = next(heading for heading in columns if heading.startswith("band"))
    shown = {"load": "break load", "band": band, "breaks": "what breaks", "where": "where"}
    return [{name: columns[heading][row] for name, heading in shown.items()} for row in range(len(ranked))]


def _claims(corners: Sequence[RankedCorner], units: Units) -> list[str]:
    """What can be said of the differences; a corner whose glue is not told is judged as one of its own."""
    if len(corners) < 2:
        return []
    claims = (*scatter_words(corners), *range_order_words(corners), *comparison_notes(corners))
    return [words_in_units(claim, units) for claim in claims]


def _labels(kept: Sequence[Kept]) -> list[str]:
    """Their names, no two alike."""
    labels: list[str] = []
    for each in kept:
        plain = " ".join(each.name.split()) or "corner"
        label, number = plain, 1
        while label in labels:
            number += 1
            label = f"{plain} ({number})"
        labels.append(label)
    return labels
