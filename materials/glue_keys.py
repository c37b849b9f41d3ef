"""The keys of a glue file: reading them with every problem at once, and writing them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Any

from glueline.materials.glue import (
    BOND_NUMBERS,
    LEAST_SHARE,
    NO_GLUE,
    SOFTENINGS,
    THINNEST_FILM,
    BondRow,
    Crossed,
    Glue,
    Problem,
)
from glueline.materials.grain_angle import hankinson_exponent
from glueline.materials.names import nearest
from glueline.materials.provenance import MARKS, Provenance


@dataclass(frozen=True)
class Limits:
    """Unit of a number and the range outside of which it is taken for a slip; ``open_ended`` allows inf."""

    unit: str
    low: float
    high: float
    open_ended: bool = False


_SHARE = Limits("%", LEAST_SHARE, 1.0)
NUMBERS = {
    "film_thickness": Limits("mm", THINNEST_FILM, 2.0),
    "opening_stiffness": Limits("N/mm3", 10.0, 1e6),
    "shear_stiffness": Limits("N/mm3", 5.0, 1e6),
}
OPTIONAL_NUMBERS = {
    "quality": Limits("%", LEAST_SHARE, 2.0),
    "film_opening_strength": Limits("MPa", 0.1, 100.0, open_ended=True),
    "film_shear_strength": Limits("MPa", 0.1, 100.0, open_ended=True),
    "film_opening_toughness": Limits("N/mm", 0.005, 20.0, open_ended=True),
    "film_shear_toughness": Limits("N/mm", 0.005, 20.0, open_ended=True),
    "moist_share": _SHARE,
    "gap_share": _SHARE,
}
MIXING = {"mixing_exponent": Limits("", 1.0, 10.0)}
"""Left out of most glue files: then opening and sliding mix linearly."""

OF_CALIBRATION = {"model_error": Limits("%", 0.0, 5.0), "load_factor": Limits("", 1.0, 100.0)}
"""What a calibrated glue file says of how far predictions with it can be off; older ones say nothing."""

FILM_OVER_SIDE_OPENING, FILM_OVER_SIDE_SHEAR = 10.0 / 7.0, 18.0 / 14.0
"""Film's own strength over the side-grain row where a glue file does not give it: as ``pva`` (judgement)."""

ROWS = ("side_grain", "grain_45", "end_grain")
ROW_NUMBERS = {
    "opening_strength": Limits("MPa", 0.05, 60.0),
    "shear_strength": Limits("MPa", 0.05, 60.0),
    "opening_toughness": Limits("N/mm", 0.001, 20.0),
    "shear_toughness": Limits("N/mm", 0.001, 20.0),
    "cov": Limits("%", 0.0, 1.0),
}
CREDIBLE_NUMBERS = {"credible_low": Limits("%", 0.05, 1.0), "credible_high": Limits("%", 1.0, 10.0)}
CREDIBLE = {"side_grain": (0.73, 1.40), "grain_45": (0.60, 1.52), "end_grain": (0.52, 1.55)}
"""Ends of what can be believed of a row, as factors on it, where a glue file gives none: those of ``pva``."""

CROSSED_NUMBERS = {field.name: Limits("%", 0.02, 1.0) for field in fields(Crossed)}
TOP_KEYS = (
    "name",
    "softening",
    *NUMBERS,
    *OPTIONAL_NUMBERS,
    *MIXING,
    *ROWS,
    "crossed",
    "calibrated",
    *OF_CALIBRATION,
    "sources",
    "also_called",
)
LONGEST_CALIBRATED = 1000


def read_glue(tables: Mapping[str, object]) -> tuple[Glue | None, list[Problem]]:
    """The glue in ``tables`` and all that is wrong with it; None where it cannot be built."""
    problems: list[Problem] = []
    _unknown_keys(tables, TOP_KEYS, "", problems)
    name = _name(tables, problems)
    softening = tables.get("softening")
    if "softening" not in tables:
        problems.append(("softening", None, f"missing; one of {', '.join(SOFTENINGS)}"))
    elif softening not in SOFTENINGS:
        problems.append(("softening", softening, f"one of {', '.join(SOFTENINGS)}"))
    numbers = _numbers(tables, NUMBERS, "", problems)
    numbers |= _numbers(tables, OPTIONAL_NUMBERS | MIXING | OF_CALIBRATION, "", problems, optional=True)
    numbers.setdefault("quality", 1.0)
    rows = {key: _row(tables, key, problems) for key in ROWS}
    crossed = _crossed(tables, problems)
    calibrated = _calibrated(tables, problems)
    sources = _sources(tables, problems)
    if problems:
        return None, problems
    side = rows["side_grain"]
    numbers.setdefault("film_opening_strength", FILM_OVER_SIDE_OPENING * side["opening_strength"])
    numbers.setdefault("film_shear_strength", FILM_OVER_SIDE_SHEAR * side["shear_strength"])
    fields_of: dict[str, Any] = {**{key: BondRow(**row) for key, row in rows.items()}, **numbers}
    glue = Glue(
        name=name,
        softening=str(softening),
        crossed=crossed,
        calibrated=calibrated,
        sources=sources,
        **fields_of,
    )
    return glue, list(_physical(glue))


def glue_to_tables(glue: Glue) -> dict[str, object]:
    """The tables of a glue file that ``glue_from_tables`` reads back to the same glue.

    >>> from glueline.materials import find_glue, glue_from_tables
    >>> tables = glue_to_tables(find_glue("hide"))
    >>> glue_from_tables(tables) == find_glue("hide")
    True
    """
    tables: dict[str, object] = {"name": glue.name, "softening": glue.softening}
    tables |= {key: getattr(glue, key) for key in (*NUMBERS, *OPTIONAL_NUMBERS)}
    if glue.mixing_exponent is not None:
        tables["mixing_exponent"] = glue.mixing_exponent
    for row in ROWS:
        tables[row] = {key: getattr(getattr(glue, row), key) for key in (*ROW_NUMBERS, *CREDIBLE_NUMBERS)}
    tables["crossed"] = {key: getattr(glue.crossed, key) for key in CROSSED_NUMBERS}
    if glue.calibrated:
        tables["calibrated"] = glue.calibrated
    tables |= {key: getattr(glue, key) for key in OF_CALIBRATION if getattr(glue, key) is not None}
    tables["sources"] = {
        key: {"source": each.source, "mark": each.mark} for key, each in glue.sources.items()
    }
    return tables


def _name(tables: Mapping[str, object], problems: list[Problem]) -> str:
    name = tables.get("name")
    if not isinstance(name, str) or not name.strip():
        problems.append(
            ("name", name, "a name for the glue" if "name" in tables else "missing; a name for the glue")
        )
        return ""
    if name.strip().casefold() == NO_GLUE.name:
        problems.append(("name", name, "stands for a dry joint; choose another"))
    return name


def _calibrated(tables: Mapping[str, object], problems: list[Problem]) -> str:
    text = tables.get("calibrated", "")
    if isinstance(text, str) and len(text) <= LONGEST_CALIBRATED:
        return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
    problems.append(("calibrated", text, "a text of one sentence: from which breaks the quality was set"))
    return ""


def _unknown_keys(
    table: Mapping[str, object], known: Iterable[str], prefix: str, problems: list[Problem]
) -> None:
    known = list(known)
    for key in table:
        if key not in known:
            near = nearest(key, known)
            hint = f"the nearest is {prefix}{near}" if near else f"there are {', '.join(known)}"
            problems.append((prefix + key, table[key], f"no such key; {hint}"))


def _numbers(
    table: Mapping[str, object],
    wanted: Mapping[str, Limits],
    prefix: str,
    problems: list[Problem],
    *,
    optional: bool = False,
) -> dict[str, float]:
    numbers: dict[str, float] = {}
    for key, limits in wanted.items():
        if key not in table:
            if not optional:
                problems.append((prefix + key, None, f"missing; {_right(limits)}"))
            continue
        number = _number(table[key], limits)
        if number is None:
            problems.append((prefix + key, table[key], _right(limits)))
        else:
            numbers[key] = number
    return numbers


def _number(value: object, limits: Limits) -> float | None:
    """``value`` in the unit of ``limits``, or None. A text may carry that unit: "0.1 mm", "18 %"."""
    if isinstance(value, str):
        text = re.fullmatch(rf"\s*([-+0-9.eE]+|inf)\s*({re.escape(limits.unit)})?\s*", value)
        if text is None:
            return None
        try:
            value = float(text[1]) * (0.01 if text[2] == "%" else 1.0)
        except ValueError:
            return None
    if isinstance(value, bool) or not isinstance(value, int | float) or math.isnan(value):
        return None
    if limits.open_ended and value == math.inf:
        return math.inf
    return float(value) if limits.low <= value <= limits.high else None


def _right(limits: Limits) -> str:
    if limits.unit == "%":
        return f"a share from {limits.low:g} to {limits.high:g}"
    unit = f" {limits.unit}" if limits.unit else ""
    return f"a number from {limits.low:g} to {limits.high:g}{unit}" + (
        ", or inf" if limits.open_ended else ""
    )


def _row(tables: Mapping[str, object], key: str, problems: list[Problem]) -> dict[str, float]:
    table = tables.get(key)
    if not isinstance(table, Mapping):
        missing = "missing; " if key not in tables else ""
        problems.append((key, table, f"{missing}a table with {', '.join(ROW_NUMBERS)}"))
        return {}
    _unknown_keys(table, ROW_NUMBERS | CREDIBLE_NUMBERS, f"{key}.", problems)
    row = dict(zip(CREDIBLE_NUMBERS, CREDIBLE[key], strict=True))
    row |= _numbers(table, ROW_NUMBERS, f"{key}.", problems)
    return row | _numbers(table, CREDIBLE_NUMBERS, f"{key}.", problems, optional=True)


def _crossed(tables: Mapping[str, object], problems: list[Problem]) -> Crossed:
    table = tables.get("crossed", {})
    if not isinstance(table, Mapping):
        problems.append(("crossed", table, f"a table with any of {', '.join(CROSSED_NUMBERS)}"))
        return Crossed()
    _unknown_keys(table, CROSSED_NUMBERS, "crossed.", problems)
    crossed = Crossed(**_numbers(table, CROSSED_NUMBERS, "crossed.", problems, optional=True))
    for low, middle, high in (
        ("low", "rolling_share", "high"),
        ("broad_rayed_low", "broad_rayed_share", "broad_rayed_high"),
        ("toughness_low", "toughness_share", "toughness_high"),
    ):
        values = [getattr(crossed, key) for key in (low, middle, high)]
        if values != sorted(values):
            problems.append(
                (
                    f"crossed.{middle}",
                    values[1],
                    f"must lie from {low} = {values[0]:g} to {high} = {values[2]:g}",
                )
            )
    return crossed


def _sources(tables: Mapping[str, object], problems: list[Problem]) -> dict[str, Provenance]:
    """Sources by key: a table of source and mark, or a bare text, which is marked as a judgement."""
    table = tables.get("sources", {})
    if not isinstance(table, Mapping):
        problems.append(("sources", table, "a table of texts, or of tables of source and mark"))
        return {}
    sources: dict[str, Provenance] = {}
    for key, value in table.items():
        if isinstance(value, str):
            sources[key] = Provenance(value, "judgement")
        elif (
            isinstance(value, Mapping)
            and set(value) == {"source", "mark"}
            and isinstance(value["source"], str)
            and value["mark"] in MARKS
        ):
            sources[key] = Provenance(value["source"], value["mark"])
        else:
            problems.append(
                (f"sources.{key}", value, f"a text, or source and mark, one of {', '.join(MARKS)}")
            )
    return sources


def _physical(glue: Glue) -> Iterable[Problem]:
    """Combinations of believable numbers that no bond can have."""
    for number in BOND_NUMBERS:
        along, at_45, across = (getattr(getattr(glue, row), number) for row in ROWS)
        try:
            hankinson_exponent(along, at_45, across)
        except ValueError as error:
            yield f"grain_45.{number}", at_45, str(error)
    for row in ROWS:
        for mode in ("opening", "shear"):
            strength = getattr(getattr(glue, row), f"{mode}_strength")
            toughness = getattr(getattr(glue, row), f"{mode}_toughness")
            least = strength**2 / (2.0 * getattr(glue, f"{mode}_stiffness"))
            if toughness <= least:
                yield (
                    f"{row}.{mode}_toughness",
                    toughness,
                    f"must be above {least:.3g} N/mm, the energy it takes to reach its strength",
                )
