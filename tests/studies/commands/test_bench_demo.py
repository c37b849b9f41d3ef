"""The invented bench day: its files, and every step of it from end to end."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from PIL import Image

from glueline.studies.bench_day.log.log_file import read_log
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.commands import main
from glueline.studies.commands.demonstration import demonstrate
from glueline.studies.examples import BENCH_DAY_FILES, DEMO_CORNERS, bench_day_path, example_path
from glueline.studies.files.failures import InputError


def test_the_packaged_log_and_rig_are_read_and_marked_invented() -> None:
    rig = read_rig(bench_day_path("bench_rig.toml"))
    log = read_log(bench_day_path("bench_log.csv"), rig)
    assert bench_day_path("bench_rig.toml").read_text(encoding="utf-8").startswith("# Invented")
    assert all("invented" in each.notes for each in log.breaks)
    assert {Path(path).stem for path in log.specimens} == set(DEMO_CORNERS)
    assert rig.correction is not None
    assert not rig.correction.outliers
    assert any(each.upper == float("inf") for each in log.breaks)
    with pytest.raises(KeyError):
        bench_day_path("butt.toml")


def test_a_file_of_ones_own_is_never_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "mitre.toml"
    own.write_text("mine", encoding="utf-8")
    assert main(["demo", "--bench-day", "--out", str(tmp_path)]) == 2
    assert "mitre.toml of your own" in capsys.readouterr().err
    assert own.read_text(encoding="utf-8") == "mine"
    assert list(tmp_path.iterdir()) == [own]
    own.write_bytes(example_path("mitre").read_bytes())
    (tmp_path / "butt.toml").mkdir()
    with pytest.raises(InputError, match=r"butt\.toml"):
        demonstrate(tmp_path, "metric")


@pytest.mark.slow
def test_every_step_of_the_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By the elastic answer, which is quick; the default is progressive and has bands."""
    assert demonstrate(tmp_path, "imperial", ["--method", "elastic"]) == 0
    printed = capsys.readouterr().out
    steps = [line.split()[2] for line in printed.splitlines() if line.startswith("$ glueline ")]
    assert steps == ["rig", "plan", "bench", "calibrate", "rank", "report", "report"]
    ending = printed[printed.rindex("$ glueline") :]
    assert 0 < ending.index(f"open first: {tmp_path / 'report.html'}") < ending.index("ranking.html")
    assert printed.count("nvented") >= 2
    found = json.loads((tmp_path / "bench" / "bench.json").read_text(encoding="utf-8"))
    assert {joint["label"]: joint["n"] for joint in found["joints"]} == {
        "invented butt": 6,
        "invented mitre": 5,
        "invented splined mitre": 5,
        "invented finger": 5,
    }
    assert ["invented finger", "invented butt"] in found["supported_order"]
    assert ["invented butt", "invented finger"] not in found["supported_order"]
    ranking = json.loads((tmp_path / "ranking" / "ranking.json").read_text(encoding="utf-8"))
    assert all(any("calibrated" in words for words in each["warnings"]) for each in ranking["corners"])
    butt = next(joint for joint in found["joints"] if joint["label"] == "invented butt")
    calibrated = next(each for each in ranking["corners"] if each["label"] == "butt")
    # One kind of joint cannot tell weak glue from a prediction that errs: it is met part of the way.
    ends = sorted([butt["mean_N"], butt["predicted_N"]])
    assert ends[0] < calibrated["break_load_N"] < ends[1]
    for picture in ("parity.png", "bench_ranking.png"):
        with Image.open(tmp_path / "bench" / picture) as image:
            assert len(image.convert("RGB").getcolors(10**6) or ()) > 20
    with open(tmp_path / "plan" / "bench.csv", encoding="utf-8", newline="") as sheet:
        assert next(csv.reader(sheet))[:5] == ["specimen", "label", "held", "broke", "unit"]
    assert "alibrated" in (tmp_path / "ranking.html").read_text(encoding="utf-8")
    day = (tmp_path / "report.html").read_text(encoding="utf-8")
    assert "<h1>A day at the bench</h1>" in day
    assert found["said_aloud"][0]["label"] in day
    assert {name for name in BENCH_DAY_FILES} <= {path.name for path in tmp_path.iterdir()}
    # A second run goes on from what is there and ends the same.
    before = (tmp_path / "our_pva.toml").read_bytes()
    assert demonstrate(tmp_path, "imperial", ["--method", "elastic"]) == 0
    assert (tmp_path / "our_pva.toml").read_bytes() == before
