"""What the judged glue values leave open, in a maker's words."""

from __future__ import annotations

from collections.abc import Mapping

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.answer import Answer, JudgedRow

JUDGED_GLUE: Mapping[JudgedRow, str] = {
    "side_grain": "side-grain glue",
    "grain_45": "45 degree glue",
    "end_grain": "end-grain glue",
    "crossed": "glue between boards whose grain crosses",
    "withdrawal": "grip of the screws",
    "fittings": "grip of the fittings",
}
"""What each judged row of the glue table is called, and what bought fasteners grip by."""

BOUGHT: tuple[JudgedRow, ...] = ("withdrawal", "fittings")

HEAD = (
    "Judged glue values, the widest first: each row of the glue table is a judgement, and so is how far it "
    "can be believed. This is other than the band, which is the scatter between corners made alike."
)
BOUGHT_HEAD = (
    "How stiffly bought fasteners grip, and over what slip they let go, is a judgement, and so is how far it "
    "can be believed; it too is other than the band."
)
SAME = 0.02  # loads that differ by less are one: finer than that the ends are not known
NOT_BETTER = " Stronger does not carry more here: something else then gives first."


def range_words(answer: Answer, units: Units) -> list[str]:
    """The break loads at both ends of each judged row in sentences, the widest first; nothing without ranges.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> answer = predict(read_specimen(example_path("mitre")), method="elastic").answer
    >>> range_words(answer, "metric")[1].partition(":")[0]
    'If the 45 degree glue is at the weak end of what can be believed'
    """
    rows = sorted((answer.ranges or {}).items(), key=lambda each: -abs(each[1][1] - each[1][0]))
    heads = {BOUGHT_HEAD if row in BOUGHT else HEAD for row, _ in rows}
    words = []
    for row, (weak, strong) in rows:
        glue, load = JUDGED_GLUE[row], answer.break_load
        if max(abs(weak - load), abs(strong - load)) <= SAME * load:
            words.append(
                f"Whether the {glue} is weak or strong changes nothing: {format_force(load, units)}."
            )
            continue
        words.append(
            f"If the {glue} is at the weak end of what can be believed: {format_force(weak, units)}; at the "
            f"strong end: {format_force(strong, units)}.{NOT_BETTER if is_turned_round(answer, row) else ''}"
        )
    return [" ".join(head for head in (HEAD, BOUGHT_HEAD) if head in heads), *words] if words else []


def is_turned_round(answer: Answer, row: JudgedRow) -> bool:
    """Whether stronger glue of a row carries less, or weaker more, than the answer."""
    weak, strong = (answer.ranges or {})[row]
    return weak > (1 + SAME) * answer.break_load or strong < (1 - SAME) * answer.break_load
