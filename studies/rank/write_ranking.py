"""A ranking in words, and its directory: JSON, what it rests on, and two pictures."""

from __future__ import annotations

import json
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.output import write_whole
from glueline.studies.files.units import Units
from glueline.studies.rank.rank_table import rank_table
from glueline.studies.rank.ranking import (
    RANKING_FILE,
    RankedCorner,
    comparison_notes,
    ranking_object,
    scatter_words,
    strongest_first,
)
from glueline.studies.show.record import RECORD_FILE, RecordedCorner, record_text

if TYPE_CHECKING:
    from glueline.studies.rank.ranking_maps import CornerField

BANDS_PICTURE, MAPS_PICTURE = "ranking.png", "ranking_stress.png"
RANKING_FILES = (BANDS_PICTURE, MAPS_PICTURE, RECORD_FILE, RANKING_FILE)
"""Every file of a ranking's directory."""


@dataclass
class Ranking:
    """The corners of a ranking as they came, and what the pictures and the record need of each.

    ``request`` is what was asked of `glueline.predict` for all of them, beyond its defaults.
    """

    corners: list[RankedCorner] = field(default_factory=list)
    fields: list[CornerField] = field(default_factory=list)
    records: list[RecordedCorner] = field(default_factory=list)
    request: Mapping[str, Any] = field(default_factory=dict)


def ranking_text(corners: Sequence[RankedCorner], units: Units) -> str:
    """The table, what can be said of the differences, why each breaks, warnings and cautions."""
    arrangements = dict.fromkeys(str(corner.answer["arrangement"]) for corner in corners)
    methods = dict.fromkeys(str(corner.answer["method"]) for corner in corners)
    parts = [
        f"{', '.join(arrangements)}, {' and '.join(methods)} answer\n\n{rank_table(corners, units)}",
        "\n".join([*scatter_words(corners), *comparison_notes(corners)]),
        "\n".join(f"{corner.label}: {corner.answer['why']}" for corner in strongest_first(corners)),
        "\n".join(f"note: {note}" for note in notes_of(corners)),
        CAUTIONS,
    ]
    return "\n\n".join(part for part in parts if part)


def notes_of(corners: Sequence[RankedCorner]) -> list[str]:
    """Notes and warnings of the answers, each once, with the corners it belongs to unless to all."""
    owners: dict[str, list[str]] = {}
    for corner in corners:
        for note in dict.fromkeys([*corner.answer["notes"], *corner.answer["warnings"]]):
            owners.setdefault(str(note), []).append(corner.label)
    return [
        note if len(labels) == len(corners) else f"{', '.join(labels)}: {note}"
        for note, labels in owners.items()
    ]


def write_ranking(ranking: Ranking, folder: Path, units: Units) -> list[Path]:
    """Write pictures, record and JSON into ``folder``, each whole or not at all, the JSON last."""
    from glueline.studies.rank.ranking_bars import draw_ranking
    from glueline.studies.rank.ranking_maps import draw_maps
    from glueline.studies.show.canvas import as_png

    first = ranking.corners[0].answer
    about = {"method": first["method"], "solver": first["solver"], "request": dict(ranking.request)}
    object_text = json.dumps(ranking_object(ranking.corners), indent=2, ensure_ascii=False, allow_nan=False)
    written = []

    def write(name: str, content: bytes) -> None:
        write_whole(folder / name, content)
        written.append(folder / name)

    with warnings.catch_warnings():
        # A file may be named in a script that the picture's letters do not have; it is drawn as boxes.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        write(BANDS_PICTURE, as_png(draw_ranking(ranking.corners, units)))
        write(MAPS_PICTURE, as_png(draw_maps(ranking.fields, units)))
    write(RECORD_FILE, record_text(ranking.records, units, about).encode())
    write(RANKING_FILE, f"{object_text}\n".encode())
    return written
