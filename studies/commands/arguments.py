"""The options that every command which predicts understands."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NoReturn

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.units import UnitError, Units, parse_length
from glueline.studies.predict.request import METHODS, Request

if TYPE_CHECKING:
    from glueline.studies.corner.specimen import Specimen

UNITS = ("metric", "imperial")


def add_file_argument(parser: argparse.ArgumentParser) -> None:
    """FILE."""
    parser.add_argument("file", metavar="FILE", help="a specimen file (TOML)")


AS_IN_FILE = "as in the file: imperial where every length of its boards is, else metric"
AS_IN_FIRST_FILE = AS_IN_FILE.replace("the file", "the first file")
AS_IN_RIG_FILE = AS_IN_FILE.replace("of its boards", "in it")
AS_IN_LOGGED_FILE = AS_IN_FILE.replace("the file", "the first specimen file that a log names")


def add_units_argument(
    parser: argparse.ArgumentParser, default: str | None = None, usual: str = AS_IN_FILE
) -> None:
    """--units; without a ``default`` they are what is ``usual``."""
    parser.add_argument("--units", choices=UNITS, default=default, help=f"units shown ({default or usual})")


def shown_units(arguments: argparse.Namespace, specimens: Iterable[Specimen | None]) -> Units:
    """The units asked for, else those of the first specimen that could be read."""
    if arguments.units is not None:
        return "imperial" if arguments.units == "imperial" else "metric"
    return next((each.units for each in specimens if each is not None), "metric")


OUT_HELP = "write pictures, tables and what scripts read into this directory"
JSON_HELP = "for scripts: print one JSON object ({}) and nothing else"


def add_prediction_options(
    parser: argparse.ArgumentParser, out: str | None = OUT_HELP, units: str = AS_IN_FILE
) -> None:
    """Everything predict understands but FILE and --json.

    ``out`` says what --out does, None for no --out; ``units`` which ones are shown without --units.
    """
    if out is not None:
        parser.add_argument("--out", metavar="DIR", help=out)
    parser.add_argument(
        "--method",
        choices=METHODS,
        default=METHODS[0],
        help="progressive (the default) follows the corner until it breaks; elastic ends where the first "
        "strength is reached, quicker and rougher",
    )
    parser.add_argument(
        "--element-size",
        metavar="LENGTH",
        help='how finely the calculation divides the glue lines, such as "1.5 mm"; finer takes longer',
    )
    add_units_argument(parser, usual=units)
    parser.add_argument(
        "--set",
        dest="changes",
        metavar="KEY=VALUE",
        action="append",
        default=[],
        help='change a key of the file, such as boards.wood="red oak", or of one glued surface, such as '
        '"glue.surfaces.finger cheeks.coverage=60 %%"; may be given again',
    )
    add_path_options(parser)


def add_slide_option(parser: argparse.ArgumentParser) -> None:
    """--slide."""
    parser.add_argument(
        "--slide",
        action="store_true",
        help="with --out: also draw slide.png, 16:9, for a projector",
    )


def refuse_without_out(arguments: argparse.Namespace, options: Sequence[str]) -> None:
    """Raises InputError where one of ``options`` asks for a picture and no --out says where to."""
    asked = [each for each in options if getattr(arguments, each.strip("-").replace("-", "_"))]
    if asked and arguments.out is None:
        words = "needs --out DIR, where the picture is to be written"
        raise InputError((InputProblem("command line", asked[0], None, words),))


def add_path_options(parser: argparse.ArgumentParser) -> None:
    """What a progressive answer holds, and how wood is judged."""
    parser.add_argument(
        "--no-band",
        dest="band",
        action="store_false",
        help="leave out the band and how far the glue values can be believed, which take most of the time",
    )
    parser.add_argument(
        "--seed",
        type=seed_number,
        default=0,
        metavar="N",
        help="another number draws the chances behind the band anew (0); the same one repeats every digit",
    )
    parser.add_argument(
        "--no-crushing",
        dest="crushing",
        action="store_false",
        help="let faces bear whatever presses on them; otherwise they crush where they press on each other "
        "too hard",
    )
    parser.add_argument("--crushing", action=_Standard, nargs=0, help=argparse.SUPPRESS)
    parser.add_argument("--criterion", default=Request.criterion, help=argparse.SUPPRESS)


class _Standard(argparse.Action):
    """An option that was asked for once and is the standard now."""

    def __call__(
        self, parser: argparse.ArgumentParser, namespace: object, values: object, option: str | None = None
    ) -> NoReturn:
        parser.error(
            "faces that crush are the standard now, so there is no --crushing; --no-crushing leaves it out"
        )


def seed_number(text: str) -> int:
    """A seed as typed. Raises argparse.ArgumentTypeError."""
    if text.isascii() and text.isdigit() and len(text) <= 9:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from 0 to 999999999")


def prediction_request(arguments: argparse.Namespace) -> Request:
    """What is asked of every prediction. Raises InputError."""
    return Request(
        method=arguments.method,
        element_size=parsed_element_size(arguments),
        band=arguments.band,
        seed=arguments.seed,
        crushing=arguments.crushing,
        criterion=arguments.criterion,
    )


def add_prediction_arguments(parser: argparse.ArgumentParser, out: str | None = OUT_HELP) -> None:
    """FILE and every option of predict; ``out`` says what --out does, None for no --out."""
    add_file_argument(parser)
    parser.add_argument("--json", action="store_true", help=JSON_HELP.format("N and mm"))
    add_prediction_options(parser, out)


def parsed_changes(arguments: argparse.Namespace) -> list[tuple[str, str]]:
    """The changes of --set as (key, value as typed). Raises InputError with every one that has no "="."""
    changes, wrong = [], []
    for text in arguments.changes:
        key, equals, value = text.partition("=")
        if not equals or not key.strip():
            right = 'write KEY=VALUE, such as --set boards.wood="red oak"'
            wrong.append(InputProblem("command line", "--set", text, right))
        changes.append((key.strip(), value))
    if wrong:
        raise InputError(tuple(wrong))
    return changes


def parsed_element_size(arguments: argparse.Namespace) -> float | None:
    """The element size in mm, None where none is given. Raises InputError."""
    text = arguments.element_size
    if text is None:
        return None
    try:
        size = parse_length(text)
    except UnitError as error:
        message = str(error)
    else:
        if size > 0:
            return size
        message = "must be above zero"
    raise InputError((InputProblem("command line", "--element-size", text, message),))
