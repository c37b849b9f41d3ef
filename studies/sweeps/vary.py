"""Reading --vary KEY=VALUES: lists and ranges of anything a specimen file can hold.

Values stay texts, as --set takes them. Ranges are stepped in exact fractions, so that none misses its end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.key_changes import KEYS_RIGHT, all_joint_fields, dotted, known_keys, nearest_key
from glueline.studies.files.toml_tables import NAME_RIGHT, is_text, printable
from glueline.studies.files.units import (
    ANGLE,
    FORCE,
    LENGTH,
    PERCENT,
    SPRING,
    Quantity,
    UnitError,
    read_exact,
)

MOST_VALUES = 10_000
"""Values of one key, and points of one sweep, beyond which a slip of the keys is more likely than a plan."""

TOO_MANY = f"stands for more than {MOST_VALUES} values, the most that are allowed: take a wider step"
RANGE_RIGHT = 'write START:END:STEP with units, such as "4 mm:20 mm:2 mm", or whole numbers such as 1:9'
QUANTITIES = (LENGTH, PERCENT, ANGLE, FORCE, SPRING)
DASHED = re.compile(r"(\d{1,6})\s*(-|–|\.\.|to)\s*(\d{1,6})", re.ASCII)
"""A range of whole numbers as it is often written elsewhere."""
COUNT = re.compile(r"[+-]?[0-9]+", re.ASCII)
MOST_DIGITS = 300
"""Digits of a whole number beyond which it is not read at all."""

BARE = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)", re.ASCII)
STARTS_AS_NUMBER = re.compile(r"\s*[+-]?\.?[0-9]", re.ASCII)
SHOWN = 60


@dataclass(frozen=True)
class Varied:
    """A key, without quotes, and the values it is given in turn, each as --set would be given it."""

    key: str
    values: tuple[str, ...]


class _Wrong(ValueError):
    """What is wrong with a part of a list of values; the message says what would be right."""


def parse_varied(texts: Sequence[str]) -> tuple[Varied, ...]:
    """The keys of several --vary with their values. Raises InputError with everything that is wrong."""
    varied: list[Varied] = []
    problems = []
    keys = known_keys()
    for text in texts:
        key, equals, values = text.partition("=")
        key = dotted(key)
        if not equals or not key:
            message = "write KEY=VALUES, such as --vary joint.fingers=3,5,7"
            problems.append(InputProblem("command line", "--vary", printable(text, SHOWN), message))
            continue
        shown = f"--vary {printable(key, SHOWN)}"
        if key not in keys:
            near = nearest_key(key)
            hint = f"did you mean {near}? " if near else ""
            message = f"is not a key known here: {hint}{KEYS_RIGHT.format('joint.fingers')}"
            problems.append(InputProblem("command line", shown, printable(values, SHOWN), message))
        elif any(each.key == key for each in varied):
            message = "is varied twice: put all of its values into one --vary"
            problems.append(InputProblem("command line", shown, printable(values, SHOWN), message))
        else:
            try:
                varied.append(Varied(key, parse_values(values, _has_ranges(key))))
            except _Wrong as error:
                problems.append(InputProblem("command line", shown, printable(values, SHOWN), str(error)))
    if problems:
        raise InputError(tuple(problems))
    return tuple(varied)


def _has_ranges(key: str) -> bool:
    """Whether a colon between numbers stands for a range: in a slope such as 1:7 it does not."""
    about = all_joint_fields().get(key.partition(".")[2], {})
    return about.get("quantity") != "slope"


def parse_values(text: str, ranges: bool = True) -> tuple[str, ...]:
    """The values of a list such as ``3,5,7:11:2`` or ``red oak, "1/2 in:1 in:1/8 in"``, in order.

    Without ``ranges`` a colon is part of a value. Raises ValueError saying what would be right.
    """
    if not is_text(text):
        raise _Wrong(f"is no UTF-8 text: {NAME_RIGHT}")
    values: list[str] = []
    seen: set[str] = set()
    for item in _items(text):
        dashed = DASHED.fullmatch(item) if ranges else None
        if dashed is not None:
            raise _Wrong(f"has {dashed[2]} where a range has a colon: write {dashed[1]}:{dashed[3]}")
        for value in _range(item) if ranges and _is_range(item) else (item,):
            same = " ".join(value.split()).casefold()
            if same in seen:
                raise _Wrong(f"names {printable(value, SHOWN)} twice: leave one out")
            seen.add(same)
            values.append(value)
        if len(values) > MOST_VALUES:
            raise _Wrong(TOO_MANY)
    return tuple(values)


def _items(text: str) -> Iterator[str]:
    """The parts between commas that stand in no brackets and no quotes; quotes around a part are taken off.

    A quote opens only at the start of a part, so that 3/4" is three quarters of an inch.
    """
    rest = text.strip()
    if rest.startswith("[") and rest.endswith("]"):
        rest = rest[1:-1].strip()
    if not rest:
        raise _Wrong("has no values: list some, such as 3,5,7")
    while True:
        quoted = re.match(r"""\s*(["'])(.*?)\1\s*(,|$)""", rest, re.DOTALL)
        end = quoted.end(2) + 1 if quoted else _comma(rest)
        item = quoted[2].strip() if quoted else rest[:end].strip()
        if not item:
            raise _Wrong("has an empty place between its commas: take one comma away")
        yield item
        rest = rest[end:].lstrip()
        if not rest:
            return
        rest = rest[1:]


def _comma(text: str) -> int:
    """Place of the first comma outside round brackets, which names of woods may hold."""
    depth = 0
    for place, character in enumerate(text):
        depth += {"(": 1, ")": -1}.get(character, 0)
        if character == "," and depth <= 0:
            return place
    return len(text)


def _is_range(item: str) -> bool:
    """Whether an item is meant as a range: it has a colon and begins as a number does."""
    return ":" in item and STARTS_AS_NUMBER.match(item) is not None


def _range(item: str) -> tuple[str, ...]:
    """The values of START:END or START:END:STEP, both ends included."""
    parts = [part.strip() for part in item.split(":")]
    if any(len(part) > MOST_DIGITS for part in parts):
        raise _Wrong(f"has a part of more than {MOST_DIGITS} letters: {RANGE_RIGHT}")
    if len(parts) > 3:
        raise _Wrong(f"has more than two colons: {RANGE_RIGHT}")
    if not all(parts):
        raise _Wrong(f"does not end: {RANGE_RIGHT}")
    if all(COUNT.fullmatch(part) for part in parts):
        whole = [Fraction(int(part)) for part in parts]
        step = whole[2] if len(whole) == 3 else Fraction(1)
        return tuple(str(value) for value in _stepped(whole[0], whole[1], step, parts[:2]))
    quantity = _quantity_of(parts)
    if len(parts) == 2:
        raise _Wrong(f"has no step: {RANGE_RIGHT}")
    read = [read_exact(part, quantity) for part in parts]
    unit = read[0][1]
    scale = quantity.units[unit]
    start, end, step = (number * quantity.units[own] / scale for number, own in read)
    as_fractions = any("/" in part for part in parts)
    shown = "in" if unit == '"' else unit
    return tuple(
        f"{_number_text(value, as_fractions)} {shown}" for value in _stepped(start, end, step, parts[:2])
    )


def _quantity_of(parts: Sequence[str]) -> Quantity:
    """The one quantity that all parts are; where they are none or mixed, what would be right."""
    fitting = [[quantity for quantity in QUANTITIES if _reads(part, quantity)] for part in parts]
    unread = [part for part, quantities in zip(parts, fitting, strict=True) if not quantities]
    for part in unread:
        if BARE.fullmatch(part) is None:
            raise _Wrong(f"{printable(part, SHOWN)} cannot be read: {RANGE_RIGHT}")
    for part in unread:
        if len(unread) < len(parts) or COUNT.fullmatch(part) is None:
            without = "has no unit" if len(unread) < len(parts) else "is not whole and has no unit"
            raise _Wrong(f"{part} {without}: {RANGE_RIGHT}")
    for quantity in fitting[0]:
        if all(quantity in others for others in fitting):
            return quantity
    raise _Wrong(f"mixes quantities of different kinds: {RANGE_RIGHT}")


def _reads(part: str, quantity: Quantity) -> bool:
    try:
        read_exact(part, quantity)
    except UnitError:
        return False
    return True


def _stepped(start: Fraction, end: Fraction, step: Fraction, ends: Sequence[str]) -> Iterator[Fraction]:
    """From start to end, both included. A range that would never reach its end is refused."""
    first, last = ends
    if step == 0:
        raise _Wrong("has a step of zero and would not end: give a step above zero")
    steps = (end - start) / step
    if steps < 0:
        raise _Wrong(
            f"steps away from its end and would not end: from {first} to {last} the step must be "
            f"{'above' if end > start else 'below'} zero"
        )
    if steps >= MOST_VALUES:
        raise _Wrong(TOO_MANY)
    if steps.denominator != 1:
        raise _Wrong(
            f"steps past its end: {int(steps)} steps from {first} fall short of {last} and one more goes "
            "beyond; change the end or the step"
        )
    return (start + number * step for number in range(int(steps) + 1))


def _number_text(value: Fraction, as_fraction: bool) -> str:
    """A number as a maker writes it: decimals, or workshop fractions where the range was written in them."""
    sign, size = "-" if value < 0 else "", abs(value)
    if size.denominator == 1:
        return f"{sign}{size.numerator}"
    decimal = _decimal(size)
    if decimal is not None and not as_fraction:
        return sign + decimal
    whole, part = divmod(size, 1)
    text = f"{part.numerator}/{part.denominator}"
    return f"{sign}{whole} {text}" if whole else f"{sign}{text}"


def _decimal(size: Fraction) -> str | None:
    """A fraction as a decimal that is exact within twelve places, None where none is."""
    for places in range(1, 13):
        scaled = size * 10**places
        if scaled.denominator == 1:
            digits = str(scaled.numerator).rjust(places + 1, "0")
            return f"{digits[:-places]}.{digits[-places:]}"
    return None
