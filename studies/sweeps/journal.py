"""The journal of a sweep: one line a finished point, added and forced to the disk at once.

What is kept in memory of a point is where its line stands and what the picture and the printed table read,
so that a sweep of many points takes little more than one of few. Whole points are read from the disk again.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from msgspec import structs

from glueline.studies.files.failures import ComputationError
from glueline.studies.files.json_text import Damaged, read_json
from glueline.studies.files.output import raise_naming, write_in_parts
from glueline.studies.files.plain_files import lines_of, open_to_add
from glueline.studies.sweeps.rows import FinishedPoint

POINTS_OF_A_SWEEP = "the finished points of a sweep"
LARGEST_JOURNAL = 500_000_000
"""Bytes of the points: of as many as can be swept at once, each may have 50 kB."""
IN_ORDER = "in-order"
"""The mark of the draft that is the journal in order of its points."""


class Place(NamedTuple):
    """Where a line of the journal stands, in bytes, without its end; ``mark`` tells it from another."""

    start: int
    length: int
    mark: int


class Journal(Mapping[int, FinishedPoint]):
    """The finished points at ``path`` by number, whole, each read from the disk when it is asked for.

    ``values`` are the varied ones of every point of the sweep by its number: a line with others is no point
    of it. ``brief`` holds every point without what is read of whole answers only.
    """

    def __init__(self, path: Path, values: Sequence[Mapping[str, str]]) -> None:
        self.path, self._values = path, values
        self.brief: dict[int, FinishedPoint] = {}
        self._places: dict[int, Place] = {}
        self._file = open_to_add(path, POINTS_OF_A_SWEEP)

    def __getitem__(self, number: int) -> FinishedPoint:
        return read_json(self._line(self._places[number]), FinishedPoint)

    def __iter__(self) -> Iterator[int]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)

    def __contains__(self, number: object) -> bool:
        return number in self._places

    @property
    def size(self) -> int:
        """Bytes of the file."""
        return os.fstat(self._file.fileno()).st_size

    def read(self) -> Iterator[FinishedPoint]:
        """Every point that stands in the file, whole, the first of several of a number, as it is read.

        Lines that are damaged or of another sweep are passed over.
        """
        for start, line in lines_of(self.path, POINTS_OF_A_SWEEP, LARGEST_JOURNAL):
            with contextlib.suppress(Damaged):
                point = read_json(line, FinishedPoint)
                is_ours = 0 <= point.number < len(self._values) and point.number not in self._places
                if is_ours and point.values == self._values[point.number]:
                    self._note(point, start, line)
                    yield point

    def ends_torn(self) -> bool:
        """Whether a kill has torn the last line."""
        size = self.size
        with self.path.open("rb") as source:
            source.seek(max(size - 1, 0))
            return source.read(1) not in (b"", b"\n")

    def end_line(self) -> None:
        """End the last line, so that what follows stands on one of its own."""
        self._file.write(b"\n")
        self._file.flush()

    def add(self, point: FinishedPoint, line: bytes) -> None:
        """Add a point as its ``line``; it is on the disk when this returns. Raises OSError."""
        try:
            start = self.size
            self._file.write(line + b"\n")
            self._file.flush()
            # Known before the slow step, in which Ctrl-C may come: what is in the journal is not taken away.
            self._note(point, start, line)
            os.fsync(self._file.fileno())
        except OSError as error:
            raise_naming(self.path, error)

    def is_in_order(self) -> bool:
        """Whether the file holds the points in order, and nothing else."""
        start = 0
        for number in sorted(self._places):
            if self._places[number].start != start:
                return False
            start += self._places[number].length + 1
        return start == self.size

    def put_in_order(self) -> None:
        """Write the file anew with its points in order. Raises OSError.

        Raises ComputationError, as reading a point does, where something else has changed the file.
        """
        numbers = sorted(self._places)
        write_in_parts(self.path, (self._line(self._places[each]) + b"\n" for each in numbers), IN_ORDER)
        start = 0
        for number in numbers:
            self._places[number] = self._places[number]._replace(start=start)
            start += self._places[number].length + 1
        before, self._file = self._file, open_to_add(self.path, POINTS_OF_A_SWEEP)
        before.close()

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def _note(self, point: FinishedPoint, start: int, line: bytes) -> None:
        self._places[point.number] = Place(start, len(line), hash(line))
        self.brief[point.number] = brief(point)

    def _line(self, place: Place) -> bytes:
        with self.path.open("rb") as source:
            source.seek(place.start)
            line = source.read(place.length)
        if hash(line) != place.mark:
            reason = f"{self.path} was changed while it was at work"
            raise ComputationError("the sweep", reason, "run the same command again")
        return line


def brief(point: FinishedPoint) -> FinishedPoint:
    """A point without what only whole answers are asked for: the path, its modes, the long texts."""
    if point.answer is None:
        return point
    short = structs.replace(
        point.answer,
        path=None,
        modes=(),
        why="",
        scatter=None,
        out_of_plane=(),
        notes=(),
        warnings=(),
        said_aloud=None,
    )
    return structs.replace(point, answer=short)
