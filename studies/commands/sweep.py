"""glueline sweep: one corner with some of its keys varied."""

from __future__ import annotations

import argparse

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

MOST_ROWS_SHOWN = 60


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of sweep."""
    add_prediction_arguments(
        parser, out="keep the points in this directory (required); a sweep stopped in it is carried on"
    )
    add_vary_argument(parser)
    add_worker_arguments(parser)
    parser.description = (
        "Predicts one corner for every value of one or more keys. DIR gets results.csv (a row a point), "
        "sweep.png, sweep.json (what was asked), points.jsonl (every whole answer), provenance.json (the "
        "source of every value) and, once all is there, a manifest. The same command and DIR carry on where "
        "a sweep was stopped, however it was stopped."
    )


def run(arguments: argparse.Namespace) -> int:
    """Sweep, keeping every point; print a table of all of them, or with --json one object."""
    from glueline.studies.corner.specimen_file import files_of
    from glueline.studies.files.failures import ComputationError, InputError, InputProblem
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import refuse_overwriting
    from glueline.studies.show.canvas import as_png, own_style
    from glueline.studies.show.record import RECORD_FILE
    from glueline.studies.sweeps.leftover import fingers_of
    from glueline.studies.sweeps.materials import sweep_record
    from glueline.studies.sweeps.points import cross
    from glueline.studies.sweeps.progress import progress_bar
    from glueline.studies.sweeps.rows import table
    from glueline.studies.sweeps.store import PICTURE, SWEEP_FILES, open_store
    from glueline.studies.sweeps.sweep import checked, described, lanes_for, sweep
    from glueline.studies.sweeps.sweep_plot import draw_sweep
    from glueline.studies.sweeps.tables import sweep_table
    from glueline.studies.sweeps.vary import parse_varied

    if arguments.out is None:
        message = "is missing: name the directory that keeps the points, such as --out sweep"
        raise InputError((InputProblem("command line", "--out", None, message),))
    changes = parsed_changes(arguments)
    varied = parse_varied(arguments.vary)
    request = prediction_request(arguments)
    points = cross(arguments.file, changes, varied)
    checked(points, request)
    units = shown_units(arguments, [point.specimen for point in points])
    read = files_of([point.specimen for point in points if point.specimen is not None])
    refuse_overwriting(arguments.out, SWEEP_FILES, read)
    keys, values = [each.key for each in varied], [point.values for point in points]
    asked = described(points, varied, request)
    with open_store(arguments.out, asked, values) as store:
        with progress_bar(len(points), "sweep", len(store.finished)) as bar:
            sweep(points, request, store, lanes_for(workers_of(arguments), arguments.cluster), bar.update)
        finished = store.brief_points()
        with own_style():
            counted = {point.number: fingers_of(point.specimen) for point in points}
            fingers = {number: each for number, each in counted.items() if each is not None}
            sheet = draw_sweep(keys, finished, units, fingers)
            picture = None if sheet is None else as_png(sheet)
        whole = table(keys, store.finished.values()) if arguments.json else None
        if picture is not None:
            store.write(PICTURE, picture)
            store.write(RECORD_FILE, sweep_record(points, request, units))
    if whole is not None:
        columns, rows = whole
        print_json(json_text({"vary": asked.vary, "columns": columns, "points": rows}))
    else:
        print(sweep_table(keys, finished, units, MOST_ROWS_SHOWN))
        print(f"\nwritten to {arguments.out}")
    if picture is None:
        reason = f"not one point has an answer, such as: {finished[0].error}"
        raise ComputationError("the sweep", reason, f"every reason is in {arguments.out}")
    return 0
