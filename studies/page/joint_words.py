"""A joint's own measures as phrases of the sentence, from what the table of joints says of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from glueline.geometries.joint_kind import JointKind
from glueline.studies.page.asked import EITHER, Asked, asked_of, joint_asked
from glueline.studies.page.choices import article
from glueline.studies.page.parts import Part, Phrase, Writer
from glueline.studies.page.read_parts import ReadParts
from glueline.studies.page.texts import taken_text

COUNTED = ("number of ", "count of ")
"""How labels of counts begin."""
NO_PLAIN_S = ("xes", "ches", "shes", "sses", "ies")
"""Ends of nouns that are not their singular and an s."""


def measure_phrases(write: Writer, kind: JointKind, joint: Mapping[str, Any]) -> list[Phrase]:
    """What is stated of a joint, and what must be and is not.

    Of two measures that exclude each other the first is asked for where neither is there.
    """
    phrases = []
    asked = joint_asked(kind)
    for place, (name, each) in enumerate(asked.items()):
        other = None if each.other is None else each.other.partition(".")[2]
        excluded = other is not None and (other in joint or list(asked).index(other) < place)
        if name in joint or (each.required and not excluded):
            phrases.append(phrase(each, write.word(each, joint.get(name)), joint.get(name)))
    return phrases


def usual_phrases(write: Writer, kind: JointKind, read: ReadParts, joint: Mapping[str, Any]) -> list[Phrase]:
    """What is left to common practice with the value taken, and which of two measures is given."""
    asked = joint_asked(kind)
    taken = read.taken
    void = {each.voids for name, each in asked.items() if joint.get(name) is True}
    phrases: list[Phrase] = [*_of_two(write, kind, asked, joint)]
    for name, each in asked.items():
        if name in joint or each.required or each.other is not None or name in void:
            continue
        if name in taken:
            text = taken_text(taken[name], each, write.units)
            value = taken[name].as_typed
        else:
            text, value = _usual_text(each), None
        phrases.append(phrase(each, write.word(each, value, text, optional=True), value))
    return phrases


def _usual_text(asked: Asked) -> str:
    """What stands for a measure that is left out where nothing can be taken for it now."""
    if asked.kind == "wood name":
        return "the boards' wood"
    if asked.shape == "yes or no":
        return f"{asked.label} as usual"
    return {"count": "the usual", "choice": "the usual one"}.get(asked.shape, "the usual size")


def _of_two(
    write: Writer, kind: JointKind, asked: Mapping[str, Asked], joint: Mapping[str, Any]
) -> Iterator[Phrase]:
    names = list(asked)
    for name, each in asked.items():
        other = None if each.other is None else each.other.partition(".")[2]
        if other is None or names.index(other) < names.index(name):
            continue
        both = asked_of(f"{each.key}{EITHER}{each.other}", kind)
        if both is not None:
            given = asked[other] if other in joint else each
            yield ["told by its ", write.word(both, given.key, given.label, optional=True)]


def phrase(asked: Asked, word: Part, value: Any) -> Phrase:
    """A measure as one says it, by its label: ``9 fingers``, ``a dowel depth of 30 mm``, ``no haunch``."""
    if asked.shape == "yes or no":
        return [word]
    if asked.shape == "count":
        begun = next((each for each in COUNTED if asked.label.startswith(each)), None)
        if begun is not None and not (value == 1 and asked.label.endswith(NO_PLAIN_S)):
            noun = asked.label.removeprefix(begun)
            return [word, f" {noun.removesuffix('s') if value == 1 else noun}"]
    if asked.shape == "choice":
        return [word, f" as the {asked.label}"]
    return [f"{article(asked.label)} {asked.label} of ", word]
