"""Write a prediction's directory: JSON, specimen as read, fields, tractions, pictures, what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from glueline.studies.corner.specimen_file import specimen_toml
from glueline.studies.files.json_text import json_text
from glueline.studies.files.output import remove_others, write_atomically
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.request import Request
from glueline.studies.show.fields import fields_vtu
from glueline.studies.show.pictures import PICTURES, pictures
from glueline.studies.show.record import RECORD_FILE, record_text, recorded_corner
from glueline.studies.show.traction_table import traction_csv

FIELDS_FILE, TRACTIONS_FILE = "fields.vtu", "tractions.csv"
SPECIMEN_FILE, ANSWER_FILE = "specimen.toml", "prediction.json"
RESULT_FILES = (FIELDS_FILE, *PICTURES, TRACTIONS_FILE, SPECIMEN_FILE, RECORD_FILE, ANSWER_FILE)
"""Every file that the directory of a prediction may hold."""


def provenance_text(prediction: Prediction, units: Units, request: Request) -> str:
    """Versions, inputs and the source of every material value of a prediction, as the text of a JSON file."""
    return record_text([recorded_corner(prediction.corner)], units, request)


def write_results(
    prediction: Prediction,
    folder: Path,
    units: Units,
    request: Request,
    progress: Callable[[str], None] = lambda _: None,
) -> list[Path]:
    """Write everything into ``folder`` (which must exist); every file appears whole or not at all.

    Once all is there, files of these names that an earlier prediction left and this one has not are removed.
    ``request`` is what was asked, to be kept; ``progress`` is told the name of each file before it is made.
    Returns the paths in order.
    """
    written = []

    def write(name: str, content: bytes) -> None:
        write_atomically(folder / name, content)
        written.append(folder / name)

    progress(FIELDS_FILE)
    write(FIELDS_FILE, fields_vtu(prediction))
    for name, content in pictures(prediction, units):
        progress(name)
        write(name, content)
    write(TRACTIONS_FILE, traction_csv(prediction).encode())
    write(SPECIMEN_FILE, specimen_toml(prediction.specimen).encode())
    write(RECORD_FILE, provenance_text(prediction, units, request).encode())
    write(ANSWER_FILE, json_text(prediction.answer).encode())
    remove_others(folder, RESULT_FILES, [path.name for path in written])
    return written
