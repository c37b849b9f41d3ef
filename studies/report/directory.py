"""A directory that predict, rank or sweep wrote: which of them it was, and everything a page needs."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.rank.ranking import RANKING_FILE
from glueline.studies.report.checks import (
    Above,
    Each,
    Optional,
    Pair,
    Shape,
    ShapeError,
    Sometimes,
    check_shape,
)
from glueline.studies.show.record import RECORD_FILE
from glueline.studies.sweeps.rows import Outcome
from glueline.studies.sweeps.store import ASKED, FINISHED

PREDICTION_FILE = "prediction.json"
MAIN_FILES = {PREDICTION_FILE: "predict", RANKING_FILE: "rank", ASKED: "sweep"}
"""The file by which a directory is known, and the command that wrote it."""

PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
PNG_LEAST = 45  # bytes, its header and its end alone

TABLES = Each(dict)
ANSWER: Shape = {
    "joint": str,
    "arrangement": str,
    "method": str,
    "solver": str,
    "break_load_N": Above(0),
    "break_moment_Nm": float,
    "first_damage_load_N": float,
    "first_crack_load_N": Optional(float),
    "compliance_mm_per_N": float,
    "glue_load_N": float,
    "wood_load_N": float,
    "glue_load_range_N": Optional(Pair(float)),
    "moment_share": Each(float),
    "corner_stiffness_Nm_per_rad": float,
    "displacement_at_break_mm": Optional(float),
    "energy_at_break_J": Optional(float),
    "breaks_in": str,
    "where": str,
    "mode": str,
    "why": str,
    "band_N": Optional(Pair(float)),
    "scatter": Optional({"note": str}),
    "with_crushing": Optional({"break_load_N": float, "breaks_in": str}),
    "glue_area_mm2": Each(float),
    "element_size_mm": float,
    "mesh": {"nodes": int, "elements": int, "unknowns": int},
    "out_of_plane": [str],
    "notes": [str],
    "warnings": [str],
    "modes": [
        {
            "mode": str,
            "where": str,
            "load_N": float,
            "mean_over_mm": Optional(float),
            "counts_as_break": bool,
            "note": str,
        }
    ],
}
VALUE: Shape = {
    "key": str,
    "value": Optional(float),
    "unit": str,
    "cov": Optional(float),
    "mark": Optional(str),
    "source": str,
    "at_12_percent": Sometimes(float),
}
RECORD: Shape = {
    "versions": Each(str),
    "units": str,
    "method": Sometimes(str),
    "solver": str,
    "request": Sometimes(dict),
    "corners": [{"label": str, "file": str, "specimen": TABLES}],
    "materials": [{"kind": str, "name": str, "used_for": [str], "notes": [str], "values": [VALUE]}],
}
ASKED_SHAPE: Shape = {"specimen": TABLES, "vary": Each([str]), "points": int, "solver": str}
POINT: Shape = {"point": int, "values": Each(str), "status": str, "error": str, "answer": Optional(ANSWER)}


@dataclass(frozen=True)
class Results:
    """What a directory holds.

    ``command`` is predict, rank or sweep, ``found`` the object of its main file, ``record`` that of the
    record file. ``points`` holds a sweep's finished points with the values of their varied keys, by number;
    ``pictures`` the bytes of every PNG by name.
    """

    command: str
    found: Mapping[str, Any]
    record: Mapping[str, Any]
    points: Mapping[int, tuple[Mapping[str, str], Outcome]]
    pictures: Mapping[str, bytes]


def read_directory(path: str | os.PathLike[str]) -> Results:
    """Read a directory of results. Raises InputError for any other, and for files that are damaged."""
    folder = Path(path)
    command, main = _recognised(folder)
    found = _object(folder / main, _shape_of(command), command)
    record = _object(folder / RECORD_FILE, RECORD, command)
    if record["units"] not in ("metric", "imperial"):
        raise _refuse(folder / RECORD_FILE, f"units must be metric or imperial; {_again(command)}")
    points = _points(folder / FINISHED) if command == "sweep" else {}
    if command == "sweep" and not any(outcome.answer is not None for _, outcome in points.values()):
        raise _refuse(folder / FINISHED, f"holds not one answer; {_again(command)}")
    return Results(command, found, record, points, _pictures(folder, command))


def _recognised(folder: Path) -> tuple[str, str]:
    right = "name a directory that glueline predict, rank or sweep wrote with --out"
    try:
        if not folder.is_dir():
            what = "is no directory" if folder.exists() else "no such directory"
            raise _refuse(folder, f"{what}; {right}")
        there = [name for name in MAIN_FILES if (folder / name).is_file()]
    except (OSError, ValueError):
        raise _refuse(folder, f"cannot be looked into; {right}") from None
    if not there:
        raise _refuse(folder, f"holds no {' or '.join(MAIN_FILES)}: {right}")
    if len(there) > 1:
        commands = " and ".join(MAIN_FILES[name] for name in there)
        raise _refuse(
            folder,
            f"holds results of {commands}, of which one has overwritten the other's: give each its own",
        )
    return MAIN_FILES[there[0]], there[0]


def _shape_of(command: str) -> Shape:
    if command == "predict":
        return ANSWER
    if command == "rank":
        return {"corners": [{"label": str, "file": str, **ANSWER}], "order": [str]}
    return ASKED_SHAPE


def _object(path: Path, shape: Shape, command: str) -> Mapping[str, Any]:
    try:
        found = json.loads(_bytes(path, command))
        check_shape(found, shape)
    except (ValueError, RecursionError):
        raise _refuse(path, f"is no JSON; {_again(command)}") from None
    except ShapeError as error:
        raise _refuse(path, f"is not as {command} writes it: {error}; {_again(command)}") from None
    if found.get("corners") == []:
        raise _refuse(path, f"holds no corner; {_again(command)}")
    return dict(found)


def _points(path: Path) -> dict[int, tuple[Mapping[str, str], Outcome]]:
    """The finished points, the first of several of a point; a line that a kill has torn is passed over."""
    points: dict[int, tuple[Mapping[str, str], Outcome]] = {}
    for line in _bytes(path, "sweep").split(b"\n"):
        try:
            read = json.loads(line)
            check_shape(read, POINT)
        except (ValueError, RecursionError, ShapeError):
            continue
        points.setdefault(read["point"], (read["values"], Outcome(read["answer"], read["error"])))
    return dict(sorted(points.items()))


def _pictures(folder: Path, command: str) -> dict[str, bytes]:
    pictures = {}
    for path in sorted(folder.glob("*.png")):
        pictures[path.name] = _bytes(path, command)
        content = pictures[path.name]
        if not content.startswith(PNG_SIGNATURE) or len(content) < PNG_LEAST:
            raise _refuse(path, f"is no PNG picture; {_again(command)}")
    return pictures


def _bytes(path: Path, command: str) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise _refuse(path, f"is missing: {command} has not finished; {_again(command)}") from None
    except OSError as error:
        raise _refuse(path, f"cannot be read: {error.strerror}") from None


def _again(command: str) -> str:
    return f"run the same glueline {command} again"


def _refuse(path: Path, message: str) -> InputError:
    from glueline.studies.files.toml_tables import printable

    return InputError((InputProblem(printable(str(path)), "", None, message),))
