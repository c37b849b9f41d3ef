"""Break loads at the ends of what can be believed of each glue row: what answers say against full solves.

By hand, for it takes some minutes: python -m tests.studies.predict.range_ends
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from glueline import predict
from glueline.geometries import FingerJoint
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.answer import JudgedRow
from glueline.studies.predict.break_path import BreakPath, CornerFollower
from glueline.studies.predict.credible_range import ends_of
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.splits import Lines, followed_through_splits
from glueline.studies.predict.wood_limits import sample_wood
from tests.studies.corners import JOINTS, specimen

KEPT = Path(__file__).with_suffix(".txt")
ARRANGEMENTS = ("diagonal compression", "diagonal tension", "apex press", "cantilever in")
ENDS = ("weak", "strong")
FLAG = 0.03

HEADING = (
    f"{'corner':34s} {'arrangement':21s} {'break, N':>8s}  {'gives':5s} {'row':10s} {'end':6s} "
    f"{'answer, N':>9s} {'full, N':>8s}  {'gives':5s} {'error, %':>8s}"
)


def specimens() -> Iterator[tuple[str, Specimen]]:
    """The four joints in white oak with cherry splines, and corners in which wood gives or nearly does."""
    for kind in JOINTS:
        for arrangement in ARRANGEMENTS:
            yield kind, specimen(kind, arrangement)
    for wood in ("yellow birch", "eastern white pine"):
        yield f"splined mitre, {wood}", specimen("splined mitre", "diagonal tension", wood=wood)
    fingers = FingerJoint(25)
    for arrangement in ARRANGEMENTS[:2]:
        yield "25 fingers, white oak", specimen("finger", arrangement, joint=fingers)


def full_ends(found: Prediction) -> dict[tuple[str, str], BreakPath]:
    """The corner followed in full, its wood judged and its splits followed, by row and end."""
    plain, reuse = build_corner(found.specimen), Reuse()
    return {(row, end): _full(plain, row, end, reuse) for row in ends_of(plain) for end in ENDS}


def _full(plain: CornerModel, row: JudgedRow, end: str, reuse: Reuse) -> BreakPath:
    def built(corner: CornerModel, lines: Lines, reuse: Reuse | None = None) -> CornerModel:
        made = corner
        if lines:
            made = build_corner(corner.specimen, corner.mesh.element_size, reuse, "split corner", lines)
        changed = ends_of(made)[row][ENDS.index(end)]
        return replace(made, connections=tuple(changed.get(each.name, each) for each in made.connections))

    corner = built(plain, ())
    whole = CornerFollower(corner, reuse).broken(sample_wood(corner))
    return followed_through_splits(whole, reuse=reuse, build=built)


def main() -> None:
    """Compute, print and keep."""
    lines = [
        "19 x 90 x 150 mm, box, plain PVA; answer: break load at the end of the range as the answer has it;",
        f"full: the path followed again with that glue, wood judged. * off by more than {100 * FLAG:.0f} %.",
        "",
        HEADING,
    ]
    worst = 0.0
    for name, corner in specimens():
        found = predict(corner)
        ranges = found.answer.ranges or {}
        for (row, end), full in full_ends(found).items():
            said = ranges[row][ENDS.index(end)]
            error = said / full.break_load - 1
            worst = max(worst, abs(error))
            lines.append(
                f"{name:34s} {corner.arrangement.name:21s} {found.break_load:8.1f}  {found.critical.kind:5s} "
                f"{row:10s} {end:6s} {said:9.1f} {full.break_load:8.1f}  {full.breaks_in:5s} "
                f"{100 * error:8.2f}{' *' if abs(error) > FLAG else ''}"
            )
            print(lines[-1], flush=True)
    lines += ["", f"worst error {100 * worst:.2f} %"]
    KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
