"""glueline plan: a bench day from predicted bands."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    AS_IN_FIRST_FILE,
    JSON_HELP,
    add_prediction_options,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.bench_specimens import expected_loads, fitting_specimens, results_and_answers
from glueline.studies.commands.streams import print_json
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.units import UnitError, Units, parse_length, parse_mass, parse_share

if TYPE_CHECKING:
    from glueline.studies.bench_day.plan.plan import Wishes
    from glueline.studies.bench_day.rig.rig import Rig
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of plan: those of predict for every FILE, and the day's own."""
    parser.add_argument("files", metavar="FILE", nargs="+", help="specimen files (TOML), one a joint")
    parser.add_argument("--rig", metavar="RIG", required=True, help="the rig file (TOML)")
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N, mm, kg"))
    parser.add_argument(
        "--confidence", metavar="SHARE", default="95 %", help="of telling joints apart (95 %%)"
    )
    parser.add_argument("--power", metavar="SHARE", default="80 %", help="of finding a difference (80 %%)")
    parser.add_argument("--most", metavar="N", type=int, default=12, help="most specimens of one joint (12)")
    parser.add_argument(
        "--margin", metavar="SHARE", default="20 %", help="weight beyond the 95 %% value (20 %%)"
    )
    parser.add_argument("--drop", metavar="LENGTH", help="gap above the catch block (25 mm or 1 in)")
    parser.add_argument("--kerf", metavar="LENGTH", help="what the saw takes (3 mm or 1/8 in)")
    parser.add_argument("--board-length", metavar="LENGTH", help="boards to cut from (2400 mm or 96 in)")
    parser.add_argument("--plates", metavar="WEIGHTS", help='plates there are, such as "1 kg, 2.5 kg, 5 kg"')
    add_prediction_options(parser, units=AS_IN_FIRST_FILE)


def run(arguments: argparse.Namespace) -> int:
    """Predict every specimen, plan the day, print it; with --out also write the sheets."""
    from glueline.studies.bench_day.plan.cut_list import BlankTooLong
    from glueline.studies.bench_day.plan.plan import make_plan
    from glueline.studies.bench_day.plan.plan_page import plan_page
    from glueline.studies.bench_day.plan.plan_report import plan_text, refuse_loss, write_plan, written_plan
    from glueline.studies.files.display import words_in_units
    from glueline.studies.files.json_text import json_text
    from glueline.studies.rank.ranking import labels_of
    from glueline.studies.show.page_words import told

    rig, specimens, request, wishes = _checked(arguments)
    units = shown_units(arguments, specimens)
    if arguments.out is not None:
        refuse_loss(arguments.out, labels_of(arguments.files))
    with results_and_answers(arguments.out) as (folder, kept):
        estimates = expected_loads(labels_of(arguments.files), specimens, request, kept)
        try:
            plan = make_plan(estimates, rig, wishes)
        except BlankTooLong as error:
            words = words_in_units(str(error), units)
            problem = InputProblem("command line", "--board-length", arguments.board_length, words)
            raise InputError((problem,)) from None
        written: tuple[str, ...] = ()
        if folder is not None:
            corners = {each.label: each.specimen for each in plan.estimates}
            of_page = told("plan", plan_page(plan, units), corners, request, units)
            written = write_plan(plan, folder, units, of_page)
    if arguments.json:
        print_json(json_text(written_plan(plan)))
    else:
        print(plan_text(plan, units))
        if folder is not None:
            print(f"\nwritten to {folder}: {', '.join(written)}")
    return 0


def _checked(arguments: argparse.Namespace) -> tuple[Rig, list[Specimen], Request, Wishes]:
    """Rig, specimens and options. Raises InputError with everything that is wrong in any of them."""
    from glueline.studies.bench_day.rig.rig_file import read_rig

    problems: list[InputProblem] = []
    changes = parsed_changes(arguments)
    request = prediction_request(arguments)
    of_specimens: list[InputProblem] = []
    rig = None
    try:
        rig = read_rig(arguments.rig)
    except InputError as error:
        problems += error.problems
    specimens = fitting_specimens(arguments.files, changes, request, rig, of_specimens)
    wishes = _wishes(arguments, shown_units(arguments, specimens), problems)
    problems += of_specimens
    if problems or rig is None:
        raise InputError(tuple(dict.fromkeys(problems)))
    return rig, specimens, request, wishes


def _wishes(arguments: argparse.Namespace, units: Units, problems: list[InputProblem]) -> Wishes:
    """The day's own options; what is wrong is noted in ``problems``."""
    from glueline.studies.bench_day.plan.plan import Wishes, usual_wishes

    usual = usual_wishes(units)

    def read(option: str, text: str | None, parser: Callable[[str], float], low: float, high: float) -> float:
        if text is None:
            return high
        try:
            value = parser(text)
        except UnitError as error:
            problems.append(InputProblem("command line", option, text, str(error)))
            return high
        if not low <= value <= high:
            problems.append(InputProblem("command line", option, text, RANGES[option]))
        return value

    for option, number, least, most in (
        ("--most", arguments.most, 3, 1000),
        ("--seed", arguments.seed, 0, 2**32),
    ):
        if not least <= number <= most:
            right = f"must be a whole number from {least} to {most}"
            problems.append(InputProblem("command line", option, str(number), right))
    plates = usual.plates_kg
    if arguments.plates is not None:
        plates = tuple(
            sorted(
                read("--plates", text.strip(), parse_mass, 0.01, 1000) for text in arguments.plates.split(",")
            )
        )
    lengths = {
        name: usual_length if text is None else read(option, text, parse_length, low, high)
        for name, option, text, usual_length, low, high in (
            ("drop", "--drop", arguments.drop, usual.drop, 1, 500),
            ("kerf", "--kerf", arguments.kerf, usual.kerf, 0, 20),
            ("board_length", "--board-length", arguments.board_length, usual.board_length, 100, 20_000),
        )
    }
    return Wishes(
        confidence=read("--confidence", arguments.confidence, parse_share, 0.5, 0.9999),
        power=read("--power", arguments.power, parse_share, 0.5, 0.9999),
        margin=read("--margin", arguments.margin, parse_share, 0, 5),
        most=arguments.most,
        seed=arguments.seed,
        round_up=usual.round_up,
        plates_kg=plates,
        **lengths,
    )


RANGES = {
    "--plates": 'must be plates between 10 g and 1000 kg, such as "1 kg, 2.5 kg, 5 kg"',
    "--drop": "must lie between 1 mm and 500 mm",
    "--kerf": "must lie between 0 mm and 20 mm",
    "--board-length": "must lie between 100 mm and 20 m",
    "--confidence": "must lie between 50 % and 99.99 %",
    "--power": "must lie between 50 % and 99.99 %",
    "--margin": "must lie between 0 % and 500 %",
}
"""What would be right where a number is out of range, by option."""
