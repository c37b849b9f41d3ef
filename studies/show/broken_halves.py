"""The intact corner beside the pieces that it is predicted to fall into, to lay the real ones beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.broken_pieces import BrokenPieces, Crack, Fragment, broken_pieces
from glueline.studies.show.canvas import (
    FAINT,
    INK,
    drawn,
    member_fill,
    new_sheet,
    without_frame,
    wood_fill,
)
from glueline.studies.show.load_sketch import GRAIN, draw_lines, draw_load_beside
from glueline.studies.show.piece_outlines import (
    chords_of,
    hardware_board,
    left_of_crack,
    outline_of,
    own_part,
    teeth_on,
)
from glueline.studies.show.rod_outlines import still_outline

Array = NDArray[np.float64]

FIBRES, BARE = "#7a3b10", "#ffffff"
LINES = 9  # of grain to the lesser depth


def broken_halves_png(found: BreakPath) -> bytes | None:
    """The picture as PNG bytes; None where the corner is not predicted to come apart."""
    pieces = broken_pieces(found)
    return None if pieces is None else drawn(draw_broken_halves, found, pieces)


def draw_broken_halves(found: BreakPath, pieces: BrokenPieces) -> Figure:
    """Two panels at one scale: before and after."""
    corner = found.corner
    extent = extent_of(found, pieces)
    scale = min(6.6 / extent.tall, 12.0 / (extent.before + extent.after))
    sheet = new_sheet((extent.before + extent.after) * scale + 0.6, extent.tall * scale + 1.7)
    columns = sheet.subplots(1, 2, width_ratios=(extent.before, extent.after))
    handles = draw_before_and_after(columns, found, pieces, extent, letters=16)
    draw_load_beside(columns[0], corner.layout, corner.specimen.arrangement, 15)
    if handles:
        sheet.legend(
            list(handles.values()),
            list(handles),
            loc="outside lower center",
            ncols=len(handles),
            fontsize=15,
            frameon=False,
        )
    sheet.suptitle(heading(found, pieces), fontsize=24, fontweight="bold", color=INK)
    return sheet


@dataclass(frozen=True)
class Extent:
    """What the two panels show, in mm: from ``low`` to ``high``, the pieces moved apart, and a margin."""

    reach: float
    low: tuple[float, float]
    high: tuple[float, float]
    margin: float

    @property
    def before(self) -> float:
        """Width of the panel of the whole corner."""
        return self.reach + 2 * self.margin

    @property
    def after(self) -> float:
        """Width of the panel of its pieces."""
        return self.high[0] - self.low[0] + 2 * self.margin

    @property
    def tall(self) -> float:
        """Height of both."""
        return self.high[1] - self.low[1] + 2 * self.margin


def extent_of(found: BreakPath, pieces: BrokenPieces) -> Extent:
    """How much of the corner and of its pieces is shown."""
    boards = found.corner.layout.boards
    reach = min(boards.leg, 2.6 * max(boards.depth_a, boards.depth_b))
    places = np.array([cluster.move for cluster in pieces.clusters])
    low, high = np.minimum(places.min(axis=0), 0.0), reach + np.maximum(places.max(axis=0), 0.0)
    return Extent(reach, (float(low[0]), float(low[1])), (float(high[0]), float(high[1])), 0.06 * reach)


def draw_before_and_after(
    columns: Sequence[Any], found: BreakPath, pieces: BrokenPieces, extent: Extent, letters: float
) -> dict[str, Any]:
    """The whole corner and its pieces in two panels at one scale; what to explain in a legend."""
    corner = found.corner
    whole = [Fragment(name) for name in corner.pieces]
    _draw_fragments(columns[0], corner, whole, np.zeros(2), None)
    for cluster in pieces.clusters:
        _draw_fragments(columns[1], corner, cluster.fragments, np.array(cluster.move), pieces.crack)
    handles = _draw_faces(columns[1], corner, pieces)
    _draw_hardware(columns[0], corner, {})
    _draw_hardware(columns[1], corner, _moves(pieces))
    for axes, title, left, right in zip(
        columns,
        ("whole", "predicted pieces"),
        (0.0, extent.low[0]),
        (extent.reach, extent.high[0]),
        strict=True,
    ):
        axes.set_xlim(left - extent.margin, right + extent.margin)
        axes.set_ylim(extent.low[1] - extent.margin, extent.high[1] + extent.margin)
        axes.set_aspect("equal")
        without_frame(axes)
        axes.set_title(title, fontsize=letters, color=INK)
    return handles


def heading(found: BreakPath, pieces: BrokenPieces) -> str:
    """What lets go, in a maker's words."""
    kind = found.corner.specimen.kind.capitalize()
    if pieces.crack is None:
        name = found.lets_go.name
        return f"{kind} corner: the {name} {_verb(name, 'let', 's')} go"
    name = pieces.crack.piece
    return f"{kind} corner: {name} {_verb(name, 'split' if pieces.crack.with_grain else 'break', 's')}"


def _verb(name: str, verb: str, ending: str) -> str:
    """A verb in the number of a name."""
    return verb if name.split(" in ")[0].split(" of ")[0].endswith("s") else verb + ending


def _moves(pieces: BrokenPieces) -> dict[Fragment, Array]:
    return {one: np.array(cluster.move) for cluster in pieces.clusters for one in cluster.fragments}


def _draw_fragments(
    axes: Any, corner: CornerModel, fragments: Iterable[Fragment], move: Array, crack: Crack | None
) -> None:
    """Fragments in their woods with grain and outline, moved as one."""
    rods = {rod.name: rod for rod in corner.layout.rods}
    for above, one in enumerate(fragments):
        if one.piece in rods:
            outline = left_of_crack(still_outline(corner, rods[one.piece]), one, crack, corner) + move
            fill = member_fill(corner, rods[one.piece].member)
            axes.add_patch(Polygon(outline, facecolor=fill, edgecolor=INK, linewidth=1.2, zorder=3))
            continue
        zorder = 1 + 0.1 * above
        fill = wood_fill(corner, one.piece)
        for cell in corner.layout.cells:
            if one.piece in cell.parts:
                outline = left_of_crack(np.array(cell.polygon), one, crack, corner)
                if len(outline) > 2:
                    axes.add_patch(
                        Polygon(outline + move, facecolor=fill, edgecolor=fill, linewidth=0.4, zorder=zorder)
                    )
                    _draw_grain(axes, corner, one.piece, outline, move, zorder)
        _draw_outline(axes, corner, one, move, crack, zorder)


def _draw_grain(
    axes: Any, corner: CornerModel, piece: str, outline: Array, move: Array, zorder: float
) -> None:
    """Thin lines along the grain of a piece, clipped to an outline of it."""
    angle = corner.layout.piece(piece).grain_angle
    along = np.array([np.cos(angle), np.sin(angle)])
    across = np.array([-along[1], along[0]])
    gap = min(corner.layout.boards.depth_a, corner.layout.boards.depth_b) / LINES
    steps = np.arange(np.ceil((outline @ across).min() / gap), np.floor((outline @ across).max() / gap) + 1)
    ends = np.array([(outline @ along).min(), (outline @ along).max()])
    lines = (steps * gap)[:, None, None] * across + ends[:, None] * along + move
    draw_lines(axes, lines, outline + move, color=GRAIN, linewidth=0.7, zorder=zorder)


def _draw_outline(
    axes: Any, corner: CornerModel, one: Fragment, move: Array, crack: Crack | None, zorder: float
) -> None:
    """Where a fragment ends in ink, teeth and all."""
    cracked = crack if one.side else None
    for stretch in outline_of(corner.layout, one.piece):
        ends = np.array(stretch)
        if cracked is not None:
            ends = own_part(ends, one, cracked)
        if len(ends):
            axes.plot(*(ends + move).T, color=INK, linewidth=1.3, zorder=zorder, solid_capstyle="round")
    if cracked is None:
        return
    for cell in corner.layout.cells:
        if one.piece in cell.parts:
            for chord in chords_of(np.array(cell.polygon), cracked):
                teeth = teeth_on(chord, cracked, corner)
                axes.plot(*(teeth + move).T, color=FIBRES, linewidth=2.4, zorder=zorder + 0.05)


def _draw_faces(axes: Any, corner: CornerModel, pieces: BrokenPieces) -> dict[str, Any]:
    """Glued faces that have parted, on both pieces: bare in white, torn ones with fibres; for the legend."""
    moves = _moves(pieces)
    handles: dict[str, Any] = {}
    crack = pieces.crack
    for face in pieces.faces:
        connection = corner.connection(face.name)
        colour = FIBRES if face.is_torn else BARE
        label = "glued face with torn fibres" if face.is_torn else "bare glued face"
        for piece in (connection.surface.minus, connection.surface.plus):
            for one in (each for each in moves if each.piece == piece):
                for start, end in connection.joining.edges:
                    ends = np.array([start, end])
                    if one.side and crack is not None:
                        ends = own_part(ends, one, crack)
                    if not len(ends):
                        continue
                    place = ends + moves[one]
                    axes.plot(*place.T, color=INK, linewidth=6.0, zorder=2.4, solid_capstyle="butt")
                    (drawn,) = axes.plot(
                        *place.T, color=colour, linewidth=4.0, zorder=2.5, solid_capstyle="butt"
                    )
                    if face.is_torn:
                        drawn.set_linestyle((0, (0.6, 0.4)))
                for index in connection.joining.cells:
                    outline = left_of_crack(np.array(corner.layout.cells[index].polygon), one, crack, corner)
                    if len(outline) > 2:
                        axes.add_patch(_face_patch(outline + moves[one], face.is_torn))
        handles.setdefault(label, _face_patch(np.zeros((3, 2)), face.is_torn))
    if crack is not None:
        (line,) = axes.plot([], [], color=FIBRES, linewidth=2.4)
        handles["broken wood"] = line
    return handles


def _face_patch(outline: Array, is_torn: bool) -> Polygon:
    """A glued face seen from above: hatched with fibres where torn."""
    style = (
        {"facecolor": "#ecd2b0", "edgecolor": FIBRES, "hatch": "//--"}
        if is_torn
        else {"facecolor": BARE, "edgecolor": FAINT}
    )
    return Polygon(outline, closed=True, linewidth=0.8, zorder=2.3, **style)


def _draw_hardware(axes: Any, corner: CornerModel, moves: dict[Fragment, Array]) -> None:
    """Bought fasteners in outline, with the board in which they start."""
    for each in corner.layout.hardware:
        board = hardware_board(corner, each)
        move = next((move for one, move in moves.items() if one.piece == board), np.zeros(2))
        outline = still_outline(corner, each) + move
        axes.add_patch(Polygon(outline, facecolor="white", edgecolor=INK, linewidth=1.4, zorder=3))
