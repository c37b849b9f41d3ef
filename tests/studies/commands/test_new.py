"""glueline new: files that read as they stand, questions in a terminal, and nothing written over."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import textwrap
import time
from dataclasses import replace
from pathlib import Path

import pytest

from glueline.geometries import JOINTS
from glueline.materials import glue_names
from glueline.studies.bench_day.rig.new_rig import rig_file_text
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.new_corner import corner_text, problems_with, usual_corner
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.files.failures import InputError
from glueline.studies.files.units import Units
from tests.studies import toy_joint
from tests.studies.command_lines import ENVIRONMENT, PROGRAM, ROOT, called, glueline

pty = pytest.importorskip("pty")

in_both_units = pytest.mark.parametrize("units", ["metric", "imperial"])
of_every_kind = pytest.mark.parametrize("kind", list(JOINTS))
NOTED = re.compile(r"^# (\w+) = (.*?)(  +#.*)?$", re.MULTILINE)


@in_both_units
@of_every_kind
def test_every_kind_gives_a_file_that_reads(
    kind: str, units: Units, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As it stands, by its name alone, in plain letters, every length in the units asked for."""
    outcome = called(capsys, "new", *kind.split(), "--units", units)
    assert (outcome.returncode, outcome.stderr) == (0, "")
    assert outcome.stdout.isascii()
    file = tmp_path / "corner.toml"
    file.write_text(outcome.stdout, encoding="utf-8")
    specimen = read_specimen(file)
    assert specimen.kind == kind
    assert specimen.warnings == ()
    lengths = re.findall(r'"([^"]* (?:mm|in))"', outcome.stdout)
    assert len(lengths) >= 4
    wanted = r"[\d.]+ mm" if units == "metric" else r"(\d+ )?\d+(/\d+)? in"
    assert [length for length in lengths if not re.fullmatch(wanted, length)] == []
    lines = outcome.stdout.splitlines()
    assert max(map(len, lines)) <= 110
    assert len({line.index("  # ") for line in lines if "  # " in line}) == 1, "notes in a column"
    foreign = "in" if units == "metric" else "mm"
    assert not re.search(rf"\d {foreign}\b", outcome.stdout)


@in_both_units
@of_every_kind
def test_a_note_with_a_key_may_be_made_a_line(kind: str, units: Units, tmp_path: Path) -> None:
    """Each by itself: the reader takes it, or says beside which other key it has no place."""
    text = corner_text(usual_corner(JOINTS[kind], units), units)
    noted = list(NOTED.finditer(text))
    assert len(noted) >= 3
    file = tmp_path / "corner.toml"
    wrong = []
    for match in noted:
        file.write_text(f"{text[: match.start()]}{match[0][2:]}{text[match.end() :]}", encoding="utf-8")
        try:
            read_specimen(file)
        except InputError as error:
            wrong.append(str(error))
    assert [said for said in wrong if "give one of the two" not in said] == []


@pytest.mark.parametrize(("kind", "units"), [("butt", "metric"), ("half-lap", "imperial")])
def test_the_file_predicts_as_it_stands(kind: str, units: str, tmp_path: Path) -> None:
    """From the command line to a load, in processes of their own."""
    assert glueline("new", kind, "--units", units, "--write", "it.toml", folder=tmp_path).returncode == 0
    outcome = glueline("predict", "it.toml", "--method", "elastic", "--units", units, folder=tmp_path)
    assert outcome.returncode == 0, outcome.stderr
    assert re.search(r"^break +[\d.]+ (N|lbf)", outcome.stdout, re.MULTILINE)


def test_a_joint_of_ones_own_is_offered_without_a_line_here(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a joint kind brings with it is enough: what must be stated of it is what is usual."""
    usual = toy_joint.StrappedButt(straps=2, strap_thickness=3.0)
    toy = replace(toy_joint.STRAPPED_BUTT, usual=lambda boards: usual)
    monkeypatch.setitem(JOINTS, toy.kind, toy)
    outcome = called(capsys, "new", toy.kind)
    assert outcome.returncode == 0, outcome.stderr
    file = tmp_path / "toy.toml"
    file.write_text(outcome.stdout, encoding="utf-8")
    specimen = read_specimen(file)
    assert (specimen.kind, specimen.joint.straps) == (toy.kind, 2)


@in_both_units
def test_a_rig_reads_and_its_sketch_names_its_distances(units: Units, tmp_path: Path) -> None:
    """As it stands, and with the weighing in its notes; marks of the sketch stand above each other."""
    text = rig_file_text(units)
    assert text.isascii()
    file = tmp_path / "rig.toml"
    file.write_text(text, encoding="utf-8")
    assert read_rig(file).kind == "hinged platform"
    weighed = (
        text.replace("# [[check]]", "[[check]]").replace("# stacked", "stacked").replace("# scale", "scale")
    )
    file.write_text(weighed, encoding="utf-8")
    assert read_rig(file).correction is not None
    assert len({line.index("  # ") for line in text.splitlines() if "  # " in line}) == 1, "notes in a column"
    sketch = text[: text.index("[rig]")].splitlines()
    box, mark = ([line for line in sketch if each in line][-1] for each in ("[ stacked ]", "weights_at -"))
    assert (box.index("[") + box.index("]")) / 2 == mark.rindex("|"), "the weights stand over their mark"
    hinge = {line.index("|") for line in sketch if "|" in line}
    assert len(hinge) == 1
    ends = [
        line.rindex("|")
        for line in sketch
        for name in ("specimen_at", "centre_at", "weights_at")
        if f" {name} " in line.replace("-", " ") and "<" in line
    ]
    assert ends == sorted(ends)
    for name in ("specimen_at", "centre_at", "weights_at"):
        assert len(re.findall(name, text)) >= 3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["fingr"], "did you mean finger"),
        (["mortise", "and", "tennon"], "did you mean mortise and tenon"),
        (["rigg"], "did you mean rig"),
        (["zzz"], "slot fitting or rig"),
    ],
)
def test_an_unknown_kind_gets_the_nearest(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """And all there are."""
    outcome = called(capsys, "new", *words)
    assert (outcome.returncode, outcome.stdout) == (2, "")
    assert said in outcome.stderr


def test_no_file_is_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nor a link that leads nowhere; nor is a folder made."""
    file = tmp_path / "mine.toml"
    file.write_text("mine", encoding="utf-8")
    (tmp_path / "link.toml").symlink_to(tmp_path / "nowhere.toml")
    for name, said in (
        ("mine.toml", "never written over"),
        ("link.toml", "never"),
        ("no/it.toml", "not there"),
    ):
        outcome = called(capsys, "new", "butt", "--write", tmp_path / name)
        assert outcome.returncode == 2
        assert said in outcome.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.toml", "mine.toml"]


def test_without_a_terminal_it_says_what_works(tmp_path: Path) -> None:
    """Status 2, and a command line that then does."""
    outcome = glueline("new", folder=tmp_path)
    assert (outcome.returncode, outcome.stdout) == (2, "")
    works = re.search(r"`glueline (new finger [^`]*)`", outcome.stderr)
    assert works
    assert glueline(*works[1].split(), folder=tmp_path).returncode == 0
    assert [path.name for path in tmp_path.iterdir()] == ["drawer.toml"]


def test_the_demo_ends_by_saying_what_to_type_next(tmp_path: Path) -> None:
    """Its last line, typed in a shell in that folder, reaches the command; one that failed says nothing."""
    binaries = tmp_path / ".venv" / "bin"
    binaries.mkdir(parents=True)
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "demo").write_bytes((ROOT / ".ci" / "demo").read_bytes())
    (tmp_path / ".ci" / "setup").write_text("exit 0\n", encoding="utf-8")
    (binaries / "activate").write_text(f'PATH="{binaries}:$PATH"\n', encoding="utf-8")
    stand_in = binaries / "glueline"
    stand_in.write_text('#!/bin/sh\necho "asked for: $*"\n', encoding="utf-8")
    stand_in.chmod(0o755)
    shown = subprocess.run(["sh", ".ci/demo", "--out", "p"], cwd=tmp_path, capture_output=True, text=True)
    first, *_, last = shown.stdout.splitlines()
    assert first == "asked for: demo --out p"
    typed = last.partition(":  ")[2]
    assert f"    {typed.partition(' && ')[0]}\n" in (ROOT / "README.md").read_text(encoding="utf-8")
    reached = subprocess.run(["sh", "-c", typed], cwd=tmp_path, capture_output=True, text=True)
    assert reached.stdout == "asked for: new\n"
    stand_in.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    failed = subprocess.run(["sh", ".ci/demo"], cwd=tmp_path, capture_output=True, text=True)
    assert (failed.returncode, failed.stdout) == (1, "")


class Terminal:
    """A command in a real pseudo-terminal: what it shows, and keys to press."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.keyboard, screen = pty.openpty()
        environment = {**ENVIRONMENT, "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1", "COLUMNS": "80"}
        self.process = subprocess.Popen(
            [*PROGRAM, *words],
            cwd=folder,
            env=environment,
            stdin=screen,
            stdout=screen,
            stderr=screen,
            start_new_session=True,
            # Tests that run in the background of a shell would hand on that it ignores the key.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        os.close(screen)
        os.set_blocking(self.keyboard, False)
        self.shown = ""

    def wait_for(self, words: str, seconds: float = 60.0) -> None:
        """Read until the screen has shown these words since the last key."""
        end = time.monotonic() + seconds
        while words not in self.plain:
            assert time.monotonic() < end, self.plain
            try:
                self.shown += os.read(self.keyboard, 65536).decode("utf-8", "replace")
            except BlockingIOError:
                time.sleep(0.02)
            except OSError:  # the other end is closed
                assert words in self.plain, self.plain
                return

    @property
    def plain(self) -> str:
        """What was shown since the last key, without what moves the cursor or colours."""
        return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]|\x1b[=>]|\r", "", self.shown)

    def press(self, keys: str) -> None:
        """Type; what was shown so far is forgotten."""
        self.shown = ""
        os.write(self.keyboard, keys.encode("utf-8"))

    def end(self) -> int:
        """The exit status, once it has ended."""
        status = self.process.wait(timeout=60)
        os.close(self.keyboard)
        return status


ENTER, DOWN, ERASE = "\r", "\x1b[B", "\x7f"


def test_the_questions_lead_to_a_file_that_reads(tmp_path: Path) -> None:
    """Through a real terminal: inches, fingers, a slip put right as it is typed, an own wood, a name."""
    (tmp_path / "finger.toml").write_text("mine", encoding="utf-8")
    terminal = Terminal(tmp_path, "new")
    steps = [
        ("In what do you measure?", DOWN + ENTER),
        ("Which joint?", DOWN * list(JOINTS).index("finger") + ENTER),
        ("How do the boards lie?", ENTER),
        ("Thickness of the boards?  [3/4 in]", "7/8"),
        ('is it "7/8 in"?', " in" + ENTER),
        ("Width of the boards?", "4½ inches" + ENTER),
        ("Length of each board", ENTER),
        ("Number of fingers", "1"),
        ("at least 2", ERASE + "7" + ENTER),
        ("Which wood?", "walnot"),
        ("is not", ERASE * 2 + "ut" + ENTER),
        ("Which glue?", DOWN * list(glue_names()).index("yellow") + ENTER),
        ("How is it loaded?", DOWN * list(ARRANGEMENTS).index("cantilever out") + ENTER),
        ("Save it as?  [finger_2.toml]", "finger.toml"),
        ("never written over", ERASE * 11 + "my box.toml" + ENTER),
        ('glueline predict "my box.toml"', ""),
    ]
    for shown, keys in steps:
        terminal.wait_for(shown)
        terminal.press(keys)
    assert terminal.end() == 0
    specimen = read_specimen(tmp_path / "my box.toml")
    assert (specimen.kind, specimen.joint.fingers) == ("finger", 7)
    assert specimen.boards.thickness == pytest.approx(7 / 8 * 25.4)
    assert specimen.boards.width == pytest.approx(4.5 * 25.4)
    assert specimen.woods["board A"].name == "Black walnut"
    assert (specimen.glue.name, specimen.arrangement.name) == ("yellow", "cantilever out")
    assert (tmp_path / "finger.toml").read_text(encoding="utf-8") == "mine"


def test_a_long_complaint_is_read_to_its_end(tmp_path: Path) -> None:
    """In lines of at most 80 letters, broken between words."""
    terminal = Terminal(tmp_path, "new", "--units", "metric", "--write", "it.toml")
    for shown, keys in (("Which joint?", ENTER), ("How do the boards lie?", ENTER), ("Thickness", "19")):
        terminal.wait_for(shown)
        terminal.press(keys)
    whole = next(iter(problems_with({"boards": {"thickness": "19"}}, ("boards.thickness",))))
    whole = re.sub(r" \(units: [^)]*\)", "", whole)
    lines = textwrap.wrap(whole, 79)
    assert len(lines) > 1, "else it shows nothing"
    for line in lines:
        terminal.wait_for(line)
    terminal.press("\x03")
    terminal.wait_for("stopped")
    assert terminal.end() == 130


@pytest.mark.parametrize("keys", ["\x03", "\x04"])
def test_ctrl_c_leaves_and_writes_nothing(keys: str, tmp_path: Path) -> None:
    """At a choice and at a text; Ctrl-D at a text too."""
    terminal = Terminal(tmp_path, "new", "--units", "metric")
    terminal.wait_for("Which joint?")
    if keys == "\x04":
        terminal.press(ENTER)
        terminal.wait_for("How do the boards lie?")
        terminal.press(ENTER)
        terminal.wait_for("Thickness of the boards?")
    terminal.press(keys)
    terminal.wait_for("stopped")
    assert terminal.end() == 130
    assert list(tmp_path.iterdir()) == []


def test_an_interrupt_from_outside_is_the_same(tmp_path: Path) -> None:
    """A signal in place of the key."""
    terminal = Terminal(tmp_path, "new", "--units", "metric", "--write", "it.toml")
    terminal.wait_for("Which joint?")
    terminal.process.send_signal(signal.SIGINT)
    assert terminal.end() == 130
    assert list(tmp_path.iterdir()) == []
