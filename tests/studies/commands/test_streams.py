"""Terminals, pipes and scripts that take less than everything: no traceback, a status that fits."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from glueline.studies.commands.streams import plain_letters, spelled_out
from glueline.studies.examples import example_path
from tests.studies.command_lines import PROGRAM

SHORT = ("--method", "elastic")
ONE = ("--workers", "1")
NOT_TEXT = os.fsdecode(b"caf\xe9")  # as a disk formatted elsewhere has it: Latin-1, no UTF-8

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="streams of other systems")


def run(
    *words: str, closed: tuple[int, ...] = (), folder: Path | None = None, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """A command line in a process of its own, with some of its standard places closed."""

    def close() -> None:
        for place in closed:
            os.close(place)

    return subprocess.run(
        [*PROGRAM, *words],
        capture_output=True,
        env={**os.environ, **environment},
        cwd=folder,
        timeout=120,
        check=False,
        preexec_fn=close,
    )


@pytest.mark.parametrize(
    "words", [("list", "woods"), ("--version",), ("predict", "{butt}", *SHORT, "--json")]
)
def test_standard_output_closed(words: tuple[str, ...]) -> None:
    """``>&-``: what was to be shown is lost, which is said once, with the status of a failure."""
    done = run(*(word.format(butt=example_path("butt")) for word in words), closed=(1,))
    assert done.stderr.decode() == "glueline: standard output is closed: what there was to show is lost\n"
    assert done.returncode == 1


def test_wrong_input_stays_wrong_where_output_is_closed() -> None:
    done = run("predict", "nowhere.toml", closed=(1,))
    assert (done.returncode, done.stderr) == (2, b"nowhere.toml: no such file\n")


def test_nothing_of_what_is_printed_gets_into_a_file(tmp_path: Path) -> None:
    """With its place free, the next file opened would stand in for standard output."""
    out = tmp_path / "out"
    words = ("predict", str(example_path("butt")), *SHORT, "--out", str(out))
    assert run(*words, closed=(0, 1, 2)).returncode == 1
    answer = json.loads((out / "prediction.json").read_text(encoding="utf-8"))
    assert answer["joint"] == "butt"


def test_standard_error_closed(tmp_path: Path) -> None:
    """Messages and progress bars go nowhere, least of all into the JSON on standard output."""
    vary = ("--vary", "glue.quality=50 %,60 %", "--out", str(tmp_path / "sweep"), "--json")
    done = run("sweep", str(example_path("butt")), *SHORT, *vary, closed=(2,))
    assert done.returncode == 0
    assert len(json.loads(done.stdout)["points"]) == 2
    refused = run("predict", "nowhere.toml", closed=(2,))
    assert (refused.returncode, refused.stdout) == (2, b"")


@pytest.mark.parametrize("encoding", ["ascii", "ascii:surrogateescape", "latin-1", "utf-8"])
def test_terminals_of_few_letters(encoding: str) -> None:
    """N·m and mm² as far as the terminal has them; nothing else of the tables changes."""
    words = ("predict", str(example_path("butt")), *SHORT)
    done = run(*words, LC_ALL="C", PYTHONIOENCODING=encoding)
    assert (done.returncode, done.stderr) == (0, b"")
    shown = done.stdout.decode(encoding.partition(":")[0])
    whole = run(*words, PYTHONIOENCODING="utf-8").stdout.decode("utf-8")
    assert "N·m" in whole
    charset = encoding.partition(":")[0]  # latin-1 has the dot of N·m, but no dash for what is not known
    known = (
        each if each == each.encode(charset, "ignore").decode(charset) else plain_letters(each)
        for each in whole
    )
    assert shown == "".join(known)


def test_json_says_the_same_on_any_terminal() -> None:
    """Letters that the stream has not are spelled out as JSON spells them."""
    plain, whole = (
        run("list", "joints", "--json", PYTHONIOENCODING=encoding).stdout for encoding in ("ascii", "utf-8")
    )
    assert plain.isascii()
    assert json.loads(plain) == json.loads(whole)
    for text in ('{"a": "N·m, \U0001f332"}', '{"a": "plain"}'):
        assert json.loads(spelled_out(text)) == json.loads(text)


@pytest.mark.parametrize(
    ("text", "shown"),
    [("2 × 3 mm³ − 1", "2 x 3 mm3 - 1"), ("Stück…", "Stuck..."), ("漆", "\\u6f06"), (NOT_TEXT, "caf\\xe9")],
)
def test_plain_letters(text: str, shown: str) -> None:
    assert plain_letters(text) == shown


@pytest.mark.parametrize("backend", ["module://matplotlib_inline.backend_inline", "nonesuch", "tkagg"])
def test_a_notebook_s_window_is_not_looked_for(backend: str, tmp_path: Path) -> None:
    """A shell opened in a notebook hands its MPLBACKEND on; pictures are written without it."""
    done = run("predict", str(example_path("butt")), *SHORT, "--out", str(tmp_path), MPLBACKEND=backend)
    assert (done.returncode, done.stderr) == (0, b"")
    assert (tmp_path / "share_of_strength.png").stat().st_size > 10_000


@pytest.fixture
def odd_folder(tmp_path: Path) -> Path:
    """A folder and a specimen file in it whose names are no UTF-8."""
    folder = tmp_path / NOT_TEXT
    try:
        folder.mkdir()
    except OSError:
        pytest.skip("this disk has no such names")
    shutil.copy(example_path("butt"), folder / f"{NOT_TEXT}.toml")
    return folder


@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_names_that_are_no_text(encoding: str, odd_folder: Path) -> None:
    """Every command that names files to people or writes them down does it in letters that there are."""
    corner, out = str(odd_folder / f"{NOT_TEXT}.toml"), odd_folder / "out"
    rig = str(example_path("butt").with_name("bench_rig.toml"))
    commands: tuple[tuple[str, ...], ...] = (
        ("predict", corner, *SHORT, "--out", str(out)),
        ("report", str(out), "--out", str(odd_folder / "page.html")),
        ("rank", corner, str(example_path("mitre")), *SHORT, "--out", str(odd_folder / "rank")),
        (
            "sweep",
            corner,
            *SHORT,
            *ONE,
            "--vary",
            "glue.quality=50 %,60 %",
            "--out",
            str(odd_folder / "sweep"),
        ),
        ("influence", corner, *SHORT, *ONE, "--json"),
        ("service", corner, *SHORT, "--use", "drawer", "--json"),
        ("plan", corner, *SHORT, "--rig", rig, "--out", str(odd_folder / "day")),
    )
    for words in commands if encoding == "ascii" else commands[:2]:
        done = run(*words, PYTHONIOENCODING=encoding)
        assert done.returncode in (0, 2), (words, done.stderr)
        assert b"Traceback" not in done.stderr, (words, done.stderr)
        assert done.returncode == 0 or words[0] == "plan", (words, done.stderr)
        done.stdout.decode(encoding)
        assert encoding == "ascii" or words[0] != "predict" or b"caf\\xe9" in done.stdout
    for written in odd_folder.rglob("*"):
        if written.suffix in (".json", ".csv", ".toml", ".html"):
            written.read_text(encoding="utf-8")
