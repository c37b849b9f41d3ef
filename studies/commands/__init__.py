"""The command line. Each command is a module with ``add_arguments`` and ``run``; nothing slow loads here."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from importlib import import_module
from importlib.util import find_spec
from typing import Any, NoReturn

from glueline.studies.commands.streams import (
    forgiving_streams,
    give_up_output,
    lost_output,
    pictures_without_a_window,
    say,
)
from glueline.studies.commands.word_slips import nearest_choice, slip_before_parsing, slip_in_rest
from glueline.studies.files.failures import ComputationError, InputError, one_line
from glueline.studies.files.threads import one_thread

COMMANDS = {
    "new": ("new", "a specimen file to begin with, by a few questions; or a rig file"),
    "predict": ("predict", "at what load a corner breaks, where, and whether glue or wood gives"),
    "page": ("page", "one page on this machine: change a corner, load it, see it break"),
    "sweep": ("sweep", "one corner with some of its keys varied"),
    "influence": ("influence", "what a maker does not control well, by how much it moves the break load"),
    "least": ("least", "the least change with which the wood breaks first, or a load is reached"),
    "rank": ("rank", "several corners side by side"),
    "report": ("report", "what another command wrote, as one page to print or send"),
    "rig": ("rig", "from the weight stacked on a bench rig to the force on the joint"),
    "plan": ("plan", "a bench day: weights, steps, how many of each, order, cut list, sheets to print"),
    "bench": ("bench", "what was broken: means, scatter, what the data support, how the prediction did"),
    "calibrate": ("calibrate", "the quality of a glue from breaks, written as a glue file"),
    "service": ("service", "what an everyday use asks of a corner, beside what the corner holds"),
    "list": ("list_tables", "the woods, glues and joints that are known"),
    "demo": ("demo", "four packaged corners with their pictures"),
}
"""Commands by name: their module here, and what they do; one whose module is not there is not offered."""

RENAMED = {"seek": "least"}
"""Commands by the name they had."""

DONE, FAILED, WRONG_INPUT = 0, 1, 2
INTERRUPTED = 130

CARRIED_ON = ("sweep", "bench", "plan")
"""Commands that keep what they have computed in their --out, for the same command to carry on."""


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line and point to the help."""

    def error(self, message: str) -> NoReturn:
        shown = one_line(nearest_choice(message))
        self.exit(WRONG_INPUT, f"{self.prog}: {shown}; `{self.prog} --help` shows what is right\n")


class _Commands(_Parser):
    """The parser of the whole command line; ``parsers`` are those of its commands."""

    parsers: Mapping[str, argparse.ArgumentParser]

    def parse_args(self, args: Any = None, namespace: Any = None) -> Any:
        words = list(sys.argv[1:] if args is None else args)
        slip = slip_before_parsing(words, self.parsers)
        if slip is not None:
            self.parsers.get(words[0], self).error(slip)
        parsed, rest = self.parse_known_args(words, namespace)
        if rest:
            parser = self.parsers[parsed.command]
            parser.error(slip_in_rest(words, rest, parser))
        return parsed


def build_parser(words: Sequence[str] | None = None) -> argparse.ArgumentParser:
    """The parser of the whole command line; of ``words``, only the command that they name has its options."""
    named = COMMANDS if words is None else [word for word in words if word in COMMANDS][:1]
    parser = _Commands(
        prog="glueline",
        description="Predicts at what load a glued L-shaped corner of wood breaks.",
        epilog="Exit status: 0 done, 1 the computation failed, 2 the input is wrong.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"glueline {_Version()}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_Parser)
    for name, (module, summary) in COMMANDS.items():
        if find_spec(f"glueline.studies.commands.{module}") is None:
            continue
        inside = commands.add_parser(name, help=summary, description=summary, allow_abbrev=False)
        if name not in named:
            continue
        command = import_module(f"glueline.studies.commands.{module}")
        command.add_arguments(inside)
        inside.set_defaults(run=command.run)
    parser.parsers = commands.choices
    return parser


class _Version:
    """The installed version, looked up only when it is shown."""

    def __str__(self) -> str:
        from importlib.metadata import PackageNotFoundError, version

        try:
            return version("glueline")
        except PackageNotFoundError:
            return "(not installed)"


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line; its exit status: 0 done, 1 the computation failed, 2 the input is wrong."""
    one_thread()
    words = sys.argv[1:] if argv is None else argv
    with forgiving_streams(), pictures_without_a_window():
        status = _run(words)
        if status == DONE and lost_output():
            say("glueline: standard output is closed: what there was to show is lost")
            return FAILED
        return status


def _run(words: Sequence[str]) -> int:
    """The exit status of a command line; whatever stops it is said on standard error."""
    arguments = None
    if words and words[0] in RENAMED:
        say(f"glueline: {words[0]} is now called `glueline {RENAMED[words[0]]}`")
        return WRONG_INPUT
    try:
        try:
            arguments = build_parser(words).parse_args(words)
        except SystemExit as leaving:
            status = leaving.code if isinstance(leaving.code, int) else WRONG_INPUT
        else:
            status = int(arguments.run(arguments))
        sys.stdout.flush()
    except InputError as error:
        say(error)
        return WRONG_INPUT
    except ComputationError as error:
        say(f"glueline: {error}")
        return FAILED
    except BrokenPipeError:  # the reader of a pipe has left
        give_up_output()
        return DONE
    except KeyboardInterrupt:
        say(_stopped(arguments))
        return INTERRUPTED
    except MemoryError:
        say("glueline: not enough memory; try a larger --element-size")
        return FAILED
    except OSError as error:
        reason = f"{error.filename}: {error.strerror}" if error.filename else str(error)
        say(f"glueline: reading or writing failed: {reason}; check the disk and the permissions")
        give_up_output()
        return FAILED
    return status


def _stopped(arguments: argparse.Namespace | None) -> str:
    """What to say after Ctrl-C."""
    if arguments is not None and arguments.command in CARRIED_ON and arguments.out is not None:
        return "stopped; the same command carries on"
    return "stopped"
