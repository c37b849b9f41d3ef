"""Logs of a bench day written for tests, and answers that stand for predictions."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from glueline.studies.examples import EXAMPLES, example_path

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
    for name in EXAMPLES:
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


def answer(load: float, band: Sequence[float] | None = None, breaks_in: str = "glue") -> Mapping[str, Any]:
    """What bench reads of a prediction."""
    return {
        "break_load_N": load,
        "band_N": None if band is None else list(band),
        "breaks_in": breaks_in,
        "first_crack_load_N": 0.9 * load,
        "method": "made up",
    }
