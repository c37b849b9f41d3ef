"""Texts and bytes changed at random: single bytes, lines, keys, values, and pieces of other files."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence

AWKWARD = (
    "nan",
    "inf",
    "-inf",
    "true",
    "false",
    "1e400",
    "-1e-400",
    "0",
    "-0",
    "1.5",
    "999999999999",
    "9" * 4200,
    "1979-05-27T07:32:00Z",
    "07:32:00",
    "1979-05-27",
    "[]",
    "{}",
    "[[[[]]]]",
    "{a = 1}",
    "{a = {b = [1]}}",
    '"3/4 in"',
    '"1/0 in"',
    '"0 mm"',
    '"-0 mm"',
    '"1e9 mm"',
    f'"0.{"0" * 40}1 mm"',
    '"100000 mm"',
    '"/"',
    '".toml"',
    '"./"',
    '"~/x.toml"',
    '"~nobody/x.toml"',
    '"a\\u0000b/c.toml"',
    '"{depth}"',
    '"{0}"',
    '"%s"',
    '"%"',
    '"none"',
    '"oak"',
    "''",
    '"wood.toml"',
    '"glue.toml"',
    '"frame"',
    '"box"',
    '"butt"',
    '"dowel"',
    '"1:7"',
    '"45 deg"',
    '"120 %"',
    "'''\nx'''",
    "null",
    "-1",
    '"\\ud800"',
    "\ufeff",
    '"é\u202e"',
    "[1,",
    '"',
    "12 %",
    "=1+1",
    "'=1",
    '"500 N"',
    '"100 N/mm"',
    "1_000",
)
"""Values that have a way of being taken for something else."""

MARKS = tuple("\"'\\[]{}=,.#:;-+%/ \n\r\t\0_0129eEnN\u00e9\u2028")
PIECES = re.compile(r'"[^"\n]*"|[-\w.%/:]+|\s+|.', re.DOTALL)


def mutated(content: bytes, others: Sequence[bytes], chance: random.Random) -> bytes:
    """The content changed in one to four places."""
    for _ in range(chance.choice((1, 1, 1, 2, 2, 3, 4))):
        content = chance.choice(WAYS)(content, others, chance)
    return content


def _bytes(content: bytes, _: Sequence[bytes], chance: random.Random) -> bytes:
    start = chance.randint(0, len(content))
    end = min(len(content), start + chance.choice((0, 0, 1, 1, 2, 8, 60)))
    given = chance.choice((b"", chance.randbytes(1), chance.randbytes(3), chance.choice(MARKS).encode()))
    return content[:start] + given + content[end:]


def _cut(content: bytes, _: Sequence[bytes], chance: random.Random) -> bytes:
    return content[: chance.randint(0, len(content))]


def _splice(content: bytes, others: Sequence[bytes], chance: random.Random) -> bytes:
    other = chance.choice(others)
    start = chance.randint(0, len(other))
    at = chance.randint(0, len(content))
    return content[:at] + other[start : start + chance.randint(0, 200)] + content[at:]


def _lines(content: bytes, others: Sequence[bytes], chance: random.Random) -> bytes:
    lines = content.split(b"\n")
    at = chance.randrange(len(lines))
    way = chance.randrange(4)
    if way == 0:
        del lines[at]
    elif way == 1:
        lines.insert(at, chance.choice(lines))
    elif way == 2:
        other = chance.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    else:
        lines.insert(at, chance.choice(chance.choice(others).split(b"\n")))
    return b"\n".join(lines)


def _value(content: bytes, others: Sequence[bytes], chance: random.Random) -> bytes:
    """One piece of text replaced: by an awkward value, or by a piece from anywhere."""
    pieces = PIECES.findall(content.decode("utf-8", "replace"))
    if not pieces:
        return chance.choice(AWKWARD).encode("utf-8", "replace")
    at = chance.randrange(len(pieces))
    others_pieces = PIECES.findall(chance.choice(others).decode("utf-8", "replace")) or [""]
    pieces[at] = chance.choice((chance.choice(AWKWARD), chance.choice(others_pieces), chance.choice(pieces)))
    return "".join(pieces).encode("utf-8", "replace")


def _number(content: bytes, _: Sequence[bytes], chance: random.Random) -> bytes:
    """One number replaced by another."""
    found = list(re.finditer(rb"\d+(\.\d+)?", content))
    if not found:
        return content
    match = chance.choice(found)
    number = chance.choice(
        (
            str(chance.randint(-3, 12)),
            f"{chance.uniform(0, 300):.3g}",
            f"{10 ** chance.uniform(-12, 18):.6g}",
            str(chance.randint(0, 10 ** chance.randint(1, 40))),
        )
    )
    return content[: match.start()] + number.encode() + content[match.end() :]


WAYS: tuple[Callable[[bytes, Sequence[bytes], random.Random], bytes], ...] = (
    _bytes, _bytes, _cut, _splice, _lines, _value, _value, _value, _number, _number,
)  # fmt: skip
