"""Rows that look like a slip of the pen are named and still count."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from glueline.studies.bench_day.comparison.bench_report import bench_text, written_bench
from glueline.studies.bench_day.estimates.doubtful_rows import doubts
from glueline.studies.files.json_text import json_text
from tests.studies.bench_day.bench_logs import answer, rows_of, write_log
from tests.studies.bench_day.comparison.bench_days import compared
from tests.studies.command_lines import called

STEPS: list[tuple[object, object]] = [(190, 200), (180, 190), (200, 210), (210, 220)]
NEAR = answer(200.0, (150.0, 260.0))


@pytest.mark.parametrize(
    ("slip", "off"),
    [((1900, 2000), 10), ((190, 1900), 9.5), ((19, 20), 1 / 10), ((19, 200), 1 / 10), ((1900, ""), 9.5)],
)
def test_a_slip_of_ten_is_named_by_its_row(tmp_path: Path, slip: tuple[object, object], off: float) -> None:
    found = compared(tmp_path, rows_of("butt", "butt", [*STEPS, slip]), {"butt": NEAR})
    (row,) = found.doubtful
    assert (row.line, row.label) == (6, "butt")
    assert row.off_median == pytest.approx(off, rel=0.1)
    assert row.off_predicted == pytest.approx(off, rel=0.1)
    assert found.joints[0].measured.count == 5
    (said,) = doubts(found.log, found.doubtful)
    assert "log.csv: line 6 (butt): held" in said
    assert f"held {slip[0]}" in said


def test_two_rows_are_held_against_the_prediction(tmp_path: Path) -> None:
    """Their median lies between them; what is predicted tells which of the two is the slip."""
    found = compared(tmp_path, rows_of("butt", "butt", [(190, 200), (1900, 2000)]), {"butt": NEAR})
    (row,) = found.doubtful
    assert (row.line, row.off_median) == (3, None)
    assert "10 times the prediction" in row.words


def test_honest_rows_are_not_doubted(tmp_path: Path) -> None:
    """A first step that broke it, one that never failed, and scatter by four either way."""
    steps = [*STEPS, ("", 150), (260, ""), (60, 70), (700, 800), (0, 200)]
    assert compared(tmp_path, rows_of("butt", "butt", steps), {"butt": NEAR}).doubtful == ()
    stacked = rows_of("butt", "butt", [(0, 20), (18, 20), (20, 22), (18, 20)], "kg")
    loads = {"butt": answer(320.0, (200.0, 500.0))}
    assert compared(tmp_path, stacked, loads, rig=True).doubtful == ()


def test_the_command_warns_counts_all_and_ends_well(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    steps = [(450, 500), (400, 450), (4500, 5000)]
    path = write_log(tmp_path, rows_of("butt", "butt", steps))
    done = called(capsys, "bench", path, "--force", "--method", "elastic", "--json")
    assert done.returncode == 0
    assert done.stderr.count("\n") == 1
    assert "line 4 (butt): held 4500, broke 5000 N is 11 times the median of its kind" in done.stderr
    found = json.loads(done.stdout)
    (row,) = found["doubtful_rows"]
    assert (row["line"], row["label"], row["log"]) == (4, "butt", str(path))
    assert found["joints"][0]["n"] == 3
    words = ("calibrate", path, "--force", "--using", "butt", "--write", tmp_path / "g.toml")
    assert "line 4 (butt)" in called(capsys, *words, "--method", "elastic").stderr


def test_many_doubtful_rows_do_not_flood(tmp_path: Path) -> None:
    found = compared(tmp_path, rows_of("butt", "butt", [(19_000, 20_000)] * 50), {"butt": NEAR})
    said = doubts(found.log, found.doubtful)
    assert len(said) == 21
    assert said[-1] == "warning: and 30 more such rows"
    assert len(json.loads(json_text(written_bench(found)))["doubtful_rows"]) == 50


def test_texts_for_people_name_no_keys_of_the_json(tmp_path: Path) -> None:
    rows = [
        *rows_of("butt", "butt", [(20, 22.5), (22.5, 25), (17.5, 20), ("", 10), (30, "")], "kg"),
        *rows_of("mitre", "flat", [(40, 45)] * 3, "kg"),
        *rows_of("finger", "alone", [(60, 65)], "kg"),
    ]
    found = compared(tmp_path, rows, rig=True)
    written = json.loads(json_text(written_bench(found)))
    keys = {key for each in (written, *written["joints"], *written["pairs"]) for key in each}
    for units in ("metric", "imperial"):
        words = set(bench_text(found, units).replace(",", " ").replace(";", " ").replace(":", " ").split())
        named = {key for key in keys & words if "_" in key or key == "cov"}
        assert not named
