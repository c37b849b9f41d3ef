"""glueline least: the least change with which the wood breaks first, or a load is reached."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    add_prediction_arguments,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.point_arguments import (
    add_vary_argument,
    add_worker_arguments,
    workers_of,
)
from glueline.studies.commands.streams import print_json
from glueline.studies.files.failures import InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.sweeps.goals import Goal

FOUND = "least.json"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of least."""
    add_prediction_arguments(parser, out="write what was found, and what report reads, into this directory")
    add_vary_argument(parser)
    sought = parser.add_mutually_exclusive_group(required=True)
    sought.add_argument(
        "--wood-first", action="store_true", help="seek a corner whose wood breaks before its glue"
    )
    sought.add_argument(
        "--reach",
        metavar="LOAD",
        help='seek a corner of which nearly all hold this load, such as "2 kN", "450 lbf" or "200 kg"',
    )
    parser.add_argument(
        "--confidence",
        metavar="PERCENT",
        help="with --reach: how many in a hundred corners must hold the load (95, the low end of the band; "
        "other shares are read from a lognormal spread through both ends)",
    )
    add_worker_arguments(parser)
    parser.description = (
        "Finds the least change of the first varied key, counted from its value in FILE, for which the wood "
        "breaks before the glue or a load is reached; of equal changes that with the least glue area, then "
        "the least wood. Where none does, it says so and names the nearest (found is false in the JSON)."
    )


def goal_of(arguments: argparse.Namespace) -> Goal:
    """What is sought. Raises InputError."""
    from glueline.studies.files.units import UnitError, parse_weight
    from glueline.studies.sweeps.goals import USUAL_CONFIDENCE, Reach, WoodFirst

    def refuse(option: str, value: str, message: str) -> InputError:
        return InputError((InputProblem("command line", option, value, message),))

    if arguments.wood_first:
        if arguments.confidence is not None:
            raise refuse("--confidence", arguments.confidence, "belongs to --reach: leave it out")
        return WoodFirst()
    try:
        load = parse_weight(arguments.reach)
    except UnitError as error:
        raise refuse("--reach", arguments.reach, str(error)) from None
    if load <= 0:
        raise refuse("--reach", arguments.reach, 'must be above zero, such as "2 kN"')
    if arguments.confidence is None:
        return Reach(load, USUAL_CONFIDENCE)
    try:
        confidence = float(arguments.confidence.strip().removesuffix("%"))
    except ValueError:
        confidence = 0.0
    if not 50.0 <= confidence <= 99.0:
        raise refuse("--confidence", arguments.confidence, "must be a percentage from 50 to 99, such as 95")
    return Reach(load, confidence)


def _check_scatter(arguments: argparse.Namespace) -> None:
    """Raises InputError where a load is to be reached and no answer will have the scatter for it."""
    if arguments.reach is None:
        return
    if arguments.method == "elastic":
        message = "the elastic answer has none: use --method progressive, or --wood-first"
    elif not arguments.band:
        message = "--no-band leaves it out: leave --no-band out, or use --wood-first"
    else:
        return
    message = f"needs the scatter, which tells what all but a few corners hold, and {message}"
    raise InputError((InputProblem("command line", "--reach", arguments.reach, message),))


def run(arguments: argparse.Namespace) -> int:
    """Seek and print what was found."""
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results
    from glueline.studies.files.results_folder import check_place, write_results_folder
    from glueline.studies.show.page_words import page_files, specimen_file, told_of_one
    from glueline.studies.sweeps.changes_page import least_page
    from glueline.studies.sweeps.least import changes_of, least_change
    from glueline.studies.sweeps.points import cross
    from glueline.studies.sweeps.progress import progress_bar
    from glueline.studies.sweeps.sweep import checked, lanes_for
    from glueline.studies.sweeps.tables import sought_text
    from glueline.studies.sweeps.vary import parse_varied

    goal = goal_of(arguments)
    _check_scatter(arguments)
    changes = parsed_changes(arguments)
    varied = parse_varied(arguments.vary)
    request = prediction_request(arguments)
    request = replace(request, band=request.band and goal.needs_band)
    points = cross(arguments.file, changes, varied)
    checked(points, request)
    distances = changes_of(arguments.file, changes, varied[0], points)
    keys = [each.key for each in varied]
    units = shown_units(arguments, [point.specimen for point in points])
    if arguments.out is not None:
        check_place(arguments.out, "least", (FOUND, specimen_file("least"), *page_files("least")))
    open_lanes = lanes_for(workers_of(arguments), arguments.cluster)
    with optional_directory_for_results(arguments.out) as folder:
        with progress_bar(len(points), "least") as bar, open_lanes(len(points)) as lanes:
            sought = least_change(points, distances, goal, request, lanes, bar.update)
        text = json_text(sought.to_json())
        if folder is not None:
            page = least_page(sought, goal, keys, units)
            own = _own_corner(arguments.file, changes) or sought.best.point.specimen
            contents = {} if own is None else told_of_one("least", page, own, request, units)
            write_results_folder(folder, "least", {**contents, FOUND: text.encode()})
    if arguments.json:
        print_json(text)
    else:
        print(sought_text(sought, goal, keys, units))
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0


def _own_corner(file: str, changes: Sequence[tuple[str, str]]) -> Specimen | None:
    """The corner that changes are counted from; None where the file says too little to be one."""
    from glueline.studies.corner.specimen_file import read_specimen

    try:
        return read_specimen(file, changes)
    except InputError:
        return None
