"""What a directory of results keeps beside the answers: versions, inputs and the source of every value."""

from __future__ import annotations

import json
import platform
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from glueline.studies.corner.material_values import Entry
from glueline.studies.corner.materials_used import materials_used, merged
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import Units

RECORD_FILE = "provenance.json"
LIBRARIES = ("numpy", "scipy", "gmsh", "meshio", "matplotlib", "cvxopt")
"""The libraries whose version is kept; one that is not installed is left out."""


@dataclass(frozen=True)
class RecordedCorner:
    """What is kept of one corner: how it is called, its file, its tables as read, its materials."""

    label: str
    file: str
    specimen: Mapping[str, Any]
    materials: tuple[Entry, ...]


def recorded_corner(corner: CornerModel, label: str = "", file: str = "") -> RecordedCorner:
    """What is kept of a corner that has been built; without a label its materials name no corner."""
    specimen = corner.specimen
    return RecordedCorner(
        label=label or specimen.kind,
        file=writable(file or specimen.path),
        specimen=specimen_tables(specimen),
        materials=materials_used(corner, label),
    )


def writable(name: str) -> str:
    """A file's name as UTF-8 can write it: bytes of another encoding are spelled out."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")


def specimen_tables(specimen: Specimen) -> dict[str, dict[str, Any]]:
    """The specimen's tables with all changes, as JSON can hold them."""
    return {table: dict(values) for table, values in specimen.as_read.items() if isinstance(values, Mapping)}


@cache
def versions() -> Mapping[str, str]:
    """Versions of Glueline, Python and the libraries that answers depend on, by name."""
    found = {"glueline": _version("glueline") or "(not installed)", "python": platform.python_version()}
    found |= {name: number for name in LIBRARIES if (number := _version(name)) is not None}
    return found


def record_text(corners: Sequence[RecordedCorner], units: Units, about: Mapping[str, Any]) -> str:
    """The text of the record file; ``about`` holds further entries, such as the method and the solver.

    It tells no time and names no machine, so that the same work writes the same bytes.
    """
    record = {
        "versions": dict(versions()),
        "units": units,
        **about,
        "corners": [
            {"label": corner.label, "file": corner.file, "specimen": corner.specimen} for corner in corners
        ],
        "materials": merged(_all(corner.materials for corner in corners)),
    }
    return json.dumps(record, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _all(groups: Iterable[tuple[Entry, ...]]) -> list[Entry]:
    return [entry for group in groups for entry in group]


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None
