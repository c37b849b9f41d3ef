"""No command waits for a pipe, or reads a device or a file without end, that lies in place of a file."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from glueline.studies.bench_day.log.log_table import LARGEST_LOG
from glueline.studies.commands import main
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.plain_files import LARGEST_RESULT, holds, open_to_add, read_plain
from glueline.studies.sweeps.journal import LARGEST_JOURNAL
from tests.studies.command_lines import called

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="has no pipes with names")
ELASTIC = ["--method", "elastic"]
BUTT, RIG = str(example_path("butt")), str(bench_day_path("bench_rig.toml"))


def pipe(path: Path) -> None:
    os.mkfifo(path)


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def endless(path: Path) -> None:
    """A file of 1 TB that takes no room on the disk."""
    with path.open("wb") as file:
        file.truncate(10**12)


in_every_place = pytest.mark.parametrize("put", [pipe, device, endless])


@contextmanager
def within(seconds: int) -> Iterator[None]:
    """Raises TimeoutError where what is inside takes longer."""

    def late(*_: object) -> None:
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def refused(capsys: pytest.CaptureFixture[str], put: Callable[[Path], None], path: Path, *words: str) -> str:
    """What is said of a thing in place of a file, which stays where it is."""
    path.unlink(missing_ok=True)
    put(path)
    with within(60):
        done = called(capsys, *words)
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert path.name in done.stderr
    assert not path.is_file() or path.stat().st_size == 10**12
    return done.stderr


def said_of(put: Callable[[Path], None], limit: int) -> str:
    return f"larger than {limit // 10**6} MB" if put is endless else "not a plain file"


def sweep_in(folder: Path) -> list[str]:
    return ["sweep", BUTT, *ELASTIC, "--vary", "glue.quality=80 %", "--workers", "1", "--out", str(folder)]


@pytest.fixture(scope="module")
def swept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The directory of a finished sweep."""
    folder = tmp_path_factory.mktemp("swept") / "out"
    assert main(sweep_in(folder)) == 0
    return folder


@pytest.fixture
def out(swept: Path, tmp_path: Path) -> Path:
    """A copy of it that a test may spoil."""
    return Path(shutil.copytree(swept, tmp_path / "out"))


@in_every_place
@pytest.mark.parametrize(
    ("name", "limit"), [("points.jsonl", LARGEST_JOURNAL), ("sweep.json", LARGEST_RESULT)]
)
def test_in_the_directory_of_a_sweep(
    put: Callable[[Path], None],
    name: str,
    limit: int,
    out: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert said_of(put, limit) in refused(capsys, put, out / name, *sweep_in(out))


@pytest.mark.parametrize("put", [pipe, device])
def test_in_place_of_a_table_that_is_written_anew(
    put: Callable[[Path], None], out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused(capsys, put, out / "results.csv", *sweep_in(out))


def test_points_before_there_is_a_sweep(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "out").mkdir()
    refused(capsys, pipe, tmp_path / "out" / "points.jsonl", *sweep_in(tmp_path / "out"))


@in_every_place
@pytest.mark.parametrize(
    ("name", "limit"),
    [
        ("points.jsonl", LARGEST_JOURNAL),
        ("sweep.json", LARGEST_RESULT),
        ("provenance.json", LARGEST_RESULT),
        ("sweep.png", LARGEST_RESULT),
    ],
)
def test_in_a_directory_that_is_reported(
    put: Callable[[Path], None],
    name: str,
    limit: int,
    out: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    if name == "sweep.json" and put is not endless:
        pytest.skip("by a plain sweep.json alone is the directory of a sweep known")
    words = ["report", str(out), "--out", str(tmp_path / "page.html")]
    assert said_of(put, limit) in refused(capsys, put, out / name, *words)


@in_every_place
def test_as_a_log_and_a_rig(
    put: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "log.csv"
    assert said_of(put, LARGEST_LOG) in refused(capsys, put, path, "bench", str(path))
    assert "plain" in (said := refused(capsys, put, path, "rig", str(path))) or "larger than" in said


@in_every_place
def test_as_a_specimen_a_wood_and_a_glue(
    put: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.toml"
    for words in (
        [str(path)],
        [BUTT, "--set", f"boards.wood={path}"],
        [BUTT, "--set", f"glue.kind={path}"],
    ):
        refused(capsys, put, path, "predict", *words, *ELASTIC)


@in_every_place
def test_in_the_directory_of_a_plan(
    put: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its table to fill in, and an answer that it keeps."""
    out = tmp_path / "out"
    words = ["plan", BUTT, "--rig", RIG, *ELASTIC, "--out", str(out)]
    assert called(capsys, *words).returncode == 0
    refused(capsys, put, out / "bench.csv", *words)
    (out / "bench.csv").unlink()
    (answer,) = (out / "answers").glob("*.json")
    assert said_of(put, LARGEST_RESULT) in refused(capsys, put, answer, *words)


def test_bytes_up_to_the_limit_are_read(tmp_path: Path) -> None:
    path = tmp_path / "five"
    path.write_bytes(b"12345")
    assert read_plain(path, "five", 5) == b"12345"
    with pytest.raises(InputError, match="larger than"):
        read_plain(path, "four", 4)
    assert holds(path, b"12345", "five")
    assert not holds(path, b"1234", "four")
    with open_to_add(path, "five") as file:
        file.write(b"6")
    assert path.read_bytes() == b"123456"
    with pytest.raises(InputError, match="not a plain file"):
        open_to_add(tmp_path, "five")
