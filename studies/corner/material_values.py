"""Materials as a record keeps them, and one value of them: number, unit, scatter, source."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from glueline.materials import Provenance
from glueline.studies.files.display import property_unit
from glueline.studies.files.json_text import Number

NOT_STATED = "no source stated where the value was given"


class MaterialValue(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One number of a material, None where it is without limit; ``at_12_percent`` where moisture moved it."""

    key: str
    value: Number | None
    unit: str
    cov: Number | None
    mark: str | None
    source: str
    at_12_percent: Number | None = None


class Material(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A wood, a glue or a bond (``kind``), what it is used for, and its numbers."""

    kind: Literal["wood", "glue", "bond"]
    name: str
    scientific: str | None = None
    moisture_percent: Number | None = None
    used_for: tuple[str, ...]
    notes: tuple[str, ...]
    values: tuple[MaterialValue, ...]


def recorded_value(
    key: str,
    value: float,
    cov: float | None,
    source: Provenance | None,
    unit: str | None = None,
    at_12_percent: float | None = None,
) -> MaterialValue:
    """One number; ``unit`` is that of the code by the key's last part if it is not given."""
    return MaterialValue(
        key=key,
        value=value if abs(value) != float("inf") else None,
        unit=property_unit(key.rpartition(".")[2]) if unit is None else unit,
        cov=cov,
        mark=None if source is None else source.mark,
        source=NOT_STATED if source is None else source.source,
        at_12_percent=at_12_percent,
    )
