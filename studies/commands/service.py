"""glueline service: what an everyday use asks of a corner, beside what the corner holds."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    JSON_HELP,
    add_file_argument,
    add_prediction_options,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.bench_specimens import expected_loads
from glueline.studies.commands.streams import print_json
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.units import LENGTH, UnitError, parse
from glueline.studies.files.words import one_of

if TYPE_CHECKING:
    from glueline.studies.bench_day.service.service_uses import Assumption, Use
    from glueline.studies.corner.specimen import Specimen

SERVICE_FILE = "service.json"
LARGEST_FACTOR = 100.0
JOINT_WIDTH = "joint_width"
NAMES = ("drawer", "box", "stool", "shelf")  # those of service_uses, which is slow to load


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE, --use and every option of predict."""
    add_file_argument(parser)
    parser.add_argument("--use", required=True, metavar="|".join(NAMES), help="the use")
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and mm"))
    parser.add_argument(
        "--assume",
        metavar="KEY=VALUE",
        action="append",
        default=[],
        help='another number than the usual one, such as contents="20 kg"; may be given again',
    )
    parser.add_argument("--safety-factor", metavar="N", help="other than the use's own")
    add_prediction_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Predict the corner as the use loads it, hold it against the use, print it; with --out also write it."""
    from glueline.studies.bench_day.service.service import serve, to_predict
    from glueline.studies.bench_day.service.service_page import service_page
    from glueline.studies.bench_day.service.service_report import service_text, written_service
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results
    from glueline.studies.files.results_folder import check_place, write_results_folder
    from glueline.studies.show.page_words import page_files, specimen_file, told_of_one

    use = _use(arguments.use)
    specimen = read_specimen(arguments.file, parsed_changes(arguments))
    request = prediction_request(arguments)
    request.check(specimen)
    given, assumptions = _assumed(use, specimen, arguments.assume)
    factor = None if arguments.safety_factor is None else _factor(arguments.safety_factor)
    wanted = to_predict(specimen, use, given)
    labels = [f"{each.kind} in {each.arrangement}" for each in wanted]
    if arguments.out is not None:
        names = (SERVICE_FILE, specimen_file("service"), *page_files("service"))
        check_place(arguments.out, "service", names)
    with optional_directory_for_results(arguments.out) as folder:
        estimates = expected_loads(labels, wanted, request)
        service = serve(specimen, estimates, use, given, assumptions, factor)
        text = json_text(written_service(service))
        units = shown_units(arguments, [specimen])
        if folder is not None:
            page = service_page(service, units)
            of_page = told_of_one("service", page, specimen, request, units)
            contents = {SERVICE_FILE: text.encode(), **of_page}
            write_results_folder(folder, "service", contents)
    if arguments.json:
        print_json(text)
    else:
        print(service_text(service, units))
        if folder is not None:
            print(f"\nwritten to {folder}: {', '.join(contents)}")
    return 0


def _use(name: str) -> Use:
    from glueline.materials.names import nearest
    from glueline.studies.bench_day.service.service_uses import USES
    from glueline.studies.files.toml_tables import printable

    if name.strip().casefold() in USES:
        return USES[name.strip().casefold()]
    near = nearest(name, USES)
    hint = f"did you mean {near}? It" if near else "it"
    message = f"is not a use known here: {hint} must be {one_of(list(USES))}"
    raise InputError((InputProblem("command line", "--use", printable(name, 60), message),))


def _assumed(
    use: Use, specimen: Specimen, texts: list[str]
) -> tuple[dict[str, float], tuple[Assumption, ...]]:
    """Every assumption in N and mm, with those typed, and the list of them. Raises InputError."""
    from glueline.materials.names import nearest
    from glueline.studies.bench_day.service.service import usual_joint_width
    from glueline.studies.bench_day.service.service_uses import Assumption
    from glueline.studies.files.toml_tables import printable

    known = {each.key: each for each in use.assumptions}
    known[JOINT_WIDTH] = Assumption(JOINT_WIDTH, "", LENGTH, "of the piece's joint")
    given = {each.key: parse(each.value, each.quantity) for each in use.assumptions}
    given[JOINT_WIDTH] = usual_joint_width(specimen, use)
    problems = []
    for text in texts:
        key, equals, value = (part.strip() for part in text.partition("="))
        if key not in known:
            near = nearest(key, known)
            hint = f"did you mean {near}? " if near else ""
            message = f"is not assumed for a {use.name}: {hint}it may be {one_of(list(known))}"
            problems.append(InputProblem("command line", "--assume", printable(text, 60), message))
            continue
        try:
            amount = parse(value, known[key].quantity) if equals else 0.0
            message = (
                f"must be {known[key].quantity.name} above zero, such as {key}={known[key].value or '250 mm'}"
            )
        except UnitError as error:
            amount, message = 0.0, str(error)
        if amount <= 0:
            problems.append(InputProblem("command line", f"--assume {key}", printable(value, 60), message))
            continue
        given[key] = amount
        known[key] = replace(known[key], value=value, source="the command line")
    if problems:
        raise InputError(tuple(problems))
    return given, tuple(each for key, each in known.items() if key != JOINT_WIDTH)


def _factor(text: str) -> float:
    """A safety factor of at least 1. Raises InputError."""
    from glueline.studies.files.toml_tables import printable

    try:
        factor = float(text)
    except ValueError:
        factor = 0.0
    if 1 <= factor <= LARGEST_FACTOR:
        return factor
    message = f"must be a number from 1 to {LARGEST_FACTOR:g}, without a unit"
    raise InputError((InputProblem("command line", "--safety-factor", printable(text, 60), message),))
