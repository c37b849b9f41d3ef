"""glueline influence: what a maker does not control well, by how much it moves the break load."""

from __future__ import annotations

import argparse
import json
import sys

from studies.commands.arguments import add_prediction_arguments, parsed_changes
from studies.commands.point_arguments import add_worker_arguments, request_of, workers_of

PICTURE, BARS = "influence.png", "influence.json"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of influence."""
    add_prediction_arguments(parser, out="write the bars as a picture and the JSON into this directory")
    add_worker_arguments(parser)
    parser.description = (
        "Moves everything a maker does not control well (stiffness and strengths of the wood, quality of the "
        "glue, gap, coverage, moisture, ring direction, thickness, a load off its line) one at a time over a "
        "stated range and ranks it by the change of the break load. With --out: influence.png and "
        "influence.json."
    )


def run(arguments: argparse.Namespace) -> int:
    """Rank the influences and print them; with --out also write the picture and the JSON."""
    from studies.figures.canvas import as_png
    from studies.figures.influence_bars import draw_influences
    from studies.output import optional_directory_for_results, refuse_overwriting, write_whole
    from studies.predictor import check_request
    from studies.specimen_file import files_of, read_specimen
    from studies.sweeps.influence import influences, points_of
    from studies.sweeps.progress import progress_bar
    from studies.sweeps.ranges import ranges_of
    from studies.sweeps.sweep import lanes_for
    from studies.sweeps.tables import influence_table

    specimen = read_specimen(arguments.file, parsed_changes(arguments))
    request = request_of(arguments, band=False)
    check_request(specimen, request.method, request.element_size, request.solver)
    if arguments.out is not None:
        refuse_overwriting(arguments.out, (PICTURE, BARS), files_of([specimen]))
    count = len(points_of(specimen, ranges_of(specimen)))
    open_lanes = lanes_for(workers_of(arguments), arguments.cluster)
    with optional_directory_for_results(arguments.out) as folder:
        with progress_bar(count, "influence") as bar, open_lanes(count) as lanes:
            ranking = influences(specimen, request, lanes, bar.update)
        text = (
            json.dumps([each.to_json() for each in ranking.influences], indent=2, ensure_ascii=False) + "\n"
        )
        if folder is not None:
            write_whole(folder / PICTURE, as_png(draw_influences(ranking, arguments.units)))
            write_whole(folder / BARS, text.encode())
    if arguments.json:
        sys.stdout.write(text)
    else:
        print(influence_table(ranking, arguments.units))
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0
