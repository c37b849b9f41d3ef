"""What the paths of the example corners take: states, solves and factorisations, alike on every machine.

Made anew with ``python -m tests.studies.predict.effort``; ``test_effort.py`` holds it.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from glueline import predict, read_specimen
from glueline.fem.follower import Follower
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files import copies

KEPT = Path(__file__).with_name("effort.csv")


@dataclass(frozen=True)
class Effort:
    """``paths`` followed for an answer with a band, of them the ``states``, ``solves`` (moves of Newton's
    method and matrices tried for a direction) and ``factorisations``; ``alone`` are those of the answer
    without a band."""

    corner: str
    states_alone: int
    solves_alone: int
    factorisations_alone: int
    paths: int
    states: int
    solves: int
    factorisations: int


@contextmanager
def followers() -> Iterator[list[Follower]]:
    """All that begin a path meanwhile."""
    begun: list[Follower] = []
    begin = Follower.begin

    def noted(self: Follower) -> None:
        begun.append(self)
        begin(self)

    Follower.begin = noted  # type: ignore[method-assign]
    try:
        yield begun
    finally:
        Follower.begin = begin  # type: ignore[method-assign]


def effort_of(example: str) -> Effort:
    """The effort of an example corner, with its default element size."""
    specimen = read_specimen(str(example_path(example)))
    with followers() as alone:
        predict(specimen, band=False)
    with followers() as every:
        predict(specimen)
    return Effort(example, *_counted(alone), len(every), *_counted(every))


def _counted(begun: list[Follower]) -> tuple[int, int, int]:
    return (
        sum(len(each.states) for each in begun),
        sum(each.iterations for each in begun),
        sum(each.bodies.factorisations for each in begun),
    )


def kept_efforts() -> dict[str, Effort]:
    """The kept table by corner."""
    with KEPT.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    counts = [field.name for field in fields(Effort)[1:]]
    return {row["corner"]: Effort(row["corner"], *(int(row[name]) for name in counts)) for row in rows}


def main() -> None:
    """Write the table anew and print it."""
    copies.MOST = 1  # what copies of this process do would not be counted
    with KEPT.open("w", encoding="utf-8", newline="") as lines:
        table = csv.DictWriter(lines, [field.name for field in fields(Effort)], lineterminator="\n")
        table.writeheader()
        for example in EXAMPLES:
            effort = effort_of(example)
            print(effort)
            table.writerow(asdict(effort))


if __name__ == "__main__":
    main()
