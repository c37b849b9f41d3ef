"""What crushing takes from a corner, and how little the depth that crushes matters.

By hand: python -m tests.studies.predict.crushing_tables, a minute; it writes crushing_tables.txt beside it.
White oak, 19 x 90 x 150 mm, plain PVA, as in the tests.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from glueline.studies.corner.connections.glue_line import GluedLine
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.files.columns import aligned
from glueline.studies.files.output import write_atomically
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.wood_limits import sample_wood
from tests.studies.corners import JOINTS, specimen

KEPT = Path(__file__).with_suffix(".txt")
ARRANGEMENTS = ("diagonal compression", "diagonal tension", "apex press")
DEPTHS = (0.5, 1.0, 2.0, 1e9)
"""Times the depth that is taken; the last leaves the plateau flat."""


def with_depth(corner: CornerModel, times: float) -> CornerModel:
    """The corner with all depths that crush times a factor."""

    def deeper(each: object) -> object:
        if not isinstance(each, GluedLine):
            return each
        first, second = each.depths
        return replace(each, depths=(times * first, times * second))

    return replace(corner, connections=tuple(deeper(each) for each in corner.connections))  # type: ignore[misc]


def paths(kind: str, arrangement: str) -> tuple[BreakPath, list[BreakPath]]:
    """A corner whose faces do not crush, and the same with each of DEPTHS."""
    corner = build_corner(specimen(kind, arrangement))
    samples = sample_wood(corner)
    without = CornerFollower(corner).broken(samples, crushing=False)
    return without, [CornerFollower(with_depth(corner, times)).broken(samples) for times in DEPTHS]


def table() -> str:
    """Break loads in N, what crushing takes, and how far faces are crushed at the break."""
    head = [
        "corner",
        "without",
        "half depth",
        "depth",
        "double",
        "flat",
        "taken",
        "half",
        "double",
        "most crushed",
    ]
    rows = [head]
    for arrangement in ARRANGEMENTS:
        for kind in JOINTS:
            without, (half, plain, double, flat) = paths(kind, arrangement)
            loads = [each.break_load for each in (without, half, plain, double, flat)]
            changes = [plain.break_load / without.break_load]
            changes += [each.break_load / plain.break_load for each in (half, double)]
            rows.append(
                [
                    f"{kind}, {arrangement}",
                    *(f"{load:.0f} N" for load in loads),
                    *(f"{100 * (change - 1):+.1f} %" for change in changes),
                    f"{max(plain.crushed.values()):.3f} mm",
                ]
            )
    return aligned(rows)


def main() -> None:
    """Print the table and keep it."""
    text = table()
    print(text)
    write_atomically(KEPT, (text + "\n").encode())


if __name__ == "__main__":
    main()
