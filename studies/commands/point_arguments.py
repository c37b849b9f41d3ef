"""The options of commands that predict many points: which points, and who computes them."""

from __future__ import annotations

import argparse

MOST_WORKERS = 256
VARY_HELP = (
    "a key of the file and the values it is given in turn: a list (joint.fingers=3,5,7; "
    'boards.wood="red oak,black walnut"), a range of whole numbers (1:9 or 1:9:2) or of lengths and other '
    'quantities with a step (joint.finger_width="4 mm:20 mm:2 mm"; "1/4 in:1 in:1/8 in"), both ends '
    "included; given again, every value of one key goes with every value of the other (two keys that exclude "
    "each other, such as fingers and finger_width, take turns); where --set names the same key, --vary counts"
)


def add_vary_argument(parser: argparse.ArgumentParser) -> None:
    """--vary."""
    parser.add_argument("--vary", metavar="KEY=VALUES", action="append", required=True, help=VARY_HELP)


def add_worker_arguments(parser: argparse.ArgumentParser) -> None:
    """--workers and --cluster."""
    parser.add_argument(
        "--workers",
        type=worker_number,
        metavar="N",
        help="how many processes compute at once, one thread each (as many as this machine has processors); "
        "the results do not depend on it",
    )
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="compute on the workers of the dask.distributed scheduler at this address instead, such as "
        'tcp://127.0.0.1:8786 (needs pip install "glueline[cluster]", and the same Glueline on every worker)',
    )


def worker_number(text: str) -> int:
    """A number of workers as typed. Raises argparse.ArgumentTypeError."""
    if text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= MOST_WORKERS:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from 1 to {MOST_WORKERS}")


def workers_of(arguments: argparse.Namespace) -> int:
    """How many processes to use."""
    from glueline.studies.files.copies import processors

    return int(arguments.workers) if arguments.workers is not None else processors()
