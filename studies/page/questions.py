"""What a page may ask, and how far what it sends is taken: the shape, the size, no file but those opened."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.units import Units

LARGEST_MESSAGE = 200_000
LARGEST_KEPT = 2_000_000
"""Characters of a message, and of one with kept answers."""

MOST_STOPS = 200
DEEPEST = 4
LONGEST_TEXT = 1000
LARGEST_NUMBER = 1e15

Number = Annotated[int, Meta(ge=0, le=2**53)]
Text = Annotated[str, Meta(max_length=LONGEST_TEXT)]
Corner = dict[Text, Any]


class Question(Struct, frozen=True, forbid_unknown_fields=False, tag_field="ask", kw_only=True):
    """One question: its ``number`` was chosen by the page and rises."""

    number: Number = 0


class Edit(Struct, frozen=True):
    """A key and its new value as typed."""

    key: Text
    value: Text


class Open(Question, frozen=True, tag="open"):
    """What there is to begin with."""


class Sentence(Question, frozen=True, tag="sentence"):
    """The corner in words, with a change perhaps."""

    corner: Corner
    units: Units
    edit: Edit | None = None


class Range(Question, frozen=True, tag="range"):
    """The values that a key can have in this corner."""

    corner: Corner
    units: Units
    key: Text


class Elastic(Question, frozen=True, tag="elastic"):
    """The elastic answer with its fields."""

    corner: Corner
    units: Units


class Path(Question, frozen=True, tag="path"):
    """The corner followed until it breaks, then its band."""

    corner: Corner
    units: Units


class Many(Question, frozen=True, tag="many"):
    """The corner with each of some values of a key."""

    corner: Corner
    units: Units
    key: Text
    stops: Annotated[list[Text], Meta(max_length=MOST_STOPS)]


class Kept(Struct, frozen=True):
    """A kept corner with its answer, in the keys that answers have in JSON; its glue, where that is told."""

    name: Text
    answer: dict[str, Any]
    glue: Text = ""


class Rank(Question, frozen=True, tag="rank"):
    """The kept corners in their order."""

    units: Units
    kept: Annotated[list[Kept], Meta(max_length=100)]


class Stop(Question, frozen=True, tag="stop"):
    """What is not wanted any more."""

    what: Literal["path", "many"]


class Save(Struct, frozen=True):
    """A corner that is to be saved, with the name it goes by."""

    corner: Corner
    units: Units
    name: Text = ""


AnyQuestion = Open | Sentence | Range | Elastic | Path | Many | Rank | Stop


class Refused(ValueError):
    """A message that is not taken; ``number`` is that of its question, where it could be read."""

    def __init__(self, message: str, number: int | None = None) -> None:
        super().__init__(message)
        self.message, self.number = message, number


def read_question(text: str, opened_files: Collection[str] = ()) -> AnyQuestion:
    """A message of the page as a question. Raises Refused, and nothing else.

    ``opened_files`` are the wood and glue files that corners may name.

    >>> read_question('{"ask": "stop", "number": 3, "what": "path"}')
    Stop(what='path', number=3)
    >>> try:
    ...     read_question('{"ask": "elastic", "number": 4, "corner": [], "units": "metric"}')
    ... except Refused as refused:
    ...     print(refused)
    $.corner: must be an object, not a list
    """
    if len(text) > LARGEST_KEPT:
        raise Refused(f"the message is larger than {LARGEST_KEPT // 1000} kB")
    try:
        question: AnyQuestion = read_json(text, AnyQuestion)  # type: ignore[arg-type]
    except Damaged as error:
        raise Refused(str(error), _number_in(text)) from None
    if len(text) > LARGEST_MESSAGE and not isinstance(question, Rank):
        raise Refused(f"the message is larger than {LARGEST_MESSAGE // 1000} kB", question.number)
    if isinstance(question, Sentence | Range | Elastic | Path | Many):
        try:
            refuse_corner(question.corner, opened_files)
        except Refused as refused:
            raise Refused(refused.message, question.number) from None
    return question


def read_save(content: bytes, opened_files: Collection[str] = ()) -> Save:
    """What is to be saved. Raises Refused."""
    try:
        save = read_json(content, Save)
    except Damaged as error:
        raise Refused(str(error)) from None
    refuse_corner(save.corner, opened_files)
    return save


def refuse_corner(corner: Mapping[str, Any], opened_files: Collection[str] = ()) -> None:
    """Raises Refused for tables that no specimen file holds, and for files that were not opened with one."""
    _refuse_odd(corner, "corner", 0)
    for key, value in _named_materials(corner):
        refuse_file(key, value, opened_files)


def refuse_file(key: str, value: Any, opened_files: Collection[str]) -> None:
    """Raises Refused where a wood or glue is named by the path of a file that was not opened."""
    from glueline.studies.files.own_files import is_path

    if isinstance(value, str) and is_path(value) and value not in opened_files:
        raise Refused(
            f"{key}: the page reads no files but those that glueline page was started with: "
            "name a wood or glue of its list, or start it with the specimen file that names this one"
        )


def _named_materials(corner: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """Every value of a corner that names a wood or a glue, by its key."""
    named = []
    for table, values in corner.items():
        for key, value in values.items() if isinstance(values, Mapping) else ():
            if names_material(f"{table}.{key}"):
                named.append((f"{table}.{key}", value))
    return named


def names_material(key: str) -> bool:
    """Whether a key of a specimen file names a wood or a glue, which may be a file.

    >>> names_material("boards.wood_b"), names_material("joint.spline_wood"), names_material("boards.width")
    (True, True, False)
    """
    from glueline.studies.files.key_changes import all_joint_fields

    table, _, name = key.partition(".")
    if table == "joint":
        return all_joint_fields().get(name, {}).get("quantity") == "wood name"
    return key in ("boards.wood", "boards.wood_b", "glue.kind")


def _refuse_odd(value: Any, place: str, depth: int) -> None:
    """Raises Refused for what no TOML file of ours holds, at whatever depth."""
    if isinstance(value, dict):
        if depth > DEEPEST:
            raise Refused(f"{place}: tables lie within each other more than {DEEPEST} deep")
        for key, each in value.items():
            _refuse_odd(key, place, depth)
            _refuse_odd(each, f"{place}.{key}"[:LONGEST_TEXT], depth + 1)
    elif isinstance(value, list):
        for each in value:
            _refuse_odd(each, place, depth + 1)
            if depth > DEEPEST:
                raise Refused(f"{place}: lists lie within each other more than {DEEPEST} deep")
    elif isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise Refused(f"{place}: is a text of more than {LONGEST_TEXT} letters")
    elif isinstance(value, bool):
        return
    elif not isinstance(value, int | float) or not math.isfinite(value) or abs(value) > LARGEST_NUMBER:
        raise Refused(f"{place}: must be a text, a number, or true or false")


def _number_in(text: str) -> int | None:
    """The number of a question of which more cannot be read."""

    class Numbered(Struct):
        number: Number

    try:
        return read_json(text, Numbered).number
    except Damaged:
        return None
