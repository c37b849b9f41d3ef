"""Write a prediction's directory: JSON, specimen as read, fields, tractions, pictures, what it rests on."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from glueline.studies.corner.specimen_file import specimen_toml
from glueline.studies.files.json_text import json_text
from glueline.studies.files.results_folder import check_place, write_results_folder
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.request import Request
from glueline.studies.show.fields import fields_vtu
from glueline.studies.show.pictures import ANIMATION, NOTHING_MORE, PICTURES, SLIDE, Wanted, pictures
from glueline.studies.show.record import RECORD_FILE, record_text, recorded_corner
from glueline.studies.show.traction_table import traction_csv

FIELDS_FILE, TRACTIONS_FILE = "fields.vtu", "tractions.csv"
SPECIMEN_FILE, ANSWER_FILE = "specimen.toml", "prediction.json"
RESULT_FILES = (
    FIELDS_FILE,
    *PICTURES,
    SLIDE,
    ANIMATION,
    TRACTIONS_FILE,
    SPECIMEN_FILE,
    RECORD_FILE,
    ANSWER_FILE,
)
"""Every file that the directory of a prediction may hold, besides its manifest."""

COMMAND = "predict"


def provenance_text(prediction: Prediction, units: Units, request: Request) -> str:
    """Versions, inputs and the source of every material value of a prediction, as the text of a JSON file."""
    return record_text([recorded_corner(prediction.corner)], units, request)


def write_results(
    prediction: Prediction,
    folder: Path,
    units: Units,
    request: Request,
    progress: Callable[[str], None] = lambda _: None,
    replace: bool = False,
    wanted: Wanted = NOTHING_MORE,
) -> list[Path]:
    """Write everything into ``folder`` (which must exist); the manifest comes last.

    What an earlier prediction wrote and this one has not is removed. ``request`` is what was asked, to be
    kept; ``progress`` is told of pictures as they are begun. ``replace`` allows for results made
    from another file, ``wanted`` says what is drawn besides. Returns the paths in order. Raises
    InputError where a file that no prediction wrote stands in the way.
    """
    contents: dict[str, bytes] = {}
    progress(FIELDS_FILE)
    contents[FIELDS_FILE] = fields_vtu(prediction)
    contents |= pictures(prediction, units, wanted, progress)
    contents[TRACTIONS_FILE] = traction_csv(prediction).encode()
    contents[SPECIMEN_FILE] = specimen_toml(prediction.specimen).encode()
    contents[RECORD_FILE] = provenance_text(prediction, units, request).encode()
    contents[ANSWER_FILE] = json_text(prediction.answer).encode()
    return write_results_folder(
        folder,
        COMMAND,
        contents,
        may_write=RESULT_FILES,
        made_from=prediction.specimen.path,
        replace=replace,
    )


def check_results_place(folder: str | os.PathLike[str], file: str, replace: bool = False) -> None:
    """Raises InputError where the prediction of a file cannot be written there, before it is made."""
    check_place(folder, COMMAND, RESULT_FILES, file, replace)
