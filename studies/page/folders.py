"""Folders for files on their way, which are gone once the page has ended."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field


@dataclass
class Folders:
    """Temporary folders, each for one thing that is saved; only their owner can look into them."""

    _made: list[str] = field(default_factory=list)

    @contextmanager
    def one(self) -> Iterator[str]:
        """A new empty folder, taken away on leaving."""
        folder = tempfile.mkdtemp(prefix="glueline-page-")
        self._made.append(folder)
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def take_away(self) -> None:
        """Take away what was written after its folder was left, by whoever wrote there still."""
        for folder in self._made:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def folders_taken_away() -> Iterator[Folders]:
    """Folders, all of them gone on leaving.

    >>> import os
    >>> with folders_taken_away() as folders, folders.one() as folder:
    ...     there = os.path.isdir(folder)
    >>> there, os.path.exists(folder)
    (True, False)
    """
    folders = Folders()
    try:
        yield folders
    finally:
        folders.take_away()
