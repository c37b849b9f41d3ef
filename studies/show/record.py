"""What a directory of results keeps beside the answers: versions, inputs and the source of every value."""

from __future__ import annotations

import platform
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Annotated, Any

from msgspec import Meta, Struct

from glueline.fem.solve import SOLVER
from glueline.studies.corner.material_values import Material
from glueline.studies.corner.materials_used import materials_used, merged
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.json_text import json_text
from glueline.studies.files.units import Units
from glueline.studies.predict.request import Method, Request

RECORD_FILE = "provenance.json"
LIBRARIES = ("numpy", "scipy", "gmsh", "meshio", "matplotlib")
"""The libraries whose version is kept; one that is not installed is left out."""


class CornerInputs(Struct, frozen=True, kw_only=True):
    """How a corner is called, its file, its tables as read, and what its joint leaves to its boards."""

    label: str
    file: str
    specimen: dict[str, dict[str, Any]]
    left_out: dict[str, Any] = {}


class Record(Struct, frozen=True, kw_only=True):
    """The record file. It tells no time and names no machine: the same work writes the same bytes."""

    versions: dict[str, str]
    units: Units
    method: Method
    solver: str
    request: Request
    corners: Annotated[list[CornerInputs], Meta(min_length=1)]
    materials: tuple[Material, ...]


@dataclass(frozen=True)
class RecordedCorner:
    """What is kept of one corner: its inputs and its materials."""

    inputs: CornerInputs
    materials: tuple[Material, ...]


def recorded_corner(corner: CornerModel, label: str = "", file: str = "") -> RecordedCorner:
    """What is kept of a corner that has been built; without a label its materials name no corner."""
    specimen = corner.specimen
    inputs = CornerInputs(
        label=label or specimen.kind,
        file=writable(file or specimen.path),
        specimen=specimen_tables(specimen),
        left_out={f"joint.{each.key}": each.as_typed for each in specimen.left_out},
    )
    return RecordedCorner(inputs, materials_used(corner, label))


def writable(name: str) -> str:
    """A file's name as UTF-8 can write it: bytes of another encoding are spelled out."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")


def specimen_tables(specimen: Specimen) -> dict[str, dict[str, Any]]:
    """The specimen's tables with all changes, as JSON can hold them."""
    return {table: dict(values) for table, values in specimen.as_read.items() if isinstance(values, Mapping)}


@cache
def versions() -> Mapping[str, str]:
    """Versions of Glueline, Python and the libraries that answers depend on, by name."""
    by_name = {"glueline": _version("glueline") or "(not installed)", "python": platform.python_version()}
    by_name |= {name: number for name in LIBRARIES if (number := _version(name)) is not None}
    return by_name


def record_text(corners: Sequence[RecordedCorner], units: Units, request: Request) -> str:
    """The text of the record file."""
    return json_text(
        Record(
            versions=dict(versions()),
            units=units,
            method=request.method,
            solver=SOLVER,
            request=request,
            corners=[corner.inputs for corner in corners],
            materials=merged(material for corner in corners for material in corner.materials),
        )
    )


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None
