"""The plan's tables for spreadsheets: the log to fill in and the cut list."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
from msgspec import field

from glueline.studies.bench_day.log.log_table import KNOWN_COLUMNS, STACKED
from glueline.studies.bench_day.plan.cut_list import Blank
from glueline.studies.bench_day.plan.plan import Plan, PlannedJoint
from glueline.studies.files.csv_text import csv_bytes, harmless
from glueline.studies.files.display import format_weight, weight_unit
from glueline.studies.files.units import Units, format_cut

GRAIN = "along the length"


class CutRow(msgspec.Struct, frozen=True):
    """A row of the cut list: one kind of blank, and how many of it the day needs."""

    label: str
    part: str
    pieces: int
    length: float = field(name="length_mm")
    width: float = field(name="width_mm")
    thickness: float = field(name="thickness_mm")
    wood: str
    grain: str
    ends: str


def counted_blanks(plan: Plan) -> list[tuple[Blank, int]]:
    """Every kind of blank with how many the day needs."""
    counts = {each.label: each.replicates for each in plan.joints}
    return [(blank, blank.each * counts[label]) for label, blanks in plan.blanks.items() for blank in blanks]


def cut_rows(plan: Plan) -> tuple[CutRow, ...]:
    """The cut list, lengths in mm."""
    return tuple(
        CutRow(
            blank.label,
            blank.part,
            count,
            blank.length,
            blank.width,
            blank.thickness,
            blank.wood,
            GRAIN,
            blank.ends("metric"),
        )
        for blank, count in counted_blanks(plan)
    )


def cut_list_csv(plan: Plan, units: Units) -> bytes:
    """The cut list (CSV, UTF-8): lengths in mm, or as fractions of an inch with the unit in the cell.

    Without it a spreadsheet takes 3/4 for a day in March.
    """
    names = [each.encode_name for each in msgspec.structs.fields(CutRow)]
    if units == "imperial":
        names = [name.removesuffix("_mm") for name in names]
    rows = []
    for row, (blank, _) in zip(cut_rows(plan), counted_blanks(plan), strict=True):
        cells = msgspec.structs.asdict(row) | {"ends": blank.ends(units)}
        rows.append([_cut_cell(cell, units) for cell in cells.values()])
    return csv_bytes([names, *rows])


def _cut_cell(cell: object, units: Units) -> object:
    if not isinstance(cell, float):
        return cell
    return f"{cell:g}" if units == "metric" else format_cut(cell, units)


def log_rows(plan: Plan, files: Mapping[str, str], units: Units) -> list[dict[str, str]]:
    """The log to fill in, one row a break in order, by column; ``files`` has each label's specimen file.

    What is to be filled in is left out. No cell begins with what a spreadsheet takes for a formula.
    """
    steps = {each.label: _steps(each, units) for each in plan.joints}
    rows = (
        {
            "specimen": files[label],
            "label": label,
            "unit": weight_unit(units),
            "notes": name,
            "load_is": STACKED,
            "steps": steps[label],
        }
        for label, name in plan.order
    )
    return [{column: harmless(cell) for column, cell in row.items()} for row in rows]


def _steps(joint: PlannedJoint, units: Units) -> str:
    """The steps of a joint in words: ``30 kg, then 2.5 kg at a time``."""
    first, step = (format_weight(weight, units) for weight in (joint.first_stack, joint.step))
    return f"{first}, then {step} at a time"


def log_csv(plan: Plan, files: Mapping[str, str], units: Units) -> bytes:
    """The log to fill in as a table (CSV, UTF-8)."""
    rows = log_rows(plan, files, units)
    return csv_bytes([KNOWN_COLUMNS, *([row.get(column) for column in KNOWN_COLUMNS] for row in rows)])
