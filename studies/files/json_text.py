"""JSON out and in: one way to write it, and typed reading that says where in a file something is wrong."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal, TypeVar

import msgspec

Read = TypeVar("Read")

MOST = 1e100
"""No number of ours comes near it: a file that holds a larger one is damaged."""

Number = Annotated[float, msgspec.Meta(ge=-MOST, le=MOST)]
Positive = Annotated[float, msgspec.Meta(gt=0, le=MOST)]
NotNegative = Annotated[float, msgspec.Meta(ge=0, le=MOST)]
Count = Annotated[int, msgspec.Meta(ge=0, le=2**53)]

WORDS = {
    "object": "an object",
    "array": "a list",
    "str": "a text",
    "float": "a number",
    "int": "a whole number",
    "bool": "true or false",
}
"""What a maker calls the kinds of JSON values that messages name."""


class Damaged(ValueError):
    """Content that is no JSON, or not of the shape wanted: the ``place`` inside it, empty for all of it."""

    def __init__(self, place: str, message: str) -> None:
        super().__init__(place, message)
        self.place, self.message = place, message

    def __str__(self) -> str:
        return f"{self.place}: {self.message}" if self.place else self.message


def json_text(value: Any) -> str:
    """A value of plain or typed things as JSON text, indented, with a newline at its end.

    Raises ValueError where a number is not finite, and says where: JSON has no word for it.

    >>> print(json_text({"break_load_N": 461.4, "where": "butt face"}), end="")
    {
      "break_load_N": 461.4,
      "where": "butt face"
    }
    """
    return msgspec.json.format(json_line(value), indent=2).decode() + "\n"


def json_line(value: Any) -> bytes:
    """The same on one line, as bytes without a newline. Raises ValueError as ``json_text``."""
    plain = msgspec.to_builtins(value, enc_hook=_plain)
    _refuse_not_finite(plain, "$")
    return _encoded(plain)


def digest_line(value: Any) -> bytes:
    """Bytes that are the same for equal values, whatever the order of their keys; for digests."""
    return _encoded(value, order="sorted")


def _encoded(value: Any, order: Literal["sorted"] | None = None) -> bytes:
    """JSON of plain or typed things; bytes of a file's name that are no text are spelled out."""
    try:
        return msgspec.json.encode(value, enc_hook=_plain, order=order)
    except UnicodeEncodeError:
        return msgspec.json.encode(_spelled_out(msgspec.to_builtins(value, enc_hook=_plain)), order=order)


def _spelled_out(value: Any) -> Any:
    if isinstance(value, str):
        return value.encode("utf-8", "backslashreplace").decode("utf-8")
    if isinstance(value, dict):
        return {_spelled_out(key): _spelled_out(each) for key, each in value.items()}
    return [_spelled_out(each) for each in value] if isinstance(value, list | tuple) else value


def read_json(content: bytes | str, shape: type[Read]) -> Read:
    """JSON read as a ``shape``; keys that it does not know are passed over. Raises Damaged.

    >>> read_json('{"break_load_N": 461.4}', dict[str, float])
    {'break_load_N': 461.4}
    >>> try:
    ...     read_json('{"break_load_N": "much"}', dict[str, float])
    ... except ValueError as error:
    ...     print(error)
    $[...]: must be a number, not a text
    """
    try:
        return msgspec.json.decode(content, type=shape)
    except msgspec.ValidationError as error:
        raise _in_plain_words(str(error)) from None
    except (ValueError, RecursionError):
        raise Damaged("", "is no JSON, or torn") from None


def _in_plain_words(text: str) -> Damaged:
    """A message of the library, such as "Expected `float`, got `str` - at `$.glue_load_N`", for a maker."""
    text, _, place = text.partition(" - at ")
    place = place.strip("`")
    missing = re.fullmatch("Object missing required field `(.*)`", text)
    if missing:
        return Damaged(f"{place or '$'}.{missing[1]}", "is missing")
    text = re.sub("`([^`]*)`", lambda kinds: " or ".join(map(_word, kinds[1].split(" | "))), text)
    text = text.replace("Expected ", "must be ").replace(", got ", ", not ")
    return Damaged(place, text.replace("Invalid enum value ", "must not be "))


def _word(kind: str) -> str:
    return WORDS.get(kind, kind)


def _plain(value: Any) -> Any:
    """A number of an array as one of Python, any mapping as a dict. Raises TypeError for what is neither."""
    if hasattr(value, "item"):
        return value.item()
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"{type(value).__name__} cannot be written as JSON")


def _refuse_not_finite(value: Any, place: str) -> None:
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{place} is {value}, which JSON cannot hold")
    elif isinstance(value, dict):
        for key, each in value.items():
            _refuse_not_finite(each, f"{place}.{key}")
    elif isinstance(value, list | tuple):
        for number, each in enumerate(value):
            _refuse_not_finite(each, f"{place}[{number}]")
