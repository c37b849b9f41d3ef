"""The one way in which files are read: plain files only, and never more of one than its limit."""

from __future__ import annotations

import errno
import io
import os
import stat
from collections.abc import Iterator

from glueline.studies.files.failures import InputError, InputProblem, one_line

LARGEST_RESULT = 50_000_000
"""Bytes of the largest file of results that is read: an answer, a ranking, a picture."""

WITHOUT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
"""How files are opened: a pipe that nobody writes to would be waited for otherwise."""


def read_plain(path: str | os.PathLike[str], expected: str, largest: int = LARGEST_RESULT) -> bytes:
    """All bytes of a file; ``expected`` says in words what it should be, ``largest`` is in bytes.

    Raises InputError for what is no plain file (a directory, a pipe, a device) or larger; OSError as opening
    and reading do, ValueError for what is no name of a file.
    """
    _refuse_unless_plain(os.stat(path).st_mode, path, expected)
    with open(os.open(path, os.O_RDONLY | WITHOUT_WAITING), "rb") as source:
        # Once more: another may have taken its place since.
        found = os.fstat(source.fileno())
        _refuse_unless_plain(found.st_mode, path, expected)
        content = source.read(largest + 1) if found.st_size <= largest else b""
    if max(found.st_size, len(content)) > largest:
        raise _refuse(path, f"is larger than {_size(largest)}; it should be {expected}")
    return content


def lines_of(
    path: str | os.PathLike[str], expected: str, largest: int = LARGEST_RESULT
) -> Iterator[tuple[int, bytes]]:
    """The lines of a file one by one without their ends, each with the place of its first byte.

    Raises as ``read_plain``, of which this keeps one line at a time.
    """
    _refuse_unless_plain(os.stat(path).st_mode, path, expected)
    start = 0
    with open(os.open(path, os.O_RDONLY | WITHOUT_WAITING), "rb") as source:
        found = os.fstat(source.fileno())
        _refuse_unless_plain(found.st_mode, path, expected)
        if found.st_size > largest:
            raise _refuse(path, f"is larger than {_size(largest)}; it should be {expected}")
        while start < largest and (line := source.readline(largest - start)):
            yield start, line.removesuffix(b"\n")
            start += len(line)


def holds(path: str | os.PathLike[str], content: bytes, expected: str) -> bool:
    """Whether a file holds these bytes and no others. Raises as ``read_plain``, but for its size."""
    found = os.stat(path)
    if stat.S_ISREG(found.st_mode) and found.st_size != len(content):
        return False
    return read_plain(path, expected, len(content)) == content


def open_to_add(path: str | os.PathLike[str], expected: str) -> io.BufferedWriter:
    """A plain file to add bytes to, made if it is not there. Raises as ``read_plain``."""
    try:
        handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | WITHOUT_WAITING, 0o666)
    except OSError as error:
        if error.errno in (errno.ENXIO, errno.EISDIR):  # a pipe that nobody reads, a directory
            raise _refuse(path, f"is not a plain file; it should be {expected}") from None
        raise
    file = os.fdopen(handle, "ab")
    try:
        _refuse_unless_plain(os.fstat(handle).st_mode, path, expected)
    except InputError:
        file.close()
        raise
    return file


def read_text(path: str | os.PathLike[str], expected: str, largest: int, hint: str) -> str:
    """The text of a file in UTF-8; ``expected`` says in words what it should be, ``hint`` where it is empty.

    ``largest`` is in bytes. Raises InputError for whatever keeps it from being read.
    """
    try:
        content = read_plain(path, expected, largest)
    except FileNotFoundError:
        raise _refuse(path, "no such file") from None
    except PermissionError:
        raise _refuse(path, "cannot be read: no permission") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refuse(path, f"cannot be read: {reason}") from None
    try:
        text = content.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise _refuse(path, f"is not UTF-8 text (line {line}); save it as UTF-8") from None
    if not text.strip():
        raise _refuse(path, f"is empty; {hint}")
    return text


def printable(text: str, longest: int = 500) -> str:
    """``text`` on one line, without characters that a terminal would act on, and not too long."""
    shown = one_line(text[: 2 * longest])
    return shown if len(shown) <= longest else shown[: longest - 3] + "..."


def _refuse_unless_plain(mode: int, path: str | os.PathLike[str], expected: str) -> None:
    if stat.S_ISDIR(mode):
        raise _refuse(path, f"is a directory; give {expected}")
    if not stat.S_ISREG(mode):
        raise _refuse(path, f"is not a plain file; give {expected}")


def _refuse(path: str | os.PathLike[str], message: str) -> InputError:
    return InputError((InputProblem(printable(os.fspath(path)), "", None, message),))


def _size(number: int) -> str:
    return f"{number // 1000} kB" if number < 10_000_000 else f"{number // 1_000_000} MB"
