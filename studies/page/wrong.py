"""What the reader of files says is wrong with a corner, each at its key, in the command line's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_of
from glueline.studies.files.failures import InputError, one_line, shortened
from glueline.studies.page.read_parts import FILE

Wrong = list[tuple[str, str]]


def read_corner(corner: Mapping[str, Any]) -> tuple[Specimen | None, Wrong]:
    """The specimen of a corner, None where something is wrong; and what, as (dotted key, message).

    What is wrong with a file that the corner names has that file in its message and no key.

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
            found.append((each.key, one_line(each.message)) if own else ("", str(each)))
        return None, found


def wrong_with(corner: Mapping[str, Any]) -> Wrong:
    """Only what is wrong."""
    return read_corner(corner)[1]
