"""What is said aloud of a sweep: of its strongest and weakest point, and of the earliest to give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from glueline.studies.files.units import Units
from glueline.studies.files.words import all_of
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.said_aloud import force_down, sentences_aloud, stand_clear_from, words_aloud
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.sweep_words import varied_words

STRONGEST, WEAKEST, EARLIEST = "strongest", "weakest", "earliest to stand clear of"


class SaidPoint(NamedTuple):
    """A point that is spoken of: what it is among all of them, its varied values as typed, its answer."""

    role: str
    values: Mapping[str, str]
    answer: Answer


def spoken_points(points: Sequence[FinishedPoint]) -> list[SaidPoint]:
    """The strongest and the weakest point by break load, of those with an answer; one where they are one.

    A third follows where at it something may give at a lower load than at both.
    """
    answered = [(point, point.answer) for point in points if point.answer is not None]
    if not answered:
        return []
    strongest = max(answered, key=lambda each: each[1].break_load)
    weakest = min(answered, key=lambda each: each[1].break_load)
    earliest = min(answered, key=lambda each: stand_clear_from(each[1])[0])
    chosen = [(STRONGEST, strongest)]
    if weakest[0] is not strongest[0]:
        chosen.append((WEAKEST, weakest))
    if stand_clear_from(earliest[1])[0] < min(stand_clear_from(each[1])[0] for _, each in chosen):
        chosen.append((EARLIEST, earliest))
    return [SaidPoint(role, point.values, answer) for role, (point, answer) in chosen]


def said_of_sweep(points: Sequence[FinishedPoint], units: Units) -> list[str]:
    """The sentence of each of those points, then what holds for them all; nothing without an answer."""
    spoken = spoken_points(points)
    if not spoken:
        return []
    if len(spoken) == 1:
        return words_aloud(spoken[0].answer, units)
    labelled = [(f"{each.role}, {varied_words(each.values)}", each.answer) for each in spoken]
    return sentences_aloud(labelled, units)


def stand_clear_words(points: Sequence[FinishedPoint], units: Units) -> str:
    """The loads to stand clear from in one short sentence, for a picture."""
    spoken = spoken_points(points)
    loads = [force_down(stand_clear_from(each.answer)[0], units) for each in spoken]
    if len(spoken) == 1:
        return f"Stand clear from {loads[0]} (force on the joint)."
    told = [
        f"{load} at the {each.role} ({', '.join(each.values.values())})"
        for load, each in zip(loads, spoken, strict=True)
    ]
    return f"Stand clear from {all_of(told)}; forces on the joint."
