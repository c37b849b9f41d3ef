"""What the loads of a log are: weights stacked on a rig or force on the joint, never guessed."""

from __future__ import annotations

import csv
import shlex
from pathlib import Path

import pytest

from glueline.studies.bench_day.log.log_file import read_log, read_logs
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.commands import main
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.files.failures import InputError
from tests.studies.bench_day.bench_logs import HEADER, RIG, write_log
from tests.studies.command_lines import called
from tests.studies.makers_folder import check_words

WITH_KIND = (*HEADER, "load_is")


def row(kind: str, held: object = 20, broke: object = 22.5, label: str = "butt") -> tuple[object, ...]:
    return ("butt.toml", label, held, broke, "kg", "glue", "", kind)


def refused(path: Path, rig: Path | None = None, *, force: bool = False) -> str:
    with pytest.raises(InputError) as caught:
        read_log(path, None if rig is None else read_rig(rig), force=force)
    check_words(caught.value)
    return str(caught.value)


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    path = tmp_path / "our rig.toml"
    path.write_text(RIG)
    return path


def test_stacked_weights_without_a_rig_name_the_command_that_works(
    tmp_path: Path, rig: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plan's own log, filled in; --rig forgotten; then exactly what the message says is typed."""
    corner = example_path("butt")
    words = ["plan", str(corner), "--rig", str(rig), "--method", "elastic", "--out", str(tmp_path / "day")]
    assert main(words) == 0
    log = tmp_path / "day" / "bench.csv"
    rows = list(csv.DictReader(log.open()))
    rows[0] |= {"held": "20", "broke": "22.5"}
    rows[1] |= {"held": "22.5", "broke": "25"}
    with log.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    done = called(capsys, "bench", log, "--method", "elastic")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "stacked weights (load_is)" in done.stderr
    typed = shlex.split(done.stderr.partition("Type glueline ")[2])
    assert typed[:2] == ["bench", str(log)]
    done = called(capsys, *typed, "--method", "elastic", "--json")
    assert done.returncode == 0
    done = called(capsys, "calibrate", log, "--using", "butt", "--write", tmp_path / "g.toml")
    assert done.returncode == 2
    typed = shlex.split(done.stderr.partition("Type glueline ")[2])
    assert typed[:4] == ["calibrate", str(log), "--rig", str(rig)]
    assert typed[4:] == ["--using", "butt", "--write", str(tmp_path / "g.toml")]


def test_a_log_that_says_nothing_needs_a_rig_or_a_word(tmp_path: Path, rig: Path) -> None:
    path = write_log(tmp_path, [row("")[:-1]])
    said = refused(path)
    assert f"--rig {shlex.quote(str(rig))}" in said
    assert f"glueline bench {path} --force" in said
    by_force, by_rig = read_log(path, force=True), read_log(path, read_rig(rig))
    assert by_rig.breaks[0].lower == pytest.approx(by_force.breaks[0].lower * 1.5 + 6 * 350 / 400 * 9.80665)


def test_a_word_in_one_row_speaks_for_the_log(tmp_path: Path, rig: Path) -> None:
    path = write_log(tmp_path, [row("Stacked  Weight"), row("")], WITH_KIND)
    assert len(read_log(path, read_rig(rig)).breaks) == 2
    assert "only the rig" in refused(path)


@pytest.mark.parametrize("kind", ["force", ""])
def test_force_that_was_given_a_rig_is_refused(tmp_path: Path, rig: Path, kind: str) -> None:
    path = write_log(tmp_path, [row(kind)], WITH_KIND)
    said = refused(path, rig, force=not kind)
    assert "no weight for --rig to turn into it" in said
    assert read_log(path, force=not kind).breaks[0].lower == pytest.approx(20 * 9.80665)


def test_contradictions_are_refused(tmp_path: Path, rig: Path) -> None:
    path = write_log(tmp_path, [row("stacked weight")], WITH_KIND)
    assert "One of the two is wrong" in refused(path, force=True)
    assert "One of the two is wrong" in refused(path, rig, force=True)
    path = write_log(tmp_path, [row("force"), row("stacked weight")], WITH_KIND)
    assert "is mixed: force (line 2), stacked weight (line 3)" in refused(path, rig)
    path = write_log(tmp_path, [row("weight")], WITH_KIND)
    assert "line 2: load_is = weight: is not known here" in refused(path, rig)


def test_every_log_without_a_rig_is_named(tmp_path: Path, rig: Path) -> None:
    first = write_log(tmp_path, [row("stacked weight")], WITH_KIND)
    second, third = tmp_path / "second.csv", tmp_path / "third.csv"
    second.write_bytes(first.read_bytes())
    third.write_bytes(first.read_bytes().replace(b"stacked weight", b"force"))
    with pytest.raises(InputError) as caught:
        read_logs([first, second, third])
    assert [Path(each.file).name for each in caught.value.problems] == ["log.csv", "second.csv"]
    ours, other = read_rig(rig), read_rig(bench_day_path("bench_rig.toml"))
    assert read_logs([first, second, third], [ours]).rigs == (ours, ours, None)
    assert read_logs([third, first, second], [ours, other]).rigs == (None, ours, other)
    with pytest.raises(InputError, match="given 3 times for 2 logs of stacked weights"):
        read_logs([first, second, third], [ours, other, ours])
