"""One value of a material as a record keeps it: number, unit, scatter, source."""

from __future__ import annotations

from typing import Any

from glueline.materials import Provenance
from glueline.studies.files.display import property_unit

Entry = dict[str, Any]

NOT_STATED = "no source stated where the value was given"


def recorded_value(
    key: str, value: float, cov: float | None, source: Provenance | None, unit: str | None = None
) -> Entry:
    """One number; None where it is without limit, which JSON has no number for.

    ``unit`` is that of the code by the key's last part if it is not given.
    """
    return {
        "key": key,
        "value": value if abs(value) != float("inf") else None,
        "unit": property_unit(key.rpartition(".")[2]) if unit is None else unit,
        "cov": cov,
        "mark": None if source is None else source.mark,
        "source": NOT_STATED if source is None else source.source,
    }
