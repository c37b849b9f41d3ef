"""What a page begins with: the corners of the files that it was started with, or one of the workshop's."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from glueline.studies.bench_day.rig.rig import Rig
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import files_of, read_specimen
from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.examples import example_path
from glueline.studies.files.failures import InputError, InputProblem
from glueline.studies.files.toml_tables import printable, read_toml
from glueline.studies.files.units import Units
from glueline.studies.rank.ranking import labels_of
from glueline.studies.show.record import specimen_tables
from glueline.studies.show.strength_colours import GONE_WORDS, STRENGTH_WORDS, strength_scale

DEMO = "finger"
"""The example that a page without files begins with."""

WORDS = {
    "demo": "An invented corner: a tool chest of hard maple from an invented community workshop.",
    "force": "Loads are forces on the joint, not weights stacked; a rig file turns them into weights.",
    "estimate": "Predicted, not measured.",
}
"""Texts that stand on the page whatever the corner."""


@dataclass(frozen=True)
class OpenedCorner:
    """A corner to begin with: its name, its tables as its file holds them, the units it is measured in."""

    name: str
    corner: Mapping[str, Any]
    units: Units


@dataclass(frozen=True)
class Opening:
    """What a page begins with: corners, at least one, and the rig with its words if its file was given.

    ``files`` are the wood and glue files that these corners name, by their absolute paths; ``demo`` tells
    that nothing of it is the maker's own.

    >>> opening_of([]).corners[0].corner["joint"]["kind"]
    'finger'
    """

    corners: tuple[OpenedCorner, ...]
    rig: Rig | None
    rig_text: str | None
    files: frozenset[str]
    demo: bool

    def message(self) -> dict[str, Any]:
        """The answer to the page's first question, but for its number."""
        return {
            "answer": "opened",
            "corners": [
                {"name": each.name, "corner": each.corner, "units": each.units} for each in self.corners
            ],
            "rig": self.rig_text,
            "demo": self.demo,
            "caution": CAUTIONS,
            "scale": strength_scale(),
            "legend": [*STRENGTH_WORDS],
            "gone_legend": [*GONE_WORDS],
            "words": WORDS,
        }


def opening_of(files: Sequence[str]) -> Opening:
    """What these specimen files, and one rig file among them, open.

    Raises InputError with everything that is wrong in any of them.
    """
    rigs = [file for file in files if _is_rig(file)]
    problems: list[InputProblem] = []
    if len(rigs) > 1:
        message = "is a second rig file; weights are stacked on one rig: leave the others out"
        problems.append(InputProblem(printable(rigs[1]), "", None, message))
    rig = None
    specimens: list[tuple[str, Specimen]] = []
    for file in files:
        try:
            if file in rigs:
                rig = read_rig(file)
            else:
                specimens.append((file, read_specimen(file)))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(tuple(dict.fromkeys(problems)))
    demo = not specimens
    if demo:
        path = os.fspath(example_path(DEMO))
        specimens.append((path, read_specimen(path)))
    labels = labels_of([file for file, _ in specimens])
    corners = tuple(
        OpenedCorner(label, specimen_tables(specimen), specimen.units)
        for label, (_, specimen) in zip(labels, specimens, strict=True)
    )
    named = frozenset(files_of([specimen for _, specimen in specimens]))
    own = {os.path.abspath(file) for file, _ in specimens} | {file for file, _ in specimens}
    return Opening(corners, rig, _rig_text(rig, rigs), named - own, demo)


def _is_rig(file: str) -> bool:
    """Whether a file has a table [rig]; one that cannot be read is a specimen's, which then says why."""
    try:
        return "rig" in read_toml(file)
    except InputError:
        return False


def _rig_text(rig: Rig | None, files: Sequence[str]) -> str | None:
    if rig is None:
        return None
    return f"{labels_of(files[:1])[0]}: {rig.kind}, {rig.arrangement.name}"
