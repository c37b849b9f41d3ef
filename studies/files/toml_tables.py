"""Reading tables of a TOML file key by key, collecting everything that is wrong."""

from __future__ import annotations

import datetime
import os
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from glueline.materials.names import nearest, plain
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import printable as printable
from glueline.studies.files.plain_files import read_text as read_text
from glueline.studies.files.toml_slips import slips_in
from glueline.studies.files.units import Quantity, UnitError, read, with_units
from glueline.studies.files.words import one_of

LARGEST_FILE = 100_000  # bytes; our own table of all glues has 26 kB
MOST_DOTS = 200  # in a line: a key of so many parts takes time by their square
DEEPEST = 20  # tables and lists within each other; ours go four deep
MOST_DIGITS = 300  # of a whole number; beyond a few thousand Python will not even write it
LONGEST_SHOWN = 60
NAME_RIGHT = "give the file and its folders names in UTF-8"
SLOPE = re.compile(r"\s*(\d{1,4}(?:\.\d{1,4})?)\s*:\s*(\d{1,4}(?:\.\d{1,4})?)\s*", re.ASCII)


def read_toml(path: str | os.PathLike[str]) -> dict[str, Any]:
    """The tables of a TOML file. Raises InputError for whatever keeps it from being read."""
    text = read_text(
        path, "a short TOML file", LARGEST_FILE, "`glueline demo` and the examples show what a file holds"
    )

    try:
        return parse_toml(text)
    except NotToml as error:
        file = printable(os.fspath(path))
        slips = [InputProblem(file, f"line {slip.line}", None, str(slip)) for slip in slips_in(text)]
        raise InputError(tuple(slips) or (InputProblem(file, "", None, error.message),)) from None
    except TomlRefused as error:
        shown = None if error.value is None else _brief(error.value)
        key = printable(error.key, 100)
        raise InputError((InputProblem(printable(os.fspath(path)), key, shown, error.message),)) from None


class TomlRefused(ValueError):
    """A text that is no TOML, or larger than what a maker writes: at which key, if at one, and its value."""

    def __init__(self, message: str, key: str = "", value: Any = None) -> None:
        super().__init__(message, key, value)
        self.message, self.key, self.value = message, key, value


class NotToml(TomlRefused):
    """A text that is no TOML by a slip, which stands in a line of its own."""


def parse_toml(text: str) -> dict[str, Any]:
    r"""The tables of a text in TOML, none of them deeper or of longer numbers than our files need.

    Raises TomlRefused.

    >>> parse_toml('[boards]\nthickness = "19 mm"')
    {'boards': {'thickness': '19 mm'}}
    """
    for number, line in enumerate(text.split("\n"), 1):
        if (dots := line.count(".")) > MOST_DOTS:
            words = f"has {dots} dots in line {number}, more than a key has parts"
            raise TomlRefused(f"{words}: at most {MOST_DOTS} can be read")
    deep = f"is not TOML that can be read: tables or lists lie within each other more than {DEEPEST} deep"
    long = f"is not TOML that can be read: a whole number has more than {MOST_DIGITS} digits"
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise NotToml(f"is not valid TOML: {printable(str(error), 200)}") from None
    except RecursionError:
        raise TomlRefused(deep) from None
    except (ValueError, OverflowError) as error:
        # Python has a message of its own for numbers of thousands of digits, meant for programmers.
        digits = "digits" in str(error)
        raise TomlRefused(long if digits else f"is not valid TOML: {printable(str(error), 200)}") from None
    for key, value, depth in _all_values(tables):
        if depth > DEEPEST:
            raise TomlRefused(deep)
        if isinstance(value, int) and abs(value) >= 10**MOST_DIGITS:
            raise TomlRefused(f"is a whole number of more than {MOST_DIGITS} digits", key, value)
    return tables


def _all_values(tables: Mapping[str, Any]) -> Iterator[tuple[str, Any, int]]:
    """Every value, those of tables and lists too, with its dotted key and how deep it lies."""
    waiting: list[tuple[str, Any, int]] = [("", tables, 0)]
    while waiting:
        key, value, depth = waiting.pop()
        yield key, value, depth
        if depth > DEEPEST:
            continue
        if isinstance(value, Mapping):
            waiting += [(f"{key}.{name}" if key else name, item, depth + 1) for name, item in value.items()]
        elif isinstance(value, list):
            waiting += [(key, item, depth + 1) for item in value]


def is_text(name: str) -> bool:
    """Whether a name, such as a file's, is made of letters: a disk may hold bytes that are no UTF-8."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)


def toml_value(value: Any) -> str:
    """A value as a TOML file writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _toml_string(value)
    if isinstance(value, datetime.datetime | datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, int):
        # Python refuses to write integers of thousands of digits; such a one is only ever shown, cut short.
        return str(value) if abs(value) < 10**300 else hex(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{toml_key(key)} = {toml_value(item)}" for key, item in value.items()) + "}"
    if isinstance(value, Sequence):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    raise TypeError(f"{type(value).__name__} has no place in a TOML file")


def _toml_string(value: str) -> str:
    short = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}
    pieces = []
    for character in value:
        if character in short:
            pieces.append(short[character])
        elif character.isprintable():
            pieces.append(character)
        else:
            code = ord(character)
            pieces.append(f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}")
    return '"' + "".join(pieces) + '"'


def toml_key(key: str) -> str:
    """A key as a TOML file writes it: bare where it can be."""
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _toml_string(key)


def toml_text(tables: Mapping[str, Any]) -> str:
    """Tables, and tables within them, as the text of a TOML file that reads back the same."""
    return "\n\n".join(_table_texts(tables, ())) + "\n"


def _table_texts(table: Mapping[str, Any], names: tuple[str, ...]) -> Iterator[str]:
    """The lines of a table under its header, then those of each table within it."""
    lines = [f"{toml_key(key)} = {toml_value(item)}" for key, item in table.items() if not _is_table(item)]
    within = {key: item for key, item in table.items() if _is_table(item)}
    if names and (lines or not within):
        lines.insert(0, toml_header(names))
    if lines:
        yield "\n".join(lines)
    for key, item in within.items():
        yield from _table_texts(item, (*names, key))


def toml_header(names: Iterable[str]) -> str:
    """The line above a table of a TOML file, by the names that lead to it."""
    return f"[{'.'.join(toml_key(name) for name in names)}]"


def _is_table(item: Any) -> bool:
    return isinstance(item, Mapping)


@dataclass
class Problems:
    """Everything found wrong so far in one file; ``typed`` holds values given on the command line, by key."""

    file: str
    typed: Mapping[str, str] = field(default_factory=dict)
    entries: list[InputProblem] = field(default_factory=list)

    def add(self, key: str, value: Any, message: str, *, shown: bool = True) -> None:
        """Note what is wrong with a key; ``shown`` False where there is no value to show."""
        if key in self.typed:
            typed = printable(self.typed[key], LONGEST_SHOWN)
            self.entries.append(InputProblem("command line", f"--set {printable(key)}", typed, message))
            return
        text = _brief(value) if shown else None
        self.entries.append(InputProblem(self.file, printable(key, 100), text, message))

    def add_missing(self, key: str, message: str) -> None:
        """Note that a key is missing."""
        self.entries.append(InputProblem(self.file, key, None, f"is missing; {message}"))

    def raise_if_any(self) -> None:
        """Raise InputError with everything found."""
        if self.entries:
            raise InputError(tuple(self.entries))


@dataclass
class Table:
    """One table of a file: each method reads a key, notes what is wrong and then returns None.

    ``within`` are the tables in which it stands, if it stands in any.
    """

    name: str
    values: Mapping[str, Any]
    problems: Problems
    within: tuple[str, ...] = ()
    names_read: set[str] = field(default_factory=set)
    units_read: list[str] = field(default_factory=list)

    def key(self, name: str) -> str:
        """The dotted key of ``name`` in this table."""
        return ".".join(part for part in (*self.within, self.name, name) if part)

    @property
    def header(self) -> str:
        """The line above it in a file."""
        return toml_header((*self.within, self.name))

    def has(self, name: str) -> bool:
        """Whether the key is there."""
        self.names_read.add(name)
        return name in self.values

    def wrong(self, name: str, message: str) -> None:
        """Note what is wrong with the key's value."""
        self.problems.add(self.key(name), self.values.get(name), message, shown=name in self.values)

    def text(self, name: str, example: str, *, required: bool = False) -> str | None:
        """A text that is not empty."""
        if not self.has(name):
            if required:
                self.problems.add_missing(self.key(name), f"for example {name} = {example}")
            return None
        value = self.values[name]
        if not isinstance(value, str):
            self.wrong(name, f"must be a text in quotes, such as {example}")
            return None
        if not value.strip():
            self.wrong(name, f"is empty; for example {example}")
            return None
        return value.strip()

    def choice(self, name: str, choices: Sequence[str], default: str | None = None) -> str | None:
        """One of several fixed words, whatever their case, spaces and hyphens."""
        if not self.has(name) and default is not None:
            return default
        value = self.text(name, f'"{choices[0]}"', required=True)
        if value is None:
            return None
        for known in choices:
            if plain(known) == plain(value):
                return known
        near = nearest(value, choices)
        hint = f'did you mean "{near}"? It' if near else "it"
        self.wrong(name, f"is not known here: {hint} must be {one_of(choices)}")
        return None

    def yes_or_no(self, name: str, words: str) -> bool | None:
        """True or false."""
        if not self.has(name):
            return None
        value = self.values[name]
        if not isinstance(value, bool):
            self.wrong(name, f"must be true or false, without quotes: {words}")
            return None
        return value

    def slope(self, name: str, words: str) -> float | None:
        """A slope written "1:7", as to the side over along; above 0 and at most 1."""
        if not self.has(name):
            return None
        value = self.values[name]
        match = SLOPE.fullmatch(value) if isinstance(value, str) else None
        side, along = (float(number) for number in match.groups()) if match else (0.0, 0.0)
        if not 0.0 < side <= along:
            self.wrong(name, f'must be a slope in quotes, such as "1:7": {words}')
            return None
        return side / along

    def count(self, name: str, words: str, *, least: int = 1, most: int = 10_000) -> int | None:
        """A whole number from ``least`` to ``most``."""
        if not self.has(name):
            return None
        value = self.values[name]
        if not isinstance(value, int) or isinstance(value, bool):
            hint = ""
            if isinstance(value, str) and re.fullmatch(r"[0-9]{1,4}", value.strip()):
                hint = f" (write {int(value)}, without quotes)"
            self.wrong(name, f"must be a whole number without a unit, such as 3: {words}{hint}")
            return None
        if not least <= value <= most:
            bound = f"at least {least}" if value < least else f"at most {most}"
            self.wrong(name, f"must be {bound}, a whole number: {words}")
            return None
        return value

    def quantity(
        self,
        name: str,
        quantity: Quantity,
        *,
        words: str = "",
        required: bool = False,
        zero: bool = False,
    ) -> float | None:
        """A quantity with its unit, above zero (or zero where that is allowed), in the code's own unit."""
        if not self.has(name):
            if required:
                what = f" ({words})" if words else ""
                self.problems.add_missing(self.key(name), f"{quantity.right}{what}")
            return None
        value = self.values[name]
        if isinstance(value, int | float) and not isinstance(value, bool):
            right = with_units(_short(value), quantity)
            self.wrong(name, f"has no unit: write it in quotes with its unit, such as {right}")
            return None
        if not isinstance(value, str):
            self.wrong(name, f"must be {quantity.name} in quotes; {quantity.right}")
            return None
        try:
            amount, unit = read(value, quantity)
        except UnitError as error:
            self.wrong(name, str(error))
            return None
        if amount < 0 or (amount == 0 and not zero):
            self.wrong(name, "must not be below zero" if zero else f"must be above zero; {quantity.right}")
            return None
        self.units_read.append(unit)
        return amount

    def refuse_unknown(self, known: Iterable[str] = ()) -> None:
        """Note every key that nobody asked for, with the nearest one that exists."""
        names = sorted(self.names_read | set(known))
        for name in self.values:
            if name in names:
                continue
            near = nearest(name, names)
            hint = f"did you mean {near}? " if near else ""
            where = printable(self.header, 100) if self.name else "the file"
            have = f"{where} may hold {', '.join(names)}" if names else f"{where} holds nothing else"
            self.wrong(name, f"is not a key known here: {hint}{have}")


def _brief(value: Any) -> str:
    """A value as typed, cut short; tables and lists only hinted at."""
    if isinstance(value, Mapping):
        return "{...}" if value else "{}"
    if isinstance(value, list):
        return "[...]" if value else "[]"
    return printable(toml_value(value[:1000] if isinstance(value, str) else value), LONGEST_SHOWN)


def _short(value: float) -> str:
    text = toml_value(value)
    return text if len(text) <= 12 and text[-1].isdigit() and "e" not in text else "19"
