"""glueline rig: from the weight stacked on a rig to the force on the joint."""

from __future__ import annotations

import argparse

from glueline.studies.commands.arguments import AS_IN_RIG_FILE, JSON_HELP, add_units_argument
from glueline.studies.commands.streams import print_json


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of rig."""
    parser.add_argument("file", metavar="RIG", help="a rig file (TOML)")
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and kg"))
    parser.add_argument("--up-to", metavar="WEIGHT", help='how far the table goes, such as "120 kg"')
    add_units_argument(parser, usual=AS_IN_RIG_FILE)


def run(arguments: argparse.Namespace) -> int:
    """Read the rig and print how it passes weight on."""
    from glueline.studies.bench_day.rig.rig_file import read_rig
    from glueline.studies.bench_day.rig.rig_report import rig_text, stacked_table, usual_range, written_rig
    from glueline.studies.files.json_text import json_text

    rig = read_rig(arguments.file)
    up_to = usual_range(rig) if arguments.up_to is None else _up_to(arguments.up_to)
    units = arguments.units or rig.units
    stacked = stacked_table(up_to, units)
    if arguments.json:
        print_json(json_text(written_rig(rig, stacked)))
    else:
        print(rig_text(rig, stacked, units))
    return 0


def _up_to(text: str) -> float:
    """A weight in kg above zero. Raises InputError."""
    from glueline.studies.files.failures import InputError, InputProblem
    from glueline.studies.files.units import UnitError, parse_mass

    try:
        weight = parse_mass(text)
    except UnitError as error:
        message = str(error)
    else:
        if weight > 0:
            return weight
        message = "must be above zero"
    raise InputError((InputProblem("command line", "--up-to", text, message),))
