"""Slips in a TOML file in a maker's words: the line as it stands, what is wrong, how it would be right."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass

from glueline.studies.files.plain_files import printable

MOST_SLIPS = 25  # one more than messages list; each costs a reading of the file
LONGEST_LINE = 100  # as shown
LONGEST_REPAIRED = 500  # a longer one is no maker's

CURLY = {mark: '"' for mark in "“”„‟«»″"} | {mark: "'" for mark in "‘’‚‛′"}
"""Marks that word processors and phones put in place of straight quotes."""
ODD_SPACES: dict[str, str] = {mark: " " for mark in "\u00a0\u2007\u2009\u202f\u3000\u200b\ufeff"}
PLAIN_MARKS = CURLY | ODD_SPACES

COMMENT = re.compile(r"\s+#.*$")
HEADER = re.compile(r"(\[+)\s*([^\[\]=]*?)\s*(\]*)[:;,.]*")
STATEMENT = re.compile(r"(?P<key>[^=]*?)\s*=\s*(?P<value>.*)")
COLON = re.compile(r"(?P<key>[A-Za-z_][\w .-]*?)\s*:\s*(?P<value>.+)")
NO_EQUALS = re.compile(r"""(?P<key>[A-Za-z_][\w-]*)\s+(?P<value>["'\d].*)""")
NUMBER_ONLY = re.compile(r"""["']?\s*(?P<number>\d[\d .,/-]*|\.\d+)\s*["']+""")
FRACTION = re.compile(r"(?:\d+(?:\s+|-))?\d+/\d+")
YES_OR_NO = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false", "false": "false"}


@dataclass(frozen=True)
class Slip:
    """A line that is no TOML: number from 1, text, what is wrong, and how it would be right, if known."""

    line: int
    text: str
    wrong: str
    right: str | None = None

    def __str__(self) -> str:
        """In one line, without the number.

        >>> print(Slip(9, "thickness = 7/8 in", "has no quotes round its value", 'thickness = "7/8 in"'))
        `thickness = 7/8 in` has no quotes round its value; write `thickness = "7/8 in"`
        """
        shown = printable(self.text, LONGEST_LINE)
        right = "" if self.right is None else f"; write `{printable(self.right, LONGEST_LINE)}`"
        return f"`{shown}` {self.wrong}{right}"


def slips_in(text: str) -> list[Slip]:
    """Every slip that keeps a text from being TOML, from the top: each put right before the next is sought.

    >>> [(slip.line, slip.right) for slip in slips_in('[joint]\\nkind: "finger"\\nfingers = 5,')]
    [(2, 'kind = "finger"'), (3, 'fingers = 5')]
    """
    lines = text.replace("\r\n", "\n").split("\n")
    slips: list[Slip] = []
    while len(slips) < MOST_SLIPS:
        try:
            tomllib.loads("\n".join(lines))
            return slips
        except tomllib.TOMLDecodeError as error:
            number = _line_of(str(error), lines)
            slip = _slip(number, lines[number - 1], str(error))
        except (ValueError, RecursionError, OverflowError):
            return slips
        if slips and number <= slips[-1].line:
            return slips  # what the line before it has left open, not a slip of its own
        slips.append(slip)
        if slip.right is None and (lines[number - 1].lstrip().startswith("[") or not slip.text):
            return slips  # without its heading, nothing below can be told
        lines[number - 1] = slip.right or ""
    return slips


def _line_of(message: str, lines: list[str]) -> int:
    """The line that a message of tomllib names, the last that is not blank for the end of the document."""
    found = re.search(r"at line (\d+)", message)
    if found and int(found[1]) <= len(lines):
        return int(found[1])
    return next((number for number in range(len(lines), 0, -1) if lines[number - 1].strip()), 1)


def _slip(number: int, line: str, message: str) -> Slip:
    text = line.strip()
    twice = _said_twice(message)
    if twice:
        return Slip(number, text, twice)
    plain = "".join(PLAIN_MARKS.get(mark, mark) for mark in text)
    wrong = [] if plain == text else [_marks_said(text)]
    right: str | None = plain
    if not _is_toml(plain):
        right = None
        plain = plain if len(plain) <= LONGEST_REPAIRED else ""
        for said, better in _repairs(COMMENT.sub("", plain)):
            if _is_toml(better):
                wrong.append(said)
                right = better
                break
    if right is None or not wrong:
        words = "cannot be read as TOML: a line is a table, such as `[boards]`, or a key and value, such as"
        return Slip(number, text, f'{words} `kind = "finger"` or `fingers = 5`')
    return Slip(number, text, " and ".join(wrong), right)


def _said_twice(message: str) -> str | None:
    """What is wrong where each line is TOML, but not beside one above it."""
    if message.startswith(("Cannot declare", "Cannot mutate")):
        return "opens a table that stands further up already: keep all its keys under one such line"
    if message.startswith("Cannot overwrite"):
        return "gives a key that this table has further up already: keep one of the two lines"
    return None


def _marks_said(text: str) -> str:
    if any(mark in text for mark in CURLY):
        return "has curly or slanted marks where straight quotes belong"
    return "has a space that is no plain one"


def _is_toml(line: str) -> bool:
    try:
        return bool(tomllib.loads(line))
    except (ValueError, RecursionError, OverflowError):
        return False


def _repairs(line: str) -> Iterator[tuple[str, str]]:
    """What may be wrong with a line without its comment, and the line put right, likeliest first."""
    if line.startswith("["):
        yield from _header_repairs(line)
        return
    statement = STATEMENT.fullmatch(line)
    if statement is None:
        for pattern, said in ((COLON, "has a colon in place of ="), (NO_EQUALS, "has no = after its key")):
            if match := pattern.fullmatch(line):
                key, value = _key(match["key"]), match["value"]
                yield said, f"{key} = {value}"
                for further, better in _value_repairs(value):
                    yield f"{said} and {further}", f"{key} = {better}"
        return
    typed, value = statement["key"], statement["value"]
    key = _key(typed)
    said = "" if key == typed else "has a key with a space in it"
    if said:
        yield said, f"{key} = {value}"
    for further, better in _value_repairs(value):
        yield (f"{said} and {further}" if said else further), f"{key} = {better}"


def _key(typed: str) -> str:
    """A key as our files have it: with underscores for spaces and without quotes or colons."""
    return re.sub(r"[\s-]+", "_", typed.strip("\"' :\t"))


def _header_repairs(line: str) -> Iterator[tuple[str, str]]:
    match = HEADER.fullmatch(line)
    if match is None:
        return
    opening, inside, closing = match.groups()
    ends = "]" * len(opening)
    said = "does not end with " + ends if closing != ends else "has more than its brackets"
    yield said, f"{opening}{inside}{ends}"
    parts = inside.split(".")
    quoted = ".".join(part if re.fullmatch(r"[\w-]+|\"[^\"]*\"", part) else f'"{part}"' for part in parts)
    yield "has a name with a space, which needs quotes", f"{opening}{quoted}{ends}"


def _value_repairs(value: str) -> Iterator[tuple[str, str]]:
    """The same for what stands right of the =."""
    for repair in (_nothing, _stray_end, _inches, _backslashes, _yes_or_no, _quotes):
        found = repair(value)
        if found is not None:
            yield found


def _nothing(value: str) -> tuple[str, str] | None:
    return ("has nothing after =", '"..."') if not value else None


def _stray_end(value: str) -> tuple[str, str] | None:
    bare = value.rstrip(",;. \t")
    if bare == value or not bare:
        return None
    mark = {",": "comma", ";": "semicolon", ".": "full stop"}[value[len(bare) :].strip()[0]]
    said = f"has a stray {mark} at its end"
    if _is_toml(f"x = {bare}"):
        return said, bare
    return next(((f"{said} and {further}", better) for further, better in _value_repairs(bare)), None)


def _inches(value: str) -> tuple[str, str] | None:
    """A number with the inch mark, which is also the quote, and a fraction without any unit or quotes."""
    if FRACTION.fullmatch(value):
        return "has neither quotes nor a unit", f'"{value} in"'
    match = NUMBER_ONLY.fullmatch(value)
    if match is None or not value.endswith('"') or re.fullmatch(r'"[^"]*"', value):
        return None
    number = re.sub(r"(?<=\d),(?=\d)", ".", match["number"].strip())
    return "has an inch mark, which ends the text in quotes: write in for inches", f'"{number} in"'


def _backslashes(value: str) -> tuple[str, str] | None:
    """The path of a file as some systems write it."""
    if "\\" not in value:
        return None
    return "has backslashes in its path: write slashes", '"' + value.strip("\"'").replace("\\", "/") + '"'


def _yes_or_no(value: str) -> tuple[str, str] | None:
    word = YES_OR_NO.get(value.casefold())
    return None if word is None else ("must be true or false, in small letters", word)


def _quotes(value: str) -> tuple[str, str] | None:
    """Quotes that are missing at either end or both, doubled, or not alike."""
    if not value or value[0] in "[{":
        return None
    bare = re.sub(r"(?<=\d),(?=\d)", ".", re.sub(r"""["']""", "", value).strip())
    begins, ends = value[0] in "\"'", value[-1] in "\"'"
    if FRACTION.fullmatch(bare):
        bare += " in"
    if not begins and not ends and not any(mark in value for mark in "\"'"):
        said = "has no quotes round its value"
    elif begins and not ends and value.count(value[0]) == 1:
        said = "has no quote at its end"
    elif ends and not begins:
        said = "has no quote at the start of its value"
    else:
        said = "has quotes that do not stand at both ends of its value alone"
    return said, f'"{bare}"'
