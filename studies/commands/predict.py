"""glueline predict: one specimen, one answer."""

from __future__ import annotations

import argparse
from os.path import basename, splitext

from glueline.studies.commands.arguments import (
    add_prediction_arguments,
    add_slide_option,
    parsed_changes,
    prediction_request,
    refuse_without_out,
    shown_units,
)
from glueline.studies.commands.collector import seldom_collecting
from glueline.studies.commands.streams import print_json


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of predict."""
    add_prediction_arguments(parser)
    parser.add_argument(
        "--replace",
        action="store_true",
        help="with --out: let the answer take the place of one that was made there from another file",
    )
    parser.add_argument(
        "--all-pictures",
        action="store_true",
        help="with --out: also draw stresses, tractions, moments and the load curve past the break",
    )
    add_slide_option(parser)
    parser.add_argument(
        "--animate",
        action="store_true",
        help="with --out: also draw path.gif, the weight rising and the glue letting go",
    )


def run(arguments: argparse.Namespace) -> int:
    """Predict and print; with --out also write the directory."""
    with seldom_collecting():
        return _run(arguments)


def _run(arguments: argparse.Namespace) -> int:
    from glueline.studies.corner.specimen_file import files_of, read_specimen
    from glueline.studies.files.bar import terminal_bar
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results, refuse_overwriting
    from glueline.studies.predict.predictor import predict_request
    from glueline.studies.show.pictures import Wanted
    from glueline.studies.show.tables import modes_table, prediction_table
    from glueline.studies.show.write_results import RESULT_FILES, check_results_place, write_results

    refuse_without_out(arguments, ("--slide", "--animate", "--all-pictures"))
    specimen = read_specimen(arguments.file, parsed_changes(arguments))
    units = shown_units(arguments, [specimen])
    request = prediction_request(arguments)
    request.check(specimen)
    if arguments.out is not None:
        refuse_overwriting(arguments.out, RESULT_FILES, files_of([specimen]))
        check_results_place(arguments.out, specimen.path, arguments.replace)
    with (
        optional_directory_for_results(arguments.out) as folder,
        terminal_bar(desc="predicting", bar_format="{desc}") as bar,
    ):
        prediction = predict_request(specimen, request, bar.set_description_str)
        if folder is not None:
            write_results(
                prediction,
                folder,
                units,
                request,
                lambda name: bar.set_description_str(f"drawing {name}"),
                replace=arguments.replace,
                wanted=Wanted(arguments.all_pictures, arguments.slide, arguments.animate),
            )
    if arguments.json:
        print_json(json_text(prediction.answer))
    else:
        print(prediction_table(prediction.answer, units))
        print()
        print(modes_table(prediction.answer, units))
        if folder is not None:
            print(f"\nwritten to {folder}")
        else:
            print(f"\nfor pictures add --out DIR, such as --out {_own_folder(arguments.file)}")
    return 0


def _own_folder(file: str) -> str:
    """A folder named after a specimen file, as it would be typed beside it."""
    name = splitext(basename(file))[0] or "pictures"
    return f'"{name}"' if " " in name else name
