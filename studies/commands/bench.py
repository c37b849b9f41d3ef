"""glueline bench: what was broken, what it supports, and how the prediction did."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    add_prediction_options,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.bench_specimens import fitting_specimens, results_and_answers
from glueline.studies.commands.streams import print_json
from glueline.studies.files.failures import ComputationError, InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.bench_day.log.log_file import BenchLog
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request


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
    from glueline.studies.bench_day.comparison.bench_report import (
        bench_text,
        check_bench_place,
        write_bench,
        written_bench,
    )
    from glueline.studies.bench_day.comparison.comparison import compare
    from glueline.studies.bench_day.estimates.measured import measure
    from glueline.studies.bench_day.expected import kept_answer
    from glueline.studies.files.json_text import json_text
    from glueline.studies.rank.ranking import labels_of
    from glueline.studies.sweeps.progress import progress_bar

    log, specimens, request = checked_log(arguments)
    units = shown_units(arguments, specimens.values())
    if arguments.out is not None:
        check_bench_place(arguments.out)
    joints, pairs, notes = measure(log)
    with results_and_answers(arguments.out) as (folder, kept):
        answers, failed = {}, []
        with progress_bar(len(specimens), "specimen files", unit="file") as bar:
            for label, (path, specimen) in zip(labels_of(list(specimens)), specimens.items(), strict=True):
                bar.set_postfix_str(label)
                try:
                    answers[path] = kept_answer(label, specimen, request, kept).answer
                except ComputationError as error:
                    failed.append(f"not predicted, so only its breaks are judged: {error}")
                bar.update()
        calibrated = dict.fromkeys(
            each.glue.calibrated for each in specimens.values() if each.glue.calibrated
        )
        circular = [
            f"the glue behind these predictions was itself set from breaks: {text}" for text in calibrated
        ]
        comparison = compare(log, joints, pairs, answers, [*notes, *circular, *failed])
        written = () if folder is None else write_bench(comparison, folder, units)
    if arguments.json:
        print_json(json_text(written_bench(comparison)))
    else:
        print(bench_text(comparison, units))
        if folder is not None:
            print(f"\nwritten to {folder}: {', '.join(written)}")
    return 0


def checked_log(arguments: argparse.Namespace) -> tuple[BenchLog, dict[str, Specimen], Request]:
    """The log, its specimens by path and how to predict them. Raises InputError with all that is wrong."""
    from glueline.studies.bench_day.log.log_file import read_log
    from glueline.studies.bench_day.rig.rig_file import read_rig

    changes = parsed_changes(arguments)
    request = prediction_request(arguments)
    rig = None if arguments.rig is None else read_rig(arguments.rig)
    log = read_log(arguments.log, rig)
    problems: list[InputProblem] = []
    specimens = fitting_specimens(log.specimens, changes, request, rig, problems)
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    return log, dict(zip(log.specimens, specimens, strict=True)), request
