"""Slips on the command line: each is answered in one line with what would be right, and status 2."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from glueline.studies.examples import example_path
from tests.studies.command_lines import called, glueline

SLIPS = [
    # words, what must be said
    (["predict", "my", "butt.toml"], 'so type "my butt.toml"'),
    (["rank", "butt.toml", "my", "butt.toml"], 'so type "my butt.toml"'),
    (["rig", "my", "rig.toml"], 'so type "my rig.toml"'),
    (["predict", "butt.toml", "-out", "there"], "did you mean --out (with two dashes)?"),
    (["predict", "butt.toml", "-json"], "did you mean --json"),
    (["predict", "-help"], "did you mean --help"),
    (["predict", "butt.toml", "-units=imperial"], "did you mean --units"),
    (["predict", "butt.toml", "--outt", "there"], "did you mean --out?"),
    (["predict", "butt.toml", "–out", "there"], "type --out"),
    (["predict", "butt.toml", "—-out", "there"], "type --out"),
    (["predict", "butt.toml", "--set", "boards.wood=red", "oak"], '--set "boards.wood=red oak"'),
    (["predict", "--set", "boards.wood=red", "oak", "butt.toml"], '--set "boards.wood=red oak"'),
    (["rank", "butt.toml", "--set", "boards.wood=red", "oak"], '--set "boards.wood=red oak"'),
    (["predict", "butt.toml", "--set", "boards.wood", "=", "red", "oak"], '"boards.wood = red oak"'),
    (["predict", "butt.toml", "--set", "boards.wood=“red", "oak”"], '--set "boards.wood=red oak"'),
    (["predict", "butt.toml", "--out", "our", "results"], '--out "our results"'),
    (["least", "butt.toml", "--vary", "joint.fingers=3:9", "--reach", "2", "kN"], '--reach "2 kN"'),
    (["report", "our", "results", "--out", "page.html"], '"our results"'),
    (["predict", "butt.toml", "none.toml"], "`none.toml` is more than this command takes"),
    (["list", "woods", "oak"], "`oak` is more than this command takes"),
    (["list", "wods"], "did you mean woods?"),
    (["predcit", "butt.toml"], "did you mean predict?"),
]


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with files of which some have spaces in their names."""
    butt = example_path("butt").read_bytes()
    for name in ("butt.toml", "my butt.toml", "my rig.toml"):
        (tmp_path / name).write_bytes(butt)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(("words", "said"), SLIPS, ids=[" ".join(words) for words, _ in SLIPS])
def test_a_slip_is_answered(
    words: list[str], said: str, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line, which points to the help; nothing is made."""
    before = sorted(bench.iterdir())
    outcome = called(capsys, *words)
    assert outcome.returncode == 2
    assert said in outcome.stderr
    assert "--help" in outcome.stderr
    assert (outcome.stdout, outcome.stderr.count("\n")) == ("", 1)
    assert sorted(bench.iterdir()) == before


def test_what_is_told_works(bench: Path) -> None:
    """The words with the quotes that the complaint asks for, in a process of its own."""
    words = ("--set", "boards.wood=red oak", "--method", "elastic")
    wrong = glueline("predict", "my", "butt.toml", *words, folder=bench)
    assert (wrong.returncode, '"my butt.toml"' in wrong.stderr) == (2, True)
    right = glueline("predict", "my butt.toml", *words, folder=bench)
    assert right.returncode == 0, right.stderr
    assert re.search(r"^break +[\d.]+ N", right.stdout, re.MULTILINE)


@pytest.mark.parametrize("name", ["mm“x”.toml", "our, file.toml"])
def test_odd_names_that_are_there_are_no_slips(
    name: str, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name with curly quotes or spaces that a shell has passed whole is read as it is."""
    (bench / name).write_text("[joint]\n", encoding="utf-8")
    assert "joint.kind: is missing" in called(capsys, "predict", name).stderr
