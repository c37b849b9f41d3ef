"""glueline calibrate: the quality of a glue from breaks of simple joints, written as a glue file."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Callable
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import AS_IN_LOGGED_FILE, JSON_HELP, add_prediction_options
from glueline.studies.commands.bench import add_force_argument, checked_log
from glueline.studies.commands.streams import print_json, say
from glueline.studies.files.failures import ComputationError

if TYPE_CHECKING:
    from glueline.studies.bench_day.calibration.calibrated_glue import Chosen
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of calibrate: those of predict for every specimen of the log, and its own."""
    parser.add_argument("log", metavar="LOG", help="the log of a bench day (CSV or XLSX)")
    parser.add_argument(
        "--using",
        metavar="LABEL[,LABEL]",
        required=True,
        help="the joints to calibrate by: cheap coupons or the plain butt, whose glue breaks",
    )
    parser.add_argument("--write", metavar="GLUE", required=True, help="the glue file to write (TOML)")
    parser.add_argument("--rig", metavar="RIG", help="the rig file (TOML), where the log has stacked weights")
    add_force_argument(parser)
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and shares"))
    add_prediction_options(parser, out=None, units=AS_IN_LOGGED_FILE)


def run(arguments: argparse.Namespace) -> int:
    """Predict the chosen joints at several qualities, fit, write the glue file and print what came of it."""
    from glueline.studies.bench_day.calibration.calibrated_glue import (
        calibrated,
        glue_file_text,
        loads_by_quality,
        one_by_one,
        origin_words,
    )
    from glueline.studies.bench_day.calibration.calibration import QUALITIES
    from glueline.studies.bench_day.calibration.calibration_report import (
        calibration_text,
        written_calibration,
    )
    from glueline.studies.bench_day.estimates.doubtful_rows import doubtful_rows, doubts
    from glueline.studies.corner.reuse import Reuse
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import write_atomically
    from glueline.studies.sweeps.progress import progress_bar

    chosen, specimens, request = _checked(arguments)
    method = request.method
    for words in doubts(chosen.log, doubtful_rows(chosen.log, {})):
        say(words)
    loads = {}
    with progress_bar(len(chosen.specimens) * len(QUALITIES), "qualities", unit="corner") as bar:
        for path in chosen.specimens:
            loads[path] = loads_by_quality(specimens[path], request, Reuse(), bar.update)
    calibration = calibrated(chosen, loads)
    if calibration.quality is not None:
        origin = origin_words(chosen, calibration, method)
        text = glue_file_text(chosen, calibration, origin, arguments.write)
        write_atomically(arguments.write, text.encode())
    written = written_calibration(chosen, calibration, one_by_one(chosen, loads), method, arguments.write)
    if arguments.json:
        print_json(json_text(written))
    elif calibration.quality is not None:
        print(calibration_text(written))
    if calibration.quality is None:
        raise ComputationError(
            "calibrating",
            "the quality cannot be told: " + "; ".join(calibration.remarks),
            "nothing is written; break more specimens, in other steps, of a joint whose glue gives",
        )
    return 0


def _typed(arguments: argparse.Namespace) -> Callable[[str], str]:
    """The command line with options added to it."""
    ends = shlex.join(["--using", arguments.using, "--write", arguments.write])
    return lambda further: f"glueline calibrate {shlex.join([arguments.log])} {further} {ends}"


def _checked(arguments: argparse.Namespace) -> tuple[Chosen, dict[str, Specimen], Request]:
    """What to calibrate by. Raises InputError with everything that is wrong."""
    from glueline.studies.bench_day.calibration.calibrated_glue import check_target, choose, chosen_labels

    check_target(arguments.write)
    log, specimens, request = checked_log(
        arguments, [arguments.log], [] if arguments.rig is None else [arguments.rig], _typed(arguments)
    )
    return choose(log, chosen_labels(log, arguments.using), specimens), specimens, request
