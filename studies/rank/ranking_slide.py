"""A ranking for a projector, 16:9: the strongest corner with what gives, and every load with its band."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure

from glueline.studies.files.display import force_factor, force_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.predict.said_aloud import TREAT_AS_BROKEN, force_down, stand_clear_from
from glueline.studies.rank.ranking import RankedCorner, strongest_first
from glueline.studies.rank.ranking_bars import KINDS
from glueline.studies.rank.ranking_maps import CornerField
from glueline.studies.show.canvas import INK
from glueline.studies.show.lettering import short_labels, wrapped
from glueline.studies.show.load_sketch import LOAD
from glueline.studies.show.slide import (
    CAUTION,
    CAUTION_HIGH,
    HEAD,
    HEIGHT,
    TEXT,
    WIDTH,
    WORDS,
    draw_slide_corner,
    slide_sheet,
)

MOST_BARS = 7  # as many as can be read from the back of a room
FOOT = 0.85  # inches below the bars
BAR = 0.3  # of a row: half the height of a bar


def draw_ranking_slide(
    corners: Sequence[RankedCorner], fields: Sequence[CornerField], units: Units
) -> Figure:
    """The slide of several corners; of more than ``MOST_BARS`` the strongest, and how many are left out."""
    ranked = strongest_first(corners)
    shown = ranked[:MOST_BARS]
    best = next(each for each in fields if each.label == ranked[0].label)
    sheet = slide_sheet("Which corner holds most, predicted" if len(ranked) > 1 else "This corner, predicted")
    draw_slide_corner(sheet, best.strength)
    named = short_labels([best.label], WORDS, 3.4, 1, bold=True)[0]
    corner = next(each for each in sheet.axes if each.get_label() == "corner")
    corner.text(0.97, 0.9, named, fontsize=WORDS, color=INK, ha="right", transform=corner.transAxes)
    low, tall = CAUTION_HIGH + FOOT, HEIGHT - HEAD - CAUTION_HIGH - FOOT - 0.1
    place = (TEXT / WIDTH, low / HEIGHT, (WIDTH - TEXT - 0.25) / WIDTH, tall / HEIGHT)
    axes: Any = sheet.add_axes(place, label="loads")
    factor = force_factor(units)
    axes.set_xlim(0, 1.04 * factor * max(max(each.break_load, *(each.band or (0.0,))) for each in shown))
    axes.set_ylim(len(shown) - 0.5, -0.5)
    axes.set_axis_off()
    labels = short_labels([each.label for each in shown], WORDS - 5, 2.6, 1)
    size = min(WORDS - 5.0, 72 * 0.36 * tall / len(shown))
    for row, (each, label) in enumerate(zip(shown, labels, strict=True)):
        _draw_load(axes, row, each, label, units, size)
    left_out = f" {len(ranked) - len(shown)} weaker ones are left out." if len(ranked) > len(shown) else ""
    words = f"Force on the joint; line: nine of ten alike. Where lines overlap no order is claimed.{left_out}"
    if all(each.band is None for each in shown):
        words = f"Force on the joint; how far corners made alike differ is left out.{left_out}"
    foot = "\n".join([*wrapped(words, CAUTION - 4, WIDTH - TEXT - 0.2, False), TREAT_AS_BROKEN])
    sheet.text(
        TEXT / WIDTH, (CAUTION_HIGH + 0.08) / HEIGHT, foot, fontsize=CAUTION - 4, color=INK, va="bottom"
    )
    return sheet


def _draw_load(axes: Any, row: int, corner: RankedCorner, label: str, units: Units, size: float) -> None:
    """A bar with its band, above it the label, the load and from where to stand clear."""
    factor = force_factor(units)
    colour, hatch, _ = KINDS.get(corner.breaks_in, KINDS["glue"])
    look = {"color": colour, "hatch": hatch, "edgecolor": INK, "linewidth": 1.0}
    middle = row + 0.5 - BAR - 0.04
    axes.barh(middle, corner.break_load * factor, height=BAR, **look)
    if corner.band is not None:
        axes.plot([end * factor for end in corner.band], [middle, middle], color=INK, linewidth=3.5)
    load = f"{significant(corner.break_load * factor, 3)} {force_unit(units)}"
    clear = f"clear from {force_down(stand_clear_from(corner)[0], units)}"
    above = middle - BAR / 2 - 0.06
    axes.text(0, above, f"{label}: {load}", fontsize=size, fontweight="bold", color=INK, va="bottom")
    right = axes.get_xlim()[1]
    axes.text(right, above, clear, fontsize=0.75 * size, color=LOAD, ha="right", va="bottom")
