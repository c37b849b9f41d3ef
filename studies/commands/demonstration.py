"""An invented bench day from end to end, by the commands that a maker would type."""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

from glueline.studies.examples import BENCH_DAY_FILES, DEMO_CORNERS, bench_day_path, example_path
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.output import directory_for_results, write_atomically
from glueline.studies.files.plain_files import holds
from glueline.studies.files.units import Units

ABOUT = (
    "A bench day of an invented community workshop: every weight and every break below is made up, to show\n"
    "the commands. Nothing here was measured, so nothing says how good the predictions are."
)
RIG, LOG = BENCH_DAY_FILES
GLUE, USED = "our_pva.toml", "invented butt"
PLAN, BENCH, RANKING, ANSWERS = "plan", "bench", "ranking", "answers"
DAY_PAGE, RANKING_PAGE = "report.html", "ranking.html"


def demonstrate(out: str | os.PathLike[str], units: Units, further: Sequence[str] = ()) -> int:
    """Copy the invented files into ``out`` and run every step of the day there; the exit status of the last.

    ``further`` are options for every step that predicts. Stops at the first step that fails. Raises
    InputError where ``out`` cannot be written to or holds other files of these names.
    """
    from glueline.studies.commands import main

    with directory_for_results(out) as folder:
        _copy_files(folder)
        print(ABOUT)
        for words, command in _steps(folder, units, further):
            print(f"\n--- {words}\n$ glueline {shlex.join(command)}\n", flush=True)
            status = main(command)
            if status != 0:
                return status
            if command[0] == "plan":
                _carry_answers(folder)
    print(f"\nthe page of the day to open first: {folder / DAY_PAGE}")
    print(f"what the glue of the workshop predicts, on a page: {folder / RANKING_PAGE}")
    print(f"beside them in {folder}: the sheets in {PLAN}, tables and pictures in {BENCH} and {RANKING},")
    print(f"the glue in {GLUE}. All of it is invented.")
    return 0


def _copy_files(folder: Path) -> None:
    """The invented files, unless one would take the place of a file of the maker's own."""
    sources = {f"{name}.toml": example_path(name) for name in DEMO_CORNERS}
    sources |= {name: bench_day_path(name) for name in BENCH_DAY_FILES}
    contents = {folder / name: path.read_bytes() for name, path in sources.items()}
    own = [path for path, content in contents.items() if path.exists() and not _holds(path, content)]
    if own:
        message = f"holds a {own[0].name} of your own; give a directory of its own to the demo"
        raise InputError((InputProblem("command line", "--out", str(folder), message),))
    for path, content in contents.items():
        write_atomically(path, content)


def _holds(path: Path, content: bytes) -> bool:
    return path.is_file() and holds(path, content, "a file of the demo")


def _steps(folder: Path, units: Units, further: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    """What each step is for, and its command line."""
    corners = [str(folder / f"{name}.toml") for name in DEMO_CORNERS]
    rig, log, glue = (str(folder / name) for name in (RIG, LOG, GLUE))
    shown = ["--units", units]
    asked = [*shown, *further]
    yield "what the rig makes of the weight stacked on it", ["rig", rig, "--up-to", "70 kg", *shown]
    yield (
        "what to bring, in which steps to load, how many to break",
        ["plan", *corners, "--rig", rig, *asked, "--out", str(folder / PLAN)],
    )
    yield (
        "what the log of the day supports, and how the predictions did",
        ["bench", log, "--rig", rig, *asked, "--out", str(folder / BENCH)],
    )
    yield (
        "the quality of the workshop's glue, from the butts alone",
        ["calibrate", log, "--rig", rig, "--using", USED, "--write", glue, *asked],
    )
    yield (
        "what that glue predicts for all four",
        ["rank", *corners, "--set", f"glue.kind={glue}", *asked, "--out", str(folder / RANKING)],
    )
    yield (
        "a page of what that glue predicts",
        ["report", str(folder / RANKING), "--out", str(folder / RANKING_PAGE)],
    )
    yield "the page of the day, to keep", ["report", str(folder / BENCH), "--out", str(folder / DAY_PAGE)]


def _carry_answers(folder: Path) -> None:
    """Give the plan's predictions to the next step, which asks for the same ones."""
    with directory_for_results(folder / BENCH / ANSWERS) as target:
        for path in (folder / PLAN / ANSWERS).glob("*.json"):
            write_atomically(target / path.name, path.read_bytes())
