"""Which rig turns the loads of which log into force on the joint; a log that nobody explains is refused."""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable, Sequence
from pathlib import Path

from glueline.studies.bench_day.log.log_table import FORCE, STACKED, LoadKind, LogTable
from glueline.studies.bench_day.rig.rig import Rig
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.toml_tables import read_toml
from glueline.studies.files.words import counted

SOME_RIG = "rig.toml"
"""What a rig file is called where none is found."""


def rigs_of(
    tables: Sequence[LogTable],
    kinds: Sequence[LoadKind | None],
    rigs: Sequence[Rig],
    force: bool,
    typed: Callable[[str], str] | None = None,
) -> list[Rig | None]:
    """The rig of each log, None where its loads are force on the joint.

    ``kinds`` are what the logs say themselves; ``force`` speaks for those that say nothing. One rig serves
    every log of stacked weights; else there is one for each, in order. Raises InputError with every log
    that lacks a rig, has one too many or contradicts ``force``.
    """
    say = typed or _plain_command(tables)
    problems = []
    stacked = [kind == STACKED or (kind is None and not force) for kind in kinds]
    for table, kind in zip(tables, kinds, strict=True):
        if kind == STACKED and force:
            message = f"says in load_is that its loads are {STACKED}s; --force says that they are force"
            problems.append(_problem(table, f"{message} on the joint. One of the two is wrong"))
        elif kind == STACKED and not rigs:
            message = f"its loads are {STACKED}s (load_is): only the rig tells what the joint bore. Type"
            problems.append(_problem(table, f"{message} {say(f'--rig {_rig_near(table)}')}"))
        elif kind is None and not rigs and not force:
            by_rig = say(f"--rig {_rig_near(table)}")
            message = (
                f"does not say what its loads are. Weights stacked on a rig: {by_rig}. "
                f"Force on the joint: {say('--force')}"
            )
            problems.append(_problem(table, message))
    if rigs and not any(stacked):
        why = f"says in load_is that its loads are {FORCE}" if FORCE in kinds else "has, by --force, force"
        table = tables[kinds.index("force") if "force" in kinds else 0]
        message = f"{why} on the joint already, so there is no weight for --rig to turn into it"
        problems.append(_problem(table, f"{message}: leave out the one that is wrong"))
    elif len(rigs) > 1 and len(rigs) != sum(stacked):
        message = (
            f"is given {len(rigs)} times for {counted(sum(stacked), 'log')} of stacked weights: give it once "
            "for all of them, or once for each, in the order of the logs"
        )
        problems.append(InputProblem("command line", "--rig", None, message))
    if problems:
        raise InputError(tuple(problems))
    each = iter(rigs if len(rigs) > 1 else [*rigs] * sum(stacked))
    return [next(each) if on_rig else None for on_rig in stacked]


def _plain_command(tables: Sequence[LogTable]) -> Callable[[str], str]:
    return lambda further: f"glueline bench {shlex.join(table.path for table in tables)} {further}"


def _rig_near(table: LogTable) -> str:
    """The one rig file that lies beside a log, above it or here, as typed on a command line."""
    beside = os.path.dirname(table.path)
    for folder in dict.fromkeys((beside, os.path.join(beside, os.pardir), "")):
        found = [path for path in sorted(Path(folder).glob("*.toml")) if _is_rig(path)]
        if len(found) == 1:
            return shlex.quote(os.path.normpath(found[0]))
    return SOME_RIG


def _is_rig(path: Path) -> bool:
    try:
        return "rig" in read_toml(path)
    except InputError:
        return False


def _problem(table: LogTable, message: str) -> InputProblem:
    return InputProblem(table.name, "", None, message)
