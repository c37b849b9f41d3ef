"""The fastener table: fasteners.csv, one figure a row, with what is credible and the key of its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from glueline.materials.provenance import Provenance
from glueline.materials.wood_table import read_cell, read_table


@dataclass(frozen=True)
class FastenerFigure:
    """One number of the table: ``value`` with the ends ``low`` and ``high`` of what is credible.

    Both ends are the value itself where it is not doubted. ``unit`` as the table has it.
    """

    value: float
    low: float
    high: float
    unit: str
    provenance: Provenance

    @property
    def shares(self) -> tuple[float, float]:
        """Both ends as shares of the value."""
        return self.low / self.value, self.high / self.value


@cache
def fastener_figures() -> Mapping[str, FastenerFigure]:
    """All figures by name.

    >>> fastener_figures()["steel_modulus"].value  # MPa
    210000.0
    """
    figures = {}
    for row in read_table("fasteners.csv"):
        value, provenance = read_cell(row, "value")
        low, high = (float(row[end]) if row[end] else value for end in ("low", "high"))
        if not low <= value <= high:
            raise ValueError(f"{row['name']}: {value:g} lies outside {low:g} to {high:g}")
        figures[row["name"]] = FastenerFigure(value, low, high, row["unit"], provenance)
    return figures


def fastener_figure(name: str) -> FastenerFigure:
    """The figure called ``name``; KeyError if there is none.

    >>> figure = fastener_figure("screw_slip_stiffness")
    >>> figure.value, figure.low, figure.high, figure.provenance.mark  # N/mm3
    (21.0, 12.0, 36.0, 'judgement')
    """
    return fastener_figures()[name]
