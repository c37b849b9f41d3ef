"""The command line as makers meet it: exit status, and where its words go; in a process where it matters."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from glueline.studies import commands
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import ComputationError, InputError
from glueline.studies.files.output import directory_for_results, prepare_output_directory, write_atomically
from glueline.studies.files.units import parse_length
from glueline.studies.predict.request import Request
from tests.studies.command_lines import ENVIRONMENT, PROGRAM, ROOT, called, glueline
from tests.studies.makers_folder import FINGER, MakersFolder, changed


class Shell:
    """Calls ``main`` in this process: fast, with the same words and status."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys

    def shown(self, *words: str | Path) -> str:
        """What a command that succeeds prints, and nothing on standard error."""
        done = called(self.capsys, *words)
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout

    def refused(self, *words: str | Path) -> str:
        """What must be refused: status 2, nothing on standard output, no traceback; what was said."""
        done = called(self.capsys, *words)
        assert (done.returncode, done.stdout) == (2, ""), done.stderr
        assert done.stderr.strip()
        assert "Traceback" not in done.stderr
        return done.stderr


@pytest.fixture
def shell(capsys: pytest.CaptureFixture[str]) -> Shell:
    """A command line in this process."""
    return Shell(capsys)


@pytest.mark.skipif(sys.platform == "win32", reason="needs the resource module")
@pytest.mark.parametrize("words", [["--help"], ["predict", "--help"], ["list", "--help"]])
def test_help_costs_little(words: list[str]) -> None:
    """Under 0.3 s of processor time at best, which other work on the machine does not stretch."""
    import resource

    took = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = glueline(*words)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert done.returncode == 0
        assert "usage: glueline" in done.stdout
        took.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(took) < 0.3


def test_help_loads_nothing_slow() -> None:
    """Neither arrays nor meshes nor pictures."""
    code = (
        "import sys; from glueline.studies.commands import main; main(['--help']); "
        "print(sorted({'numpy', 'scipy', 'gmsh', 'matplotlib', 'meshio', 'tqdm'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=ENVIRONMENT, cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_prediction_loads_only_what_it_needs() -> None:
    """No pictures without --out, and none of the large rooms of scipy that take as long as a corner.

    Its normal quantiles, of scipy.special, are what draws are made of.
    """
    slow = {"scipy.signal", "scipy.stats", "scipy.spatial", "scipy.interpolate"}
    slow |= {"matplotlib", "PIL", "meshio", "questionary", "openpyxl"}
    code = (
        "import sys; from glueline.studies.commands import main; "
        f"main(['predict', {str(example_path('butt'))!r}]); print(sorted({slow!r} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=ENVIRONMENT, cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_version(shell: Shell) -> None:
    """One line."""
    assert re.fullmatch(r"glueline \S.*\n", shell.shown("--version"))


def test_help_names_every_option_of_the_contract(shell: Shell) -> None:
    """And the commands."""
    options = shell.shown("predict", "--help")
    for option in ("--out", "--json", "--method", "--element-size", "--units", "--set", "FILE"):
        assert option in options
    for command in ("predict", "list", "demo"):
        assert command in shell.shown("--help")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "COMMAND"),
        (["foretell"], "foretell"),
        (["predict"], "FILE"),
        (["predict", "a.toml", "--method", "magic"], "progressive"),
        (["predict", "a.toml", "--units", "cubits"], "imperial"),
        (["predict", "a.toml", "--element-sise", "1 mm"], "--element-sise"),
        (["list"], "what"),
        (["list", "nails"], "woods"),
        (["list", "woods", "--units", "furlongs"], "imperial"),
        (["list", "woods", "--what"], "--what"),
    ],
)
def test_wrong_usage(words: list[str], said: str, shell: Shell) -> None:
    """Status 2 with what is right, on one line that points to the help."""
    message = shell.refused(*words)
    assert said in message
    assert "--help" in message
    assert message.count("\n") == 1


def test_what_went_or_was_renamed_is_refused(shell: Shell) -> None:
    """The old name of a command points to the new one, in a line; a solver cannot be chosen."""
    said = shell.refused("seek", example_path("finger"), "--vary", "joint.fingers=3:9", "--wood-first")
    assert len(said.splitlines()) == 1
    assert "`glueline least`" in said
    assert "--solver" in shell.refused("predict", example_path("butt"), "--solver", "sparse LU")


PREDICTING = {
    "predict": (),
    "sweep": ("--vary", "joint.fingers=3"),
    "rank": (),
    "influence": (),
    "least": ("--vary", "joint.fingers=3", "--wood-first"),
    "service": (),
    "plan": (),
    "bench": (),
    "calibrate": ("--using", "butt", "--write", "glue.toml"),
}


@pytest.mark.parametrize("command", PREDICTING)
def test_crushing_needs_no_option_any_more(command: str, shell: Shell) -> None:
    """--crushing is refused in one line that names what is right."""
    said = shell.refused(command, example_path("butt"), *PREDICTING[command], "--crushing")
    assert said.count("\n") == 1
    assert "--no-crushing" in said


def test_crushing_may_be_left_out_of_an_elastic_answer(shell: Shell) -> None:
    """It is harmless: an elastic answer ends before any face crushes."""
    words = ("predict", example_path("butt"), "--method", "elastic", "--json")
    assert shell.shown(*words) == shell.shown(*words, "--no-crushing")


def test_a_criterion_may_still_be_named(shell: Shell) -> None:
    """The ordinary help is silent on it; an unknown one is refused with those there are."""
    assert commands.main(["predict", "--help"]) == 0
    shown = shell.capsys.readouterr().out
    assert "--no-crushing" in shown
    assert " --crushing" not in shown
    assert "--criterion" not in shown
    said = shell.refused("predict", example_path("butt"), "--criterion", "guess")
    assert said.startswith("command line: --criterion = guess")
    assert "hoffman" in said


@pytest.mark.parametrize("json_too", [[], ["--json"]])
def test_wrong_files(
    json_too: list[str], makers_folder: MakersFolder, shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line a mistake on standard error, each with the file's name as it was given."""
    monkeypatch.chdir(makers_folder.folder)
    makers_folder.write(changed(FINGER, boards__thickness=19, boards__wood="mapel"))
    said = shell.refused("predict", "corner.toml", *json_too)
    assert [line.partition(": ")[0] for line in said.splitlines()] == ["corner.toml"] * 2
    assert "boards.thickness = 19" in said
    assert "no such file" in shell.refused("predict", "missing.toml", *json_too)
    assert "directory" in shell.refused("predict", ".", *json_too)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--set", "boards.wood"], "KEY=VALUE"),
        (["--set", "=oak"], "KEY=VALUE"),
        (["--set", "boards.wod=oak"], "did you mean wood"),
        (["--set", "joint.fingers=1"], "at least 2"),
        (["--element-size", "1.5"], '"1.5 mm"'),
        (["--element-size", "0 mm"], "above zero"),
        (["--element-size", "-1 mm"], "above zero"),
    ],
)
def test_wrong_options(words: list[str], said: str, shell: Shell) -> None:
    """The option is named, with its value."""
    message = shell.refused("predict", example_path("finger"), *words)
    assert said in message
    assert message.startswith("command line: ")
    assert len(message.splitlines()) == 1


def test_out_is_checked_before_computing(makers_folder: MakersFolder, shell: Shell) -> None:
    """A file where the directory should be: refused, and left as it was."""
    taken = makers_folder.folder / "taken"
    taken.write_text("mine", encoding="utf-8")
    for out in (taken, taken / "deeper"):
        assert "--out" in shell.refused("predict", example_path("butt"), "--out", out)
    assert taken.read_text(encoding="utf-8") == "mine"
    wrong = makers_folder.folder / "never"
    makers_folder.write(changed(FINGER, boards__leg="x"))
    shell.refused("predict", makers_folder.file, "--out", wrong)
    shell.refused("predict", example_path("butt"), "--element-size", "50 mm", "--out", wrong)
    shell.refused("predict", example_path("butt"), "--method", "plastic", "--out", wrong)
    assert not wrong.exists()


@pytest.mark.parametrize("limit", ["0.4 mm", "6.3 mm", "1/64 in", "15/64 in"])
def test_element_sizes_can_be_typed_as_they_are_shown(limit: str, shell: Shell) -> None:
    """The limits in the message, in both units, are themselves allowed."""
    words = ("predict", example_path("butt"), "--element-size")
    assert limit in shell.refused(*words, "50 mm")
    specimen = read_specimen(example_path("butt"))
    Request(element_size=parse_length(limit)).check(specimen)


def test_surprising_names_of_files(
    makers_folder: MakersFolder, shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Spaces, umlauts, a line break, a terminal's escape: nothing a terminal would act on comes back."""
    monkeypatch.chdir(makers_folder.folder)
    for name in ("mein Stück.toml", "a\nb.toml", "a\x1b[31mb.toml", "-.toml"):
        said = shell.refused("predict", "--", name)
        assert "\x1b" not in said
        assert len(said.splitlines()) == 1


def test_a_reader_that_leaves_early() -> None:
    """``glueline list woods | head -1`` ends quietly."""
    process = subprocess.Popen(
        [*PROGRAM, "list", "woods", "--sources"],
        env=ENVIRONMENT,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.close()
    _, said = process.communicate(timeout=60)
    assert said == b""
    assert process.returncode in (0, 128 + signal.SIGPIPE)


def raising(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    """The exit status of a command that fails with ``error``."""

    def fail(*_: object) -> int:
        raise error

    monkeypatch.setattr("glueline.studies.commands.list_tables.run", fail)
    return commands.main(["list", "woods"])


def test_exit_status_of_every_failure(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1 for a computation, with the step and the remedy; 130 for Ctrl-C; never a traceback."""
    failed = ComputationError("meshing", "the mesh is empty", "try a smaller --element-size")
    assert raising(failed, monkeypatch) == 1
    said = capsys.readouterr().err
    for word in ("meshing", "the mesh is empty", "try a smaller --element-size"):
        assert word in said
    assert raising(KeyboardInterrupt(), monkeypatch) == 130
    assert capsys.readouterr().err == "stopped\n"
    assert raising(MemoryError(), monkeypatch) == 1
    assert raising(OSError(28, "No space left on device", "x.png"), monkeypatch) == 1
    assert "No space left on device" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="signals of other systems")
@pytest.mark.parametrize("there", [False, True])
def test_the_keyboard_leaves_no_directory_that_was_not_there(there: bool, tmp_path: Path) -> None:
    """Nor its parents; one that was there stays, empty as it was."""
    out = tmp_path / "a" / "b"
    if there:
        out.mkdir(parents=True)
    # Where the tests run behind a shell, the keyboard's signal is ignored, and children inherit that.
    process = subprocess.Popen(
        [*PROGRAM, "predict", str(example_path("bridle")), "--out", str(out)],
        env=ENVIRONMENT,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    deadline = time.monotonic() + 30
    while not out.exists() and time.monotonic() < deadline:
        time.sleep(0.01)
    time.sleep(1.0)  # past the start of Python, well before the end of the prediction
    process.send_signal(signal.SIGINT)
    printed, said = process.communicate(timeout=30)
    assert (process.returncode, printed) == (130, "")
    assert said.splitlines()[-1] == "stopped"
    assert "Traceback" not in said
    assert [path.name for path in tmp_path.rglob("*")] == (["a", "b"] if there else [])


def test_an_exception_takes_empty_directories_away(tmp_path: Path) -> None:
    """Those made for it, up to one that holds something."""
    kept = tmp_path / "kept"

    def stop() -> None:
        with directory_for_results(kept / "x" / "y") as folder:
            assert folder.is_dir()
            (kept / "mine").write_text("x", encoding="utf-8")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stop()
    assert [path.name for path in kept.iterdir()] == ["mine"]
    with directory_for_results(kept / "x") as folder:
        pass
    assert folder.is_dir()


def test_main_returns_and_never_leaves() -> None:
    """So that tests and other programs may call it."""
    assert commands.main(["--help"]) == 0
    assert commands.main(["foretell"]) == 2


def test_files_appear_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write that fails leaves the old file and nothing beside it."""
    target = tmp_path / "answer.json"
    write_atomically(target, b"first")
    assert target.read_bytes() == b"first"

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    for step in ("fsync", "replace"):
        with monkeypatch.context() as patched:
            patched.setattr(os, step, fail)
            with pytest.raises(OSError, match="No space left"):
                write_atomically(target, b"second")
        assert target.read_bytes() == b"first"
        assert [each.name for each in tmp_path.iterdir()] == ["answer.json"]


def test_a_directory_for_results(tmp_path: Path) -> None:
    """Made with its parents; taken as it is where it is there; refused where it cannot be."""
    folder = prepare_output_directory(tmp_path / "a" / "b")
    (folder / "kept").write_text("x", encoding="utf-8")
    assert prepare_output_directory(folder) == folder
    assert [each.name for each in folder.iterdir()] == ["kept"]
    for wrong in (folder / "kept", folder / "kept" / "c", Path("a\x00b"), Path("x" * 5000)):
        with pytest.raises(InputError, match="--out"):
            prepare_output_directory(wrong)
    with pytest.raises(InputError, match="empty"):
        prepare_output_directory(" ")
