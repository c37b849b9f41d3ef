"""Logs of a bench day written for tests, and answers that stand for predictions."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Sequence
from pathlib import Path

from glueline.studies.examples import DEMO_CORNERS, example_path
from glueline.studies.predict.answer import Answer
from tests.studies.made_up_answers import made_up

HEADER = ("specimen", "label", "held", "broke", "unit", "failure", "notes")
RIG = """
[rig]
kind = "hinged platform"
arrangement = "diagonal compression"
specimen_at = "400 mm"
weights_at = "600 mm"
centre_at = "350 mm"
own_weight = "6 kg"
position_error = "3 mm"
"""


def write_log(folder: Path, rows: Sequence[Sequence[object]], header: Sequence[str] = HEADER) -> Path:
    """A log with the packaged corners beside it."""
    for name in DEMO_CORNERS:
        shutil.copy(example_path(name), folder / f"{name}.toml")
    path = folder / "log.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([header, *rows])
    return path


def rows_of(
    file: str, label: str, steps: Sequence[tuple[object, object]], unit: str = "N", failure: str = "glue"
) -> list[tuple[object, ...]]:
    """Rows of one joint from (held, broke)."""
    return [(f"{file}.toml", label, held, broke, unit, failure, "") for held, broke in steps]


def answer(
    load: float,
    band: tuple[float, float] | None = None,
    breaks_in: str = "glue",
    mode: str = "glue opening",
) -> Answer:
    """What stands for a prediction."""
    return made_up(
        load, band=band, breaks_in=breaks_in, mode=mode, first_crack_load=0.9 * load, method="made up"
    )
