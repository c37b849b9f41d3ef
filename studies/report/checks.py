"""Whether a JSON value has the shape that our own commands write; a hand may have changed the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


class ShapeError(Exception):
    """A value is not as expected; the text says where and what it should be."""


@dataclass(frozen=True)
class Optional:
    """The shape, or null."""

    shape: Any


@dataclass(frozen=True)
class Sometimes:
    """In an object: the shape, or null, or no such key."""

    shape: Any


@dataclass(frozen=True)
class Each:
    """An object whose every value has the shape."""

    shape: Any


@dataclass(frozen=True)
class Above:
    """A number above that one."""

    limit: float


@dataclass(frozen=True)
class Pair:
    """A list of two of the shape."""

    shape: Any


LARGEST = 1e100  # no number of an answer comes near it
WORDS = {str: "a text", float: "a number", int: "a whole number", bool: "true or false", dict: "an object"}

Shape = Any
"""A type of WORDS, a mapping of keys to shapes, a list of one shape, or one of the classes above."""


def check_shape(value: Any, shape: Shape, where: str = "") -> None:
    """Raises ShapeError where ``value`` is not of that shape; further keys of an object are left alone."""
    if isinstance(shape, Optional | Sometimes):
        if value is not None:
            check_shape(value, shape.shape, where)
    elif isinstance(shape, Each):
        for key, inner in _of_type(value, Mapping, where, "an object").items():
            check_shape(inner, shape.shape, _inside(where, key))
    elif isinstance(shape, Above):
        check_shape(value, float, where)
        if not value > shape.limit:
            raise ShapeError(f"{where} must be above {shape.limit:g}")
    elif isinstance(shape, Pair):
        if len(_of_type(value, list, where, "a list of two")) != 2:
            raise ShapeError(f"{where} must be a list of two")
        for inner in value:
            check_shape(inner, shape.shape, where)
    elif isinstance(shape, Mapping):
        _of_type(value, Mapping, where, "an object")
        for key, inner in shape.items():
            if key not in value and not isinstance(inner, Sometimes):
                raise ShapeError(f"{_inside(where, key)} is missing")
            check_shape(value.get(key), inner, _inside(where, key))
    elif isinstance(shape, list):
        for number, inner in enumerate(_of_type(value, list, where, "a list")):
            check_shape(inner, shape[0], f"{where}[{number}]")
    else:
        _check_plain(value, shape, where)


def _check_plain(value: Any, shape: type, where: str) -> None:
    kinds: Any = (int, float) if shape is float else shape
    fits = isinstance(value, kinds) and (shape is bool or not isinstance(value, bool))
    if not fits or (isinstance(value, int | float) and not abs(value) <= LARGEST):
        raise ShapeError(f"{where or 'it'} must be {WORDS[shape]}")


def _of_type(value: Any, kind: Any, where: str, words: str) -> Any:
    if not isinstance(value, kind):
        raise ShapeError(f"{where or 'it'} must be {words}")
    return value


def _inside(where: str, key: str) -> str:
    return f"{where}.{key}" if where else str(key)
