"""glueline rank: several corners side by side."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import add_prediction_options, parsed_changes, prediction_request
from glueline.studies.files.failures import ComputationError, InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request
    from glueline.studies.rank.write_ranking import Ranking


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of rank: those of predict for every FILE."""
    parser.add_argument("files", metavar="FILE", nargs="+", help="specimen files (TOML)")
    parser.add_argument("--json", action="store_true", help="print one JSON object (N and mm) only")
    add_prediction_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Predict every corner, then print the ranking; with --out also write its table and pictures."""
    from glueline.studies.corner.specimen_file import files_of
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results, refuse_overwriting
    from glueline.studies.rank.ranking_file import ranking_file
    from glueline.studies.rank.write_ranking import RANKING_FILES, Ranking, ranking_text, write_ranking

    request = prediction_request(arguments)
    specimens = _read(arguments, request)
    if arguments.out is not None:
        refuse_overwriting(arguments.out, RANKING_FILES, files_of(specimens))
    ranking = Ranking(request)
    with optional_directory_for_results(arguments.out) as folder:
        _predict_all(arguments.files, specimens, ranking, folder is not None)
        if folder is not None:
            write_ranking(ranking, folder, arguments.units)
    if arguments.json:
        sys.stdout.write(json_text(ranking_file(ranking.corners)))
    else:
        print(ranking_text(ranking.corners, arguments.units))
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0


def _predict_all(
    files: Sequence[str], specimens: Sequence[Specimen], ranking: Ranking, pictured: bool
) -> None:
    """Fill the ranking; what pictures and record need only where it is ``pictured``."""
    from tqdm import tqdm

    from glueline.studies.predict.predictor import predict_request
    from glueline.studies.rank.ranking import corner_labels, glue_labels, labels_of, ranked_corner
    from glueline.studies.rank.ranking_maps import corner_field
    from glueline.studies.show.record import recorded_corner, writable

    labels = corner_labels(files, [specimen.arrangement.name for specimen in specimens])
    names = labels_of(files)  # the picture of stresses says below each corner how it is loaded
    glues = glue_labels([specimen.glue for specimen in specimens])
    with tqdm(total=len(labels), desc="corners", unit="corner", leave=False, disable=None) as bar:
        for label, name, file, specimen, glue in zip(labels, names, files, specimens, glues, strict=True):
            bar.set_postfix_str(label)
            try:
                prediction = predict_request(specimen, ranking.request)
            except ComputationError as error:
                raise ComputationError(f"{label}: {error.step}", error.reason, error.remedy) from error
            ranking.corners.append(ranked_corner(label, writable(file), prediction.answer, glue))
            if pictured:
                # A prediction holds its factors; what the picture and the record need is little.
                ranking.fields.append(corner_field(prediction, name))
                ranking.records.append(recorded_corner(prediction.corner, label, file))
            bar.update()


def _read(arguments: argparse.Namespace, request: Request) -> list[Specimen]:
    """Every specimen. Raises InputError with everything that is wrong in any of them."""
    from glueline.studies.corner.specimen_file import read_specimen

    changes = parsed_changes(arguments)
    specimens, problems = [], []
    for file in arguments.files:
        try:
            specimen = read_specimen(file, changes)
            request.check(specimen)
            specimens.append(specimen)
        except InputError as error:
            problems += [_of_file(problem, file) for problem in error.problems]
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    return specimens


def _of_file(problem: InputProblem, file: str) -> InputProblem:
    """A problem with an option says for which of the files it is one."""
    from glueline.studies.files.toml_tables import printable

    if problem.file != "command line" or not problem.key.startswith(("--set", "--element-size")):
        return problem
    where = f"command line, for {printable(file)}"
    return InputProblem(where, problem.key, problem.value, problem.message)
