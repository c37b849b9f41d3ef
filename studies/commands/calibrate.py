"""glueline calibrate: the quality of a glue from breaks of simple joints, written as a glue file."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from glueline.studies.commands.arguments import add_prediction_options
from glueline.studies.commands.bench import checked_log
from glueline.studies.files.failures import ComputationError

if TYPE_CHECKING:
    from glueline.studies.bench_day.calibration.calibrated_glue import Chosen
    from glueline.studies.bench_day.calibration.calibration import Calibration
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.sweeps.worker import Request


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of calibrate: those of predict for every specimen of the log, and its own."""
    parser.add_argument("log", metavar="LOG", help="the log of a bench day (CSV)")
    parser.add_argument(
        "--using",
        metavar="LABEL[,LABEL]",
        required=True,
        help="the joints to calibrate by: cheap coupons or the plain butt, whose glue breaks",
    )
    parser.add_argument("--write", metavar="GLUE", required=True, help="the glue file to write (TOML)")
    parser.add_argument("--rig", metavar="RIG", help="the rig file (TOML), where the log has stacked weights")
    parser.add_argument("--json", action="store_true", help="print one JSON object only")
    add_prediction_options(parser, out=None)


def run(arguments: argparse.Namespace) -> int:
    """Predict the chosen joints at several qualities, fit, write the glue file and print what was found."""
    from glueline.studies.bench_day.calibration.calibrated_glue import (
        glue_file_text,
        groups_of,
        loads_by_quality,
        one_by_one,
        origin,
        rig_error,
    )
    from glueline.studies.bench_day.calibration.calibration import QUALITIES, calibrate
    from glueline.studies.corner.reuse import Reuse
    from glueline.studies.files.output import write_whole
    from glueline.studies.sweeps.progress import progress_bar

    chosen, specimens, request = _checked(arguments)
    loads = {}
    with progress_bar(len(chosen.specimens) * len(QUALITIES), "qualities", unit="corner") as bar:
        for path in chosen.specimens:
            loads[path] = loads_by_quality(specimens[path], request, Reuse(), bar.update)
    calibration = calibrate(groups_of(chosen, loads), rig_error(chosen))
    if calibration.quality is not None:
        said = origin(chosen, calibration, request.method or "progressive")
        text = glue_file_text(chosen, calibration.quality, said, arguments.write)
        write_whole(arguments.write, text.encode())
    found = _object(arguments, chosen, calibration, request, one_by_one(chosen, loads))
    if arguments.json:
        sys.stdout.write(json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False) + "\n")
    elif calibration.quality is not None:
        print(_text(found))
    if calibration.quality is None:
        raise ComputationError(
            "calibrating",
            "the quality cannot be told: " + "; ".join(calibration.said),
            "nothing is written; break more specimens, in other steps, of a joint whose glue gives",
        )
    return 0


def _checked(arguments: argparse.Namespace) -> tuple[Chosen, dict[str, Specimen], Request]:
    """What to calibrate by. Raises InputError with everything that is wrong."""
    from glueline.studies.bench_day.calibration.calibrated_glue import check_target, choose, chosen_labels

    check_target(arguments.write)
    log, specimens, request = checked_log(arguments)
    return choose(log, chosen_labels(log, arguments.using), specimens), specimens, request


def _object(
    arguments: argparse.Namespace,
    chosen: Chosen,
    calibration: Calibration,
    request: Request,
    alone: Mapping[str, Calibration],
) -> dict[str, Any]:
    """The calibration for JSON; shares are of one."""
    from glueline.studies.bench_day.calibration.calibrated_glue import remarks

    written = calibration.quality is not None
    return {
        "quality": calibration.quality,
        "interval": _pair(calibration),
        "n": calibration.count,
        "glue": chosen.glue.name,
        "using": list(chosen.labels),
        "one_by_one": [
            {"label": label, "quality": each.quality, "interval": _pair(each), "n": each.count}
            for label, each in alone.items()
        ],
        "spread_of_log_load": calibration.spread,
        "method": request.method or "progressive",
        "written": arguments.write if written else None,
        "notes": [*chosen.log.said, *remarks(chosen, calibration)],
    }


def _pair(calibration: Calibration) -> list[float | None] | None:
    return None if calibration.interval is None else list(calibration.interval)


def _words(found: Mapping[str, Any]) -> str:
    """A quality with its limits."""
    if found["quality"] is None:
        return "cannot be told"
    text = f"{100 * found['quality']:.1f} %"
    if found["interval"] is None:
        return text
    low, high = (f"{100 * end:.0f} %" if end is not None else "no limit" for end in found["interval"])
    return f"{text}, 95 % limits {low} to {high}"


def _text(found: Mapping[str, Any]) -> str:
    """The calibration for people."""
    count = found["n"]
    lines = [
        f"Quality of the glue {found['glue']}: {_words(found)}",
        f"by maximum likelihood on {count} interval{'s' if count > 1 else ''} of {', '.join(found['using'])} "
        f"({found['method']} predictions)",
        *(f"by {each['label']} alone: {_words(each)}" for each in found["one_by_one"]),
        *(f"note: {note}" for note in found["notes"]),
        f'written to {found["written"]}; name it as [glue] kind = "PATH" in a specimen file, or with '
        f"--set glue.kind={found['written']}",
    ]
    return "\n".join(lines)
