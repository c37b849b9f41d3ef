"""The points of a sweep: every varied key crossed with every other, each a specimen or a reason why not."""

from __future__ import annotations

import dataclasses
import hashlib
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.corner.specimen_file import specimen_reader
from glueline.studies.files.failures import InputError, InputProblem, shortened
from glueline.studies.files.json_text import digest_line
from glueline.studies.files.key_changes import all_joint_fields, dotted
from glueline.studies.sweeps.vary import MOST_VALUES, Varied

NOT_INPUTS = ("path", "warnings", "as_read", "units")
"""Fields of a specimen that say where it came from, not what it is."""


@dataclass(frozen=True)
class Point:
    """One point: its ``number`` from 0, the varied keys with their values as typed, and its specimen.

    Where the values do not make a specimen, ``specimen`` is None and ``problems`` says why.
    """

    number: int
    values: Mapping[str, str]
    specimen: Specimen | None
    problems: tuple[InputProblem, ...] = ()

    @property
    def error(self) -> str:
        """Everything wrong with this point on one line."""
        return "; ".join(str(problem) for problem in shortened(self.problems))


def cross(file: str, changes: Sequence[tuple[str, str]], varied: Sequence[Varied]) -> tuple[Point, ...]:
    """Every point of a sweep, the last key varying fastest, with ``changes`` of --set made first.

    A varied key goes before a change of the same key, and of one that excludes it. Keys that exclude each
    other (fingers, finger_width) are not crossed but take turns. Raises InputError where there are too many
    points, or not one of them can be read.
    """
    turns = _turns(varied)
    count = 1
    for turn in turns:
        count *= sum(len(each.values) for each in turn)
    if count > MOST_VALUES:
        message = f"makes {count} points: at most {MOST_VALUES} can be swept at once"
        raise InputError((InputProblem("command line", "--vary", None, message),))
    points = []
    read = specimen_reader(file)
    for number, values in enumerate(_values(turns)):
        kept = [(key, text) for key, text in changes if not _displaced(key, values)]
        try:
            specimen = read([*kept, *values.items()])
        except InputError as error:
            problems = tuple(_worded(problem, values) for problem in error.problems)
            points.append(Point(number, values, None, problems))
        else:
            points.append(Point(number, values, specimen))
    if all(point.specimen is None for point in points):
        every = [set(point.problems) for point in points]
        shared = [each for each in points[0].problems if all(each in others for others in every)]
        raise InputError(tuple(shared) or points[0].problems)
    return tuple(points)


def _turns(varied: Sequence[Varied]) -> list[list[Varied]]:
    """The varied keys in order, those that exclude each other together."""
    turns: list[list[Varied]] = []
    for each in varied:
        for turn in turns:
            if any(_exclude(each.key, other.key) for other in turn):
                turn.append(each)
                break
        else:
            turns.append([each])
    return turns


def _values(turns: Sequence[Sequence[Varied]]) -> Iterator[dict[str, str]]:
    choices = [[(each.key, value) for each in turn for value in each.values] for turn in turns]
    for chosen in itertools.product(*choices):
        yield dict(chosen)


def _exclude(key: str, other: str) -> bool:
    table, _, name = key.partition(".")
    fields = all_joint_fields()
    return table == "joint" and name in fields and other == f"joint.{fields[name].get('exclusive_with')}"


def _displaced(key: str, values: Mapping[str, str]) -> bool:
    return any(dotted(key) == varied or _exclude(dotted(key), varied) for varied in values)


def _worded(problem: InputProblem, values: Mapping[str, str]) -> InputProblem:
    """A problem of a varied key as one of --vary, which is what was typed."""
    option, space, key = problem.key.partition(" ")
    if option == "--set" and space and key in values:
        return dataclasses.replace(problem, key=f"--vary {key}")
    return problem


def same_corner(specimen: Specimen) -> tuple[Any, ...]:
    """What makes the mesh and the wood's stiffness: everything but glue, workmanship and load."""
    return (
        specimen.kind,
        specimen.joint,
        specimen.boards,
        tuple(specimen.woods.items()),
        specimen.sawn,
    )


def fingerprint(points: Sequence[Point]) -> str:
    """A digest of every number that enters every point, so that a changed wood or glue file shows."""
    digest = hashlib.sha256()
    for point in points:
        content: Any = [[problem.key, problem.message] for problem in point.problems]
        if point.specimen is not None:
            content = {
                field.name: getattr(point.specimen, field.name)
                for field in dataclasses.fields(point.specimen)
                if field.name not in NOT_INPUTS
            }
        digest.update(digest_line([point.values, content]))
    return digest.hexdigest()
