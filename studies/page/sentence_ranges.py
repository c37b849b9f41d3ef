"""Where a slider under a word of the sentence may stand: texts that are valid, everything else as it is.

What is valid is asked of the joint's own check, value by value; no limits stand here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from glueline.geometries.joint_kind import board_problems
from glueline.studies.corner.boards_table import DEFAULT_MOISTURE, read_moisture
from glueline.studies.corner.fitting import fitting_ends
from glueline.studies.corner.workmanship_tables import read_workmanship
from glueline.studies.files.key_changes import value_at
from glueline.studies.files.plain_files import printable
from glueline.studies.files.toml_tables import SLOPE, Problems, Table
from glueline.studies.files.units import INCH, LENGTH, NEWTON_PER_POUND, UnitError, Units, format_length, read
from glueline.studies.page.asked import Asked, asked_of
from glueline.studies.page.read_parts import FILE, ReadParts, as_tables, read_parts, table_of, without
from glueline.studies.page.texts import written

MOST_STOPS = 200
FEW_CHOICES = 6
FEW_STOPS = 20  # fewer than these on the coarser step are too few
GROWTHS = (0.0, 1 / 200, 1 / 100, 1 / 50, 1 / 20, 1 / 10, 1 / 5)
"""How a step may grow with the value that it leads to."""
DECIMAL = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
HALVES = (1, 2, 4, 8, 16, 32, 64, 128)
SLOPES = range(4, 13)
LONGEST_LENGTH = 6000  # mm; no board is as long
LARGEST = 10_000  # of anything else, in its steps
FAR = 10  # how many times the present value a measure without limits may reach
LARGEST_PRESENT = 1e9  # beyond it what stands there is a slip
Fits = Callable[[str], bool]


@dataclass(frozen=True)
class Step:
    """A step of a slider: its ``size`` in the code's unit, its multiples, and a number of steps as text."""

    size: Fraction
    multiples: tuple[int, ...]
    text: Callable[[int], str]
    most: int = LARGEST


def stops_of(corner: Mapping[str, Any], units: Units, key: str) -> dict[str, Any]:
    """At most 200 texts that are valid at a key, the index of the one nearest what stands there, the label.

    None where the key is none of this corner, or where the rest of it cannot be read. Raises nothing.

    >>> corner = {
    ...     "joint": {"kind": "finger", "fingers": 9},
    ...     "boards": {"thickness": "19 mm", "width": "90 mm", "leg": "150 mm", "wood": "ash"},
    ... }
    >>> found = stops_of(corner, "metric", "joint.fingers")
    >>> found["stops"][0], found["stops"][-1], found["stops"][found["at"]]
    ('2', '45', '9')
    """
    corner = as_tables(corner)
    parts = read_parts(corner)
    asked = asked_of(key, parts.kind)
    if asked is None:
        return {"key": key, "stops": [], "at": 0, "label": printable(key, 60)}
    if asked.choices:
        stops, at = _valid_choices(corner, units, asked)
    else:
        stops, at = _valid_numbers(corner, parts, asked, units)
    return {"key": key, "stops": stops, "at": at, "label": asked.label}


def _valid_choices(corner: Mapping[str, Any], units: Units, asked: Asked) -> tuple[list[str], int]:
    """The choices with which nothing is wrong that is right now; all of many where other words are wrong."""
    from glueline.studies.page.edits import edited
    from glueline.studies.page.wrong import wrong_with

    before = {key for key, _ in wrong_with(corner)} - {asked.key}
    found = []
    for choice in asked.choices:
        if before and len(asked.choices) > FEW_CHOICES:  # to look for what was meant by the others takes long
            found.append(choice.value)
            continue
        tried = edited(corner, units, asked.key, choice.value)
        if not tried.wrong and {key for key, _ in wrong_with(tried.corner)} <= before:
            found.append(choice.value)
    present = written(value_at(corner, asked.key))
    standing = [choice.value for choice in asked.choices if choice.goes_by(present)]
    return found, next((found.index(each) for each in standing if each in found), 0)


def _valid_numbers(
    corner: Mapping[str, Any], parts: ReadParts, asked: Asked, units: Units
) -> tuple[list[str], int]:
    fits, present = _fits(corner, parts, asked), _present(corner, parts, asked)
    if asked.kind == "slope":
        stops = [text for text in (f"1:{along}" for along in SLOPES) if fits(text)]
        return stops, _nearest([_number(text, asked) for text in stops], present or 0.0)
    step, numbers = _numbers(asked, units, fits, present, _likely(parts))
    kept = [(number, text) for number in numbers if fits(text := step.text(number))]
    stops = [text for _, text in kept]
    if present is None:
        return stops, len(stops) // 2
    return stops, _nearest([_number(text, asked) for text in stops], present)


def _nearest(values: list[float], present: float) -> int:
    return min(range(len(values)), key=lambda place: abs(values[place] - present), default=0)


def _numbers(
    asked: Asked, units: Units, fits: Fits, present: float | None, likely: tuple[float, ...]
) -> tuple[Step, list[int]]:
    """A step and the numbers of steps within what fits: the coarsest step of which there are enough."""
    steps = _steps(asked, units, present)
    for step in steps:
        near = [round(each / step.size) for each in (present or 0.0, *likely)]
        ends = fitting_ends(lambda number, step=step: fits(step.text(number)), step.most, near)  # type: ignore[misc]
        if ends is None:
            continue
        if ends[1] - ends[0] >= FEW_STOPS or step is steps[-1]:
            return step, _thinned(*ends, step)
    return steps[-1], []


def _thinned(least: int, most: int, step: Step) -> list[int]:
    """Both ends and round numbers between them, the closer together the smaller they are."""
    for growth in GROWTHS:
        numbers = []
        for number in _round_numbers(least, most, step.multiples, growth):
            numbers.append(number)
            if len(numbers) > MOST_STOPS:
                break
        else:
            return numbers
    return numbers[:MOST_STOPS]


def _round_numbers(least: int, most: int, multiples: tuple[int, ...], growth: float) -> Iterator[int]:
    number = least
    while number < most:
        yield number
        multiple = next((each for each in multiples if each >= number * growth), multiples[-1])
        number = (number // multiple + 1) * multiple
    yield most


def _steps(asked: Asked, units: Units, present: float | None) -> list[Step]:
    """The steps that a quantity may have, the coarser first."""
    if asked.shape == "count":
        return [Step(Fraction(1), DECIMAL, str)]
    if asked.quantity == LENGTH:
        if asked.name == "gap":
            return [_gap_step(units)]
        metric = (Fraction(1),) if asked.key.startswith("boards.") else (Fraction(1, 2), Fraction(1, 10))
        inches = (16,) if asked.key.startswith("boards.") else (32, 64)
        if units == "metric":
            return [_length_step(size, DECIMAL, units) for size in metric]
        return [_length_step(INCH / parts, HALVES, units) for parts in inches]
    far = max(FAR * (present or 1.0), 1.0)
    if asked.kind in ("force", "stiffness"):
        name, size = _force_unit(asked.kind, units)
        return [Step(size, DECIMAL, lambda number: f"{number}{name}", max(int(far / size), 1))]
    if asked.kind == "moisture":
        return [Step(Fraction(1), DECIMAL, lambda number: f"{number} %", 100)]
    if asked.kind == "share":
        return [Step(Fraction(1, 20), DECIMAL, lambda number: f"{5 * number} %", 100)]
    return [Step(Fraction(math.pi / 180), DECIMAL, lambda number: f"{number} deg", 360)]


def _force_unit(kind: str, units: Units) -> tuple[str, Fraction]:
    """What follows the digits of ten newtons or a pound, and how much it is; for each length for a spring."""
    if units == "metric":
        return ("0 N", Fraction(10)) if kind == "force" else ("0 N/mm", Fraction(10))
    return (" lbf", NEWTON_PER_POUND) if kind == "force" else ("0 lbf/in", 10 * NEWTON_PER_POUND / INCH)


def _length_step(size: Fraction, multiples: tuple[int, ...], units: Units) -> Step:
    most = int(LONGEST_LENGTH / size)
    return Step(size, multiples, lambda number: format_length(float(number * size), units), most)


def _gap_step(units: Units) -> Step:
    if units == "metric":
        return Step(Fraction(1, 50), DECIMAL, lambda number: f"{2 * (number - 1) / 100:g} mm", 100)
    return Step(INCH / 1000, DECIMAL, lambda number: f"{(number - 1) / 1000:g} in", 100)


def _fits(corner: Mapping[str, Any], parts: ReadParts, asked: Asked) -> Fits:
    """Whether a text is valid at a key with everything else as it is."""
    table = asked.key.partition(".")[0]
    if table == "glue":
        return lambda text: _reads_well(
            lambda given: read_workmanship(Table("glue", given, _none())), asked, text
        )
    if asked.kind == "moisture":
        woods = parts.woods
        return lambda text: _reads_well(
            lambda given: read_moisture(Table("boards", given, _none()), woods), asked, text
        )
    if table == "boards":
        return _fits_boards(corner, parts, asked)
    return _fits_joint(corner, asked)


def _fits_boards(corner: Mapping[str, Any], parts: ReadParts, asked: Asked) -> Fits:
    # What stands there may be what keeps the boards from being read.
    held = {**table_of(corner, "boards"), asked.name: "100 mm"}
    boards, kind = read_parts({**corner, "boards": held}).boards, parts.kind
    no_place = asked.name == "thickness_b" and kind is not None and not kind.allows_thickness_b
    if boards is None or kind is None or no_place:
        return lambda _: False

    def fits(text: str) -> bool:
        size: dict[str, Any] = {asked.name: _number(text, asked)}
        changed = replace(boards, **size)
        if parts.joint is None:
            return not board_problems(changed, kind.lays)
        return not kind.problems(parts.joint, changed)

    return fits


HELD: Mapping[str, Any] = {
    "count": 3,
    "length": "10 mm",
    "angle": "15 deg",
    "force": "400 N",
    "stiffness": "400 N/mm",
    "slope": "1:7",
}
"""What is put in place of a measure while the others are read, by its quantity."""


def _fits_joint(corner: Mapping[str, Any], asked: Asked) -> Fits:
    gone = [] if asked.other is None else [asked.other.partition(".")[2]]
    held = without(corner, gone)
    held["joint"][asked.name] = HELD.get(asked.kind, "")
    parts = read_parts(held)
    kind, joint, boards = parts.kind, parts.joint, parts.boards
    if kind is None or joint is None or boards is None:
        return lambda _: False

    def fits(text: str) -> bool:
        value = int(text) if asked.shape == "count" else _number(text, asked)
        if value < asked.least and asked.shape == "count":
            return False
        return value > 0 and not kind.problems(replace(joint, **{asked.name: value}), boards)

    return fits


def _reads_well(reading: Callable[[dict[str, str]], Any], asked: Asked, text: str) -> bool:
    return reading({asked.name: text}) is not None


def _none() -> Problems:
    return Problems(FILE)


def _number(text: str, asked: Asked) -> float:
    """A text of ours in the code's own unit."""
    if asked.quantity is not None:
        return read(text, asked.quantity)[0]
    match = SLOPE.fullmatch(text)
    return float(match[1]) / float(match[2]) if match else float(text)


def _present(corner: Mapping[str, Any], parts: ReadParts, asked: Asked) -> float | None:
    """What stands at a key, or is taken there, in the code's own unit; None where that is no number."""
    value = value_at(corner, asked.key)
    try:
        if value is not None:
            number = float(value) if asked.shape == "count" else _number(str(value), asked)
            return number if abs(number) < LARGEST_PRESENT else None
    except (UnitError, ValueError, TypeError, OverflowError, ZeroDivisionError):
        return None
    if asked.kind == "moisture":
        return DEFAULT_MOISTURE
    if asked.kind == "share":
        return 1.0
    if asked.name == "thickness_b" and parts.boards is not None:
        return parts.boards.thickness
    taken = parts.taken.get(asked.name) if asked.key.startswith("joint.") else None
    return None if taken is None else taken.value


def _likely(parts: ReadParts) -> tuple[float, ...]:
    """Sizes of the boards: a measure as large may fit where those a little smaller do not."""
    boards = parts.boards
    if boards is None:
        return ()
    return boards.thickness, boards.thickness_b or boards.thickness, boards.width, boards.leg
