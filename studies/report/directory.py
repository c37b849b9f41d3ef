"""A directory that predict, rank or sweep wrote: which of them it was, and everything a page needs."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.json_text import Damaged, read_json
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
    """Read a directory of results. Raises InputError for any other, and for files that are damaged."""
    folder = Path(path)
    command = _recognised(folder)
    asked: Asked | None = None
    points: tuple[FinishedPoint, ...] = ()
    corners: tuple[RankedCorner, ...]
    if command == "predict":
        corners = (ranked_corner("", "", _read(folder / ANSWER_FILE, Answer, command)),)
    elif command == "rank":
        corners = _read(folder / RANKING_FILE, RankingFile, command).corners
    else:
        asked = _read(folder / ASKED, Asked, command)
        points = _points(folder / FINISHED, asked)
        corners = tuple(
            ranked_corner(varied_words(point.values), "", point.answer)
            for point in points
            if point.answer is not None
        )
        if not corners:
            raise _refuse(folder / FINISHED, f"holds not one answer; {_again(command)}")
    record = _read(folder / RECORD_FILE, Record, command)
    return Results(command, corners, record, _pictures(folder, command), asked, points)


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


def _read(path: Path, shape: type[Read], command: str) -> Read:
    try:
        return read_json(_bytes(path, command), shape)
    except Damaged as error:
        raise _refuse(path, f"{error.message}; {_again(command)}", error.place) from None


def _points(path: Path, asked: Asked) -> tuple[FinishedPoint, ...]:
    """The finished points, the first of several of a number; a line that a kill has torn is passed over.

    Lines that are damaged otherwise are refused until the sweep, carried on, has put others in their place.
    """
    points: dict[int, FinishedPoint] = {}
    damaged = []
    for number, line in enumerate(_bytes(path, "sweep", LARGEST_JOURNAL).split(b"\n"), start=1):
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


def _pictures(folder: Path, command: str) -> dict[str, bytes]:
    pictures = {}
    for path in sorted(folder.glob("*.png")):
        content = _bytes(path, command)
        if not content.startswith(PNG_SIGNATURE) or len(content) < PNG_LEAST:
            raise _refuse(path, f"is no PNG picture; {_again(command)}")
        pictures[path.name] = content
    return pictures


def _bytes(path: Path, command: str, largest: int = LARGEST_RESULT) -> bytes:
    try:
        return read_plain(path, f"what glueline {command} wrote", largest)
    except FileNotFoundError:
        raise _refuse(path, f"is missing: {command} has not finished; {_again(command)}") from None
    except OSError as error:
        raise _refuse(path, f"cannot be read: {error.strerror}") from None


def _again(command: str) -> str:
    return f"run the same glueline {command} again"


def _refuse(path: Path, message: str, place: str = "") -> InputError:
    return InputError((InputProblem(printable(str(path)), place, None, printable(message)),))
