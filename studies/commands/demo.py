"""glueline demo: an invented workshop's tool chest: four of its corners, all joints, or a day of breaking."""

from __future__ import annotations

import argparse
from pathlib import Path

from glueline.studies.files.failures import InputError, InputProblem


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of demo."""
    parser.add_argument("--out", default="pictures", metavar="DIR", help="where the pictures go (pictures)")
    parser.add_argument(
        "--bench-day",
        action="store_true",
        help="go through an invented day at the bench instead: rig, plan, bench, calibrate, report",
    )
    parser.add_argument(
        "--all-joints",
        action="store_true",
        help="rank every kind of joint instead, in a box and in a frame, without scatter",
    )
    parser.add_argument("--units", choices=("metric", "imperial"), default="metric", help="units shown")


def run(arguments: argparse.Namespace) -> int:
    """The four packaged corners with their ranking, every kind of joint, or an invented bench day."""
    if arguments.bench_day and arguments.all_joints:
        message = "cannot stand beside --bench-day: one demonstration at a time"
        raise InputError((InputProblem("command line", "--all-joints", None, message),))
    if arguments.bench_day:
        from glueline.studies.commands.demonstration import demonstrate

        return demonstrate(arguments.out, arguments.units)
    if arguments.all_joints:
        from glueline.studies.commands.demo_joints import demonstrate_joints

        return demonstrate_joints(arguments.out, arguments.units)
    return _four_corners(arguments)


def _four_corners(arguments: argparse.Namespace) -> int:
    """Predict the four packaged corners, write their pictures and end with their ranking."""
    from glueline.studies.corner.specimen_file import read_specimen
    from glueline.studies.examples import DEMO_CORNERS, example_path
    from glueline.studies.files.bar import terminal_bar
    from glueline.studies.files.output import directory_for_results
    from glueline.studies.predict.predictor import predict_request
    from glueline.studies.predict.request import Request
    from glueline.studies.rank.ranking import glue_labels, labels_of, ranked_corner
    from glueline.studies.rank.ranking_maps import corner_field
    from glueline.studies.rank.write_ranking import (
        BANDS_PICTURE,
        MAPS_PICTURE,
        Ranking,
        check_ranking_place,
        ranking_text,
        write_ranking,
    )
    from glueline.studies.show.record import recorded_corner
    from glueline.studies.show.write_results import check_results_place, write_results

    files = [str(example_path(name)) for name in DEMO_CORNERS]
    specimens = [read_specimen(file) for file in files]
    glues = glue_labels([specimen.glue for specimen in specimens])
    ranking = Ranking(Request())
    check_ranking_place(arguments.out)
    for name, specimen in zip(DEMO_CORNERS, specimens, strict=True):
        check_results_place(Path(arguments.out) / name, specimen.path)
    with directory_for_results(arguments.out) as folder:
        with terminal_bar(total=len(DEMO_CORNERS), desc="corners", unit="corner") as bar:
            for name, file, label, specimen, glue in zip(
                DEMO_CORNERS, files, labels_of(files), specimens, glues, strict=True
            ):
                prediction = predict_request(specimen, ranking.request)
                with directory_for_results(folder / name) as target:
                    write_results(prediction, target, arguments.units, ranking.request, bar.set_postfix_str)
                ranking.corners.append(ranked_corner(label, file, prediction.answer, glue))
                ranking.fields.append(corner_field(prediction, label))
                ranking.records.append(recorded_corner(prediction.corner, label, file))
                bar.update()
        write_ranking(ranking, folder, arguments.units)
    print("Four corners of an invented tool chest (a community workshop, hard maple)\n")
    print(ranking_text(ranking.corners, arguments.units))
    print(f"\nthe ranking in pictures: {folder / BANDS_PICTURE} and {folder / MAPS_PICTURE}")
    print(f"each corner by itself: folders in {folder}")
    return 0
