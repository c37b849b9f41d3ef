"""A directory of results: which commands wrote it, and everything a page needs."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from glueline.studies.bench_day.plan.plan_report import COMMAND as PLAN
from glueline.studies.bench_day.plan.plan_report import LOG_FILES
from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.words import one_of
from glueline.studies.predict.answer import Answer
from glueline.studies.rank.ranking import RankedCorner, ranked_corner
from glueline.studies.rank.ranking_file import RANKING_FILE, RankingFile
from glueline.studies.report.results_files import ResultsFiles, again, anew, refused
from glueline.studies.show.page_words import TOLD_BY, PageWords, page_file, record_file
from glueline.studies.show.record import RECORD_FILE, Record
from glueline.studies.show.write_results import ANSWER_FILE
from glueline.studies.sweeps.journal import LARGEST_JOURNAL
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.store import ASKED, FINISHED, Asked
from glueline.studies.sweeps.sweep_words import varied_words

MAIN_FILES = {ANSWER_FILE: "predict", RANKING_FILE: "rank", ASKED: "sweep"}
"""The file by which a directory of answers is known, and the command that wrote it."""

COMMANDS = (*MAIN_FILES.values(), *TOLD_BY)


@dataclass(frozen=True)
class Told:
    """What a command that writes words for a page has to say; ``pictures`` by name."""

    command: str
    words: PageWords
    record: Record
    pictures: Mapping[str, bytes]


@dataclass(frozen=True)
class Results:
    """What a directory holds.

    ``command`` is what the page is about; ``corners`` every answer of predict, rank or sweep with the name it
    goes by on the page, of which one alone has none, and nothing of other commands; ``record`` the record
    file. A sweep has what was ``asked`` and its finished ``points`` in order. ``pictures`` holds the bytes of
    every picture by name. ``told`` is what bench, plan, service, least and influence have to say.
    """

    command: str
    corners: tuple[RankedCorner, ...]
    record: Record
    pictures: Mapping[str, bytes]
    asked: Asked | None = None
    points: tuple[FinishedPoint, ...] = ()
    told: tuple[Told, ...] = ()


def read_directory(path: str | os.PathLike[str]) -> Results:
    """Read a directory of results.

    Raises InputError for any other, for files that are damaged, and where the files are not those that the
    command has finished, as its manifest tells.
    """
    found = _recognised(Path(path))
    told = tuple(_told(Path(path), command) for command in TOLD_BY if command in found)
    if found[0] in TOLD_BY:
        return Results(told[0].command, (), told[0].record, told[0].pictures, told=told)
    return replace(_answers(Path(path), found[0]), told=told)


def _answers(path: Path, command: str) -> Results:
    """What predict, rank or sweep wrote."""
    folder = ResultsFiles(path, command, _main_file(command))
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
            raise refused(folder.path / FINISHED, f"holds not one answer; {again(command)}")
    record = folder.read(RECORD_FILE, Record)
    return Results(command, corners, record, folder.checked_pictures(), asked, points)


def _told(path: Path, command: str) -> Told:
    """What one of the other commands wrote for a page."""
    # The log of a bench day is there to be filled in.
    to_fill_in = LOG_FILES if command == PLAN else ()
    folder = ResultsFiles(path, command, page_file(command), to_fill_in)
    words = folder.read(page_file(command), PageWords)
    if not words.is_whole():
        raise refused(path / page_file(command), f"has a table of uneven rows; {anew(command)}")
    record = folder.read(record_file(command), Record)
    return Told(command, words, record, folder.checked_pictures())


def _recognised(folder: Path) -> list[str]:
    """The commands whose results are there, that of answers first; at least one. Raises InputError."""
    right = f"name a directory that glueline {one_of(COMMANDS)} wrote with --out"
    known = MAIN_FILES | {page_file(command): command for command in TOLD_BY}
    try:
        if not folder.is_dir():
            what = "is no directory" if folder.exists() else "no such directory"
            raise refused(folder, f"{what}; {right}")
        there = [command for name, command in known.items() if (folder / name).is_file()]
    except (OSError, ValueError):
        raise refused(folder, f"cannot be looked into; {right}") from None
    if not there:
        raise refused(folder, f"holds no {' or '.join(known)}: {right}")
    answers = [command for command in there if command not in TOLD_BY]
    if len(answers) > 1:
        message = "of which one has overwritten the other's: give each its own"
        raise refused(folder, f"holds results of {' and '.join(answers)}, {message}")
    return there


def _main_file(command: str) -> str:
    return next(name for name, its in MAIN_FILES.items() if its == command)


def _points(folder: ResultsFiles, asked: Asked) -> tuple[FinishedPoint, ...]:
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
        raise refused(path, f"{damaged[0]}; {again('sweep')}")
    return tuple(points[number] for number in sorted(points))


def _was_asked(point: FinishedPoint, asked: Asked) -> bool:
    return all(value in asked.vary.get(key, ()) for key, value in point.values.items())
