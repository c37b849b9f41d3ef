"""How much of its strength every place of a corner uses when it breaks: wood, glue and fasteners alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.collections import LineCollection
from matplotlib.patches import Polygon
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from glueline.geometries import Layout
from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.corner.connections import Hold
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.fastener_shares import shares_along
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.wood_limits import WoodSample, shares_of_strength
from glueline.studies.show.canvas import FAINT, INK, outline_edges
from glueline.studies.show.glue_places import cell_corners, edge_stretches
from glueline.studies.show.load_sketch import draw_grain, draw_ring
from glueline.studies.show.rods import rim_places, still_outline
from glueline.studies.show.strength_colours import strength_colours

Array = NDArray[np.float64]

CLOSE = 2.6  # depths of the boards that a close view shows
GRAIN_LINES = 7  # over the depth of a board
SPOT = 34.0  # square points at most: smaller where the corner, and its ring, are drawn smaller


@dataclass(frozen=True)
class StrengthField:
    """Shares of strength from 0 to 1 as it breaks, as little as a picture needs. Places in mm.

    Where pieces overlap, and between cheeks, each cell has the largest share of what lies there. ``places``
    (m, 3, 2) are the corners of the cells and ``share`` (m, 3) theirs; ``edges`` (e, 3, 2) outlines;
    ``lines`` (k, 4, 2) stretches of glue seen from their ends with ``line_share`` (k,), ``splits`` and
    ``split_share`` likewise where wood may split along its grain; ``spots`` (q, 2) points of what grips
    along rods and fasteners with ``spot_share`` (q,); ``rods`` outlines (2 n, 2) of rods and fasteners, one
    side from start to end and the other back, each with the share (n,) of its own strength along it, bent and
    pulled; ``point`` where it gives first; ``jumping`` that the cracked corner jumps as it does.
    """

    layout: Layout
    arrangement: LoadArrangement
    places: Array
    share: Array
    edges: Array
    lines: Array
    line_share: Array
    splits: Array
    split_share: Array
    spots: Array
    spot_share: Array
    rods: tuple[tuple[Array, Array], ...]
    point: tuple[float, float]
    jumping: bool

    @property
    def depth(self) -> float:
        """The greater depth of the boards."""
        return max(self.layout.boards.depth_a, self.layout.boards.depth_b)

    def share_near(self, place: tuple[float, float], within: float) -> float:
        """The largest share that is drawn within so many mm of a place."""
        found = [
            (self.places.reshape(-1, 2), self.share.ravel()),
            (self.lines.mean(axis=1), self.line_share),
            (self.splits.mean(axis=1), self.split_share),
            (self.spots, self.spot_share),
            *((_across(outline).mean(axis=1), share) for outline, share in self.rods),
        ]
        near = [
            share[np.linalg.norm(places - np.array(place), axis=1) <= within]
            for places, share in found
            if len(places)
        ]
        return max((float(each.max()) for each in near if len(each)), default=0.0)


def _across(outline: Array) -> Array:
    """The sides (n, 2, 2) of an outline (2 n, 2) of a rod, from its start to its end: left, right."""
    half = len(outline) // 2
    return np.stack([outline[:half], outline[half:][::-1]], axis=1)


@dataclass(frozen=True)
class _Moment:
    """A corner as what gives first gives: displacements ``u`` (unknowns,) in mm, tractions (p, 2) in MPa and
    which points (p,) have softened, by what holds.
    """

    u: Array
    tractions: Mapping[str, Array]
    softened: Mapping[str, NDArray[np.bool_]]

    def used(self, hold: Hold, share: Array) -> Array:
        """A ``share`` (p,) of strength from 0 to 1: all of it where it has softened."""
        return np.where(self.softened[hold.name], 1.0, np.clip(np.nan_to_num(share), 0.0, 1.0))


def _moment(prediction: Prediction) -> _Moment:
    found = prediction.broken
    if found is None:
        whole = {name: np.zeros(len(each), bool) for name, each in prediction.tractions_at_break.items()}
        return _Moment(prediction.u_at_break, prediction.tractions_at_break, whole)
    state = found.gives_at
    softened = {hold.name: found.path.damage[hold.name][state] > 0.0 for hold in found.corner.holds}
    if not found.jumping:
        return _Moment(prediction.u_at_break, prediction.tractions_at_break, softened)
    return _Moment(found.displacements(state), found.tractions(state), softened)


def strength_field(prediction: Prediction) -> StrengthField:
    """What is drawn of a prediction, which need not be kept."""
    corner, moment = prediction.corner, _moment(prediction)
    mesh = corner.model.mesh
    share = np.full((len(mesh.triangles), 3), -1.0)
    for sample in prediction.samples:
        cells = corner.model.body(sample.piece).cells
        share[cells] = np.maximum(share[cells], _wood_share(prediction, sample, cells, moment.u))
    lines, line_share = [np.empty((0, 4, 2))], [np.empty(0)]
    splits, split_share = [np.empty((0, 4, 2))], [np.empty(0)]
    spots, spot_share = [np.empty((0, 2))], [np.empty(0)]
    dry = [each for each in corner.connections if not each.is_glued]  # faces that only touch
    for hold in corner.holds:
        used = moment.used(hold, hold.share_of_strength(moment.tractions[hold.name]))
        if len(hold.edges) and hold not in dry:
            seen, shares = (splits, split_share) if hold in corner.splits else (lines, line_share)
            seen.append(edge_stretches(corner.model.mesh.nodes, hold.edges))
            shares.append(used[: 3 * len(hold.edges)])
        if len(hold.cells):
            share[hold.cells] = np.maximum(share[hold.cells], cell_corners(used, len(hold.cells)))
        if not len(hold.edges) and not len(hold.cells) and used.any():
            spots.append(rim_places(corner, hold))
            spot_share.append(used)
    cells = np.flatnonzero((share >= 0.0).all(axis=1))
    x, y = prediction.critical.point
    return StrengthField(
        layout=corner.layout,
        arrangement=prediction.specimen.arrangement,
        places=mesh.nodes[mesh.triangles[cells, :3]],
        share=np.clip(share[cells], 0.0, 1.0),
        edges=np.concatenate(
            [mesh.nodes[outline_edges(corner, body)[:, [0, 2, 1]]] for body in corner.model.bodies]
        ),
        lines=np.concatenate(lines),
        line_share=np.concatenate(line_share),
        splits=np.concatenate(splits),
        split_share=np.concatenate(split_share),
        spots=np.concatenate(spots),
        spot_share=np.concatenate(spot_share),
        rods=_rods(corner, moment),
        point=(float(x), float(y)),
        jumping=prediction.broken is not None and prediction.broken.jumping,
    )


def _wood_share(prediction: Prediction, sample: WoodSample, cells: NDArray[np.int64], u: Array) -> Array:
    """Share (c, 3) at the corners of a piece's cells, each that of the nearest place that is judged.

    Wood beside a glued face is not judged, so it has what lies next to it; there the glue decides.
    """
    corner = prediction.corner
    judged = np.flatnonzero(sample.judged)
    if not len(judged):
        return np.zeros((len(cells), 3))
    worst = shares_of_strength(sample, u).worst
    corners = corner.model.mesh.nodes[corner.model.mesh.triangles[cells, :3]]
    nearest = cKDTree(sample.rows.points[judged]).query(corners.reshape(-1, 2))[1]
    return np.asarray(worst[judged][nearest].reshape(-1, 3))


def _rods(corner: CornerModel, moment: _Moment) -> tuple[tuple[Array, Array], ...]:
    used = {
        hold.name: moment.used(hold, hold.share_of_fastener(moment.tractions[hold.name]))
        for hold in corner.holds
        if hold.breaks_in == "fastener"
    }
    shares = shares_along(corner, moment.u, used)
    return tuple(
        (still_outline(corner, each), np.minimum(shares[each.name], 1.0)) for each in corner.layout.inserts
    )


def draw_strength(axes: Any, field: StrengthField, ring: float) -> Any:
    """One corner, wood, glue and fasteners on the one scale, its grain and a ring ``ring`` points wide."""
    colours = strength_colours()
    corners = field.places.reshape(-1, 2)
    triangles = Triangulation(corners[:, 0], corners[:, 1], np.arange(len(corners)).reshape(-1, 3))
    drawn = axes.tripcolor(
        triangles, field.share.ravel(), shading="gouraud", cmap=colours, vmin=0.0, vmax=1.0, zorder=1
    )
    names = [piece.name for piece in field.layout.pieces]
    depths = field.layout.boards.depth_a, field.layout.boards.depth_b
    draw_grain(axes, field.layout, names, min(depths) / GRAIN_LINES, color=INK, alpha=0.22)
    axes.add_collection(LineCollection(list(field.edges), colors=INK, linewidths=1.4, zorder=2))
    for outline, share in field.rods:
        sides, both = _across(outline), np.stack([share, share], axis=1)
        look = {"shading": "gouraud", "cmap": colours, "vmin": 0.0, "vmax": 1.0, "zorder": 2.4}
        axes.pcolormesh(sides[..., 0], sides[..., 1], both, label="fastener", **look)
        axes.add_patch(Polygon(outline, closed=True, fill=False, edgecolor=INK, linewidth=1.2, zorder=2.5))
    axes.add_collection(LineCollection(list(field.lines), colors=INK, linewidths=10.0, zorder=3))
    for seen, shares, name, width in (
        (field.splits, field.split_share, "splits", 3.0),
        (field.lines, field.line_share, "glue", 7.0),
    ):
        coloured = LineCollection(list(seen), linewidths=width, cmap=colours, zorder=3.1, label=name)
        coloured.set_array(shares)
        coloured.set_clim(0.0, 1.0)
        axes.add_collection(coloured)
    if len(field.spots):
        look = {"cmap": colours, "vmin": 0.0, "vmax": 1.0, "edgecolors": FAINT, "linewidths": 0.4}
        size = min(SPOT, ring**2 / SPOT)
        axes.scatter(*field.spots.T, c=field.spot_share, s=size, marker="s", zorder=3.2, **look)
    draw_ring(axes, field.point, ring)
    return drawn


def frame_close(axes: Any, field: StrengthField) -> None:
    """The corner and the first stretch of its legs, equal scales, no ticks."""
    reach = min(field.layout.boards.leg, CLOSE * field.depth)
    axes.set_xlim(-0.14 * reach, reach)
    axes.set_ylim(-0.11 * reach, 1.03 * reach)
    axes.set_aspect("equal")
    axes.set_xticks([])
    axes.set_yticks([])
    for side in axes.spines.values():
        side.set_visible(False)
