"""The files of one command in a directory: each is read once, and kept for the manifest to judge."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TypeVar

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.manifest import disagreement, manifest_name, read_manifest
from glueline.studies.files.plain_files import LARGEST_RESULT, printable, read_plain

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
PNG_LEAST = 45  # bytes, its header and its end alone
JPEG_SIGNATURE = b"\xff\xd8\xff"

Read = TypeVar("Read")


class ResultsFiles:
    """What ``command`` wrote into a directory, of which ``main`` is the file that it is known by.

    Files that are ``open_to_change`` may be other ones than it wrote, or gone.
    """

    def __init__(self, path: Path, command: str, main: str, open_to_change: Collection[str] = ()) -> None:
        self.path, self.command, self._main = path, command, main
        self._open_to_change = frozenset(open_to_change)
        self._contents: dict[str, bytes] = {}

    def read(self, name: str, shape: type[Read]) -> Read:
        """A JSON file. Raises InputError."""
        try:
            return read_json(self.bytes_of(name), shape)
        except Damaged as error:
            message = f"{error.message}; {anew(self.command)}"
            raise refused(self.path / name, message, error.place) from None

    def bytes_of(self, name: str, largest: int = LARGEST_RESULT) -> bytes:
        """What a file of at most ``largest`` bytes holds. Raises InputError."""
        path = self.path / name
        try:
            self._contents[name] = read_plain(path, f"what glueline {self.command} wrote", largest)
        except FileNotFoundError:
            message = f"is missing: {self.command} has not finished; {again(self.command)}"
            raise refused(path, message) from None
        except OSError as error:
            raise refused(path, f"cannot be read: {error.strerror}") from None
        return self._contents[name]

    def checked_pictures(self) -> dict[str, bytes]:
        """The pictures that the manifest names. Raises InputError where other files stand there."""
        name = manifest_name(self.command)
        try:
            manifest = read_manifest(self.path, self.command)
        except Damaged as error:
            raise refused(self.path / name, f"{error.message}; {anew(self.command)}", error.place) from None
        if manifest is None:
            message = (
                f"is missing beside {self._main}: {self.command} was stopped before all was "
                f"written, or the files come from elsewhere or from an older glueline; "
                f"{again(self.command)}, or into another directory where it refuses this one"
            )
            raise refused(self.path / name, message)
        pictures = {}
        for picture in sorted(each for each in manifest.files if each.endswith((".png", ".jpg"))):
            content = self.bytes_of(picture)
            kind = "PNG" if picture.endswith(".png") else "JPEG"
            whole = content.startswith(PNG_SIGNATURE) and len(content) >= PNG_LEAST
            if not (whole if kind == "PNG" else content.startswith(JPEG_SIGNATURE)):
                raise refused(self.path / picture, f"is no {kind} picture; {anew(self.command)}")
            pictures[picture] = content
        if self._main not in manifest.files:
            raise refused(self.path / self._main, f"is not named in {name}; {anew(self.command)}")
        wrong = disagreement(self.path, manifest, self._contents, self._open_to_change)
        if wrong is not None:
            file, how = wrong
            message = (
                f"{how} than {name} tells of"
                if how == "is another file"
                else f"{how}, but {name} tells of it"
            )
            raise refused(
                self.path / file, f"{message}: it does not belong to this answer; {anew(self.command)}"
            )
        return pictures


def again(command: str) -> str:
    """What to do where a command has not finished."""
    return f"run the same glueline {command} again"


def anew(command: str) -> str:
    """What to do where files are not those that a command wrote."""
    return f"run the same glueline {command} into a new directory"


def refused(path: Path, message: str, place: str = "") -> InputError:
    """The error that names a file, a place inside it, and what is wrong."""
    return InputError((InputProblem(printable(str(path)), place, None, printable(message)),))
