"""The legend of the cuts through a corner: woods, what is let in, glue by colour, and how all is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, sin
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from glueline.geometries import Layout
from glueline.geometries.section import Cut, bands
from glueline.geometries.section_glue import glue_seen
from glueline.geometries.silhouettes import What, silhouettes
from glueline.studies.corner.model import CornerModel
from glueline.studies.show.canvas import INK, member_fill, wood_fill
from glueline.studies.show.lettering import text_width
from glueline.studies.show.load_sketch import GRAIN

STEEL = "#8d99a6"
KEY = "#555555"  # of entries that stand for every colour
BEFORE, BEHIND = "\\\\\\", "///"  # hatches
STYLES: dict[What, dict[str, Any]] = {
    "rod": {"linewidth": 1.4},
    "pocket": {"facecolor": "white", "linewidth": 1.0},
    "shank": {"facecolor": STEEL, "linewidth": 1.0},
    "head": {"facecolor": STEEL, "linewidth": 2.4},
}
"""How what is let in is drawn; a rod has the fill of its wood."""
UNCUT: dict[str, Any] = {"facecolor": "none", "linestyle": "--", "linewidth": 1.0}
END_GRAIN = 0.2  # of a piece's grain that lies along the cut; below it the cut shows end grain
LETTERS = 12  # points
ROW, HANDLE, SLACK = 0.26, 0.9, 1.05  # inches: a row, a handle with its gaps; over the measured width
RIM = 0.15  # inches about the legend


@dataclass(frozen=True)
class Panel:
    """A cut and how far along its board it is drawn, in mm."""

    cut: Cut
    reach: float


@dataclass(frozen=True)
class Legend:
    """Handles with their labels, in as many columns as a sheet has room for."""

    entries: tuple[Artist, ...]
    letters: float = LETTERS  # points

    def columns(self, width: float) -> int:
        """How many fit on a sheet ``width`` inches wide; they are filled one after the other."""
        widths = [text_width(str(each.get_label()), self.letters) * SLACK + HANDLE for each in self.entries]
        for count in range(len(widths), 1, -1):
            wanted = sum(float(max(column)) for column in np.array_split(widths, count))
            if wanted <= width - 2 * RIM:
                return count
        return 1

    def height(self, width: float) -> float:
        """Its height in inches, with its rim."""
        return ROW * self.letters / LETTERS * -(-len(self.entries) // self.columns(width)) + 2 * RIM

    def draw(self, sheet: Figure) -> None:
        """At the bottom of a sheet."""
        wide, tall = sheet.get_size_inches()
        sheet.legend(
            handles=list(self.entries),
            loc="lower center",
            bbox_to_anchor=(0.5, RIM / tall),
            borderaxespad=0.0,
            borderpad=0.0,
            ncols=self.columns(wide),
            fontsize=self.letters,
            frameon=False,
            numpoints=3,
        )


def legend_of(
    corner: CornerModel, panels: Sequence[Panel], colours: Mapping[str, str], letters: float = LETTERS
) -> Legend:
    """Everything that is seen in any of the panels; glue in ``colours`` by its name."""
    entries = (*_wood(corner, panels), *_let_in(corner, panels), *_glue(corner, panels, colours))
    return Legend(entries, letters)


def shows_end_grain(layout: Layout, cut: Cut, piece: str) -> bool:
    """Whether the grain of a piece runs through a cut rather than along it."""
    angle, along = layout.piece(piece).grain_angle, cut.leg(layout).along
    return abs(cos(angle) * along[0] + sin(angle) * along[1]) < END_GRAIN


def _wood(corner: CornerModel, panels: Sequence[Panel]) -> Iterator[Artist]:
    """Pieces in the order of the joint, and end grain."""
    layout = corner.layout
    met = [(panel.cut, band.piece) for panel in panels for band in bands(layout, panel.cut)]
    pieces = [piece.name for piece in layout.pieces if piece.name in {name for _, name in met}]
    for name in pieces:
        yield Patch(facecolor=wood_fill(corner, name), edgecolor=INK, label=name)
    for member in dict.fromkeys(rod.member for rod in layout.rods):
        number = sum(rod.number for rod in layout.rods if rod.member == member)
        label = member.name if number > 1 else member.singular
        yield Patch(facecolor=member_fill(corner, member), edgecolor=INK, label=label)
    if any(shows_end_grain(layout, cut, name) for cut, name in met if name in pieces):
        dots: dict[str, Any] = {"marker": "o", "linestyle": "none", "markersize": 2.5, "color": GRAIN}
        yield Line2D([], [], label="end grain", **dots)


def _let_in(corner: CornerModel, panels: Sequence[Panel]) -> Iterator[Artist]:
    """Bought fasteners, the pockets of screws, and what a dashed outline says."""
    layout = corner.layout
    seen = [each for panel in panels for each in silhouettes(layout, panel.cut)]
    for singular in dict.fromkeys(each.singular for each in layout.hardware):
        ending = "s" if sum(each.number for each in layout.hardware if each.singular == singular) > 1 else ""
        yield Patch(facecolor=STEEL, edgecolor=INK, label=f"{singular}{ending}")
        if any(each.what == "pocket" for each in seen):
            yield Patch(facecolor="white", edgecolor=INK, label=f"pocket{ending}")
    if not all(each.is_cut for each in seen):
        yield Patch(facecolor="none", edgecolor=INK, linestyle="--", label="in front of or behind the cut")


def _glue(corner: CornerModel, panels: Sequence[Panel], colours: Mapping[str, str]) -> Iterator[Artist]:
    """Every surface in its colour; then what a thick line and the hatches say."""
    seen = [glue for panel in panels for glue in glue_seen(corner.layout, panel.cut)]
    names = {glue.joining for glue in seen if glue.lines or glue.before or glue.behind}
    for connection in corner.connections:
        if connection.name in names:
            yield Patch(facecolor=colours[connection.name], edgecolor="none", label=connection.legend)
    if any(glue.lines for glue in seen):
        yield Line2D([], [], color=KEY, linewidth=4, label="surface that is cut through")
    for hatch, place, words in ((BEFORE, "before", "in front of"), (BEHIND, "behind", "behind")):
        if any(getattr(glue, place) for glue in seen):
            style: dict[str, Any] = {"facecolor": "none", "edgecolor": KEY, "linewidth": 0, "hatch": hatch}
            yield Patch(label=f"surface {words} the cut", **style)
