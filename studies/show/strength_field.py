"""How much of its strength every place of a corner uses when it breaks: wood, glue and fasteners alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import Layout
from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.corner.connections import Hold
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.reuse import Reuse
from glueline.studies.predict.fastener_shares import shares_along
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.wood_limits import WoodSample, shares_of_strength
from glueline.studies.show.deformed import outline_edges
from glueline.studies.show.glue_places import cell_corners, edge_stretches
from glueline.studies.show.rod_outlines import rim_places, still_outline

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

GRAIN_LINES = 7  # over the depth of a board
AT_ONCE = 64  # places whose distances to all others are kept at once


@dataclass(frozen=True)
class StrengthField:
    """Shares of strength from 0 to 1 as it breaks, as little as a picture needs. Places in mm.

    Where pieces overlap, and between cheeks, each cell has the largest share of what lies there. ``places``
    (m, 3, 2) are the corners of the ``cells`` (m,) of the mesh and ``share`` (m, 3) theirs; ``edges``
    (e, 3, 2) outlines;
    ``lines`` (k, 4, 2) stretches of glue seen from their ends with ``line_share`` (k,), ``splits`` and
    ``split_share`` likewise where wood may split along its grain; ``spots`` (q, 2) points of what grips
    along rods and fasteners with ``spot_share`` (q,); ``rods`` outlines (2 n, 2) of rods and fasteners, one
    side from start to end and the other back, each with the share (n,) of its own strength along it, bent and
    pulled; ``point`` where it gives first; ``jumping`` that the cracked corner jumps as it does.
    ``line_hold`` (k,) and ``spot_hold`` (q,) say of which of the corner's holds they are, and ``most`` is the
    largest share of strength of each hold.
    """

    layout: Layout
    arrangement: LoadArrangement
    cells: Integers
    places: Array
    share: Array
    edges: Array
    lines: Array
    line_share: Array
    line_hold: Integers
    splits: Array
    split_share: Array
    spots: Array
    spot_share: Array
    spot_hold: Integers
    most: tuple[float, ...]
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
            *((sides_of(outline).mean(axis=1), share) for outline, share in self.rods),
        ]
        near = [
            share[np.linalg.norm(places - np.array(place), axis=1) <= within]
            for places, share in found
            if len(places)
        ]
        return max((float(each.max()) for each in near if len(each)), default=0.0)


def sides_of(outline: Array) -> Array:
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


def strength_field(prediction: Prediction, kept: Reuse | None = None) -> StrengthField:
    """What is drawn of a prediction, which need not be kept.

    ``kept`` keeps which judged place is nearest to a corner of a cell, for the next corner of the same shape.
    """
    kept = kept or Reuse()
    corner, moment = prediction.corner, _moment(prediction)
    mesh = corner.model.mesh
    share = np.full((len(mesh.triangles), 3), -1.0)
    for sample in prediction.samples:
        cells = corner.model.body(sample.piece).cells
        share[cells] = np.maximum(share[cells], _wood_share(prediction, sample, cells, moment.u, kept))
    lines, line_share = [np.empty((0, 4, 2))], [np.empty(0)]
    splits, split_share = [np.empty((0, 4, 2))], [np.empty(0)]
    spots, spot_share = [np.empty((0, 2))], [np.empty(0)]
    line_hold, spot_hold, most = [np.empty(0, np.int64)], [np.empty(0, np.int64)], []
    dry = [each for each in corner.connections if not each.is_glued]  # faces that only touch
    for number, hold in enumerate(corner.holds):
        used = moment.used(hold, hold.share_of_strength(moment.tractions[hold.name]))
        most.append(float(used.max(initial=0.0)))
        if len(hold.edges) and hold not in dry:
            seen, shares = (splits, split_share) if hold in corner.splits else (lines, line_share)
            seen.append(edge_stretches(corner.model.mesh.nodes, hold.edges))
            shares.append(used[: 3 * len(hold.edges)])
            if seen is lines:
                line_hold.append(np.full(3 * len(hold.edges), number))
        if len(hold.cells):
            share[hold.cells] = np.maximum(share[hold.cells], cell_corners(used, len(hold.cells)))
        if not len(hold.edges) and not len(hold.cells) and used.any():
            spots.append(rim_places(corner, hold))
            spot_share.append(used)
            spot_hold.append(np.full(len(used), number))
    cells = np.flatnonzero((share >= 0.0).all(axis=1))
    x, y = prediction.critical.point
    return StrengthField(
        layout=corner.layout,
        arrangement=prediction.specimen.arrangement,
        cells=cells,
        places=mesh.nodes[mesh.triangles[cells, :3]],
        share=np.clip(share[cells], 0.0, 1.0),
        edges=np.concatenate(
            [mesh.nodes[outline_edges(corner, body)[:, [0, 2, 1]]] for body in corner.model.bodies]
        ),
        lines=np.concatenate(lines),
        line_share=np.concatenate(line_share),
        line_hold=np.concatenate(line_hold),
        splits=np.concatenate(splits),
        split_share=np.concatenate(split_share),
        spots=np.concatenate(spots),
        spot_share=np.concatenate(spot_share),
        spot_hold=np.concatenate(spot_hold),
        most=tuple(most),
        rods=_rods(corner, moment),
        point=(float(x), float(y)),
        jumping=prediction.broken is not None and prediction.broken.jumping,
    )


def _wood_share(prediction: Prediction, sample: WoodSample, cells: Integers, u: Array, kept: Reuse) -> Array:
    """Share (c, 3) at the corners of a piece's cells, each that of the nearest place that is judged.

    Wood beside a glued face is not judged, so it has what lies next to it; there the glue decides.
    """
    corner = prediction.corner
    judged = np.flatnonzero(sample.judged)
    if not len(judged):
        return np.zeros((len(cells), 3))

    def nearest() -> Integers:
        nodes, place = np.unique(corner.model.mesh.triangles[cells, :3], return_inverse=True)
        found = _nearest(sample.rows.points[judged], corner.model.mesh.nodes[nodes])
        return np.asarray(found[place].reshape(-1, 3))

    made_from = corner.made_from, sample.judged.tobytes()
    worst = _worst(prediction, sample, u)[judged]
    name = f"{corner.role}: judged places nearest in {sample.piece}"
    return np.asarray(worst[kept.shared(name, made_from, nearest)])


def _nearest(places: Array, to: Array) -> Integers:
    """Which of ``places`` (n, 2) is nearest ``to`` each of others (m, 2).

    Written out: a tree of places would be slower to load than this is for hundreds of corners of cells.
    """
    found = np.empty(len(to), np.int64)
    for start in range(0, len(to), AT_ONCE):
        x, y = to[start : start + AT_ONCE].T[..., None]
        away = (x - places[:, 0]) ** 2 + (y - places[:, 1]) ** 2
        found[start : start + AT_ONCE] = away.argmin(axis=1)
    return found


def _worst(prediction: Prediction, sample: WoodSample, u: Array) -> Array:
    """Largest share (p,) over the modes at the places of a sample, as the elastic answer has it if it has."""
    known = prediction.unit_shares.get(sample.piece)
    if known is None:
        return shares_of_strength(sample, u).worst
    return np.asarray(prediction.break_load * known.worst)


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
