"""glueline demo --all-joints: both lists, their pictures, and what cannot stand beside it."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest

from glueline.geometries import JOINTS
from glueline.studies.commands import main
from glueline.studies.commands.demo_joints import demonstrate_joints
from glueline.studies.files.json_text import read_json
from glueline.studies.predict.request import Request
from glueline.studies.rank.kinds_ranking import KindsFile
from glueline.studies.rank.ranking_file import RANKING_FILE
from glueline.studies.rank.write_ranking import RANKING_FILES
from glueline.studies.show.pictures import SLIDE
from tests.studies.command_lines import PROGRAM
from tests.studies.sweeps.test_sweep_run import gone, workers_under


def test_one_demonstration_at_a_time(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--bench-day", "--all-joints", "--out", str(tmp_path)]) == 2
    assert "one demonstration at a time" in capsys.readouterr().err


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks for processes in /proc")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_killed_or_stopped_it_leaves_no_worker(how: signal.Signals, tmp_path: Path) -> None:
    """Found by a kill: its workers waited for tasks for good. Ctrl-C does not wait for corners begun."""
    words = [*PROGRAM, "demo", "--all-joints", "--out", str(tmp_path / "joints")]
    # Where the tests run behind a shell, the keyboard's signal is ignored, and children inherit that.
    command = subprocess.Popen(
        words,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    deadline = time.monotonic() + 60
    workers: list[int] = []
    while len(workers) < 3:  # two, and what Python starts with them
        assert command.poll() is None
        assert time.monotonic() < deadline
        time.sleep(0.05)
        workers = workers_under(command)
    command.send_signal(how)
    try:
        assert command.wait(timeout=30) == (130 if how == signal.SIGINT else -how)
        while not gone(workers):
            assert time.monotonic() < deadline
            time.sleep(0.05)
    finally:
        for number in (command.pid, *workers):
            if not gone([number]):
                os.kill(number, signal.SIGKILL)


def test_every_joint_is_in_a_list_and_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Elastic, which takes seconds: every kind stands in the list of each lay that it has."""
    assert demonstrate_joints(tmp_path / "joints", "metric", Request(method="elastic")) == 0
    printed = capsys.readouterr().out
    assert "Corners of a box" in printed
    assert "Corners of a frame" in printed
    for lay in ("box", "frame"):
        folder = tmp_path / "joints" / lay
        assert {path.name for path in folder.iterdir()} == {*RANKING_FILES, "rank.manifest.json"} - {SLIDE}
        found = read_json((folder / RANKING_FILE).read_text(encoding="utf-8"), KindsFile)
        compared = {each.kind for each in found.kinds}
        assert compared == {kind for kind, joint in JOINTS.items() if lay in joint.lays}
        assert {each.kind for each in found.not_compared} == set(JOINTS) - compared
