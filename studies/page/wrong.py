"""What the reader of files says is wrong with a corner, each at its key, in the command line's words."""

from __future__ import annotations

from collections.abc import Mapping
from os.path import basename
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError, one_line, shortened
from glueline.studies.files.own_files import is_path
from glueline.studies.page.read_parts import FILE

Wrong = list[tuple[str, str]]


def read_corner(corner: Mapping[str, Any]) -> tuple[Specimen | None, Wrong]:
    """The specimen of a corner, None where something is wrong; and what, as (dotted key, message).

    What is wrong with a file that the corner names stands at the key that names it, the file in its message.

    >>> specimen, wrong = read_corner({"joint": {"kind": "finger"}})
    >>> specimen is None, wrong[0][0]
    (True, 'joint.fingers')
    """
    try:
        return specimen_of(FILE, corner), []
    except InputError as error:
        found = []
        for each in shortened(error.problems):
            own = each.file == FILE
            found.append(
                (each.key, one_line(each.message)) if own else (_key_of(each.file, corner), str(each))
            )
        return None, found


def _key_of(file: str, corner: Mapping[str, Any]) -> str:
    """The key that names a wood or glue file; empty where none does."""
    for table, values in corner.items():
        for name, value in values.items() if isinstance(values, Mapping) else ():
            if isinstance(value, str) and is_path(value) and basename(value) == basename(file):
                return f"{table}.{name}"
    return ""


def wrong_with(corner: Mapping[str, Any]) -> Wrong:
    """Only what is wrong."""
    return read_corner(corner)[1]
