"""What the documents name is there: paths, modules, commands, options; and the README's examples run."""

from __future__ import annotations

import argparse
import importlib.util
import pkgutil
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from glueline.studies.commands import COMMANDS, build_parser, main

ROOT = Path(__file__).parents[1]
TOUR = ROOT / "DEVELOPERS.md"
FOLDERS = ("fem", "geometries", "materials", "studies")
FOLDER_READMES = sorted(path for folder in FOLDERS for path in (ROOT / folder).rglob("README.md"))
DOCUMENTS = [ROOT / "README.md", TOUR, *FOLDER_READMES]
NOT_OURS = ("sh ", "pip ", "python ", "tests.")
PLACEHOLDER = "NEW"

in_every_document = pytest.mark.parametrize(
    "document", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT))
)


def prose(document: Path) -> str:
    """The document without its fenced blocks."""
    return re.sub(r"^```.*?^```$", "", document.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)


def in_back_ticks(document: Path) -> list[str]:
    """Everything that stands in back-ticks, some of it over the end of a line."""
    return [" ".join(found.split()) for found in re.findall(r"`([^`]+)`", prose(document))]


def fenced(document: Path, language: str) -> str:
    """The first fenced block of a language."""
    found = re.search(rf"^```{language}\n(.*?)^```$", document.read_text(encoding="utf-8"), re.M | re.S)
    assert found, f"{document.name} has no block of {language}"
    return found[1]


def paths(document: Path) -> Iterator[str]:
    """What can only be a file or folder of ours; a bare name of data may be one that a command writes."""
    for words in in_back_ticks(document):
        for word in words.split():
            name = word.rpartition("/")[2]
            ours = word.startswith(".ci/") or word.endswith("/") or name.endswith((".py", ".md"))
            data = "/" in word and name.endswith((".toml", ".csv", ".txt"))
            if (ours or data) and PLACEHOLDER not in word and not word.startswith("-"):
                yield word


def is_module(name: str) -> bool:
    """Whether a dotted name is a module, or something in one."""
    try:
        if importlib.util.find_spec(name) is not None:
            return True
    except ModuleNotFoundError:
        pass
    try:
        pkgutil.resolve_name(name)
    except (ImportError, AttributeError):
        return False
    return True


def commands_by_name() -> dict[str, argparse.ArgumentParser]:
    """The parser of each command."""
    return next(
        dict(action.choices)
        for action in build_parser()._actions
        if isinstance(action, argparse._SubParsersAction)
    )


@in_every_document
def test_paths_are_there(document: Path) -> None:
    """From the top of the house or from the document's own folder; ``pictures/`` is what the demo writes."""
    named = set(paths(document)) - {"pictures/"}
    assert {
        name for name in named if not any((top / name).exists() for top in (ROOT, document.parent))
    } == set()


@in_every_document
def test_modules_are_there(document: Path) -> None:
    """``tests.*`` and ``glueline.*``, also what is in a module of ours."""
    words = {word for words in in_back_ticks(document) for word in words.split()}
    named = {word for word in words if re.fullmatch(r"(glueline|tests)(\.\w+)+", word)}
    assert {name for name in named if not is_module(name)} == set()


@in_every_document
def test_commands_and_options_are_there(document: Path) -> None:
    """Every ``glueline NAME`` names a command, every option belongs to one."""
    options = {option for parser in commands_by_name().values() for option in parser._option_string_actions}
    ours = [words.split() for words in in_back_ticks(document) if not words.startswith(NOT_OURS)]
    named = {words[1] for words in ours if words[0] == "glueline" and len(words) > 1}
    assert named <= set(COMMANDS)
    assert {word.partition("=")[0] for words in ours for word in words if word.startswith("--")} <= options


def test_command_lines_of_the_readme_are_understood() -> None:
    """Each is parsed; a command line that is wrong leaves with an exit status."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    lines = re.findall(r"^    glueline (.*)$", text, flags=re.MULTILINE)
    assert len(lines) > 10
    for line in lines:
        words = shlex.split(line, comments=True)
        assert build_parser().parse_args(words).command == words[0]


def test_every_command_is_in_the_readme() -> None:
    """A maker finds each there."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"glueline {name} " not in text] == []


def test_the_tour_is_short() -> None:
    """60 to 90 lines."""
    assert 60 <= len(TOUR.read_text(encoding="utf-8").splitlines()) <= 90


def test_the_tour_shows_every_room_and_every_readme() -> None:
    """Examples and public names are no rooms of their own; a room within a room is its room's affair."""
    named = set(in_back_ticks(TOUR))
    rooms = {
        f"studies/{path.parent.name}/"
        for path in (ROOT / "studies").glob("*/__init__.py")
        if path.parent.name not in ("examples", "public")
    }
    assert {f"{folder}/" for folder in (*FOLDERS[:-1], "tests")} | rooms <= named
    readmes = {str(path.relative_to(ROOT)) for path in FOLDER_READMES}
    assert readmes == {word for word in named if word.endswith("/README.md")}


def test_the_readme_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its Python on its own drawer, as it stands."""
    readme = ROOT / "README.md"
    (tmp_path / "drawer.toml").write_text(fenced(readme, "toml"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    names: dict[str, Any] = {}
    exec(compile(fenced(readme, "python"), "README.md", "exec"), names)
    assert 100 < names["answer"].break_load < 10_000
    assert names["corner"].joint.splines == 2


def test_the_answer_in_the_readme_is_the_one_that_is_printed(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its first lines, from the command that stands above it."""
    readme = ROOT / "README.md"
    shown = fenced(readme, "text")
    command = re.search(r"^    glueline (predict .*)\n\n```text$", readme.read_text(encoding="utf-8"), re.M)
    assert command
    assert "what brings it down" in shown
    monkeypatch.chdir(ROOT)
    assert main(shlex.split(command[1])) == 0
    assert capsys.readouterr().out.startswith(shown)


def test_the_picture_in_the_readme_is_small_and_there() -> None:
    """One picture, the demo's ranking, that every reader has to fetch."""
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert pictures == ["studies/examples/ranking.png"]
    assert (ROOT / pictures[0]).stat().st_size < 60_000
    with Image.open(ROOT / pictures[0]) as picture:
        assert picture.width > 800
        assert len(picture.convert("L").getcolors(256) or []) > 3
