"""What the page says of an answer: the sentence aloud, the loads, what breaks and where, and the caution."""

from __future__ import annotations

from typing import Any

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.display import format_force, words_in_units
from glueline.studies.files.json_text import json_line, read_json
from glueline.studies.files.units import Units
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.said_aloud import OnRig, five_loads, weight_down, words_aloud
from glueline.studies.show.range_words import JUDGED_GLUE, range_words
from glueline.studies.show.tables import band_words, shown_load, story_words


def headline(answer: Answer, units: Units, rig: OnRig | None = None) -> dict[str, Any]:
    """An answer in words and texts, loads as forces on the joint; what is said aloud in weights on a rig.

    ``answer`` in it is the object of ``predict --json``. ``ranges`` has the break loads with each judged row
    at its weak (``low_text``) and strong end, the widest first, which stand so in ``range_words`` too: where
    stronger glue carries less, the first is the larger. With a rig each load has its weight, ``stacked``.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> told = headline(predict(read_specimen(example_path("butt")), method="elastic").answer, "metric")
    >>> told["breaks_in"], told["where"], told["band_text"] is None
    ('glue', 'outside end of the butt face', True)
    """
    aloud, *further = words_aloud(answer, units, rig)
    scatter = [] if answer.scatter is None else [f"Scatter. {answer.scatter.note}"]
    notes = [words_in_units(note, units) for note in (*answer.notes, *answer.warnings, *scatter)]
    return {
        "answer": read_json(json_line(answer), dict[str, Any]),
        "aloud": aloud,
        "loads": [_load(name, load, use, units, rig) for name, load, use in five_loads(answer)],
        "break_text": format_force(answer.break_load, units),
        "band_text": None if answer.band is None else band_words(answer.band, units),
        "breaks_in": answer.breaks_in,
        "where": answer.where,
        "mode": answer.mode,
        "why": words_in_units(answer.why, units),
        "notes": [*further, *story_words(answer, units), *notes],
        "ranges": _ranges(answer, units),
        "range_words": range_words(answer, units),
        "caution": CAUTIONS,
    }


def _load(
    name: str, load: float | None, purpose: str, units: Units, rig: OnRig | None
) -> dict[str, str | None]:
    told: dict[str, str | None] = {"name": name, "text": shown_load(load, units), "for": purpose}
    if rig is not None:
        told["stacked"] = None if load is None else weight_down(rig.weight(load), units)
    return told


def _ranges(answer: Answer, units: Units) -> list[dict[str, str]] | None:
    if answer.ranges is None:
        return None
    rows = sorted(answer.ranges.items(), key=lambda each: -abs(each[1][1] - each[1][0]))
    return [
        {
            "row": JUDGED_GLUE[row],
            "low_text": format_force(weak, units),
            "high_text": format_force(strong, units),
        }
        for row, (weak, strong) in rows
    ]
