"""What a directory of results tells of itself: which files a command finished, and which it only began."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from msgspec import Struct

from glueline.studies.files.failures import InputError
from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.plain_files import read_plain

WRITER = "glueline"
NOTE_BEGINS = b'{"written_by":"glueline '


class Manifest(Struct, frozen=True, kw_only=True):
    """What a finished command wrote: the SHA-256 digest of every file by name.

    ``made_from`` is the specimen file, seen from the directory, where a command has one only; else empty.
    """

    written_by: str
    made_from: str
    files: dict[str, str]


class Note(Struct, frozen=True, kw_only=True):
    """What a command has begun: digests that its files may have, and the mark of its drafts.

    A file may still be the one that was there before, or the one that is to come.
    """

    written_by: str
    made_from: str
    draft: str
    files: dict[str, tuple[str, ...]]


def manifest_name(command: str) -> str:
    """The manifest's file of a command.

    >>> manifest_name("predict")
    'predict.manifest.json'
    """
    return f"{command}.manifest.json"


def note_name(command: str) -> str:
    """The file that tells what a command has begun and not finished."""
    return f"{command}.unfinished.json"


def seen_from(folder: str | os.PathLike[str], file: str | os.PathLike[str]) -> str:
    """A file's path as it is found from ``folder``, links resolved: both may be moved together."""
    path = os.path.realpath(file)
    with contextlib.suppress(OSError, ValueError):  # another drive, or no name that a directory can have
        path = os.path.relpath(path, os.path.realpath(folder))
    return Path(path).as_posix().encode("utf-8", "backslashreplace").decode("utf-8")


def writer_name(command: str) -> str:
    """How a command signs its manifest and its note."""
    return f"{WRITER} {command}"


def read_manifest(folder: Path, command: str) -> Manifest | None:
    """The manifest of a command in a directory, None where there is none. Raises Damaged."""
    path = folder / manifest_name(command)
    try:
        manifest = read_json(_content(path), Manifest)
    except (FileNotFoundError, NotADirectoryError, ValueError) as error:
        if isinstance(error, Damaged):
            raise
        return None
    except OSError as error:
        if os.path.lexists(path):
            raise Damaged("", f"cannot be read: {error.strerror}") from None
        return None
    if manifest.written_by != writer_name(command) or not _inside(manifest.files):
        raise Damaged("", f"is no manifest of {writer_name(command)}")
    return manifest


def disagreement(
    folder: Path, manifest: Manifest, read: Mapping[str, bytes], open_to_change: Collection[str] = ()
) -> tuple[str, str] | None:
    """The first file that is not as the manifest tells, and how; ``read`` holds contents already read.

    Files that are ``open_to_change``, such as a log to fill in, are passed over, also where they are gone.
    """
    for name, digest in manifest.files.items():
        if name in open_to_change:
            continue
        found = digest_of_bytes(read[name]) if name in read else digest_of(folder / name)
        if found is None:
            return name, "is missing"
        if found != digest:
            return name, "is another file"
    return None


def read_note(folder: Path, command: str) -> Note | None:
    """The note of a command in a directory, None where there is none, or one torn while it was written.

    Raises Damaged for any other file of its name.
    """
    path = folder / note_name(command)
    try:
        content = _content(path)
    except Damaged:
        raise
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return None
    except OSError as error:
        if os.path.lexists(path):
            raise Damaged("", f"cannot be read: {error.strerror}") from None
        return None
    with contextlib.suppress(Damaged):
        note = read_json(content, Note)
        if note.written_by == writer_name(command) and _inside(note.files):
            return note
    if not (content.startswith(NOTE_BEGINS) or NOTE_BEGINS.startswith(content)):
        raise Damaged("", f"is no note of {writer_name(command)}")
    return None


def _inside(names: Iterable[str]) -> bool:
    """Whether all names lie in their directory: a manifest from elsewhere cannot point out of it."""
    return all(name and not Path(name).is_absolute() and ".." not in Path(name).parts for name in names)


def digest_of_bytes(content: bytes) -> str:
    """The SHA-256 digest of a file of that content."""
    return hashlib.sha256(content).hexdigest()


def digest_of(path: Path) -> str | None:
    """The digest of a plain file, however large, None where there is none that can be read."""
    try:
        if path.is_symlink() or not path.is_file():
            return None
        with path.open("rb") as source:
            return hashlib.file_digest(source, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


def _content(path: Path) -> bytes:
    """What a plain file of results holds. Raises Damaged for any other, OSError as reading does."""
    try:
        return read_plain(path, "a manifest or note of glueline")
    except InputError as error:
        raise Damaged("", error.problems[0].message) from None
