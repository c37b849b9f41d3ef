"""glueline predict: one specimen, one answer."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from studies.commands.arguments import add_prediction_arguments, parsed_changes, parsed_element_size


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of predict."""
    add_prediction_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Predict and print; with --out also write the directory."""
    from studies.output import prepare_output_directory
    from studies.predictor import check_request, predict
    from studies.specimen_file import read_specimen
    from studies.tables import modes_table, prediction_table
    from studies.write_results import to_text, write_results

    specimen = read_specimen(arguments.file, parsed_changes(arguments))
    size = parsed_element_size(arguments)
    solver = arguments.solver or "sparse LU"
    check_request(specimen, arguments.method, size, solver)
    folder = None if arguments.out is None else prepare_output_directory(arguments.out)
    prediction = predict(specimen, method=arguments.method, element_size=size, solver=solver)
    if folder is not None:
        write_results(prediction, Path(folder), arguments.units)
    if arguments.json:
        sys.stdout.write(to_text(prediction))
    else:
        print(prediction_table(prediction, arguments.units))
        print()
        print(modes_table(prediction, arguments.units))
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0
