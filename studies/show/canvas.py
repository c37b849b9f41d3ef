"""Shared ground of all pictures: sheet, colours, outlines, deformation, panels."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, ParamSpec

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray
from PIL import Image

from glueline.fem.model import Body
from glueline.geometries import Member
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]
Parameters = ParamSpec("Parameters")

INK = "#222222"
FAINT = "#9a9a9a"
# Okabe and Ito 2008: eight colours told apart by every common kind of colour vision.
LINE_COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
DOTS_PER_INCH = 110
WOOD_FILLS = ("#f3e3c3", "#e7d0a5", "#d9a777", "#c99f84", "#e0c9b1", "#b98d62")
"""Fills of the members of a joint in their order: board A, board B, and what else it is made of."""


@dataclass(frozen=True)
class Panel:
    """Pieces that can be drawn in one panel because they do not overlap."""

    title: str
    bodies: tuple[Body, ...]


RIM = 0.1  # inches: titles and words stay off the edge of a sheet


def new_sheet(width: float, height: float) -> Figure:
    """An empty sheet ``width`` by ``height`` inches, laid out so that nothing overlaps."""
    sheet = Figure(figsize=(width, height), dpi=DOTS_PER_INCH, facecolor="white")
    sheet.set_layout_engine("constrained", w_pad=RIM, h_pad=RIM)
    FigureCanvasAgg(sheet)
    return sheet


def as_image(sheet: Figure) -> Image.Image:
    """The sheet in the dots of a screen. ``savefig`` would draw it twice: for its layout, and to be seen."""
    canvas: Any = FigureCanvasAgg(sheet)
    canvas.draw()
    size = canvas.get_width_height()
    return Image.frombuffer("RGBA", size, canvas.buffer_rgba(), "raw", "RGBA", 0, 1).convert("RGB")


def as_png(sheet: Figure) -> bytes:
    """The sheet as the bytes of a PNG, in which no software and no time is named."""
    buffer = io.BytesIO()
    as_image(sheet).save(buffer, format="png", compress_level=3, dpi=(DOTS_PER_INCH, DOTS_PER_INCH))
    return buffer.getvalue()


def drawn(draw: Callable[Parameters, Figure], *given: Parameters.args, **named: Parameters.kwargs) -> bytes:
    """The bytes of the PNG of what ``draw`` makes of what it is given, whatever settings a user has."""
    with own_style():
        return as_png(draw(*given, **named))


@contextlib.contextmanager
def own_style() -> Iterator[None]:
    """Inside, the library draws as it does by default, not as a user's file of settings says."""
    # ``matplotlib.rcdefaults`` would first read every style that comes with the library.
    usual: Any = {name: value for name, value in matplotlib.rcParamsDefault.items() if name != "backend"}
    with matplotlib.rc_context(usual):
        yield


def panels_of(corner: CornerModel) -> tuple[Panel, ...]:
    """Group the pieces into as few panels as overlap allows, in order."""
    groups: list[list[Body]] = []
    for body in corner.model.bodies:
        for group in groups:
            if all(len(np.intersect1d(body.cells, other.cells)) == 0 for other in group):
                group.append(body)
                break
        else:
            groups.append([body])
    return tuple(Panel(" and ".join(body.name for body in group), tuple(group)) for group in groups)


def wood_fill(corner: CornerModel, piece: str) -> str:
    """The fill of a piece by the member that it belongs to."""
    return member_fill(corner, corner.layout.piece(piece).member)


def member_fill(corner: CornerModel, member: Member) -> str:
    """The fill of what is of one member."""
    return WOOD_FILLS[corner.specimen.joint_kind.members.index(member) % len(WOOD_FILLS)]


def draw_outline(axes: Any, nodes: Array, edges: NDArray[np.int64], **style: Any) -> None:
    """Draw edges (e, 3) through their middle nodes, on axes whose limits are set."""
    from matplotlib.collections import LineCollection

    paths = nodes[edges][:, [0, 2, 1]]
    drawn = LineCollection(list(paths), **{"colors": INK, "linewidths": 1.0, **style})
    axes.add_collection(drawn, autolim=False)


def frame(axes: Any, corner: CornerModel, close: bool) -> None:
    """Equal scales, no ticks; ``close`` shows the corner and the first stretch of the legs."""
    boards = corner.layout.boards
    depth = max(boards.depth_a, boards.depth_b)
    reach = min(boards.leg, 2.6 * depth) if close else boards.leg
    margin = 0.09 * reach + 0.15 * depth
    axes.set_xlim(-margin, reach + margin)
    axes.set_ylim(-margin, reach + margin)
    axes.set_aspect("equal")
    without_frame(axes)


def without_frame(axes: Any) -> None:
    """Neither ticks nor an outline, and no words along the axes either."""
    axes.set_xticks([])  # also those that are not drawn would be laid out
    axes.set_yticks([])
    axes.set_axis_off()
