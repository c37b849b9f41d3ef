"""A ranking in words, and its directory: JSON, what it rests on, and two pictures."""

from __future__ import annotations

import os
import warnings
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.display import words_in_units
from glueline.studies.files.json_text import json_text
from glueline.studies.files.results_folder import check_place, write_results_folder
from glueline.studies.files.units import Units
from glueline.studies.files.wording import answers_said
from glueline.studies.predict.request import Request
from glueline.studies.predict.said_aloud import sentences_aloud
from glueline.studies.rank.range_orders import range_order_words
from glueline.studies.rank.rank_table import loads_table, rank_table
from glueline.studies.rank.ranking import (
    RankedCorner,
    comparison_notes,
    scatter_words,
    strongest_first,
)
from glueline.studies.rank.ranking_file import RANKING_FILE, RankingFile, ranking_file
from glueline.studies.show.pictures import SLIDE
from glueline.studies.show.record import RECORD_FILE, RecordedCorner, record_text

if TYPE_CHECKING:
    from glueline.studies.rank.ranking_maps import CornerField

BANDS_PICTURE, MAPS_PICTURE = "ranking.png", "ranking_stress.png"
RANKING_FILES = (BANDS_PICTURE, MAPS_PICTURE, SLIDE, RECORD_FILE, RANKING_FILE)
"""Every file of a ranking's directory, besides its manifest."""

COMMAND = "rank"


@dataclass
class Ranking:
    """The corners of a ranking as they came, and what the pictures and the record need of each.

    ``request`` is what was asked for all of them.
    """

    request: Request
    corners: list[RankedCorner] = field(default_factory=list)
    fields: list[CornerField] = field(default_factory=list)
    records: list[RecordedCorner] = field(default_factory=list)


def ranking_text(
    corners: Sequence[RankedCorner], units: Units, table: str | None = None, more: Sequence[str] = ()
) -> str:
    """What is said aloud, the table, what can be said of the differences, why each breaks, cautions.

    ``table`` stands in place of the usual one, ``more`` paragraphs behind it.
    """
    arrangements = dict.fromkeys(corner.arrangement for corner in corners)
    methods = dict.fromkeys(corner.method for corner in corners)
    ranked = strongest_first(corners)
    parts = [
        "\n".join(sentences_aloud([(each.label, each) for each in ranked], units)),
        f"{', '.join(arrangements)}, {answers_said(methods)}\n\n{table or rank_table(corners, units)}",
        *more,
        loads_table(corners, units),
        "\n".join([*scatter_words(corners), *range_order_words(corners), *comparison_notes(corners)]),
        "\n".join(f"{corner.label}: {corner.why}" for corner in ranked),
        "\n".join(f"note: {note}" for note in notes_of(corners, units)),
        CAUTIONS,
    ]
    return "\n\n".join(part for part in parts if part)


def notes_of(corners: Sequence[RankedCorner], units: Units) -> list[str]:
    """Notes and warnings of the answers, each once, with the corners it belongs to unless to all."""
    owners: dict[str, list[str]] = {}
    for corner in corners:
        for note in dict.fromkeys([*corner.notes, *corner.warnings]):
            owners.setdefault(words_in_units(note, units), []).append(corner.label)
    return [
        note if len(labels) == len(corners) else f"{', '.join(labels)}: {note}"
        for note, labels in owners.items()
    ]


def write_ranking(
    ranking: Ranking,
    folder: Path,
    units: Units,
    content: RankingFile | None = None,
    slide: bool = False,
) -> list[Path]:
    """Write pictures, record and JSON into ``folder``, the manifest last.

    ``content`` is what the JSON holds, where that is more than the ranking alone; ``slide`` adds one. Raises
    InputError where a file that no ranking wrote stands in the way.
    """
    from glueline.studies.rank.ranking_bars import draw_ranking
    from glueline.studies.rank.ranking_maps import draw_maps
    from glueline.studies.rank.ranking_slide import draw_ranking_slide
    from glueline.studies.show.canvas import drawn

    with warnings.catch_warnings():
        # A file may be named in a script that the picture's letters do not have; it is drawn as boxes.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        bands = drawn(draw_ranking, ranking.corners, units)
        maps = drawn(draw_maps, ranking.fields, units)
        slides = {SLIDE: drawn(draw_ranking_slide, ranking.corners, ranking.fields, units)} if slide else {}
    contents = {
        BANDS_PICTURE: bands,
        MAPS_PICTURE: maps,
        **slides,
        RECORD_FILE: record_text(ranking.records, units, ranking.request).encode(),
        RANKING_FILE: json_text(content or ranking_file(ranking.corners)).encode(),
    }
    return write_results_folder(folder, COMMAND, contents, may_write=RANKING_FILES)


def check_ranking_place(folder: str | os.PathLike[str]) -> None:
    """Raises InputError where a ranking cannot be written there, before it is made."""
    check_place(folder, COMMAND, RANKING_FILES)
