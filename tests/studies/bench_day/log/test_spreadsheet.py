"""The log as a spreadsheet: written by plan, filled in, read by bench and calibrate; never computed."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glueline.studies.bench_day.log.log_file import FAILURES, read_log
from glueline.studies.bench_day.log.log_table import KNOWN_COLUMNS
from glueline.studies.bench_day.plan.log_workbook import log_workbook, steps_of
from glueline.studies.bench_day.plan.plan_report import refuse_loss, specimen_files, write_plan
from glueline.studies.files.failures import InputError
from tests.studies.bench_day.bench_logs import HEADER, rows_of, write_log
from tests.studies.bench_day.plan.plan_examples import day
from tests.studies.command_lines import called
from tests.studies.makers_folder import check_words

GOOD = rows_of("butt", "butt", [(400, 450), (450, 500)])
COLUMNS = (*HEADER, "photo")


def spreadsheet(folder: Path, *rows: tuple[object, ...], header: tuple[str, ...] = COLUMNS) -> Path:
    write_log(folder, [])
    book = openpyxl.Workbook()
    for row in (header, *rows):
        book.active.append(row)
    path = folder / "log.xlsx"
    book.save(path)
    return path


def refused(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_log(path, force=True)
    check_words(caught.value)
    return str(caught.value)


def test_a_spreadsheet_says_what_the_same_table_says(tmp_path: Path) -> None:
    rows = [*GOOD, ("butt.toml", "butt", 0.1 + 0.2, 1250.5, "N", None, "knot; @home", "p1.jpg")]
    found = read_log(spreadsheet(tmp_path, *rows), force=True)
    table = read_log(write_log(tmp_path, [(*row[:5], row[5] or "", row[6]) for row in rows]), force=True)
    assert [(row.lower, row.upper, row.failure, row.notes, row.line) for row in found.breaks[:2]] == [
        (row.lower, row.upper, row.failure, row.notes, row.line) for row in table.breaks[:2]
    ]
    assert (found.breaks[2].lower, found.breaks[2].upper) == (0.3, 1250.5)
    assert [row.photo for row in found.breaks] == ["", "", "p1.jpg"]
    assert found.line_word == "row"


def test_formulas_are_never_computed(tmp_path: Path) -> None:
    """In a load one is refused; in text it is the text."""
    path = spreadsheet(tmp_path, ("butt.toml", "butt", "=200*2", 450, "N", "glue", ""))
    assert "row 2: held = =200*2: is a formula: write its value" in refused(path)
    path = spreadsheet(tmp_path, ("butt.toml", "=1+1", 400, 450, "N", "glue", '=HYPERLINK("http://x","y")'))
    (row,) = read_log(path, force=True).breaks
    assert (row.label, row.notes) == ("=1+1", '=HYPERLINK("http://x","y")')


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        (date(2026, 5, 2), "row 2: held = 2026-05-02"),
        (True, "held = TRUE"),
        ("400 N", "must be a number alone"),
    ],
)
def test_cells_that_are_no_load(tmp_path: Path, cell: object, says: str) -> None:
    assert says in refused(spreadsheet(tmp_path, ("butt.toml", "butt", cell, 450, "N", "glue", "")))


def test_what_is_no_spreadsheet_is_refused_in_a_line(tmp_path: Path) -> None:
    path = spreadsheet(tmp_path, *GOOD)
    good = path.read_bytes()
    for content in (b"", b"specimen,label\n", good[:-200], good.replace(b"xl/worksheets", b"xl/worksheetz")):
        path.write_bytes(content)
        assert "is not a spreadsheet that can be read" in refused(path)
    bomb = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(good)) as old, zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as new:
        for each in old.infolist():
            new.writestr(each.filename, old.read(each))
        new.writestr("xl/media/huge.xml", bytes(210_000_000))
    path.write_bytes(bomb.getvalue())
    assert "unpacks to more than a log can hold" in refused(path)
    entity = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(good)) as old, zipfile.ZipFile(entity, "w") as new:
        for each in old.infolist():
            new.writestr(each.filename, b'<!DOCTYPE a [<!ENTITY b "b">]>' + old.read(each))
    path.write_bytes(entity.getvalue())
    assert "a log" in refused(path)
    assert "no such file" in refused(tmp_path / "none.xlsx")
    assert "holds nothing but empty cells" in refused(spreadsheet(tmp_path, header=(" ",)))


@given(st.integers(0, 2**32), st.integers(1, 40))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_damaged_spreadsheet_is_read_or_refused(tmp_path: Path, seed: int, count: int) -> None:
    path = spreadsheet(tmp_path, *GOOD)
    content = bytearray(path.read_bytes())
    for number in range(count):
        content[(seed * (number + 1) * 2654435761) % len(content)] ^= 1 + (seed + number) % 255
    path.write_bytes(bytes(content))
    try:
        read_log(path, force=True)
    except InputError as error:
        check_words(error)


# What plan writes


def test_the_workbook_has_steps_choices_and_guarded_cells() -> None:
    plan = day()
    files = specimen_files([each.label for each in plan.joints])
    book = openpyxl.load_workbook(io.BytesIO(log_workbook(plan, files, "metric")))
    sheet, steps = book["log"], book["steps"]
    heading = [cell.value for cell in sheet[1]]
    assert sorted(heading) == sorted(KNOWN_COLUMNS)
    assert sheet.max_row == 1 + len(plan.order)
    at = {name: heading.index(name) for name in heading}
    for (label, name), row in zip(plan.order, sheet.iter_rows(min_row=2), strict=True):
        assert (row[at["label"]].value, row[at["notes"]].value) == (label, name)
        assert row[at["load_is"]].value == "stacked weight"
        assert " kg, then " in row[at["steps"]].value
        open_cells = {name for name in heading if not row[at[name]].protection.locked}
        assert open_cells == {"notes", "held", "broke", "cracked", "failure", "photo"}
    assert sheet.protection.sheet
    assert steps.protection.sheet
    for column, joint in enumerate(plan.joints, 1):
        weights = [
            cell.value for cell in steps[openpyxl.utils.get_column_letter(column)] if cell.value is not None
        ]
        assert weights[0] == joint.label
        assert weights[1:] == pytest.approx(steps_of(joint, "metric"))
        assert weights[-1] == pytest.approx(joint.weights_to_bring)
    guards = {
        str(cell): guard
        for guard in sheet.data_validations.dataValidation
        for area in guard.sqref.ranges
        for cell in [area.coord]
    }
    failure = openpyxl.utils.get_column_letter(at["failure"] + 1)
    words = guards[f"{failure}2:{failure}{sheet.max_row}"]
    assert words.formula1 == f'"{",".join(FAILURES)}"'
    assert words.errorStyle == "stop"
    assert any(str(guard.formula1).startswith("steps!$A$2:") for guard in guards.values())


MAKE = """
import sys
from glueline.studies.bench_day.plan.log_workbook import log_workbook
from glueline.studies.bench_day.plan.plan_report import specimen_files
from tests.studies.bench_day.plan.plan_examples import day
plan = day()
sys.stdout.buffer.write(log_workbook(plan, specimen_files([each.label for each in plan.joints]), "metric"))
"""


def test_a_workbook_has_the_same_bytes_in_every_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a process of another day, hash seed and time zone; unzipped, no part names a later time."""
    plan = day()
    ours = log_workbook(plan, specimen_files([each.label for each in plan.joints]), "metric")
    monkeypatch.setenv("PYTHONHASHSEED", "77")
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    again = subprocess.run([sys.executable, "-c", MAKE], capture_output=True, check=True, timeout=120).stdout
    assert again == ours
    with zipfile.ZipFile(io.BytesIO(ours)) as packed:
        assert {each.date_time for each in packed.infolist()} == {(2000, 1, 1, 0, 0, 0)}
        core = packed.read("docProps/core.xml").decode()
    assert core.count("2000-01-01T00:00:00Z") == 2


def test_a_filled_workbook_is_never_replaced(tmp_path: Path) -> None:
    """Also one that a spreadsheet program has only saved anew may be replaced: nothing is lost with it."""
    write_plan(day(), tmp_path, "metric")
    path = tmp_path / "bench.xlsx"
    book = openpyxl.load_workbook(path)
    book.save(path)
    refuse_loss(tmp_path)
    write_plan(day(), tmp_path, "imperial")
    book = openpyxl.load_workbook(path)
    heading = [cell.value for cell in book["log"][1]]
    book["log"].cell(3, heading.index("held") + 1, 20)
    book["log"].cell(3, heading.index("photo") + 1, "knot.jpg")
    book.save(path)
    before = path.read_bytes()
    with pytest.raises(InputError, match=r"bench\.xlsx has been filled in \(held, photo in 1 row\)"):
        refuse_loss(tmp_path)
    with pytest.raises(InputError, match="another --out"):
        write_plan(day(), tmp_path, "metric")
    assert path.read_bytes() == before
    path.write_bytes(before[:-50])
    with pytest.raises(InputError, match=r"bench\.xlsx"):
        refuse_loss(tmp_path)


def test_from_plan_to_bench_and_calibrate(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The workbook that plan wrote, filled in with numbers; its photos stand in what bench writes."""
    from tests.studies.bench_day.bench_logs import RIG

    (tmp_path / "rig.toml").write_text(RIG)
    write_log(tmp_path, [])
    elastic = ("--rig", tmp_path / "rig.toml", "--method", "elastic")
    assert called(capsys, "plan", tmp_path / "butt.toml", *elastic, "--out", tmp_path / "day").returncode == 0
    path = tmp_path / "day" / "bench.xlsx"
    book = openpyxl.load_workbook(path)
    heading = [cell.value for cell in book["log"][1]]
    for number, held in enumerate((20, 22.5, 25), 2):
        for column, value in (
            ("held", held),
            ("broke", held + 2.5),
            ("failure", "glue"),
            ("photo", f"{held}.jpg"),
        ):
            book["log"].cell(number, heading.index(column) + 1, value)
    book.save(path)
    done = called(capsys, "bench", path, *elastic, "--json", "--out", tmp_path / "out")
    assert done.returncode == 0
    (joint,) = json.loads(done.stdout)["joints"]
    assert (joint["n"], joint["photos"]) == (3, ["20.jpg", "22.5.jpg", "25.jpg"])
    assert "22.5.jpg" in (tmp_path / "out" / "breaks.csv").read_text()
    assert "rows say nothing of a break yet" in done.stdout or "row says nothing" in done.stdout
    words = ("--using", "butt", "--write", tmp_path / "ours.toml", "--json")
    done = called(capsys, "calibrate", path, *elastic, *words)
    assert done.returncode == 0
    assert json.loads(done.stdout)["n"] == 3
    done = called(capsys, "bench", path, "--method", "elastic")
    assert done.returncode == 2
    assert f"glueline bench {path} --rig" in done.stderr
