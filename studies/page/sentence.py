"""A corner as a sentence that a maker reads aloud, of which every word of weight can be edited in place.

What is stated stands in the first sentence; what is left to common practice or is as usual in a second one,
of optional words. A joint's measures come from the table of joints.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from glueline.geometries.joint_kind import JointKind
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.named_materials import DEFAULT_GLUE
from glueline.studies.files.key_changes import SURFACES, surface_named
from glueline.studies.files.plain_files import printable
from glueline.studies.files.units import Units
from glueline.studies.page.asked import OWN_SURFACES, Asked, asked_of
from glueline.studies.page.choices import Choice, article
from glueline.studies.page.command_text import command_for
from glueline.studies.page.edits import edited
from glueline.studies.page.joint_words import measure_phrases, usual_phrases
from glueline.studies.page.parts import Part, Phrase, Writer, as_parts, joined
from glueline.studies.page.read_parts import ReadParts, as_tables, read_parts, table_of
from glueline.studies.page.texts import word_text, written
from glueline.studies.page.wrong import read_corner

USUAL: Mapping[str, str] = {
    "boards.sawn": "flat",
    "boards.moisture": "12 %",
    "glue.quality": "100 %",
    "glue.gap": "0 mm",
    "glue.coverage": "100 %",
    "glue.end_grain": "plain",
}
"""What is not worth a word of the first sentence."""
ROUND: Mapping[str, tuple[str, str]] = {
    "boards.sawn": ("", ""),
    "boards.moisture": ("at ", " moisture"),
    "glue.quality": ("glue of ", " quality"),
    "glue.gap": ("a gap of ", ""),
    "glue.coverage": ("glue on ", " of the surfaces"),
    "glue.end_grain": ("", ""),
    "boards.thickness_b": ("board B ", " thick"),
    "boards.wood_b": ("board B of ", ""),
}
"""What stands before and behind a word."""
OF_BOARDS = ("boards.thickness_b", "boards.wood_b", "boards.sawn", "boards.moisture")
OF_GLUE = ("glue.quality", "glue.gap", "glue.coverage", "glue.end_grain")
LEFT_OUT = {"boards.thickness_b": "equally", "boards.wood_b": "the same wood"}


def read_sentence(
    corner: Mapping[str, Any], units: Units, edit: Mapping[str, str] | None = None, file: str | None = None
) -> dict[str, Any]:
    """The sentence of a corner after an edit, with all that is wrong, and the command of the same answer.

    ``edit`` has the ``key`` of a word and the ``value`` typed or chosen there; it is kept even where it is
    wrong. ``file`` is the specimen file that the corner came from, if it came from one. Raises nothing.

    >>> from glueline.geometries import JOINTS
    >>> from glueline.studies.corner.new_corner import usual_corner
    >>> usual = usual_corner(JOINTS["finger"], "metric")
    >>> read_sentence(usual, "metric", {"key": "joint.fingers", "value": "9"})["plain"]
    'A finger corner of hard maple, boards 19 mm thick ... with 9 fingers, glued with white glue; ...'
    """
    wrong: list[tuple[str, str]] = []
    tables = as_tables(corner)
    if edit is not None:
        done = edited(tables, units, str(edit.get("key", "")), str(edit.get("value", "")))
        tables, units, wrong = done.corner, done.units, [*done.wrong]
    specimen, found = read_corner(tables)
    if specimen is not None:
        tables = dict(specimen.as_read)
    wrong += found
    parts = _Sentence(tables, units, wrong).parts()
    return {
        "corner": tables,
        "units": units,
        "parts": parts,
        "wrong": [{"key": key, "message": message} for key, message in wrong],
        **command_for(tables, specimen, units, file),
        "plain": "".join(part["text"] for part in parts),
    }


class _Sentence:
    """The sentence of one corner."""

    def __init__(self, corner: Mapping[str, Any], units: Units, wrong: list[tuple[str, str]]) -> None:
        messages: dict[str, str] = {}
        for key, message in wrong:
            messages[key] = f"{messages[key]}; {message}" if key in messages else message
        self.corner, self.units = corner, units
        self.read: ReadParts = read_parts(corner)
        self.write = Writer(units, messages)

    @property
    def kind(self) -> JointKind | None:
        return self.read.kind

    def parts(self) -> list[Part]:
        """Both sentences."""
        first = as_parts([*self._boards(), *self._joint(), *self._glue(), *self._load()])
        second = as_parts([*self._as_usual()], optional=True)
        return [*first, *second]

    def _value(self, key: str) -> Any:
        table, _, name = key.partition(".")
        return table_of(self.corner, table).get(name)

    def _asked(self, key: str) -> Asked:
        asked = asked_of(key, self.kind)
        assert asked is not None, key  # all that are asked for here are of every corner
        return asked

    def _word(self, key: str, text: str | None = None) -> Part:
        return self.write.word(self._asked(key), self._value(key), text)

    def _boards(self) -> Iterator[str | Part]:
        kind = self._value("joint.kind")
        said = self.kind.kind if self.kind else printable(written(kind), 60) if kind is not None else None
        named = self._word("joint.kind", said)
        yield f"{article(named['text']).capitalize()} "
        yield from (named, " corner of ", self._word("boards.wood"), ", boards ")
        yield from (self._word("boards.thickness"), " thick and ", self._word("boards.width"), " wide, legs ")
        yield from (self._word("boards.leg"), " long, ")
        for phrase in self._stated(OF_BOARDS):
            yield from phrase
            yield ", "
        lay = self._value("boards.lay")
        lays = self._asked("boards.lay").choices
        yield self._word("boards.lay", lays[0].text if lay is None else None)

    def _joint(self) -> Iterator[str | Part]:
        if self.kind is None:
            return
        phrases = measure_phrases(self.write, self.kind, table_of(self.corner, "joint"))
        if phrases:
            yield ", with "
            yield from joined(phrases, last=" and ")

    def _glue(self) -> Iterator[str | Part]:
        value = self._value("glue.kind")
        text = _choice_text(self._asked("glue.kind"), DEFAULT_GLUE if value is None else value)
        dry = text == "no glue"
        yield ", " if dry else ", glued with "
        yield self._word("glue.kind", "without glue" if dry else text)
        for phrase in (*self._stated(OF_GLUE), *self._own_surfaces()):
            yield ", "
            yield from phrase

    def _load(self) -> Iterator[str | Part]:
        value = self._value("load.arrangement")
        asked = self._asked("load.arrangement")
        first = asked.choices[0].value
        text = _choice_text(asked, first if value is None else value)
        yield "; "
        yield self._word("load.arrangement", text)
        sense = [each.sense for each in ARRANGEMENTS.values() if each.words == text]
        yield f", which {sense[0]} the corner." if sense else "."

    def _stated(self, keys: tuple[str, ...]) -> Iterator[Phrase]:
        """What is stated and is not as usual."""
        for key in keys:
            if self._value(key) is not None and not self._is_usual(key):
                before, behind = ROUND[key]
                yield [before, self._word(key), behind]

    def _is_usual(self, key: str) -> bool:
        value = self._value(key)
        return value is None or (
            key in USUAL and key not in self.write.wrong and self._same(self._asked(key), value, USUAL[key])
        )

    def _same(self, asked: Asked, value: Any, usual: str) -> bool:
        shown = [word_text(asked, each, "metric").replace(" ", "") for each in (value, usual)]
        return shown[0] == shown[1]

    def _own_surfaces(self) -> Iterator[Phrase]:
        """What single surfaces have of their own."""
        for written_name, own in table_of(table_of(self.corner, "glue"), SURFACES).items():
            surface = surface_named(str(written_name))
            if not isinstance(own, Mapping):
                continue
            words: list[Phrase] = []
            for name, value in own.items():
                asked = asked_of(f"{OWN_SURFACES}.{surface}.{name}", self.kind)
                if asked is not None:
                    before, behind = ROUND[f"glue.{name}"]
                    words.append(
                        [before, self.write.word(asked, value), behind.replace(" of the surfaces", "")]
                    )
            if words:
                yield ["on the ", printable(surface, 60), " ", *joined(words, last=" and ")]

    def _as_usual(self) -> Iterator[str | Part]:
        """The second sentence."""
        phrases: list[Phrase] = []
        if self.kind is not None:
            phrases += usual_phrases(self.write, self.kind, self.read, table_of(self.corner, "joint"))
        for key in (*OF_BOARDS, *OF_GLUE):
            asked = asked_of(key, self.kind)
            no_place = key == "boards.thickness_b" and not (self.kind and self.kind.allows_thickness_b)
            if asked is None or no_place or not self._is_usual(key):
                continue
            value = USUAL.get(key) if self._value(key) is None else self._value(key)
            before, behind = ROUND[key]
            word = self.write.word(asked, value, LEFT_OUT.get(key), optional=True)
            phrases.append([before, word, behind])
        phrases += [*self._surfaces_alike(), *self._unknown()]
        yield " As usual: "
        yield from joined(phrases)
        yield "."

    def _surfaces_alike(self) -> Iterator[Phrase]:
        """A word by which a surface gets workmanship of its own."""
        given = {surface_named(str(each)) for each in table_of(table_of(self.corner, "glue"), SURFACES)}
        left = [each for each in self.read.surfaces if each not in given]
        if not left:
            return
        choices = tuple(Choice(each, each) for each in left)
        asked = Asked(
            OWN_SURFACES,
            "a surface glued otherwise",
            "gets a coverage of its own",
            "text",
            True,
            None,
            choices,
        )
        said = "all other surfaces" if given else "all surfaces"
        yield [self.write.word(asked, "", said, optional=True), " glued alike"]

    def _unknown(self) -> Iterator[Phrase]:
        """Keys with something wrong that have no place in the corner; what is typed there is taken out."""
        for key, message in self.write.wrong.items():
            value = self._value(key)
            if key in self.write.keys or not key or value is None:
                continue
            asked = Asked(key, key, message, "text", False, None)
            yield [
                "not known: ",
                self.write.word(asked, None, printable(written(value), 60) or "nothing", True),
            ]


def _choice_text(asked: Asked, value: Any) -> str:
    """How a choice is said by any of its names; else the value as it is."""
    found = [choice.text for choice in asked.choices if choice.goes_by(written(value))]
    return found[0] if found else printable(written(value).strip(), 60) or "nothing"
