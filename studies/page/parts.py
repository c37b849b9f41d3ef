"""The parts of a sentence: text, and words that can be edited, as the page is told of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from glueline.studies.files.display import words_in_units
from glueline.studies.files.units import IMPERIAL_LENGTHS, LENGTH, Units
from glueline.studies.page.asked import Asked
from glueline.studies.page.choices import Choice
from glueline.studies.page.texts import standing_unit, word_text

Part = dict[str, Any]
Phrase = Sequence["str | Part"]
"""Text and words that stand together."""
TO_BE_GIVEN = "to be given"
UNITS_SAID = {"in": "inches", '"': "inches", "ft": "feet", "deg": "degrees"}


@dataclass
class Writer:
    """Writes words of one corner: what is ``wrong`` by its key, in what ``units``."""

    units: Units
    wrong: Mapping[str, str]
    keys: set[str] = field(default_factory=set)

    def word(self, asked: Asked, value: Any, text: str | None = None, optional: bool = False) -> Part:
        """The word of a key that holds a ``value``; ``text`` is how it is said, where not by the value."""
        self.keys.add(asked.key)
        said = text or (TO_BE_GIVEN if value is None else word_text(asked, value, self.units))
        return {
            "key": asked.key,
            "text": said,
            "shape": asked.shape,
            "label": asked.label,
            "choices": self._choices(asked) or None,
            "wrong": self.wrong.get(asked.key),
            "optional": optional,
            "note": self._note(asked, value),
        }

    def _choices(self, asked: Asked) -> list[dict[str, str]]:
        choices = list(asked.choices)
        if choices and not asked.required and asked.shape == "choice" and asked.usual is not None:
            choices.insert(0, Choice("", "left out", f"then {asked.usual}"))
        return [{"value": each.value, "text": each.text, "note": each.note} for each in choices]

    def _note(self, asked: Asked, value: Any) -> str:
        """What it is, what stands in its place, and how a number alone is read."""
        notes = [asked.words]
        if asked.usual is not None:
            notes.append(f"left out: {words_in_units(asked.usual, self.units)}")
        unit = standing_unit(asked, value, self.units)
        if unit is not None:
            whole = asked.quantity == LENGTH and unit not in IMPERIAL_LENGTHS
            number = "a number alone, but no fraction," if whole else "a number alone"
            notes.append(f"{number} is read in {UNITS_SAID.get(unit, unit)}")
        return "; ".join(notes)


def joined(phrases: Iterable[Phrase], between: str = ", ", last: str = ", ") -> list[str | Part]:
    """Phrases one after the other, with text between them.

    >>> joined([["9", " fingers"], ["a haunch"], ["walnut"]], ", ", " and ")
    ['9', ' fingers', ', ', 'a haunch', ' and ', 'walnut']
    """
    listed = list(phrases)
    found: list[str | Part] = []
    for place, phrase in enumerate(listed):
        if place:
            found.append(last if place == len(listed) - 1 else between)
        found += phrase
    return found


def as_parts(pieces: Iterable[str | Part], optional: bool = False) -> list[Part]:
    """Pieces as parts; text that stands side by side is one part, and that of optional words says so."""
    parts: list[Part] = []
    for piece in pieces:
        if not isinstance(piece, str):
            parts.append(piece)
        elif parts and "key" not in parts[-1]:
            parts[-1]["text"] += piece
        elif piece:
            parts.append({"text": piece, **({"optional": True} if optional else {})})
    return parts
