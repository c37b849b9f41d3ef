"""Sweeps on the workers of a real dask.distributed scheduler, all started as processes."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path

import pytest

from glueline.studies.examples import example_path
from tests.studies.command_lines import PROGRAM, glueline
from tests.studies.sweeps.fake_lanes import rows_in

pytest.importorskip("distributed")
pytestmark = pytest.mark.slow

ENVIRONMENT = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
IMPATIENT = """
import sys
from glueline.studies.sweeps import cluster
cluster.PATIENCE, cluster.ANSWER_WITHIN = 4.0, 3.0
from glueline.studies.commands import main
sys.exit(main(sys.argv[1:]))
"""
SWEEP = ["sweep", str(example_path("finger")), "--method", "elastic", "--vary", "joint.fingers=2:5,99"]


@contextmanager
def started(*words: str) -> Iterator[subprocess.Popen[bytes]]:
    """A process of the cluster, ended on leaving."""
    process = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli.dask_" + words[0], *words[1:], "--no-dashboard"],
        env=ENVIRONMENT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        process.terminate()
        process.wait(timeout=30)


@pytest.fixture(scope="module")
def one_scheduler(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a scheduler for all tests."""
    file = tmp_path_factory.mktemp("cluster") / "scheduler.json"
    with started("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(file)):
        deadline = time.monotonic() + 60
        while not (file.exists() and file.stat().st_size) and time.monotonic() < deadline:
            time.sleep(0.1)
        yield str(json.loads(file.read_text())["address"])


@pytest.fixture
def scheduler(one_scheduler: str) -> str:
    """Its address once the workers of other tests are gone."""
    from distributed import Client

    with Client(one_scheduler, timeout=30, set_as_default=False) as client:
        deadline = time.monotonic() + 60
        while client.scheduler_info()["workers"]:
            assert time.monotonic() < deadline
            time.sleep(0.1)
    return one_scheduler


def worker(scheduler: str) -> list[str]:
    return ["worker", scheduler, "--nthreads", "1", "--no-nanny"]


def wait_for_workers(scheduler: str, number: int) -> None:
    from distributed import Client

    with Client(scheduler, timeout=30, set_as_default=False) as client:
        client.wait_for_workers(number, timeout=60)


def test_two_workers_give_the_bytes_that_processes_give(scheduler: str, tmp_path: Path) -> None:
    assert glueline(*SWEEP, "--out", str(tmp_path / "here")).returncode == 0
    with started(*worker(scheduler)), started(*worker(scheduler)):
        wait_for_workers(scheduler, 2)
        done = glueline(*SWEEP, "--out", str(tmp_path / "there"), "--cluster", scheduler)
        assert done.returncode == 0, done.stderr
    assert (tmp_path / "there" / "results.csv").read_bytes() == (
        tmp_path / "here" / "results.csv"
    ).read_bytes()


def test_a_lost_worker_costs_no_point(scheduler: str, tmp_path: Path) -> None:
    out = tmp_path / "out"
    words = [
        *PROGRAM,
        "sweep",
        str(example_path("finger")),
        "--method",
        "elastic",
        "--vary",
        "joint.fingers=2:20",
    ]
    with started(*worker(scheduler)) as first, started(*worker(scheduler)):
        wait_for_workers(scheduler, 2)
        sweep = subprocess.Popen(
            [*words, "--out", str(out), "--cluster", scheduler], env=ENVIRONMENT, stderr=subprocess.PIPE
        )
        deadline = time.monotonic() + 60
        journal = out / "points.jsonl"
        while not (journal.exists() and journal.stat().st_size) and time.monotonic() < deadline:
            time.sleep(0.02)
        first.send_signal(signal.SIGKILL)
        _, said = sweep.communicate(timeout=120)
        assert sweep.returncode == 0, said
    rows = rows_in((out / "results.csv").read_text())
    assert len(rows) == 19
    assert all(row["status"] == "ok" for row in rows)


def test_a_scheduler_without_workers_and_none_at_all_are_refused(scheduler: str, tmp_path: Path) -> None:
    done = glueline(*SWEEP, "--out", str(tmp_path / "out"), "--cluster", scheduler)
    assert done.returncode == 2
    assert "has no workers" in done.stderr
    words = [*SWEEP, "--out", str(tmp_path / "out"), "--cluster", "tcp://127.0.0.1:1"]
    program = [sys.executable, "-c", IMPATIENT]
    done = subprocess.run([*program, *words], capture_output=True, text=True, timeout=120)
    assert done.returncode == 2
    assert "no scheduler answers" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("another", [True, False])
def test_the_loss_of_all_workers(scheduler: str, tmp_path: Path, another: bool) -> None:
    """With a new one the sweep goes on; without it stops after a (short) while and keeps its points."""
    out = tmp_path / "out"
    words = ["sweep", str(example_path("finger")), "--method", "elastic", "--vary", "joint.fingers=2:20"]
    with started(*worker(scheduler)) as only:
        wait_for_workers(scheduler, 1)
        program = PROGRAM if another else [sys.executable, "-c", IMPATIENT]
        sweep = subprocess.Popen(
            [*program, *words, "--out", str(out), "--cluster", scheduler],
            env=ENVIRONMENT,
            stderr=subprocess.PIPE,
            text=True,
        )
        deadline = time.monotonic() + 60
        journal = out / "points.jsonl"
        while not (journal.exists() and journal.stat().st_size) and time.monotonic() < deadline:
            time.sleep(0.02)
        only.send_signal(signal.SIGKILL)
        only.wait()
        with started(*worker(scheduler)) if another else nullcontext():
            _, said = sweep.communicate(timeout=120)
    rows = rows_in((out / "results.csv").read_text())
    assert "Traceback" not in said
    if another:
        assert sweep.returncode == 0, said
        assert len(rows) == 19
    else:
        assert sweep.returncode == 1, said
        assert "all of its workers are gone" in said
        assert 0 < len(rows) < 19
    assert all(row["status"] == "ok" for row in rows)
