"""What the materials of a sweep rest on: the record that every directory of results keeps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from glueline.studies.corner.model import build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import Units
from glueline.studies.predict.request import Request
from glueline.studies.show.record import RecordedCorner, record_text, recorded_corner
from glueline.studies.sweeps.points import Point

OF_MATERIALS = ("joint.kind", "boards.wood", "boards.moisture", "glue.")
"""Beginnings of the keys that settle which values of woods and glue are used, besides joints' own woods."""


def sweep_record(points: Sequence[Point], request: Request, units: Units) -> bytes:
    """The record file of a sweep: each set of woods and glue once, by the first point that has it."""
    return record_text(list(_recorded(points)), units, request).encode()


def _recorded(points: Sequence[Point]) -> Iterator[RecordedCorner]:
    seen, reuse = set(), Reuse()
    for point in points:
        specimen = point.specimen
        if specimen is None or (used := _materials(specimen)) in seen:
            continue
        seen.add(used)
        of_joint = [f"joint.{member.wood_key}" for member in specimen.joint_kind.members if member.wood_key]
        settling = (*OF_MATERIALS, *of_joint)
        named = [f"{key} = {value}" for key, value in point.values.items() if key.startswith(settling)]
        yield recorded_corner(build_corner(specimen, reuse=reuse), ", ".join(named), Path(specimen.path).name)


def _materials(specimen: Specimen) -> tuple[object, ...]:
    return (
        specimen.kind,
        tuple(specimen.woods.items()),
        specimen.glue,
        specimen.workmanship,
        tuple(specimen.surface_workmanship.items()),
    )
