"""Sweeps that really predict: in processes, through the command line, killed and carried on."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import time
from pathlib import Path

import pytest
from msgspec import to_builtins

from glueline.studies.corner.specimen import Specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.predictor import predict
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import process_lanes
from glueline.studies.sweeps.points import cross
from glueline.studies.sweeps.rows import flat
from glueline.studies.sweeps.schedule import computed
from glueline.studies.sweeps.vary import parse_varied
from glueline.studies.sweeps.worker import THREAD_SETTINGS, Computed, Lost, compute
from tests.studies.command_lines import PROGRAM, called, glueline
from tests.studies.made_up_answers import made_up
from tests.studies.sweeps.fake_lanes import FakeLane, opened, rows_in

ELASTIC = Request(method="elastic", band=False)
SWEEP = ["sweep", str(example_path("finger")), "--method", "elastic"]


def test_a_sweep_equals_single_predictions_whatever_the_number_of_workers() -> None:
    """To the last digit between one worker and two; to 1e-9 with this process, whose threads may differ."""
    varied = parse_varied(["joint.fingers=3,4", "glue.quality=50 %,100 %"])
    points = cross(str(example_path("finger")), (), varied)
    specimens = {point.number: point.specimen for point in points if point.specimen is not None}
    keys = {number: specimen.joint for number, specimen in specimens.items()}
    found = []
    for workers in (1, 2):
        with process_lanes(workers) as lanes:
            results = computed(specimens, keys, ELASTIC, lanes)
            found.append({number: result.answer for number, result in results})
    assert len(found[0]) == 4
    for number, specimen in specimens.items():
        answers = [answers[number] for answers in found]
        assert answers[0] is not None
        assert answers[1] is not None
        rows = [flat(to_builtins(answer)) for answer in answers]
        assert rows[0] == rows[1]
        single = flat(to_builtins(predict(specimen, method="elastic").answer))
        assert list(single) == list(rows[0])
        for key, value in single.items():
            expected = pytest.approx(value, rel=1e-9, abs=1e-12) if isinstance(value, float) else value
            assert rows[0][key] == expected, key


def test_ranges_are_columns_by_row_and_end() -> None:
    ranges = {"grain_45": (600.0, 1500.0), "crossed": (900.0, 1100.0)}
    row = flat(to_builtins(made_up(1000.0, ranges=ranges, band=(800.0, 1250.0))))
    assert {key: row[key] for key in row if key.startswith("ranges")} == {
        "ranges.grain_45.low_N": 600.0,
        "ranges.grain_45.high_N": 1500.0,
        "ranges.crossed.low_N": 900.0,
        "ranges.crossed.high_N": 1100.0,
    }
    assert (row["band_05_N"], row["band_95_N"]) == (800.0, 1250.0)


def test_processes_compute_on_one_thread_and_leave_the_environment_alone() -> None:
    before = dict(os.environ)
    with process_lanes(1) as lanes:
        settings = lanes[0].submit(os.getenv, THREAD_SETTINGS[0]).result()
        assert settings == "1"
    assert dict(os.environ) == before


def test_the_table_the_picture_and_the_json(tmp_path: Path) -> None:
    words = [*SWEEP, "--vary", "joint.fingers=3,5,99", "--out", str(tmp_path / "out"), "--workers", "2"]
    done = glueline(*words)
    assert done.returncode == 0, done.stderr
    assert "5 " in done.stdout
    assert "failed: joint.fingers = 99" in done.stdout
    assert "at most 45" in done.stdout
    assert "No band" in done.stdout
    assert "local codes" in done.stdout
    out = tmp_path / "out"
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    assert set(before) == {
        "results.csv",
        "sweep.json",
        "points.jsonl",
        "sweep.png",
        "provenance.json",
        "sweep.manifest.json",
    }
    rows = rows_in((out / "results.csv").read_text())
    assert [row["status"] for row in rows] == ["ok", "ok", "failed"]
    again = glueline(*words, "--json")
    assert again.returncode == 0
    answer = json.loads(again.stdout)
    assert [point["joint.fingers"] for point in answer["points"]] == ["3", "5", "99"]
    assert repr(answer["points"][1]["break_load_N"]) == rows[1]["break_load_N"]
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def workers_under(process: subprocess.Popen[str]) -> list[int]:
    """Every process below ``process``, by number."""
    found: list[int] = []
    queue = [process.pid]
    while queue:
        for task in Path(f"/proc/{queue.pop()}/task").glob("*/children"):
            children = [int(number) for number in task.read_text().split()]
            found += children
            queue += children
    return found


def gone(numbers: list[int]) -> bool:
    """Whether all of these processes have ended (or are ending)."""
    for number in numbers:
        try:
            state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
        except (FileNotFoundError, ProcessLookupError):
            continue
        if state != "Z":
            return False
    return True


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks for processes in /proc")
def test_killed_for_real_leaves_no_worker_and_is_carried_on(tmp_path: Path) -> None:
    words = [*SWEEP, "--vary", "joint.fingers=2:5", "--vary", "glue.quality=80 %,100 %", "--workers", "2"]
    assert glueline(*words, "--out", str(tmp_path / "whole")).returncode == 0
    out = tmp_path / "out"
    moments = random.Random(7)
    for kill in range(2):
        process = subprocess.Popen(
            [*PROGRAM, *words, "--out", str(out)],
            text=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + 60
        lines = (out / "points.jsonl").read_bytes().count(b"\n") if kill else 0
        while time.monotonic() < deadline and process.poll() is None:
            journal = out / "points.jsonl"
            if journal.exists() and journal.read_bytes().count(b"\n") > lines:
                break
            time.sleep(0.005)
        time.sleep(moments.uniform(0.0, 0.4))
        workers = workers_under(process)
        process.send_signal(signal.SIGKILL)
        process.wait()
        while not gone(workers) and time.monotonic() < deadline:
            time.sleep(0.02)
        assert gone(workers)
    done = glueline(*words, "--out", str(out))
    assert done.returncode == 0, done.stderr
    for name in ("results.csv", "sweep.png", "sweep.json"):
        assert (out / name).read_bytes() == (tmp_path / "whole" / name).read_bytes()


def test_the_keyboard_stops_a_sweep_at_once_and_it_is_carried_on(tmp_path: Path) -> None:
    words = [*SWEEP, "--vary", "joint.fingers=2:40", "--workers", "1", "--out", str(tmp_path / "out")]
    # Where the tests run behind a shell, the keyboard's signal is ignored, and children inherit that.
    process = subprocess.Popen(
        [*PROGRAM, *words],
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    journal = tmp_path / "out" / "points.jsonl"
    deadline = time.monotonic() + 60
    while not (journal.exists() and journal.stat().st_size) and time.monotonic() < deadline:
        time.sleep(0.01)
    process.send_signal(signal.SIGINT)
    assert process.stderr is not None
    said = process.stderr.read()
    assert process.wait(timeout=20) == 130
    assert "Traceback" not in said
    assert said.splitlines()[-1] == "stopped; the same command carries on"
    done = [json.loads(line)["point"] for line in journal.read_text().splitlines()]
    assert 0 < len(done) < 39
    assert len(rows_in((tmp_path / "out" / "results.csv").read_text())) == len(done)


def test_a_sweep_whose_workers_were_lost_says_how_to_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Status 1 and one message; nothing is drawn; the same command again equals a sweep undisturbed."""

    def short_of_memory(specimen: Specimen) -> Computed | Lost:
        return Lost("not enough memory") if specimen.joint.fingers == 5 else compute(specimen, ELASTIC)

    words = [*SWEEP, "--vary", "joint.fingers=3,5", "--workers", "1", "--out"]
    out, whole = tmp_path / "out", tmp_path / "whole"
    with monkeypatch.context() as patched:
        lanes = opened([FakeLane(short_of_memory)])
        patched.setattr("glueline.studies.sweeps.sweep.process_lanes", lanes)
        done = called(capsys, *words, str(out), "--json")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.splitlines()[-1] == (
        "glueline: the sweep failed: 1 point of 2 is still open, such as joint.fingers = 5: not enough "
        "memory; run the same command again, with fewer --workers where memory ran out; what is finished is "
        "kept"
    )
    assert not (out / "sweep.png").exists()
    assert called(capsys, *words, str(out)).returncode == called(capsys, *words, str(whole)).returncode == 0
    for path in whole.iterdir():
        assert (out / path.name).read_bytes() == path.read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--vary", "joint.fingers=1:"], "does not end"),
        (["--vary", "joint.fingers=9:1:2"], "step must be below zero"),
        (["--vary", "joint.figners=3"], "did you mean joint.fingers"),
        (["--vary", "joint.fingers=2:9000", "--vary", "boards.wood=teak,red oak"], "makes 17998 points"),
        (["--vary", "joint.fingers=77,99"], "at most 45"),
        (["--vary", "joint.fingers=3", "--workers", "0"], "from 1 to 256"),
        (["--vary", "joint.fingers=3", "--element-size", "1 m"], "--element-size"),
        (["--vary", "joint.fingers=3", "--cluster", "nowhere"], "tcp://"),
        ([], "--vary"),
    ],
)
def test_wrong_input_gets_one_message_and_leaves_nothing(
    words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    done = called(capsys, *SWEEP, *words, "--json", "--out", str(tmp_path / "out"))
    assert done.returncode == 2
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert done.stdout == ""
    assert not (tmp_path / "out").exists()


def test_a_sweep_without_a_directory_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    done = called(capsys, *SWEEP, "--vary", "joint.fingers=3")
    assert done.returncode == 2
    assert "--out" in done.stderr


def test_another_specimen_is_another_sweep(tmp_path: Path) -> None:
    """A copy of the file is the same sweep, the file with another wood is not."""
    words = ["--vary", "joint.fingers=3", "--out", str(tmp_path / "out")]
    assert glueline(*SWEEP, *words).returncode == 0
    shutil.copy(example_path("finger"), tmp_path / "mine.toml")
    assert glueline("sweep", str(tmp_path / "mine.toml"), "--method", "elastic", *words).returncode == 0
    text = (tmp_path / "mine.toml").read_text().replace('hard maple"', 'red oak"')
    (tmp_path / "mine.toml").write_text(text)
    done = glueline("sweep", str(tmp_path / "mine.toml"), "--method", "elastic", *words)
    assert done.returncode == 2
    assert "differs in specimen" in done.stderr


@pytest.mark.slow
def test_a_progressive_sweep_equals_single_predictions_whatever_the_number_of_workers(tmp_path: Path) -> None:
    """To the last digit, bands included, also for points that follow one of their corner in a worker."""
    words = ["sweep", str(example_path("butt")), "--vary", "boards.width=80 mm,90 mm"]
    words += ["--vary", "glue.quality=80 %,100 %"]
    for workers in ("1", "2"):
        done = glueline(*words, "--workers", workers, "--out", str(tmp_path / workers))
        assert done.returncode == 0, done.stderr
    tables = [(tmp_path / workers / "results.csv").read_bytes() for workers in ("1", "2")]
    assert tables[0] == tables[1]
    rows = rows_in(tables[0].decode())
    assert len(rows) == 4
    for row in rows:
        assert row["method"] == "progressive"
        assert float(row["band_05_N"]) < float(row["break_load_N"]) < float(row["band_95_N"])
    last = rows[-1]
    single = glueline(
        "predict",
        str(example_path("butt")),
        "--json",
        "--set",
        "boards.width=90 mm",
        "--set",
        "glue.quality=100 %",
    )
    answer = flat(json.loads(single.stdout))

    def written(cell: object) -> str:
        """As JSON has it; None is blank."""
        return "" if cell is None else json.dumps(cell) if isinstance(cell, bool) else str(cell)

    assert {key: written(cell) for key, cell in answer.items()}.items() <= last.items()
