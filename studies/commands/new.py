"""glueline new: a specimen file or a rig file to begin with, by questions or for a kind of joint at once."""

from __future__ import annotations

import argparse
import os
import sys

from glueline.studies.commands.arguments import UNITS
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.units import Units

RIG = "rig"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of new."""
    parser.add_argument(
        "kind",
        metavar="KIND",
        nargs="*",
        help="a kind of joint (`glueline list joints`), or rig; without one, questions are asked",
    )
    parser.add_argument("--units", choices=UNITS, help="units of the file (metric, or as is asked)")
    parser.add_argument(
        "--write", metavar="FILE", help="write this file, which must not be there yet, and print nothing"
    )


def run(arguments: argparse.Namespace) -> int:
    """Print the file, or write it; without a kind, ask first."""
    if arguments.write is not None:
        _refuse_what_is_there(arguments.write)
    name = " ".join(arguments.kind)
    if not name:
        return _by_questions(arguments)
    text = _text_of(name, arguments.units or "metric")
    if arguments.write is None:
        sys.stdout.write(text)
    else:
        write_new(arguments.write, text)
    return 0


def _text_of(name: str, units: Units) -> str:
    """The file for a kind of joint, or for a rig. Raises InputError for any other name."""
    from glueline.geometries import JOINTS
    from glueline.materials.names import nearest, plain
    from glueline.studies.bench_day.rig.new_rig import rig_file_text
    from glueline.studies.corner.new_corner import corner_text, usual_corner
    from glueline.studies.files.key_changes import find_joint, joint_names
    from glueline.studies.files.words import one_of

    if plain(name) == RIG:
        return rig_file_text(units)
    kind = find_joint(name)
    if kind is None:
        near = nearest(name, [*joint_names(), RIG])
        hint = f"did you mean {near}? It" if near else "it"
        raise _wrong("new", name, f"is not a joint known here: {hint} must be {one_of([*JOINTS, RIG])}")
    return corner_text(usual_corner(kind, units), units)


def _by_questions(arguments: argparse.Namespace) -> int:
    if not (sys.stdin is not None and sys.stdin.isatty() and sys.stdout.isatty()):
        message = (
            "asks its questions at a terminal, and this is none: name a kind of joint, such as "
            "`glueline new finger --write drawer.toml` (kinds: `glueline list joints`)"
        )
        raise InputError((InputProblem("glueline new", "", None, message),))
    from glueline.studies.commands.new_questions import ask

    try:
        file, text = ask(arguments.units, arguments.write)
    except EOFError:  # Ctrl-D
        raise KeyboardInterrupt from None
    write_new(file, text)
    shown = f'"{file}"' if " " in file else file
    print(f"written to {file}. Next:\n    glueline predict {shown}")
    return 0


def refusal(path: str) -> str | None:
    """Why no new file can be written at a path, None where one can."""
    if not path.strip():
        return "is empty; give the name of a file"
    if os.path.lexists(path):
        return "is there already and is never written over: give another name"
    folder = os.path.dirname(path) or "."
    if not os.path.isdir(folder):
        return f"lies in a folder that is not there, {folder}: make it first, or give another name"
    return None


def _refuse_what_is_there(path: str) -> None:
    message = refusal(path)
    if message is not None:
        raise _wrong("--write", path, message)


def write_new(path: str, text: str) -> None:
    """Write a file that is not there yet. Raises InputError where it is, OSError as writing does."""
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        _refuse_what_is_there(path)
        raise
    except ValueError as error:
        raise _wrong("--write", path, f"cannot be the name of a file: {error}") from None


def _wrong(option: str, value: str, message: str) -> InputError:
    return InputError((InputProblem("command line", option, value, message),))
