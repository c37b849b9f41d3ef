"""What a command other than predict, rank and sweep has to say on a page: its words, tables and pictures.

A page is made later, and perhaps elsewhere, from the directory alone; so each of these commands writes down
what it said, in its own units, as words that ``glueline report`` only has to lay out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated

from msgspec import Meta, Struct

from glueline.geometries.mesh import MeshFailure
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_toml
from glueline.studies.files.json_text import json_text
from glueline.studies.files.units import Units
from glueline.studies.predict.request import Request
from glueline.studies.show.record import (
    CornerInputs,
    RecordedCorner,
    record_text,
    recorded_corner,
    specimen_tables,
    writable,
)

TOLD_BY = ("bench", "plan", "service", "least", "influence")
"""The commands that write words for a page, in the order in which a page has them."""


class PageTable(Struct, frozen=True):
    """A table with its headings; every row has as many cells."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""


class PagePicture(Struct, frozen=True):
    """A picture of the directory, what it shows, and its size in pixels where it is not a PNG."""

    file: str
    caption: str
    size: tuple[Annotated[int, Meta(ge=1, le=20000)], Annotated[int, Meta(ge=1, le=20000)]] | None = None


class PagePart(Struct, frozen=True, kw_only=True):
    """A part of the page in this order: sentences, pictures, tables, a list. One folded opens at a touch."""

    heading: str
    folded: bool = False
    sentences: tuple[str, ...] = ()
    pictures: tuple[PagePicture, ...] = ()
    tables: tuple[PageTable, ...] = ()
    listed: tuple[str, ...] = ()


class PageWords(Struct, frozen=True, kw_only=True):
    """The words of a page: what it is about, what to say aloud, what to beware of, and its parts."""

    title: str
    about: str
    said: tuple[str, ...]
    parts: tuple[PagePart, ...]
    cautions: tuple[str, ...] = ()

    def is_whole(self) -> bool:
        """Whether every row of every table has as many cells as there are headings.

        >>> part = PagePart(heading="Loads", tables=(PageTable(("joint", "load"), (("butt", "200 N"),)),))
        >>> PageWords(title="A day", about="", said=(), parts=(part,)).is_whole()
        True
        """
        tables = [table for part in self.parts for table in part.tables]
        return all(len(row) == len(table.head) for table in tables for row in table.rows)


def table_of(rows: Iterable[Sequence[str]], caption: str = "") -> PageTable:
    """A table of rows whose first one is the headings.

    >>> table_of([["joint", "load"], ["butt", "200 N"]]).head
    ('joint', 'load')
    """
    head, *others = (tuple(row) for row in rows)
    return PageTable(head, tuple(others), caption)


def page_file(command: str) -> str:
    """The file of a command's words for a page.

    >>> page_file("service")
    'service_page.json'
    """
    return f"{command}_page.json"


def record_file(command: str) -> str:
    """The file of what a command's results rest on, beside those of other commands.

    >>> record_file("service")
    'service_provenance.json'
    """
    return f"{command}_provenance.json"


def specimen_file(command: str) -> str:
    """The file of the specimen as a command read it.

    >>> specimen_file("service")
    'service_specimen.toml'
    """
    return f"{command}_specimen.toml"


def page_files(command: str) -> tuple[str, str]:
    """What ``told`` writes, to be asked for before anything is computed."""
    return page_file(command), record_file(command)


def told(
    command: str, words: PageWords, specimens: Mapping[str, Specimen], request: Request, units: Units
) -> dict[str, bytes]:
    """The files of the words and of what the results rest on, for ``specimens`` by label."""
    corners = [_recorded(label, each) for label, each in specimens.items()]
    return {
        page_file(command): json_text(words).encode(),
        record_file(command): record_text(corners, units, request).encode(),
    }


def _recorded(label: str, specimen: Specimen) -> RecordedCorner:
    """What is kept of a specimen; of one that cannot be meshed its inputs alone."""
    try:
        return recorded_corner(build_corner(specimen), label)
    except (MeshFailure, ValueError):
        tables = specimen_tables(specimen)
        return RecordedCorner(CornerInputs(label=label, file=writable(specimen.path), specimen=tables), ())


def told_of_one(
    command: str, words: PageWords, specimen: Specimen, request: Request, units: Units
) -> dict[str, bytes]:
    """The same for a single specimen, and the specimen as it was read."""
    return {
        **told(command, words, {specimen.kind: specimen}, request, units),
        specimen_file(command): specimen_toml(specimen).encode(),
    }
