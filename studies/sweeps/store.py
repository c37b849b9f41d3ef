"""A sweep's directory: what was asked, every finished point, and the table made from them.

``points.jsonl`` is the truth: one line a finished point, added and forced to the disk at once. A kill can
only tear its last line, which is then no JSON and is passed over. ``results.csv`` is made from it, whole. The
manifest goes before anything changes and comes back when the sweep has ended. When it has, the lines stand in
the order of the points, whatever came between.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.json_text import Count, Damaged, json_line, json_text, read_json
from glueline.studies.files.output import directory_for_results
from glueline.studies.files.plain_files import read_plain
from glueline.studies.files.results_folder import ResultsWriter, check_place
from glueline.studies.predict.request import Request
from glueline.studies.show.record import RECORD_FILE
from glueline.studies.sweeps.growing_table import GrowingTable
from glueline.studies.sweeps.journal import Journal
from glueline.studies.sweeps.rows import FinishedPoint, finished
from glueline.studies.sweeps.worker import Computed

ASKED, FINISHED, RESULTS, PICTURE = "sweep.json", "points.jsonl", "results.csv", "sweep.png"
SWEEP_FILES = (ASKED, FINISHED, RESULTS, PICTURE, RECORD_FILE)
"""Every file that the directory of a sweep may hold, besides its manifest."""

COMMAND = "sweep"
KNOWN_BY_WHAT_WAS_ASKED = (ASKED, FINISHED)
"""Files that are this sweep's own because what they hold says so, as a look at them has shown."""

SHARE_OF_TIME = 0.05
"""Share of the time that writing the table anew may take while points come in."""


@dataclass(frozen=True, kw_only=True)
class Asked(Request):
    """Everything that settles a sweep's results: two sweeps that agree here agree.

    ``specimen`` holds the tables of the file without the varied keys, ``vary`` those with their values;
    ``points`` counts them, and ``fingerprint`` is a digest of every number that enters one.
    """

    glueline_version: str
    specimen: dict[str, dict[str, Any]]
    vary: dict[str, list[str]]
    solver: str
    points: Count
    fingerprint: str


class SweepStore:
    """The directory of one sweep, which this process alone writes to until ``close``.

    ``keys`` are the varied ones, ``values`` those of each point by its number; ``finished`` holds every
    finished point by its number, and reads it from the disk.
    """

    def __init__(self, folder: Path, keys: Iterable[str], values: Sequence[Mapping[str, str]]) -> None:
        self.folder = folder
        self.keys = tuple(keys)
        self.values = tuple(values)
        self.finished = Journal(folder / FINISHED, self.values)
        self._table = GrowingTable(self.keys)
        self._written_until = 0.0
        try:
            self._writer = ResultsWriter(folder, COMMAND, SWEEP_FILES, judged=KNOWN_BY_WHAT_WAS_ASKED)
            self._writer.clear_drafts()
            for point in self.finished.read():
                self._table.add(point)
            if self.finished.ends_torn():
                self._writer.begin()
                self.finished.end_line()
        except BaseException:
            self.finished.close()
            raise

    def add(self, number: int, computed: Computed) -> None:
        """Note a finished point; it is on the disk when this returns. One that is there already is left."""
        if number in self.finished:
            return
        point = finished(number, self.values[number], computed)
        line = json_line(point)
        self._table.add(point)
        self._writer.begin()
        self.finished.add(point, line)
        if time.monotonic() >= self._written_until:
            started = time.monotonic()
            self.write_table()
            ended = time.monotonic()
            self._written_until = ended + (ended - started) / SHARE_OF_TIME

    def write_table(self) -> None:
        """Write results.csv anew from the finished points, unless it says the same already."""
        self.write(RESULTS, self._table.content(self.finished))

    def write(self, name: str, content: bytes) -> None:
        """Write a file of the sweep whole, unless it says the same already."""
        self._writer.put(name, content)

    def finish(self) -> None:
        """Write the manifest of all that is there: the directory is whole."""
        self._writer.finish(SWEEP_FILES)

    def put_in_order(self) -> None:
        """Write the journal anew with its points in order, unless they are: no kill or worker shows then."""
        if not self.finished.is_in_order():
            self._writer.begin()
            self.finished.put_in_order()

    def brief_points(self) -> list[FinishedPoint]:
        """The finished points in their order, without what only whole answers are asked for."""
        return [self.finished.brief[number] for number in sorted(self.finished)]

    @property
    def is_empty(self) -> bool:
        """Whether not one point has been noted."""
        return not self.finished and self.finished.size == 0

    def close(self) -> None:
        """Close the journal."""
        self.finished.close()

    def leave_nothing(self) -> None:
        """Take away what was begun for a sweep that has no point yet."""
        for name in (ASKED, FINISHED):
            with contextlib.suppress(OSError):
                (self.folder / name).unlink()
        self._writer.forget()


@contextlib.contextmanager
def open_store(out: str, asked: Asked, values: Sequence[Mapping[str, str]]) -> Iterator[SweepStore]:
    """The store in directory ``out`` for the sweep ``asked``, with the ``values`` of each of its points.

    Raises InputError for a directory that cannot be written to, holds another sweep, holds results that no
    sweep wrote, or in which another glueline is writing.
    """
    _check_directory(Path(out), asked)
    check_place(out, COMMAND, SWEEP_FILES, judged=KNOWN_BY_WHAT_WAS_ASKED)
    with directory_for_results(out) as folder:
        store = SweepStore(folder, asked.vary, values)
        try:
            # Once more, now that nobody else can be writing here.
            _check_directory(folder, asked)
        except InputError:
            store.close()
            raise
        try:
            store.write(ASKED, json_text(asked).encode())
            yield store
            if not store.is_empty:
                store.finish()
        finally:
            if store.is_empty:
                store.leave_nothing()
            store.close()


def _check_directory(folder: Path, asked: Asked) -> None:
    try:
        there = read_json(read_plain(folder / ASKED, "what a sweep was asked"), Asked)
    except (FileNotFoundError, NotADirectoryError):
        for name in (RESULTS, FINISHED):
            if (folder / name).is_file() and (folder / name).stat().st_size:
                message = f"holds a {name} but no {ASKED} that says what it is: give a new directory"
                raise _refuse(folder, message) from None
        return
    except Damaged as error:
        message = f"holds a {ASKED} that cannot be read ({error}): give a new directory"
        raise _refuse(folder, message) from None
    differing = [
        each.name for each in fields(Asked) if getattr(there, each.name) != getattr(asked, each.name)
    ]
    if differing:
        named = [key.replace("_", " ") for key in differing if key != "fingerprint"]
        raise _refuse(
            folder,
            f"holds another sweep, which differs in {', '.join(named) or 'the numbers behind its names'}: "
            "give a new directory, or the inputs of that sweep to carry it on",
        )


def _refuse(folder: Path, message: str) -> InputError:
    return InputError((InputProblem("command line", "--out", str(folder), message),))
