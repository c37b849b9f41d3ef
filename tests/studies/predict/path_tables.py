"""How far the break load depends on mesh and step, for all corners and arrangements, kept in a table.

By hand, for it takes ten minutes: python -m tests.studies.predict.path_tables
"""

from __future__ import annotations

from pathlib import Path

from glueline.fem.follower import PathControl
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.predict.break_path import BreakPath, follow_break
from glueline.studies.predict.splits import followed_through_splits
from tests.studies.corners import JOINTS, specimen

KEPT = Path(__file__).with_suffix(".txt")
PLAIN = PathControl()
HALF_STEP = PathControl(step=PLAIN.step / 2, first_step=PLAIN.first_step / 2, audit=PLAIN.audit / 4)

HEADING = (
    f"{'joint':14s} {'arrangement':21s} {'break, N':>9s}  {'gives':5s} {'first crack':>11s} {'states':>6s} "
    f"{'factored':>8s} {'audit, %':>8s}   {'half the elements, %':>20s} {'half the step, %':>16s}"
)


def compared(kind: str, arrangement: str) -> tuple[BreakPath, float, float]:
    """The path, and by what share the break load changes with half the elements and with half the step.

    Splits are followed, but the half step is that of the path before them.
    """
    plain = specimen(kind, arrangement)
    before = follow_break(plain)
    found = followed_through_splits(before)
    fine = followed_through_splits(follow_break(plain, element_size=before.corner.mesh.element_size / 2))
    short = follow_break(plain, control=HALF_STEP)
    return found, fine.break_load / found.break_load - 1, short.break_load / before.break_load - 1


def main() -> None:
    """Compute, print and keep."""
    lines = ["White oak, 19 x 90 x 150 mm, box, plain PVA; elements of 1.9 mm along the glue.", "", HEADING]
    for kind in JOINTS:
        for arrangement in ARRANGEMENTS:
            found, by_mesh, by_step = compared(kind, arrangement)
            path = found.path
            crack = path.load[found.state if found.first_crack is None else found.first_crack]
            lines.append(
                f"{kind:14s} {arrangement:21s} {found.break_load:9.1f}  {found.breaks_in:5s} "
                f"{crack:11.1f} {len(path.load):6d} {path.factorisations:8d} "
                f"{100 * path.audit:8.3f}   {100 * by_mesh:20.2f} {100 * by_step:16.2f}"
            )
            print(lines[-1], flush=True)
            KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
