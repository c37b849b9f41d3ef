"""glueline bench: what was broken, what it supports, and how the prediction did."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import add_prediction_options, parsed_changes, prediction_request
from glueline.studies.files.failures import ComputationError, InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.bench_day.log.log_file import BenchLog
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.sweeps.worker import Request

ANSWERS = "answers"
"""Where predictions are kept, so that a second run need not make them again."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """LOG, --rig and the options of predict, which hold for every specimen of the log."""
    parser.add_argument("log", metavar="LOG", help="the log of the day (CSV), one row a specimen")
    parser.add_argument(
        "--rig", metavar="RIG", help="the rig file (TOML): held and broke are stacked weights"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object (N) only")
    add_prediction_options(parser, "write JSON, tables and pictures into this directory")


def run(arguments: argparse.Namespace) -> int:
    """Read the log, predict every specimen in it once, compare; with --out also write the directory."""
    from glueline.studies.bench_day.comparison.bench_report import bench_object, bench_text, write_bench
    from glueline.studies.bench_day.comparison.comparison import compare
    from glueline.studies.bench_day.estimates.measured import measure
    from glueline.studies.bench_day.expected import kept_answer
    from glueline.studies.files.output import optional_directory_for_results
    from glueline.studies.rank.ranking import labels_of
    from glueline.studies.sweeps.progress import progress_bar

    log, specimens, request = checked_log(arguments)
    joints, pairs, said = measure(log)
    answers_folder = None if arguments.out is None else Path(arguments.out) / ANSWERS
    with (
        optional_directory_for_results(arguments.out) as folder,
        optional_directory_for_results(answers_folder) as kept,
    ):
        answers, failed = {}, []
        with progress_bar(len(specimens), "specimen files", unit="file") as bar:
            for label, (path, specimen) in zip(labels_of(list(specimens)), specimens.items(), strict=True):
                bar.set_postfix_str(label)
                try:
                    answers[path] = kept_answer(label, specimen, request, kept)
                except ComputationError as error:
                    failed.append(f"not predicted, so only its breaks are judged: {error}")
                bar.update()
        calibrated = dict.fromkeys(
            each.glue.calibrated for each in specimens.values() if each.glue.calibrated
        )
        circular = [
            f"the glue behind these predictions was itself set from breaks: {text}" for text in calibrated
        ]
        found = compare(log, joints, pairs, answers, [*said, *circular, *failed])
        written = () if folder is None else write_bench(found, folder, arguments.units)
    if arguments.json:
        sys.stdout.write(
            json.dumps(bench_object(found), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
        )
    else:
        print(bench_text(found, arguments.units))
        if folder is not None:
            print(f"\nwritten to {folder}: {', '.join(written)}")
    return 0


def checked_log(arguments: argparse.Namespace) -> tuple[BenchLog, dict[str, Specimen], Request]:
    """The log, its specimens by path and how to predict them. Raises InputError with all that is wrong."""
    from glueline.studies.bench_day.log.log_file import read_log
    from glueline.studies.bench_day.rig.rig_file import read_rig
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.predict.predictor import check_request
    from glueline.studies.sweeps.worker import Request

    changes = parsed_changes(arguments)
    request = Request(**prediction_request(arguments))
    rig = None if arguments.rig is None else read_rig(arguments.rig)
    log = read_log(arguments.log, rig)
    specimens = {}
    problems: list[InputProblem] = []
    for path in log.specimens:
        try:
            specimen = read_specimen(path, changes)
            check_request(specimen, request.method, request.element_size, request.solver)
        except InputError as error:
            problems += error.problems
            continue
        specimens[path] = specimen
        if rig is not None and specimen.arrangement != rig.arrangement:
            message = (
                f"does not fit the rig, whose arrangement is {rig.arrangement}: change the one that is "
                f'wrong, or add --set "load.arrangement={rig.arrangement}"'
            )
            problems.append(InputProblem(path, "load.arrangement", f'"{specimen.arrangement}"', message))
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    return log, specimens, request
