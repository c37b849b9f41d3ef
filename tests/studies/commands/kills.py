"""Commands that write, killed at random moments and given again: what they leave equals an undisturbed run.

    python -m tests.studies.commands.kills --seed 1 --kills 200 --point-kills 100

Every kill is SIGKILL to the command's own process, which cannot see it coming. Moments are drawn evenly
over the processor time that the command takes undisturbed, so that they do not depend on what else runs.
After each kill the same command is given again, and every file must have the bytes of an undisturbed run;
of a sweep's journal, whose lines come in the order in which points are done, every whole line. A
directory that is plainly refused (status 2 and one line) counts apart. Sweeps of slow points are killed
as soon as a point has been kept and a random moment has passed, again and again until they are finished.
``--only demo "rank --all-kinds"`` kills no others; the demos, half a minute to a minute each, are killed
only so.
The table is kept in kills.txt beside this.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from glueline.studies.examples import bench_day_path, example_path
from tests.studies.command_lines import PROGRAM
from tests.studies.sweeps.test_sweep_run import gone, workers_under

JOURNAL = "points.jsonl"
TIME_TO_END = 30.0
"""Seconds within which the workers of a killed command must be gone."""

LATEST = 1.05
"""The latest moment of a kill, over the processor time that the command takes undisturbed."""

TICK = 1 / os.sysconf("SC_CLK_TCK")
"""Seconds by which the system counts processor time."""

BUTT, MITRE, FINGER = (str(example_path(name)) for name in ("butt", "mitre", "finger"))
RIG, LOG = (str(bench_day_path(name)) for name in ("bench_rig.toml", "bench_log.csv"))
ELASTIC = ["--method", "elastic"]
QUALITIES = ["--vary", "glue.quality=60 %,80 %,100 %,120 %"]

COMMANDS: dict[str, list[str]] = {
    "predict": ["predict", FINGER, *ELASTIC, "--out", "out"],
    "rank": ["rank", BUTT, MITRE, *ELASTIC, "--out", "out"],
    "sweep, 1 worker": ["sweep", FINGER, *ELASTIC, *QUALITIES, "--workers", "1", "--out", "out"],
    "sweep, 2 workers": ["sweep", FINGER, *ELASTIC, *QUALITIES, "--workers", "2", "--out", "out"],
    "plan": ["plan", BUTT, MITRE, "--rig", RIG, *ELASTIC, "--out", "out"],
    "bench": ["bench", LOG, "--rig", RIG, *ELASTIC, "--out", "out"],
    "report": ["report", "given", "--out", "out/page.html"],
    "rank --all-kinds": ["rank", "--all-kinds", BUTT, *ELASTIC, "--out", "out"],
    "service": ["service", BUTT, "--use", "drawer", *ELASTIC, "--out", "out"],
    "influence": ["influence", BUTT, *ELASTIC, "--workers", "1", "--out", "out"],
    "calibrate": [
        "calibrate",
        LOG,
        "--rig",
        RIG,
        "--using",
        "invented butt",
        *ELASTIC,
        "--write",
        "out/ours.toml",
    ],
}
"""Command lines by name, given in a folder of their own; ``out`` is what they write."""

DEMOS = {
    "demo": ["demo", "--out", "out"],
    "demo --bench-day": ["demo", "--bench-day", "--out", "out"],
    "demo --all-joints": ["demo", "--all-joints", "--out", "out"],
}
"""Those that take long and have no option that shortens them."""

SLOW = ["sweep", FINGER, "--no-band", "--vary", "glue.quality=60 %:120 %:10 %", "--out", "out"]


@dataclass
class Tally:
    """What came of the kills of one command."""

    name: str
    counts: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def note(self, outcome: str, moment: str) -> None:
        """Count an outcome; one that should not be is told with its moment."""
        kind = outcome.partition(":")[0]
        self.counts[kind] += 1
        if kind not in ("equal", "refused"):
            self.wrong.append(f"{self.name}, {moment}: {outcome}")


def start(words: Sequence[str], folder: Path) -> subprocess.Popen[str]:
    """A command in a folder, on one thread."""
    (folder / "out").mkdir(exist_ok=True)
    return subprocess.Popen(
        [*PROGRAM, *words],
        cwd=folder,
        text=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )


def finish(words: Sequence[str], folder: Path) -> tuple[int, str]:
    """Status of a command that is left alone, and what it complained of."""
    process = start(words, folder)
    _, said = process.communicate(timeout=600)
    return process.returncode, said


def kill(process: subprocess.Popen[str]) -> bool:
    """Kill a command; whether it was still at work. Raises TimeoutError where a worker outlives it."""
    workers = workers_under(process)
    process.send_signal(signal.SIGKILL)
    process.communicate()
    deadline = time.monotonic() + TIME_TO_END
    while not gone(workers):
        if time.monotonic() > deadline:
            raise TimeoutError(f"workers outlive the command: {workers}")
        time.sleep(0.02)
    return process.returncode == -signal.SIGKILL


def of_children() -> float:
    """Processor time in s of every command that has ended, its workers too."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def wait_for(process: subprocess.Popen[str], at: float, further: float) -> None:
    """Until a command and its workers have used ``at`` s of processor time, and ``further`` s more."""
    while process.poll() is None:
        used = 0.0
        for number in (process.pid, *workers_under(process)):
            try:
                fields = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
            except (FileNotFoundError, ProcessLookupError):
                continue
            used += TICK * sum(map(int, fields[11:15]))  # of its own and of what it has waited for
        if used >= at:
            break
        time.sleep(TICK)
    time.sleep(further)


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below ``out`` by its name; of a journal its whole lines in order, without torn ones."""
    found = {}
    for path in sorted((folder / "out").rglob("*")):
        if path.is_file():
            content = path.read_bytes()
            found[str(path.relative_to(folder))] = whole_lines(content) if path.name == JOURNAL else content
    return found


def whole_lines(content: bytes) -> bytes:
    """The lines that are JSON, sorted; a kill may have torn others."""
    lines = []
    for line in content.split(b"\n"):
        try:
            json.loads(line)
        except ValueError:
            continue
        lines.append(line)
    return b"\n".join(sorted(lines))


def judged(words: Sequence[str], folder: Path, undisturbed: dict[str, bytes]) -> str:
    """Give the command again and compare: "equal", "refused" or what is different."""
    status, said = finish(words, folder)
    if status == 2 and len(said.strip().splitlines()) == 1:
        return "refused"
    if status != 0:
        return f"failed: status {status}, {said.strip()[-300:]}"
    found = contents(folder)
    differing = [name for name in {**found, **undisturbed} if found.get(name) != undisturbed.get(name)]
    return f"different: {', '.join(sorted(differing))}" if differing else "equal"


def prepare(folder: Path) -> None:
    """What the report is made from."""
    status, said = finish([*COMMANDS["rank"][:-1], "given"], folder)
    assert status == 0, said


def run_commands(
    commands: dict[str, list[str]], number: int, moments: random.Random, late: Callable[[], bool]
) -> Iterator[Tally]:
    """Kill every command in turn, until there have been ``number`` kills or it is late."""
    tallies = {name: Tally(name) for name in commands}
    with tempfile.TemporaryDirectory() as top:
        whole, taken = {}, {}
        for name, words in commands.items():
            folder = Path(top) / "work"  # always the same, since a record may tell paths
            folder.mkdir()
            if "given" in words:
                prepare(folder)
            finish(words, folder)  # once for what the system keeps of files, once for the time
            shutil.rmtree(folder / "out")
            before = of_children()
            status, said = finish(words, folder)
            taken[name] = of_children() - before
            assert status == 0, said
            whole[name] = contents(folder)
            if "given" in words:
                (folder / "given").rename(Path(top) / f"given {name}")
            shutil.rmtree(folder)
            print(f"# {name}: {taken[name]:.2f} s undisturbed", file=sys.stderr, flush=True)
        done = 0
        while sum(tally.counts["kills"] for tally in tallies.values()) < number and not late():
            name = list(commands)[done % len(commands)]
            words = commands[name]
            folder = Path(top) / "work"
            folder.mkdir()
            if "given" in words:
                shutil.copytree(Path(top) / f"given {name}", folder / "given")
            at = moments.uniform(0.0, LATEST * taken[name])
            process = start(words, folder)
            wait_for(process, at, moments.uniform(0.0, TICK))
            hit = kill(process)
            outcome = judged(words, folder, whole[name])
            tallies[name].counts["kills" if hit else "ended before"] += 1
            tallies[name].note(outcome, f"after {at:.3f} s")
            print(
                f"# {done} {name} {at:.3f} s {'' if hit else 'ended '}{outcome}", file=sys.stderr, flush=True
            )
            done += 1
            shutil.rmtree(folder)
    yield from tallies.values()


def run_points(number: int, workers: int, moments: random.Random, late: Callable[[], bool]) -> Tally:
    """Kill a sweep of slow points again and again, each time after one more point was kept."""
    words = [*SLOW, "--workers", str(workers)]
    tally = Tally(f"slow points, {workers} worker{'s' if workers > 1 else ''}")
    with tempfile.TemporaryDirectory() as top:
        whole = Path(top) / "whole"
        whole.mkdir()
        status, said = finish(words, whole)
        assert status == 0, said
        undisturbed = contents(whole)
        chain = 0
        while tally.counts["kills"] < number and not late():
            folder = Path(top) / f"chain{chain}"
            folder.mkdir()
            journal = folder / "out" / JOURNAL
            while kill_after_a_point(words, folder, moments):
                tally.counts["kills"] += 1
                kept = whole_lines(journal.read_bytes()).split(b"\n")
                numbers = [json.loads(line)["point"] for line in kept]
                if len(set(numbers)) != len(numbers):
                    tally.note(f"computed twice: {numbers}", f"chain {chain}")
                print(f"# {tally.name}: chain {chain}, {len(kept)} kept", file=sys.stderr, flush=True)
            tally.note(judged(words, folder, undisturbed), f"chain {chain}")
            shutil.rmtree(folder)
            chain += 1
    return tally


def kill_after_a_point(words: Sequence[str], folder: Path, moments: random.Random) -> bool:
    """Kill a sweep some time after it has kept one more point; False where it ended before."""
    journal = folder / "out" / JOURNAL

    def size() -> int:
        return journal.stat().st_size if journal.exists() else 0

    before = size()
    process = start(words, folder)
    while size() <= before and process.poll() is None:
        time.sleep(0.001)
    time.sleep(moments.choice([0.0, moments.uniform(0.0, 0.02), moments.uniform(0.0, 0.7)]))
    return kill(process)


def table(tallies: Sequence[Tally]) -> str:
    """Rows of outcomes."""
    columns = ("kills", "ended before", "equal", "refused", "different", "failed", "computed twice")
    rows = [f"{'':24}" + "".join(f"{column:>16}" for column in columns)]
    for tally in tallies:
        rows.append(f"{tally.name:24}" + "".join(f"{tally.counts[column]:16d}" for column in columns))
    total = sum((tally.counts for tally in tallies), Counter())
    rows.append(f"{'all':24}" + "".join(f"{total[column]:16d}" for column in columns))
    return "\n".join(rows)


def main() -> int:
    """Kill, and print the table; status 1 where anything came out wrong."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=200, help="of all commands, in turn (200)")
    parser.add_argument("--point-kills", type=int, default=100, help="of sweeps of slow points (100)")
    parser.add_argument(
        "--point-workers", type=int, nargs="+", default=[1, 2], help="that compute them (1 2)"
    )
    parser.add_argument(
        "--only", nargs="+", choices=[*COMMANDS, *DEMOS], metavar="NAME", help="only these commands"
    )
    parser.add_argument("--seed", type=int, default=1, help="of the moments (1)")
    parser.add_argument("--minutes", type=float, default=1e9, help="stop killing after so long")
    arguments = parser.parse_args()
    every = {**COMMANDS, **DEMOS}
    commands = {name: every[name] for name in arguments.only} if arguments.only else COMMANDS
    moments = random.Random(arguments.seed)
    ends = time.monotonic() + 60 * arguments.minutes
    started = time.monotonic()
    tallies = [
        run_points(
            arguments.point_kills // len(arguments.point_workers),
            workers,
            moments,
            lambda: time.monotonic() > ends,
        )
        for workers in arguments.point_workers
        if arguments.point_kills
    ]
    if arguments.kills:
        tallies += run_commands(commands, arguments.kills, moments, lambda: time.monotonic() > ends)
    print("Commands killed (SIGKILL) at random moments and given again: kills.py beside this.")
    print(
        f"Seed {arguments.seed}; asked for {arguments.kills} and {arguments.point_kills} kills; "
        f"Python {platform.python_version()}, {os.cpu_count()} processors, "
        f"{(time.monotonic() - started) / 60:.0f} min."
    )
    print(
        "Equal: every file has the bytes of an undisturbed run, a journal the same whole lines in any order;"
    )
    print("of slow points, sweeps that were killed until they were finished.\n")
    print(table(tallies))
    wrong = [line for tally in tallies for line in tally.wrong]
    if wrong:
        print("\nWrong:\n" + "\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
