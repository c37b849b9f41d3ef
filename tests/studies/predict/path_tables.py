"""How far the break load depends on mesh and step, kept in tables: of the first four kinds in all
arrangements, or of the examples of the further kinds, closed and opened; and that load in every wood.

By hand, a minute each: python -m tests.studies.predict.path_tables [first|further|woods]
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from unittest import mock

import numpy as np

from glueline import predict, read_specimen
from glueline.fem.path_control import PathControl
from glueline.materials import wood_names
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen import Specimen
from glueline.studies.examples import DEMO_CORNERS, EXAMPLES, example_path
from glueline.studies.predict import splits
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.splits import followed_through_splits
from tests.studies.corners import JOINTS, specimen

PLAIN = PathControl()
HALF_STEP = PathControl(step=PLAIN.step / 2, first_step=PLAIN.first_step / 2, audit=PLAIN.audit / 4)
CLOSED_AND_OPENED = ("diagonal compression", "diagonal tension")

HEADING = (
    f"{'joint':17s}  {'arrangement':21s} {'break, N':>9s}  {'gives':8s} {'first crack':>11s} {'states':>6s} "
    f"{'factored':>8s} {'audit, %':>8s}   {'half the elements, %':>20s} {'half the step, %':>16s}"
)

WOOD_HEADING = f"{'wood':26s} " + " ".join(f"{kind:>14s}" for kind in JOINTS) + "  audit, %    complete"


@dataclass(frozen=True)
class Compared:
    """A path with its splits followed, and by what share its break load changes with half the elements and,
    before any split, with half the step; ``finer`` and ``shorter`` are those paths."""

    found: BreakPath
    finer: BreakPath
    shorter: BreakPath
    by_mesh: float
    by_step: float


def compared(plain: Specimen) -> Compared:
    """Splits are followed, but the half step is that of the path before them.

    With half the elements they are followed however long it takes: a path beyond the limit of effort ends by
    the criterion, 20 % lower, which would tell nothing of the mesh.
    """
    before = follow_break(plain)
    found = followed_through_splits(before)
    finer = follow_break(plain, element_size=before.corner.mesh.element_size / 2)
    with mock.patch.multiple(splits, MOST_EFFORT=np.inf, MOST_SPLIT_EFFORT=np.inf):
        finer = followed_through_splits(finer)
    shorter = follow_break(plain, control=HALF_STEP)
    return Compared(
        found,
        finer,
        shorter,
        finer.break_load / found.break_load - 1,
        shorter.break_load / before.break_load - 1,
    )


def first_corners() -> Iterator[Specimen]:
    """The first four kinds in every arrangement."""
    for kind in JOINTS:
        for arrangement in ARRANGEMENTS:
            yield specimen(kind, arrangement)


def further_corners() -> Iterator[Specimen]:
    """The examples of all further kinds."""
    for name in EXAMPLES:
        if name not in DEMO_CORNERS:
            example = read_specimen(example_path(name))
            for arrangement in CLOSED_AND_OPENED:
                yield replace(example, arrangement=ARRANGEMENTS[arrangement])


@dataclass(frozen=True)
class OfWood:
    """Break loads in N of the first four kinds in one wood, closed, and the most energy lost along a path
    over that spent; ``are_complete`` where each path was followed to its end."""

    loads: dict[str, float]
    audit: float
    are_complete: bool


def of_wood(wood: str) -> OfWood:
    """Splits are followed; without bands. Raises ComputationError where a path cannot be followed."""
    loads, audits, complete = {}, [], []
    for kind in JOINTS:
        found = predict(specimen(kind, wood=wood), band=False)
        assert found.broken is not None
        loads[kind] = found.break_load
        audits.append(found.broken.path.audit)
        complete.append(found.broken.path.is_complete)
    return OfWood(loads, max(audits), all(complete))


def wood_rows() -> Iterator[str]:
    """A line for every wood."""
    for wood in wood_names():
        found = of_wood(wood)
        loads = " ".join(f"{load:14.1f}" for load in found.loads.values())
        end = "yes" if found.are_complete else "no"
        yield f"{wood:26s} {loads} {100 * found.audit:9.3f}  {end:>10s}"


@dataclass(frozen=True)
class Table:
    """Its lines made one by one, their heading, where they are kept, under what words."""

    lines: Callable[[], Iterator[str]]
    heading: str
    kept: Path
    words: str


TABLES = {
    "first": Table(
        lambda: map(row, first_corners()),
        HEADING,
        Path(__file__).with_suffix(".txt"),
        "White oak, 19 x 90 x 150 mm, box, plain PVA; elements of 1.9 mm along the glue.",
    ),
    "further": Table(
        lambda: map(row, further_corners()),
        HEADING,
        Path(__file__).with_name("path_tables_further.txt"),
        "Hard maple, 19 x 90 x 150 mm in a box, 19 x 60 x 200 mm in a frame, plain PVA; usual elements.",
    ),
    "woods": Table(
        wood_rows,
        WOOD_HEADING,
        Path(__file__).with_name("path_tables_woods.txt"),
        "Every wood, 19 x 90 x 150 mm, box, plain PVA, closed: break load in N; splines of black cherry.",
    ),
}


def row(own: Specimen) -> str:
    """One line of a table."""
    result = compared(own)
    found, path = result.found, result.found.path
    crack = path.load[found.state if found.first_crack is None else found.first_crack]
    return (
        f"{own.kind:17s}  {own.arrangement!s:21s} {found.break_load:9.1f}  {found.breaks_in:8s} "
        f"{crack:11.1f} {len(path.load):6d} {path.factorisations:8d} "
        f"{100 * path.audit:8.3f}   {100 * result.by_mesh:20.2f} {100 * result.by_step:16.2f}"
    )


def main() -> None:
    """Compute, print and keep."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("which", nargs="?", choices=TABLES, default="first")
    table = TABLES[arguments.parse_args().which]
    lines = [table.words, "", table.heading]
    for line in table.lines():
        lines.append(line)
        print(lines[-1], flush=True)
        table.kept.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
