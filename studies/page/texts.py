"""Quantities as words of the sentence: as typed where that is in the units shown, else turned into them."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from typing import Any

from glueline.materials.names import plain
from glueline.studies.corner.proportions import Proportion
from glueline.studies.files.display import shown_unit
from glueline.studies.files.own_files import is_path
from glueline.studies.files.plain_files import printable
from glueline.studies.files.toml_tables import toml_value
from glueline.studies.files.units import (
    ANGLE,
    FORCE,
    LENGTH,
    N_PER_LBF,
    SPRING,
    Quantity,
    UnitError,
    Units,
    format_force,
    format_length,
    read,
    significant,
)
from glueline.studies.page.asked import Asked

OWN_FILES = ("text", "wood name")
"""What may be given as a file of a maker's own."""
LONGEST = 60  # letters of a word
IMPERIAL = ("in", "ft", '"', "lbf", "lbf/in")
NEITHER = ("deg", "%")
FIRST_UNITS: Mapping[str, tuple[str, str]] = {
    "a length": ("mm", "in"),
    "a force": ("N", "lbf"),
    "a spring stiffness": ("N/mm", "lbf/in"),
}
"""The unit of a quantity in either system; one that is in neither has one unit."""


def word_text(asked: Asked, value: Any, units: Units) -> str:
    """A stated value as it stands in the sentence, whatever it is.

    >>> from glueline.studies.page.asked import asked_of
    >>> word_text(asked_of("boards.width", None), "90 mm", "imperial")
    '3.543 in'
    """
    for choice in asked.choices:
        if plain(choice.value) == plain(written(value)):
            return choice.text
    if asked.kind in OWN_FILES and isinstance(value, str) and is_path(value):
        return printable(os.path.basename(value) or value, LONGEST)
    if asked.quantity is None or not isinstance(value, str):
        return printable(written(value).strip() or "nothing", LONGEST)
    try:
        amount, unit = read(value, asked.quantity)
    except UnitError:
        return printable(value.strip() or "nothing", LONGEST)
    if unit in NEITHER or (unit in IMPERIAL) == (units == "imperial"):
        return printable(value.strip(), LONGEST)
    return quantity_text(amount, asked.quantity, units)


def written(value: Any) -> str:
    """A value of a corner as text: a text as it is, anything else as a file has it."""
    if isinstance(value, str):
        return value
    try:
        return toml_value(value)
    except TypeError:
        return "nothing"


def quantity_text(value: float, quantity: Quantity, units: Units) -> str:
    """A quantity in the code's own unit as text in the units shown."""
    if quantity == LENGTH:
        return format_length(value, units)
    if quantity == FORCE:
        return format_force(value, units)
    if quantity == SPRING:
        unit, factor = shown_unit("N/mm", units)
        return f"{significant(value / factor, 4)} {unit}"
    factor = math.degrees(value) if quantity == ANGLE else value / float(quantity.units["%"])
    return f"{significant(factor, 4)} {unit_of(quantity, units)}"


def unit_of(quantity: Quantity, units: Units) -> str:
    """The unit in which a quantity is shown."""
    metric, imperial = FIRST_UNITS.get(quantity.name, (next(iter(quantity.units)),) * 2)
    return metric if units == "metric" else imperial


def taken_text(each: Proportion, asked: Asked, units: Units) -> str:
    """What is taken for a measure that is left out, as it stands in the sentence."""
    if asked.quantity is not None:
        return quantity_text(each.value, asked.quantity, units)
    return word_text(asked, each.as_typed, units)


def standing_unit(asked: Asked, value: Any, units: Units) -> str | None:
    """The unit of the text that stands in the sentence for a value; None for what has none."""
    if asked.quantity is None:
        return None
    try:
        return read(word_text(asked, value, units), asked.quantity)[1]
    except UnitError:
        return unit_of(asked.quantity, units)


def rounded_force(newtons: float, units: Units) -> str:
    """A force to three digits, as one would give it."""
    amount = newtons if units == "metric" else newtons / N_PER_LBF
    return f"{significant(float(f'{amount:.3g}'), 4)} {'N' if units == 'metric' else 'lbf'}"
