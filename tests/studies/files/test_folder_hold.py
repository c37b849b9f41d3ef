"""One writer at a time in a directory, and none kept out of it by one that was killed."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from glueline.studies.commands import main
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files import folder_hold
from glueline.studies.files.failures import InputError
from glueline.studies.files.folder_hold import HOLD_FILE, held, refuse_held
from glueline.studies.files.output import directory_for_results, prepare_output_directory, write_atomically
from tests.studies.command_lines import PROGRAM
from tests.studies.command_lines import glueline as run
from tests.studies.files.test_results_folder import needs_fork, stopped_at
from tests.studies.makers_folder import check_words

BUTT = str(example_path("butt"))
RIG, LOG = str(bench_day_path("bench_rig.toml")), str(bench_day_path("bench_log.csv"))
PREDICT = ("predict", BUTT, "--method", "elastic", "--element-size", "6 mm")
OTHERS = (
    PREDICT,
    ("rank", BUTT, str(example_path("mitre"))),
    ("rank", BUTT, "--all-kinds"),
    ("sweep", BUTT, "--vary", "glue.quality=80 %,100 %"),
    ("influence", BUTT),
    ("plan", BUTT, str(example_path("mitre")), "--rig", RIG),
    ("bench", LOG, "--rig", RIG),
    ("service", BUTT, "--use", "drawer"),
    ("demo",),
    ("demo", "--bench-day"),
    ("demo", "--all-joints"),
)


@pytest.fixture(scope="module")
def writing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[subprocess.Popen[bytes], Path]]:
    """A living command that was stopped on its way, and the directory that it writes into."""
    out = tmp_path_factory.mktemp("held") / "out"
    command = subprocess.Popen([*PROGRAM, "predict", BUTT, "--out", str(out)], stdout=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while not (out / HOLD_FILE).exists():
        assert command.poll() is None
        assert time.monotonic() < deadline
        time.sleep(0.005)
    time.sleep(0.1)  # from the making of the file to its lock
    command.send_signal(signal.SIGSTOP)
    yield command, out
    command.kill()
    command.wait()


needs_signals = pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="stops a process on its way")


@needs_signals
@pytest.mark.parametrize("words", OTHERS, ids=lambda words: " ".join(Path(word).stem for word in words))
def test_no_command_writes_where_another_does(
    words: tuple[str, ...],
    writing: tuple[subprocess.Popen[bytes], Path],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """At once, in one line, and without a trace."""
    _, out = writing
    before = sorted(out.rglob("*"))
    capsys.readouterr()
    assert main([*words, "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert f"{out}: another glueline is writing into this directory" in said
    assert sorted(out.rglob("*")) == before


@needs_signals
def test_of_two_processes_the_second_is_refused_until_the_first_is_killed(
    writing: tuple[subprocess.Popen[bytes], Path],
) -> None:
    """The lock's file outlives the kill and stands in nobody's way."""
    first, out = writing
    second = run(*PREDICT, "--out", str(out))
    assert second.returncode == 2
    assert "another glueline is writing into this directory: wait until it has ended" in second.stderr
    assert [path.name for path in out.iterdir()] == [HOLD_FILE]
    first.kill()
    first.wait()
    assert [path.name for path in out.iterdir()] == [HOLD_FILE]
    assert run(*PREDICT, "--out", str(out)).returncode == 0
    assert "prediction.json" in {path.name for path in out.iterdir()}
    assert not (out / HOLD_FILE).exists()


def test_a_directory_is_held_as_long_as_the_work_takes(tmp_path: Path) -> None:
    """By whatever it ends; the directories in it are others."""
    refuse_held(tmp_path / "not there")
    with directory_for_results(tmp_path / "out") as out:
        with pytest.raises(InputError, match="another glueline") as caught, held(out):
            pytest.fail("held twice")
        check_words(caught.value)
        with pytest.raises(InputError, match="another glueline"):
            refuse_held(out)
        with directory_for_results(out / "inner"):
            pass
        assert {path.name for path in out.iterdir()} == {HOLD_FILE, "inner"}
    refuse_held(out)
    assert {path.name for path in out.iterdir()} == {"inner"}

    def stop() -> None:
        with directory_for_results(tmp_path / "new"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stop()
    assert not (tmp_path / "new").exists()


def test_a_file_of_others_in_the_place_of_the_lock(tmp_path: Path) -> None:
    """A text, a link, a directory: named and left alone."""
    place = tmp_path / HOLD_FILE
    (tmp_path / "mine").write_bytes(b"")
    for put in (
        lambda: place.write_bytes(b"mine"),
        lambda: place.symlink_to(tmp_path / "mine"),
        lambda: place.mkdir(),
    ):
        put()
        before = place.lstat()
        with pytest.raises(InputError, match="is none that glueline made") as caught, held(tmp_path):
            pytest.fail("held")
        check_words(caught.value)
        assert place.lstat() == before
        place.rmdir() if place.is_dir() and not place.is_symlink() else place.unlink()


def test_a_lock_whose_holder_is_just_ending_is_taken_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It took its file away between the opening of it and the lock."""
    proper, calls = folder_hold._lock, 0

    def late(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls == 1:
            (tmp_path / HOLD_FILE).unlink()
        proper(handle)

    monkeypatch.setattr(folder_hold, "_lock", late)
    with held(tmp_path):
        assert calls == 2
        with pytest.raises(InputError, match="another glueline"):
            refuse_held(tmp_path)
    assert not list(tmp_path.iterdir())


@needs_fork
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_the_draft_that_a_kill_left_of_one_file_goes_with_the_same_write(step: str, tmp_path: Path) -> None:
    """Such as a page of report, a glue of calibrate, a file of the demo; drafts of others stay."""
    target, others = tmp_path / "page.html", tmp_path / ".page.html.0123456789abcdef.part"
    others.write_bytes(b"mine")
    assert stopped_at(step, 1, lambda: write_atomically(target, b"a page"))
    assert len(list(tmp_path.iterdir())) == 2
    write_atomically(target, b"a page")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        target.name: b"a page",
        others.name: b"mine",
    }


def test_two_that_write_the_same_file_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The other has moved the draft of the same content: nothing is wrong then."""
    target = prepare_output_directory(tmp_path) / "page.html"
    proper = os.replace

    def twice(draft: Path, place: Path) -> None:
        proper(draft, place)
        proper(draft, place)

    monkeypatch.setattr(os, "replace", twice)
    write_atomically(target, b"a page")
    assert [path.name for path in tmp_path.iterdir()] == ["page.html"]
    assert target.read_bytes() == b"a page"
