"""A directory that predict, rank or sweep wrote: which of them it was, and everything a page needs."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.manifest import disagreement, manifest_name, read_manifest
from glueline.studies.files.plain_files import LARGEST_RESULT, printable, read_plain
from glueline.studies.predict.answer import Answer
from glueline.studies.rank.ranking import RankedCorner, ranked_corner
from glueline.studies.rank.ranking_file import RANKING_FILE, RankingFile
from glueline.studies.show.record import RECORD_FILE, Record
from glueline.studies.show.write_results import ANSWER_FILE
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.store import ASKED, FINISHED, LARGEST_JOURNAL, Asked
from glueline.studies.sweeps.tables import varied_words

MAIN_FILES = {ANSWER_FILE: "predict", RANKING_FILE: "rank", ASKED: "sweep"}
"""The file by which a directory is known, and the command that wrote it."""

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
PNG_LEAST = 45  # bytes, its header and its end alone

Read = TypeVar("Read")


@dataclass(frozen=True)
class Results:
    """What a directory holds.

    ``command`` is predict, rank or sweep; ``corners`` every answer with the name it goes by on the page, of
    which one alone has none; ``record`` the record file. A sweep has what was ``asked`` and its finished
    ``points`` in order. ``pictures`` holds the bytes of every PNG by name.
    """

    command: str
    corners: tuple[RankedCorner, ...]
    record: Record
    pictures: Mapping[str, bytes]
    asked: Asked | None = None
    points: tuple[FinishedPoint, ...] = ()


def read_directory(path: str | os.PathLike[str]) -> Results:
    """Read a directory of results.

    Raises InputError for any other, for files that are damaged, and where the files are not those that the
    command has finished, as its manifest tells.
    """
    folder = _Folder(Path(path), _recognised(Path(path)))
    command = folder.command
    asked: Asked | None = None
    points: tuple[FinishedPoint, ...] = ()
    corners: tuple[RankedCorner, ...]
    if command == "predict":
        corners = (ranked_corner("", "", folder.read(ANSWER_FILE, Answer)),)
    elif command == "rank":
        corners = folder.read(RANKING_FILE, RankingFile).corners
    else:
        asked = folder.read(ASKED, Asked)
        points = _points(folder, asked)
        corners = tuple(
            ranked_corner(varied_words(point.values), "", point.answer)
            for point in points
            if point.answer is not None
        )
        if not corners:
            raise _refuse(folder.path / FINISHED, f"holds not one answer; {_again(command)}")
    record = folder.read(RECORD_FILE, Record)
    return Results(command, corners, record, folder.checked_pictures(), asked, points)


def _recognised(folder: Path) -> str:
    right = "name a directory that glueline predict, rank or sweep wrote with --out"
    try:
        if not folder.is_dir():
            what = "is no directory" if folder.exists() else "no such directory"
            raise _refuse(folder, f"{what}; {right}")
        there = [name for name in MAIN_FILES if (folder / name).is_file()]
    except (OSError, ValueError):
        raise _refuse(folder, f"cannot be looked into; {right}") from None
    if not there:
        raise _refuse(folder, f"holds no {' or '.join(MAIN_FILES)}: {right}")
    if len(there) > 1:
        commands = " and ".join(MAIN_FILES[name] for name in there)
        raise _refuse(
            folder,
            f"holds results of {commands}, of which one has overwritten the other's: give each its own",
        )
    return MAIN_FILES[there[0]]


class _Folder:
    """A directory of what ``command`` wrote; every file is read once, and kept for the manifest to judge."""

    def __init__(self, path: Path, command: str) -> None:
        self.path, self.command = path, command
        self._contents: dict[str, bytes] = {}

    def read(self, name: str, shape: type[Read]) -> Read:
        """A JSON file. Raises InputError."""
        try:
            return read_json(self.bytes_of(name), shape)
        except Damaged as error:
            message = f"{error.message}; {_anew(self.command)}"
            raise _refuse(self.path / name, message, error.place) from None

    def bytes_of(self, name: str, largest: int = LARGEST_RESULT) -> bytes:
        """What a file of at most ``largest`` bytes holds. Raises InputError."""
        path = self.path / name
        try:
            self._contents[name] = read_plain(path, f"what glueline {self.command} wrote", largest)
        except FileNotFoundError:
            message = f"is missing: {self.command} has not finished; {_again(self.command)}"
            raise _refuse(path, message) from None
        except OSError as error:
            raise _refuse(path, f"cannot be read: {error.strerror}") from None
        return self._contents[name]

    def checked_pictures(self) -> dict[str, bytes]:
        """The pictures that the manifest names. Raises InputError where other files stand there."""
        name = manifest_name(self.command)
        try:
            manifest = read_manifest(self.path, self.command)
        except Damaged as error:
            raise _refuse(self.path / name, f"{error.message}; {_anew(self.command)}", error.place) from None
        if manifest is None:
            message = (
                f"is missing beside {_main_file(self.command)}: {self.command} was stopped before all was "
                f"written, or the files come from elsewhere or from an older glueline; "
                f"{_again(self.command)}, or into another directory where it refuses this one"
            )
            raise _refuse(self.path / name, message)
        pictures = {}
        for picture in sorted(each for each in manifest.files if each.endswith(".png")):
            content = self.bytes_of(picture)
            if not content.startswith(PNG_SIGNATURE) or len(content) < PNG_LEAST:
                raise _refuse(self.path / picture, f"is no PNG picture; {_anew(self.command)}")
            pictures[picture] = content
        main = _main_file(self.command)
        if main not in manifest.files:
            raise _refuse(self.path / main, f"is not named in {name}; {_anew(self.command)}")
        wrong = disagreement(self.path, manifest, self._contents)
        if wrong is not None:
            file, how = wrong
            message = (
                f"{how} than {name} tells of"
                if how == "is another file"
                else f"{how}, but {name} tells of it"
            )
            raise _refuse(
                self.path / file, f"{message}: it does not belong to this answer; {_anew(self.command)}"
            )
        return pictures


def _main_file(command: str) -> str:
    return next(name for name, its in MAIN_FILES.items() if its == command)


def _points(folder: _Folder, asked: Asked) -> tuple[FinishedPoint, ...]:
    """The finished points, the first of several of a number; a line that a kill has torn is passed over.

    Lines that are damaged otherwise are refused until the sweep, carried on, has put others in their place.
    """
    path = folder.path / FINISHED
    points: dict[int, FinishedPoint] = {}
    damaged = []
    for number, line in enumerate(folder.bytes_of(FINISHED, LARGEST_JOURNAL).split(b"\n"), start=1):
        try:
            point = read_json(line, FinishedPoint)
        except Damaged as error:
            if error.place:
                damaged.append(f"line {number}: {error}")
            continue
        if point.number < asked.points and _was_asked(point, asked):
            points.setdefault(point.number, point)
        else:
            damaged.append(f"line {number}: is no point of {path.with_name(ASKED)}")
    if damaged and len(points) < asked.points:
        raise _refuse(path, f"{damaged[0]}; {_again('sweep')}")
    return tuple(points[number] for number in sorted(points))


def _was_asked(point: FinishedPoint, asked: Asked) -> bool:
    return all(value in asked.vary.get(key, ()) for key, value in point.values.items())


def _again(command: str) -> str:
    return f"run the same glueline {command} again"


def _anew(command: str) -> str:
    return f"run the same glueline {command} into a new directory"


def _refuse(path: Path, message: str, place: str = "") -> InputError:
    return InputError((InputProblem(printable(str(path)), place, None, printable(message)),))
