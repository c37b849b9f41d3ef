"""glueline report: a directory of results as one page."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.plain_files import read_plain


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """DIR and --out."""
    parser.add_argument("directory", metavar="DIR", help="what another command wrote with --out")
    parser.add_argument("--out", metavar="PAGE.html", required=True, help="the page to write")


def run(arguments: argparse.Namespace) -> int:
    """Read the directory and write the page whole."""
    from glueline.studies.files.output import write_atomically
    from glueline.studies.report import is_report_page, read_directory, report_page

    page = _page_path(arguments.out)
    content = report_page(read_directory(arguments.directory))
    _refuse_foreign(page, arguments.out, is_report_page)
    try:
        write_atomically(page, content)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refuse(arguments.out, f"cannot be written: {reason}; give another file") from None
    print(f"written to {page}")
    return 0


def _page_path(text: str) -> Path:
    """Where the page goes. Raises InputError for what is no name of a page."""
    page = Path(text)
    if page.suffix.lower() not in (".html", ".htm"):
        raise _refuse(text, "must be the name of a page, such as report.html")
    try:
        if page.is_dir():
            raise _refuse(text, "is a directory; give the name of a page, such as report.html")
        if not page.parent.is_dir():
            raise _refuse(text, f"there is no directory {page.parent}; make it, or name another")
    except (OSError, ValueError):
        raise _refuse(text, "is no name that a file can have; give another") from None
    return page


def _refuse_foreign(page: Path, text: str, is_ours: Callable[[bytes], bool]) -> None:
    """Raises InputError where something else than an earlier page stands there."""
    try:
        there = page.exists() or page.is_symlink()
        plain = page.is_file() and not page.is_symlink()
        ours = not there or (plain and is_ours(read_plain(page, "an earlier page")))
    except OSError as error:
        raise _refuse(text, f"cannot be written: {error.strerror}; give another file") from None
    if not ours:
        raise _refuse(text, "is there already and is no page of glueline report; give another file")


def _refuse(text: str, message: str) -> InputError:
    from glueline.studies.files.toml_tables import printable

    return InputError((InputProblem("command line", "--out", printable(text), printable(message)),))
