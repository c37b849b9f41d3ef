"""Standard output and error as terminals, pipes and scripts hand them over: closed, full, or of few letters.

What a stream cannot show is shown by letters that it can; what is closed takes nothing, and that is said.
"""

from __future__ import annotations

import codecs
import contextlib
import io
import os
import sys
import unicodedata
from collections.abc import Iterator
from typing import Any, TextIO

PLAIN_LETTERS = {"×": "x", "·": ".", "−": "-", "–": "-", "—": "-", "±": "+-", "°": " deg"}
"""Letters of ours and of makers' names that no rule turns into plain ones."""

FALLBACK = "glueline.plain_letters"
STRICT = ("strict", "surrogateescape")
"""Ways to meet a letter that cannot be shown, of Python's own, that end in an error or in torn bytes."""

RAW_BYTES = (0xDC80, 0xDCFF)
"""Where Python keeps the bytes of a file's name that are no text."""


def plain_letters(text: str) -> str:
    """``text`` in ASCII: what looks nearly alike where there is such a thing, else its number.

    >>> plain_letters("1.2 N·m over 5 mm²")
    '1.2 N.m over 5 mm2'
    >>> plain_letters("Stück, 漆")
    'Stuck, \\\\u6f06'
    """
    return "".join(map(_plain_letter, text))


def _plain_letter(letter: str) -> str:
    if letter.isascii():
        return letter
    if letter in PLAIN_LETTERS:
        return PLAIN_LETTERS[letter]
    if RAW_BYTES[0] <= ord(letter) <= RAW_BYTES[1]:
        return f"\\x{ord(letter) - 0xDC00:02x}"
    parts = unicodedata.normalize("NFKD", letter)
    alike = "".join(part for part in parts if not unicodedata.combining(part))
    return alike if alike and alike.isascii() else letter.encode("ascii", "backslashreplace").decode("ascii")


def _fall_back(error: UnicodeError) -> tuple[str, int]:
    """What Python asks for the letters that an encoding has not."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain_letters(error.object[error.start : error.end]), error.end


codecs.register_error(FALLBACK, _fall_back)


class Nowhere(io.TextIOBase):
    """In place of a stream that is closed; ``lost`` tells whether anything was written to it."""

    def __init__(self) -> None:
        super().__init__()
        self.lost = False

    def writable(self) -> bool:
        """It takes everything."""
        return True

    def write(self, text: str) -> int:
        """Forget ``text``."""
        self.lost = self.lost or bool(text)
        return len(text)


@contextlib.contextmanager
def forgiving_streams() -> Iterator[None]:
    """Standard output and error that take every letter, and are there even where they are closed."""
    before = sys.stdout, sys.stderr
    _fill_closed_places()
    kept: list[tuple[io.TextIOWrapper, str]] = []
    for name in ("stdout", "stderr"):
        stream: Any = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Nowhere())
        elif isinstance(stream, io.TextIOWrapper) and stream.errors in STRICT:
            kept.append((stream, stream.errors))
            stream.reconfigure(errors=FALLBACK)
    try:
        yield
    finally:
        for stream, errors in kept:
            with contextlib.suppress(OSError, ValueError):
                stream.reconfigure(errors=errors)
        sys.stdout, sys.stderr = before


def _fill_closed_places() -> None:
    """Open what is closed of the three standard places, else the next file opened would be written to by all
    that is printed, by gmsh too.
    """
    for place in range(3):
        try:
            os.fstat(place)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)


@contextlib.contextmanager
def pictures_without_a_window() -> Iterator[None]:
    """Matplotlib, which loads later, is told to need no window, whatever a notebook has set for itself.

    What is not installed here would stop it.
    """
    before = os.environ.get("MPLBACKEND")
    os.environ["MPLBACKEND"] = "agg"
    try:
        yield
    finally:
        if before is None:
            os.environ.pop("MPLBACKEND", None)
        else:
            os.environ["MPLBACKEND"] = before


def lost_output() -> bool:
    """Whether something was to be shown on standard output, which is closed."""
    return isinstance(sys.stdout, Nowhere) and sys.stdout.lost


def say(text: object) -> None:
    """One message on standard error, if anybody is there to read it."""
    with contextlib.suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)


def give_up_output() -> None:
    """Let go of what standard output could not take; Python would try and complain again at its end."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def print_json(text: str) -> None:
    """JSON text on standard output; letters that the stream has not as JSON spells them."""
    sys.stdout.write(text if _takes(sys.stdout, text) else spelled_out(text))


def _takes(stream: TextIO, text: str) -> bool:
    try:
        text.encode(getattr(stream, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        return False
    return True


def spelled_out(text: str) -> str:
    r"""JSON text in ASCII, which reads back the same.

    >>> spelled_out('{"unit": "N·m"}')
    '{"unit": "N\\u00b7m"}'
    """
    units = text.encode("utf-16-be", "surrogatepass")
    codes = (int.from_bytes(units[at : at + 2], "big") for at in range(0, len(units), 2))
    return "".join(chr(code) if code < 0x80 else f"\\u{code:04x}" for code in codes)
