"""glueline demo: four corners of an invented community workshop's hard-maple tool chest."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of demo."""
    parser.add_argument("--out", default="pictures", metavar="DIR", help="where the pictures go (pictures)")
    parser.add_argument("--units", choices=("metric", "imperial"), default="metric", help="units shown")


def run(arguments: argparse.Namespace) -> int:
    """Predict the four packaged corners, write their pictures and print one table."""
    from tqdm import tqdm

    from studies.examples import EXAMPLES, example_path
    from studies.output import prepare_output_directory
    from studies.predictor import predict
    from studies.specimen_file import read_specimen
    from studies.tables import comparison_table
    from studies.vocabulary import CAUTIONS
    from studies.write_results import write_results

    folder = Path(prepare_output_directory(arguments.out))
    predictions = []
    with tqdm(total=len(EXAMPLES), desc="corners", unit="corner", leave=False, disable=None) as bar:
        for name in EXAMPLES:
            prediction = predict(read_specimen(str(example_path(name))))
            target = Path(prepare_output_directory(str(folder / name)))
            write_results(prediction, target, arguments.units, said=bar.set_postfix_str)
            predictions.append(prediction)
            bar.update()
    print("Four corners of an invented tool chest (a community workshop, hard maple)\n")
    print(comparison_table(predictions, arguments.units))
    for prediction in predictions:
        print(f"\n{prediction.specimen.kind}: {prediction.why}")
    for note in dict.fromkeys(note for prediction in predictions for note in prediction.warnings):
        print(f"\nnote: {note}")
    print(f"\n{CAUTIONS}\n\npictures in {folder}")
    return 0
