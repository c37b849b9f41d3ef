"""Break loads at the ends of what can be believed of each glue row: what answers say against full solves.

By hand, for it takes some minutes: python -m tests.studies.predict.range_ends
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from glueline import predict
from glueline.geometries import FingerJoint
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.credible_range import end_in_full, ends_of
from glueline.studies.predict.prediction import Prediction
from tests.studies.corners import FRAME, JOINTS, specimen

KEPT = Path(__file__).with_suffix(".txt")
ARRANGEMENTS = ("diagonal compression", "diagonal tension", "apex press", "cantilever in")
ENDS = ("weak", "strong")
FLAG = 0.03

HEADING = (
    f"{'corner':41s} {'arrangement':21s} {'break, N':>8s}  {'gives':5s} {'row':10s} {'end':6s} "
    f"{'answer, N':>9s} {'full, N':>8s}  {'gives':5s} {'error, %':>8s}"
)


def specimens() -> Iterator[tuple[str, Specimen]]:
    """The four joints in white oak with cherry splines, and corners in which wood gives or nearly does."""
    for kind in JOINTS:
        for arrangement in ARRANGEMENTS:
            yield kind, specimen(kind, arrangement)
    for wood in ("yellow birch", "eastern white pine"):
        yield f"splined mitre, {wood}", specimen("splined mitre", "diagonal tension", wood=wood)
    bridle = FingerJoint(3)
    for wood in ("white oak", "eastern white pine"):
        yield f"3 fingers in a frame, {wood}", specimen("finger", boards=FRAME, wood=wood, joint=bridle)
    framed = specimen("finger", boards=FRAME, wood="eastern white pine", joint=FingerJoint(7))
    yield "7 fingers in a frame, eastern white pine", framed
    fingers = FingerJoint(25)
    for arrangement in ARRANGEMENTS[:2]:
        yield "25 fingers, white oak", specimen("finger", arrangement, joint=fingers)


def full_ends(found: Prediction) -> dict[tuple[str, str], BreakPath | None]:
    """The corner followed in full, its wood judged and its splits followed, by row and end.

    None where that path could not be followed.
    """
    plain, reuse = build_corner(found.specimen), Reuse()
    ends: dict[tuple[str, str], BreakPath | None] = {}
    for row in ends_of(plain):
        for end in ENDS:
            try:
                ends[row, end] = end_in_full(plain, row, ENDS.index(end), reuse=reuse)
            except ComputationError:
                ends[row, end] = None
    return ends


def main() -> None:
    """Compute, print and keep."""
    lines = [
        "19 x 90 x 150 mm, box (frames 19 x 60 x 300 mm), plain PVA; answer: load at the end as it has it;",
        f"full: the path followed again with that glue, wood judged. * off by more than {100 * FLAG:.0f} %.",
        "",
        HEADING,
    ]
    worst = 0.0
    for name, corner in specimens():
        try:
            found = predict(corner)
        except ComputationError as error:
            lines.append(f"{name}, {corner.arrangement.name}: no answer, {error.reason}")
            continue
        ranges = found.answer.ranges or {}
        for (row, end), full in full_ends(found).items():
            if row not in ranges:
                lines.append(f"{name}, {corner.arrangement.name}, {row} {end}: the answer has no ranges")
                continue
            said = ranges[row][ENDS.index(end)]
            if full is None:
                lines.append(f"{name}, {corner.arrangement.name}, {row} {end}: {said:.1f} N, no full path")
                continue
            error = said / full.break_load - 1
            worst = max(worst, abs(error))
            lines.append(
                f"{name:41s} {corner.arrangement.name:21s} {found.break_load:8.1f}  {found.critical.kind:5s} "
                f"{row:10s} {end:6s} {said:9.1f} {full.break_load:8.1f}  {full.breaks_in:5s} "
                f"{100 * error:8.2f}{' *' if abs(error) > FLAG else ''}"
            )
            print(lines[-1], flush=True)
    lines += ["", f"worst error {100 * worst:.2f} %"]
    KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
