"""glueline rank: several corners side by side."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from glueline.studies.commands.arguments import (
    AS_IN_FIRST_FILE,
    JSON_HELP,
    add_prediction_options,
    add_slide_option,
    parsed_changes,
    prediction_request,
    refuse_without_out,
    shown_units,
)
from glueline.studies.commands.streams import print_json
from glueline.studies.files.failures import InputError, InputProblem

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen
    from glueline.studies.predict.request import Request
    from glueline.studies.rank.ranking_file import RankingFile
    from glueline.studies.rank.write_ranking import Ranking


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of rank: those of predict for every FILE."""
    parser.add_argument("files", metavar="FILE", nargs="+", help="specimen files (TOML)")
    parser.add_argument(
        "--all-kinds",
        action="store_true",
        help="compare every kind of joint that fits the boards and lay of the one FILE: its own as it is, "
        "the others as they are usually made",
    )
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and mm"))
    add_prediction_options(parser, units=AS_IN_FIRST_FILE)
    add_slide_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Predict every corner, then print the ranking; with --out also write its table and pictures."""
    from glueline.studies.commands.rank_kinds import refuse_more_than_one
    from glueline.studies.corner.specimen_file import files_of
    from glueline.studies.files.json_text import json_text
    from glueline.studies.files.output import optional_directory_for_results, refuse_overwriting
    from glueline.studies.rank.write_ranking import (
        RANKING_FILES,
        Ranking,
        check_ranking_place,
        write_ranking,
    )

    refuse_without_out(arguments, ("--slide",))
    if arguments.all_kinds:
        refuse_more_than_one(arguments.files)
    request = prediction_request(arguments)
    specimens = _read(arguments, request)
    if arguments.out is not None:
        refuse_overwriting(arguments.out, RANKING_FILES, files_of(specimens))
        check_ranking_place(arguments.out)
    ranking = Ranking(request)
    with optional_directory_for_results(arguments.out) as folder:
        content, text = _ranked(arguments, specimens, ranking, folder is not None)
        if folder is not None:
            write_ranking(ranking, folder, shown_units(arguments, specimens), content, arguments.slide)
    if arguments.json:
        print_json(json_text(content))
    else:
        print(text)
        if folder is not None:
            print(f"\nwritten to {folder}")
    return 0


def _ranked(
    arguments: argparse.Namespace, specimens: Sequence[Specimen], ranking: Ranking, pictured: bool
) -> tuple[RankingFile, str]:
    """Fill the ranking; what is written of it, and what is printed."""
    from glueline.studies.commands.rank_kinds import predict_kinds
    from glueline.studies.rank.kinds_ranking import kinds_file
    from glueline.studies.rank.kinds_text import kinds_text
    from glueline.studies.rank.ranking_file import ranking_file
    from glueline.studies.rank.write_ranking import ranking_text

    units = shown_units(arguments, specimens)
    if arguments.all_kinds:
        kinds = predict_kinds(specimens[0], ranking, pictured)
        return kinds_file(kinds, ranking.corners), kinds_text(kinds, ranking.corners, units)
    _predict_all(arguments.files, specimens, ranking, pictured)
    return ranking_file(ranking.corners), ranking_text(ranking.corners, units)


def _predict_all(
    files: Sequence[str], specimens: Sequence[Specimen], ranking: Ranking, pictured: bool
) -> None:
    """Fill the ranking; what pictures and record need only where it is ``pictured``."""
    from glueline.studies.files.bar import terminal_bar
    from glueline.studies.rank.entries import entries_of, rank_entry

    with terminal_bar(total=len(files), desc="corners", unit="corner") as bar:
        for entry in entries_of(files, specimens):
            bar.set_postfix_str(entry.label)
            rank_entry(entry, ranking, pictured)
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
