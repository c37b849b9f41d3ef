"""Specimen files written for tests."""

from __future__ import annotations

import copy
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from glueline.geometries import JOINTS
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.toml_tables import toml_text

FINGER: dict[str, dict[str, Any]] = {
    "joint": {"kind": "finger", "fingers": 9},
    "boards": {"thickness": "19 mm", "width": "90 mm", "leg": "150 mm", "wood": "hard maple"},
}
SPLINED: dict[str, dict[str, Any]] = {
    "joint": {
        "kind": "splined mitre",
        "splines": 3,
        "spline_thickness": "3.2 mm",
        "spline_depth": "21 mm",
        "spline_wood": "black cherry",
    },
    "boards": {"thickness": "19 mm", "width": "90 mm", "leg": "150 mm", "wood": "hard maple"},
}

LONG_NUMBERS = {"hexadecimal": "0x" + "f" * 4000, "octal": "0o" + "7" * 6000, "binary": "0b" + "1" * 20000}
"""Whole numbers of more digits than Python will write in decimals (4300), but reads."""


class MakersFolder:
    """A maker's folder: one specimen file, and the wood and glue files that a test puts beside it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / "corner.toml"

    def write(self, tables: dict[str, Any]) -> Path:
        """Write tables as the specimen file."""
        return self.write_text(toml_text(tables))

    def write_text(self, text: str) -> Path:
        """Write text as the specimen file."""
        self.file.write_text(text, encoding="utf-8")
        return self.file

    def copy_example(self, name: str) -> Path:
        """Copy a packaged example as the specimen file."""
        shutil.copy(example_path(name), self.file)
        return self.file

    def read(self, tables: dict[str, Any], changes: Sequence[tuple[str, str]] = ()) -> Specimen:
        """Write and read."""
        return read_specimen(self.write(tables), changes)

    def wrong(
        self, tables: dict[str, Any], changes: Sequence[tuple[str, str]] = ()
    ) -> tuple[InputProblem, ...]:
        """Write and read what must be refused; what was said."""
        return self.wrong_file(self.write(tables), changes)

    def wrong_file(self, path: Path, changes: Sequence[tuple[str, str]] = ()) -> tuple[InputProblem, ...]:
        """Read a file that must be refused; what was said, checked for being fit for a terminal."""
        with pytest.raises(InputError) as caught:
            read_specimen(path, changes)
        check_words(caught.value)
        return caught.value.problems


def check_words(error: InputError) -> None:
    """Every problem is one line, names a file, says something, and has no word of Python's own."""
    assert error.problems
    for problem in error.problems:
        line = str(problem)
        assert line.isprintable(), line
        assert problem.file
        assert problem.message
        assert len(line) < 2000
        for word in ("Traceback", "NoneType", "<class", "Error(", "TypeError", "{", "}"):
            assert word not in problem.message, line


def changed(tables: dict[str, dict[str, Any]], **keys: Any) -> dict[str, dict[str, Any]]:
    """Tables with keys set: ``boards__thickness="3/4 in"``; None takes a key away."""
    new = copy.deepcopy(tables)
    for dotted, value in keys.items():
        table, name = dotted.split("__")
        inside = new.setdefault(table, {})
        if value is None:
            inside.pop(name, None)
        else:
            inside[name] = value
    return new


def plain_corner(kind: str) -> dict[str, dict[str, Any]]:
    """Tables of a corner of any kind, with the measures that it cannot do without."""
    measured = {"finger": FINGER, "splined mitre": SPLINED}
    if kind in measured:
        return measured[kind]
    is_frame = JOINTS[kind].lays == ("frame",)
    return changed(
        FINGER, joint__kind=kind, joint__fingers=None, boards__leg="300 mm" if is_frame else "150 mm"
    )


def one(problems: Sequence[InputProblem]) -> InputProblem:
    """The only problem."""
    assert len(problems) == 1, [str(problem) for problem in problems]
    return problems[0]
