"""glueline influence: what a maker does not control well, by how much it moves the break load."""

from __future__ import annotations

import argparse

from glueline.studies.commands.arguments import (
    add_prediction_arguments,
    parsed_changes,
    prediction_request,
    shown_units,
)
from glueline.studies.commands.point_arguments import add_worker_arguments, workers_of
from glueline.studies.commands.streams import print_json

PICTURE, BARS = "influence.png", "influence.json"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of influence."""
    add_prediction_arguments(parser, out="write the bars as a picture, and what report reads, into it")
    add_worker_arguments(parser)
    parser.description = (
        "Moves everything a maker does not control well (stiffness and strengths of the wood, quality of the "
        "glue, gap, coverage, moisture, ring direction, thickness, a load off its line, each judged row of "
        "the glue table) one at a time over a stated range and ranks it by the change of the break load; "
        "--no-band leaves the judged rows out. With --out: the bars, the JSON and what report needs."
    )


def run(arguments: argparse.Namespace) -> int:
    """Rank the influences and print them; with --out also write the picture and the JSON."""
    from glueline.studies.corner.specimen_file import files_of, read_specimen
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results, refuse_overwriting
    from glueline.studies.files.results_folder import check_place, write_results_folder
    from glueline.studies.show.canvas import drawn
    from glueline.studies.show.page_words import page_files, specimen_file, told_of_one
    from glueline.studies.sweeps.changes_page import influence_page
    from glueline.studies.sweeps.influence import influences, points_of
    from glueline.studies.sweeps.influence_bars import draw_influences
    from glueline.studies.sweeps.progress import progress_bar
    from glueline.studies.sweeps.ranges import ranges_of
    from glueline.studies.sweeps.sweep import lanes_for
    from glueline.studies.sweeps.tables import influence_table

    specimen = read_specimen(arguments.file, parsed_changes(arguments))
    units = shown_units(arguments, [specimen])
    request = prediction_request(arguments)
    request.check(specimen)
    if arguments.out is not None:
        names = (PICTURE, BARS, specimen_file("influence"), *page_files("influence"))
        refuse_overwriting(arguments.out, names, files_of([specimen]))
        check_place(arguments.out, "influence", names)
    count = len(points_of(specimen, ranges_of(specimen)))
    open_lanes = lanes_for(workers_of(arguments), arguments.cluster)
    with optional_directory_for_results(arguments.out) as folder:
        with progress_bar(count, "influence") as bar, open_lanes(count) as lanes:
            ranking = influences(specimen, request, lanes, bar.update)
        text = json_text([each.to_json() for each in ranking.influences])
        if folder is not None:
            picture = drawn(draw_influences, ranking, units)
            page = influence_page(ranking, units, PICTURE)
            contents = told_of_one("influence", page, specimen, request, units)
            write_results_folder(folder, "influence", {**contents, PICTURE: picture, BARS: text.encode()})
    if arguments.json:
        print_json(text)
    else:
        print(influence_table(ranking, units))
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0
