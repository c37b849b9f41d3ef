"""A corner's lengths, forces and springs in other units, rounded to what one would saw to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from glueline.geometries.joint_kind import JointKind
from glueline.studies.corner.new_corner import problems_with
from glueline.studies.files.units import (
    FORCE,
    LENGTH,
    SPRING,
    UnitError,
    Units,
    format_cut,
    format_length,
    read,
    significant,
)
from glueline.studies.page.asked import Asked, asked_of
from glueline.studies.page.read_parts import TABLES, kind_of
from glueline.studies.page.texts import IMPERIAL, NEITHER, quantity_text, rounded_force

FINE = 1.0  # mm: below it a length is a gap, and is not rounded
COARSE = 10.0  # mm: from here on a cut in metric is to half a millimetre


def in_units(corner: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """The corner with every quantity of the other system turned into ``units``, rounded to sensible cuts.

    Where the rounded corner no longer fits together and the other did, quantities are as near as texts of
    four digits are.

    >>> boards = {"width": "90 mm", "wood": "ash"}
    >>> in_units({"joint": {"kind": "butt"}, "boards": boards}, "imperial")["boards"]
    {'width': '3 17/32 in', 'wood': 'ash'}
    """
    kind = kind_of(corner)
    rounded = _turned(corner, kind, units, True)
    if problems_with(rounded) and not problems_with(corner):
        return _turned(corner, kind, units, False)
    return rounded


def _turned(
    tables: Mapping[str, Any], kind: JointKind | None, units: Units, rounds: bool, path: tuple[str, ...] = ()
) -> dict[str, Any]:
    turned: dict[str, Any] = {}
    for name, value in tables.items():
        key = (*path, name)
        if isinstance(value, Mapping) and len(key) < 4 and key[0] in TABLES:
            turned[name] = _turned(value, kind, units, rounds, key)
            continue
        asked = asked_of(".".join(key), kind) if len(key) > 1 else None
        turned[name] = value if asked is None else _in_units(value, asked, units, rounds)
    return turned


def _in_units(value: Any, asked: Asked, units: Units, rounds: bool) -> Any:
    if asked.quantity is None or not isinstance(value, str):
        return value
    try:
        amount, unit = read(value, asked.quantity)
    except UnitError:
        return value
    if unit in NEITHER or (unit in IMPERIAL) == (units == "imperial"):
        return value
    if not rounds or amount < 0:
        return quantity_text(amount, asked.quantity, units)
    if asked.quantity == LENGTH:
        return rounded_length(amount, units)
    if asked.quantity == FORCE:
        return rounded_force(amount, units)
    if asked.quantity == SPRING:
        return quantity_text(amount, asked.quantity, units)
    return value


def rounded_length(mm: float, units: Units) -> str:
    """A length in mm as one would saw to it: to a fraction of an inch, to half a mm, to a tenth under 10 mm.

    >>> rounded_length(19.05, "metric"), rounded_length(3.175, "metric"), rounded_length(19.0, "imperial")
    ('19 mm', '3.2 mm', '3/4 in')
    """
    if mm < FINE:
        return format_length(mm, units) if units == "imperial" else f"{significant(mm, 2)} mm"
    if units == "imperial":
        return format_cut(mm, units)
    return format_length(round(2 * mm) / 2 if mm >= COARSE else round(mm, 1), units)
