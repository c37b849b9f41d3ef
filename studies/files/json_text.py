"""JSON out and in: one way to write it, and typed reading that says where in a file something is wrong."""

from __future__ import annotations

import math
from typing import Any, TypeVar

import msgspec

Read = TypeVar("Read")


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
    return msgspec.json.encode(plain)


def read_json(content: bytes | str, shape: type[Read]) -> Read:
    """JSON read as a ``shape``. Raises ValueError that names the place inside: ``$.modes[0].load_N``.

    >>> read_json('{"break_load_N": 461.4}', dict[str, float])
    {'break_load_N': 461.4}
    >>> try:
    ...     read_json('{"break_load_N": "much"}', dict[str, float])
    ... except ValueError as error:
    ...     print(error)
    Expected `float`, got `str` - at `$[...]`
    """
    return msgspec.json.decode(content, type=shape)


def _plain(value: Any) -> Any:
    """A number of an array as a number of Python. Raises TypeError for what JSON cannot hold."""
    if hasattr(value, "item"):
        return value.item()
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
