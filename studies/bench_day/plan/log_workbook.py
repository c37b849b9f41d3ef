"""The log to fill in as a spreadsheet (XLSX): steps to choose from, and cells that only take what fits.

Equal plans give equal bytes, so that a manifest can tell a workbook that was filled in from one that was not.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from glueline.studies.bench_day.log.log_file import FAILURES
from glueline.studies.bench_day.plan.plan import Plan, PlannedJoint
from glueline.studies.bench_day.plan.plan_tables import log_rows
from glueline.studies.files.csv_text import harmless
from glueline.studies.files.display import weight_size
from glueline.studies.files.units import Units

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

WIDTHS = {
    "notes": 26,
    "steps": 30,
    "held": 10,
    "broke": 10,
    "cracked": 10,
    "failure": 11,
    "photo": 20,
    "label": 22,
    "unit": 7,
    "load_is": 16,
    "specimen": 30,
}
"""The columns in the order of a hand that fills them in, each as wide as so many letters."""

TO_FILL = ("notes", "held", "broke", "cracked", "failure", "photo")
PROMPTS = {
    "held": "the highest weight it stood for 30 s; blank: it failed at the first step",
    "broke": "the weight under which it let go within 30 s; blank: it never failed",
    "cracked": "the weight at the first crack, where you heard or saw one",
    "failure": "what gave; blank where you cannot say",
    "photo": "the name of a photo, if you took one",
}
FILL, HEAD = "FFF6E5", "E3E3E3"
LOG_SHEET, STEPS_SHEET = "log", "steps"
MOST_STEPS = 400
ALWAYS = datetime(2000, 1, 1)
"""The time that every workbook bears, lest two of one plan differ."""

CHANGED = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*")


def log_workbook(plan: Plan, files: Mapping[str, str], units: Units) -> bytes:
    """The workbook to fill in, one row a break in order; ``files`` has each label's specimen file."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = LOG_SHEET
    rows = log_rows(plan, files, units)
    _write_rows(sheet, rows)
    places = _write_steps(book, plan, units)
    _guard(sheet, rows, places)
    for each in book.worksheets:
        each.protection.sheet = True
        each.protection.formatColumns = False  # columns may still be made wider
    kept = io.BytesIO()
    book.save(kept)
    return _same_every_time(kept.getvalue())


def _write_rows(sheet: Worksheet, rows: list[dict[str, str]]) -> None:
    """Heading and rows; only what is to be filled in can be typed into."""
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
    from openpyxl.utils import get_column_letter

    line = Side(style="thin", color="B0B0B0")
    border = Border(left=line, right=line, top=line, bottom=line)
    for at, (column, width) in enumerate(WIDTHS.items(), 1):
        sheet.column_dimensions[get_column_letter(at)].width = width
        head = sheet.cell(1, at, column)
        head.font, head.fill, head.border = Font(bold=True), PatternFill("solid", fgColor=HEAD), border
        for number, row in enumerate(rows, 2):
            cell = sheet.cell(number, at)
            cell.border = border
            cell.alignment = Alignment(vertical="center", wrap_text=column in ("notes", "steps", "label"))
            if column in row:
                cell.value, cell.data_type = row[column], "s"
            if column in TO_FILL:
                cell.protection, cell.fill = Protection(locked=False), PatternFill("solid", fgColor=FILL)
    sheet.freeze_panes = "C2"
    sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"


def _write_steps(book: Workbook, plan: Plan, units: Units) -> dict[str, str]:
    """A sheet with the weights of each joint, first to last; where those of each label stand."""
    from openpyxl.utils import get_column_letter

    sheet = book.create_sheet(STEPS_SHEET)
    places = {}
    for at, joint in enumerate(plan.joints, 1):
        head = sheet.cell(1, at, harmless(joint.label))
        head.data_type = "s"
        weights = steps_of(joint, units)
        for number, weight in enumerate(weights, 2):
            sheet.cell(number, at, weight)
        letter = get_column_letter(at)
        sheet.column_dimensions[letter].width = 22
        places[harmless(joint.label)] = f"{STEPS_SHEET}!${letter}$2:${letter}${len(weights) + 1}"
    return places


def steps_of(joint: PlannedJoint, units: Units) -> list[float]:
    """The stacked weights of a joint, in kg or lb, from nothing over the first stack to what is brought."""
    size = weight_size(units)
    count = min(round((joint.weights_to_bring - joint.first_stack) / joint.step), MOST_STEPS)
    kilograms = [joint.first_stack + number * joint.step for number in range(count + 1)]
    weights = [float(f"{each / size:.6g}") for each in kilograms]
    return weights if weights[0] == 0 else [0.0, *weights]


def _guard(sheet: Worksheet, rows: list[dict[str, str]], places: Mapping[str, str]) -> None:
    """What each cell takes: loads a number, best one of the steps; failure one of the words."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    letters = {column: get_column_letter(at) for at, column in enumerate(WIDTHS, 1)}

    def prompted(column: str, guard: DataValidation) -> DataValidation:
        guard.promptTitle, guard.prompt = column, PROMPTS[column]
        guard.showInputMessage = True
        sheet.add_data_validation(guard)
        return guard

    for column in ("held", "broke", "cracked"):
        for label, place in places.items():
            guard = prompted(column, DataValidation("list", formula1=place, allow_blank=True))
            guard.errorStyle, guard.showErrorMessage = "warning", True
            guard.errorTitle, guard.error = column, f"{label}: this is not one of the planned steps."
            for number, row in enumerate(rows, 2):
                if row["label"] == label:
                    guard.add(f"{letters[column]}{number}")
    words = DataValidation("list", formula1=f'"{",".join(FAILURES)}"', allow_blank=True)
    words.errorStyle, words.showErrorMessage = "stop", True
    words.errorTitle, words.error = "failure", f"{', '.join(FAILURES)}, or nothing."
    prompted("failure", words).add(f"{letters['failure']}2:{letters['failure']}{len(rows) + 1}")
    photo = prompted("photo", DataValidation("textLength", operator="lessThan", formula1="200"))
    photo.add(f"{letters['photo']}2:{letters['photo']}{len(rows) + 1}")


def _same_every_time(workbook: bytes) -> bytes:
    """A workbook without a word on when it was written, in the zip and inside."""
    kept = io.BytesIO()
    stamp = ALWAYS.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(kept, "w") as new:
        for each in old.infolist():
            part = zipfile.ZipInfo(each.filename, ALWAYS.timetuple()[:6])
            part.compress_type, part.create_system, part.external_attr = zipfile.ZIP_DEFLATED, 3, 0o600 << 16
            content = old.read(each)
            if each.filename == "docProps/core.xml":
                content = CHANGED.sub(rb"\g<1>" + stamp, content)
            new.writestr(part, content)
    return kept.getvalue()
