"""Units follow the file, from the specimen to every sheet; ``--units`` overrides. Factors by definition."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from glueline import read_specimen
from glueline.studies.commands import main
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.display import words_in_units

INCHES = [("19 mm", "3/4 in"), ("90 mm", "3 1/2 in"), ("150 mm", "6 in")]
POUND_FORCE = 4.4482216152605


def written(path: Path, name: str, inches: int) -> str:
    """An example whose first so many lengths of the boards are in inches."""
    text = Path(example_path(name)).read_text(encoding="utf-8")
    for metric, imperial in INCHES[:inches]:
        text = text.replace(f'"{metric}"', f'"{imperial}"')
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.fixture
def inch_butt(tmp_path: Path) -> str:
    return written(tmp_path / "inch.toml", "butt", 3)


@pytest.fixture
def mm_butt(tmp_path: Path) -> str:
    return written(tmp_path / "mm.toml", "butt", 0)


@pytest.mark.parametrize(("inches", "units"), [(0, "metric"), (2, "metric"), (3, "imperial")])
def test_only_boards_all_in_inches_are_imperial(tmp_path: Path, inches: int, units: str) -> None:
    file = written(tmp_path / "butt.toml", "butt", inches)
    assert read_specimen(file).units == units


def test_predict_follows_its_file_unless_told(inch_butt: str, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["predict", inch_butt, "--method", "elastic"]
    assert main(command) == 0
    shown = capsys.readouterr().out
    assert re.search(r"^Stand clear from \d+ lbf ", shown)
    assert not re.search(r"\d (N|mm|kg|J)\b", shown)
    assert main([*command, "--units", "metric"]) == 0
    assert not re.search(r"\d (lbf|in|lb)\b", capsys.readouterr().out)
    assert main([*command, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)["said_aloud"]["sentence"]
    assert re.search(r"from \d+ N ", said)


def test_rank_follows_its_first_file(
    inch_butt: str, mm_butt: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for files, unit in (([inch_butt, mm_butt], "lbf"), ([mm_butt, inch_butt], "N")):
        assert main(["rank", *files, "--method", "elastic"]) == 0
        assert re.search(rf"Stand clear from \d+ {unit} ", capsys.readouterr().out)


def test_plan_sheets_obey(inch_butt: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Energy in lbf·ft: one is 4.448222 N times 304.8 mm; blanks in fractions that are no dates."""
    out = tmp_path / "day"
    rig = str(bench_day_path("bench_rig.toml"))
    assert main(["plan", inch_butt, "--rig", rig, "--method", "elastic", "--out", str(out)]) == 0
    shown = capsys.readouterr().out
    assert re.search(r"Stand clear from \S+ lb stacked", shown)
    found = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    energy = found["specimens"][0]["stored_energy_J"] / (POUND_FORCE * 0.3048)
    page = (out / "bench_sheet.html").read_text(encoding="utf-8")
    for text in (shown, page):
        assert f"at most {energy:.3g} lbf·ft are let loose" in text
        assert not re.search(r"\d J\b", text)
    with (out / "cut_list.csv").open(encoding="utf-8", newline="") as opened:
        rows = list(csv.DictReader(opened))
    assert rows[0]["width"] == "3 1/2 in"
    assert rows[0]["thickness"] == "3/4 in"
    assert "mm" not in (out / "cut_list.csv").read_text(encoding="utf-8")
    assert found["cut_list"][0]["thickness_mm"] == pytest.approx(19.05)
    with (out / "bench.csv").open(encoding="utf-8", newline="") as opened:
        assert {row["unit"] for row in csv.DictReader(opened)} == {"lb"}


def test_service_shows_its_assumptions_so(inch_butt: str, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["service", inch_butt, "--use", "drawer", "--method", "elastic", "--assume", "pull=30 lbf"]
    assert main(command) == 0
    shown = capsys.readouterr().out
    assert re.search(r"contents +33\.07 lb ", shown)  # 15 kg / 0.45359237
    assert re.search(r"front +17 23/32 in ", shown)  # 450 mm / 25.4 = 17.717, to a saw's 1/32
    assert re.search(r"pull +30 lbf ", shown)
    assert main([*command, "--units", "metric"]) == 0
    shown = capsys.readouterr().out
    assert re.search(r"contents +15 kg ", shown)
    assert re.search(r"pull +133\.4 N ", shown)  # 30 * 4.448


def test_the_report_obeys_out_of_the_plane_too(inch_butt: str, tmp_path: Path) -> None:
    out, page = tmp_path / "out", tmp_path / "page.html"
    assert main(["predict", inch_butt, "--method", "elastic", "--out", str(out)]) == 0
    assert main(["report", str(out), "--out", str(page)]) == 0
    section = page.read_text(encoding="utf-8").partition("Taken out of the plane")[2].partition("<h3>")[0]
    assert "3 1/2 in wide" in section
    assert " mm" not in section


def test_a_rig_measured_in_inches_is_shown_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rig = tmp_path / "rig.toml"
    rig.write_text(
        '[rig]\nkind = "hinged platform"\narrangement = "diagonal compression"\nspecimen_at = "12 in"\n'
        'weights_at = "36 in"\ncentre_at = "19 in"\nown_weight = "11 lb"\n',
        encoding="utf-8",
    )
    assert main(["rig", str(rig)]) == 0
    shown = capsys.readouterr().out
    assert "force per lb stacked" in shown
    assert not re.search(r"\d mm\b", shown)


def test_lengths_in_our_sentences() -> None:
    text = "board A, 90 mm wide and 19.05 mm deep"
    assert words_in_units(text, "imperial") == "board A, 3.543 in wide and 3/4 in deep"
    assert words_in_units(text, "metric") == text
    # 400 N over 4.448 N a pound; 400 N/mm over 4.448 N and times 25.4 mm.
    fitting = "fitting strength 400 N, stiffness 400 N/mm, 9 N/mm\u00b3, 5 N\u00b7m"
    assert words_in_units(fitting, "imperial") == (
        "fitting strength 89.92 lbf, stiffness 2284 lbf/in, 9 N/mm\u00b3, 5 N\u00b7m"
    )


@pytest.mark.parametrize(
    ("units", "foreign"), [("metric", r"\d (in|lbf|lb)\b"), ("imperial", r"\d (mm|N|kg)\b")]
)
def test_a_note_has_one_notation_a_unit(units: str, foreign: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What is left to common practice, lengths and forces, and what a gap does."""
    words = ["predict", str(example_path("slot_fitting")), "--method", "elastic", "--units", units]
    assert main([*words, "--set", "glue.kind=pva", "--set", "glue.gap=0.3 mm"]) == 0
    shown = capsys.readouterr().out
    assert "Left to common practice" in shown
    assert "A gap of" in shown
    assert not re.search(foreign, shown)
