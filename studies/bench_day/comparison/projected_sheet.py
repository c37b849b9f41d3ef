"""What the projected pictures of a bench day share: the joints and loads they draw, their head and foot."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from glueline.studies.bench_day.comparison.bench_words import prediction_words
from glueline.studies.bench_day.comparison.comparison import ComparedJoint, Comparison
from glueline.studies.bench_day.estimates.doubtful_rows import median_load
from glueline.studies.files.wording import answers_said
from glueline.studies.show.canvas import INK
from glueline.studies.show.lettering import CAPTION, TICK, TITLE

MOST_DRAWN = 20
"""Joints that a room can still read; of more the strongest are drawn."""

WIDTH = 13.3  # inches, the width of a projected sheet
FARTHEST = 2.5
"""How many times off its mean a limit is still drawn."""

FAR = 10.0
"""How many times off the break load a number is still drawn to scale; what is farther off is only named."""


def drawn_joints(comparison: Comparison) -> list[ComparedJoint]:
    """The joints to draw, strongest first; those without a mean by what they held."""
    ranked = sorted(comparison.joints, key=lambda joint: -(joint.measured.mean or _held(joint)))
    return ranked[:MOST_DRAWN]


def _held(joint: ComparedJoint) -> float:
    return max(row.lower for row in joint.measured.breaks)


def drawn_limits(joint: ComparedJoint) -> tuple[float, float] | None:
    """Limits of the mean in N as far as drawn: those that limit little would push all else together."""
    each = joint.measured
    if each.limits is None or each.mean is None:
        return None
    return max(each.limits[0], each.mean / FARTHEST), min(each.limits[1], each.mean * FARTHEST)


def drawn_loads(joint: ComparedJoint) -> list[float]:
    """Every load in N above zero that a picture has to hold: those not far above the break load."""
    each = joint.measured
    loads = [joint.predicted or 0.0, *(joint.band or ()), *(drawn_limits(joint) or ()), each.mean or 0.0]
    loads += [load for row in each.breaks for load in (row.lower, row.upper)]
    return [load for load in loads if 0 < load <= FAR * break_load(joint)]


def break_load(joint: ComparedJoint) -> float:
    """The load in N that others are held against: as predicted, else the median of the breaks."""
    return joint.predicted or median_load(joint.measured.breaks)


def far_words(joint: ComparedJoint) -> str:
    """Whether the mean lies too far off to be drawn to scale, in words; empty where it does not."""
    mean, at = joint.measured.mean, break_load(joint)
    if mean is None or at / FAR < mean <= FAR * at:
        return ""
    return "far above" if mean > at else "far below"


def write_head(sheet: Figure, comparison: Comparison, title: str) -> None:
    """The title and, below it, what the predictions were, or what the breaks said of them."""
    height = sheet.get_figheight()
    sheet.text(0.02, 1 - 0.15 / height, title, fontsize=TITLE, fontweight="bold", color=INK, va="top")
    words = answers_said([comparison.method]) if comparison.method else "no prediction could be made"
    if comparison.bias is not None:
        words = prediction_words(comparison)[0]
    sheet.text(0.02, 1 - 0.66 / height, words, fontsize=TICK, color=INK, va="top")


def write_foot(sheet: Figure, lines: Sequence[str], at: float) -> None:
    """Small print from ``at`` on, a share of the sheet's height up from its lower edge."""
    text = "\n".join(lines)
    sheet.text(0.02, at, text, fontsize=CAPTION, color="#444444", va="bottom", linespacing=1.25)
