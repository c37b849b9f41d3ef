"""glueline bench: what was broken, what it supports, and how the prediction did."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    AS_IN_LOGGED_FILE,
    JSON_HELP,
    OUT_HELP,
    add_prediction_options,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.bench_specimens import fitting_specimens, results_and_answers
from glueline.studies.commands.streams import print_json, say
from glueline.studies.files.failures import ComputationError, InputError, InputProblem

if TYPE_CHECKING:
    from pathlib import Path

    from glueline.studies.bench_day.log.log_file import BenchLog
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.answer import Answer
    from glueline.studies.predict.request import Request


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """LOG, --rig, --force and the options of predict, which hold for every specimen of the log."""
    parser.add_argument(
        "logs",
        metavar="LOG",
        nargs="+",
        help="the log of a day (CSV or XLSX), one row a specimen; of several days, each",
    )
    parser.add_argument(
        "--rig",
        metavar="RIG",
        action="append",
        help="the rig file (TOML) of stacked weights; once for all logs, or once for each in their order",
    )
    add_force_argument(parser)
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N"))
    add_prediction_options(parser, OUT_HELP, AS_IN_LOGGED_FILE)


def add_force_argument(parser: argparse.ArgumentParser) -> None:
    """--force, for logs that do not say themselves what their loads are."""
    parser.add_argument(
        "--force", action="store_true", help="the loads are force on the joint: no rig turns them into it"
    )


def run(arguments: argparse.Namespace) -> int:
    """Read the log, predict every specimen in it once, compare; with --out also write the directory."""
    from glueline.studies.bench_day.comparison.bench_page import bench_page
    from glueline.studies.bench_day.comparison.bench_report import (
        bench_text,
        check_bench_place,
        write_bench,
        written_bench,
    )
    from glueline.studies.bench_day.comparison.break_photos import shown_breaks
    from glueline.studies.bench_day.comparison.comparison import compare
    from glueline.studies.bench_day.estimates.doubtful_rows import doubts
    from glueline.studies.bench_day.estimates.measured import measure
    from glueline.studies.files.json_text import json_text
    from glueline.studies.show.page_words import told

    typed = f"glueline bench {shlex.join(arguments.logs)}"
    log, specimens, request = checked_log(
        arguments, arguments.logs, arguments.rig or (), lambda further: f"{typed} {further}"
    )
    units = shown_units(arguments, specimens.values())
    if arguments.out is not None:
        check_bench_place(arguments.out)
    joints, pairs, notes = measure(log)
    with results_and_answers(arguments.out) as (folder, kept):
        answers, failed = _answers(specimens, request, kept)
        calibrated = dict.fromkeys(
            each.glue.calibrated for each in specimens.values() if each.glue.calibrated
        )
        circular = [
            f"the glue behind these predictions was itself set from breaks: {text}" for text in calibrated
        ]
        comparison = compare(log, joints, pairs, answers, [*notes, *circular, *failed])
        written: tuple[str, ...] = ()
        if folder is not None:
            predicted = {path: specimens[path] for path in answers}
            breaks = shown_breaks(log, predicted, request)
            page = bench_page(comparison, units, breaks.parts)
            of_page = told("bench", page, _labelled(predicted or specimens), request, units)
            written = write_bench(comparison, folder, units, {**of_page, **breaks.files})
    for words in doubts(log, comparison.doubtful):
        say(words)
    if arguments.json:
        print_json(json_text(written_bench(comparison)))
    else:
        print(bench_text(comparison, units))
        if folder is not None:
            print(f"\nwritten to {folder}: {', '.join(written)}")
    return 0


def _answers(
    specimens: Mapping[str, Specimen], request: Request, kept: Path | None
) -> tuple[dict[str, Answer], list[str]]:
    """The answers by path, and why others have none; the same joint on several days is predicted once."""
    from glueline.studies.bench_day.expected import kept_answers
    from glueline.studies.rank.ranking import labels_of
    from glueline.studies.sweeps.progress import progress_bar

    labels = labels_of(list(specimens))
    answers, failed = {}, []
    with progress_bar(len(specimens), "specimen files", unit="file") as bar:

        def done(label: str) -> None:
            bar.set_postfix_str(label)
            bar.update()

        found = kept_answers(labels, list(specimens.values()), request, kept, done)
    for path, answer in zip(specimens, found, strict=True):
        if isinstance(answer, ComputationError):
            failed.append(f"not predicted, so only its breaks are judged: {answer}")
        else:
            answers[path] = answer.answer
    return answers, failed


def _labelled(specimens: Mapping[str, Specimen]) -> dict[str, Specimen]:
    """Each specimen by the label of its file."""
    from glueline.studies.rank.ranking import labels_of

    return dict(zip(labels_of(list(specimens)), specimens.values(), strict=True))


def checked_log(
    arguments: argparse.Namespace, logs: Sequence[str], rigs: Sequence[str], typed: Callable[[str], str]
) -> tuple[BenchLog, dict[str, Specimen], Request]:
    """The logs as one, their specimens by path and how to predict them.

    ``typed`` gives the command line with options added. Raises InputError with all that is wrong.
    """
    from glueline.studies.bench_day.log.log_file import read_logs
    from glueline.studies.bench_day.rig.rig_file import read_rig

    changes = parsed_changes(arguments)
    request = prediction_request(arguments)
    log = read_logs(logs, [read_rig(rig) for rig in rigs], force=arguments.force, typed=typed)
    problems: list[InputProblem] = []
    specimens: dict[str, Specimen] = {}
    for day in log.days or (log,):
        found = fitting_specimens(day.specimens, changes, request, day.rig, problems)
        if not problems:
            specimens |= zip(day.specimens, found, strict=True)
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    return log, {path: specimens[path] for path in log.specimens}, request
