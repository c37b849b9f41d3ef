"""How a corner stands in a picture under load: outlines, places moved, and how much larger it is drawn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.fem.model import Body, rigid_body_motions
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]


def outline_edges(corner: CornerModel, body: Body) -> NDArray[np.int64]:
    """Outer element edges (e, 3) of a body: start, end, middle."""
    edges = corner.model.nodes_of(body)[:, [[0, 1, 3], [1, 2, 4], [2, 0, 5]]].reshape(-1, 3)
    _, first, count = np.unique(edges[:, 2], return_index=True, return_counts=True)
    return np.asarray(edges[first[count == 1]])


def moved(corner: CornerModel, body: Body, u: Array, magnification: float) -> Array:
    """Node positions (n, 2) of a body with displacements magnified; NaN where the body does not reach."""
    return corner.model.mesh.nodes + magnification * corner.model.displacement(body.name, u)


def standing_still(corner: CornerModel, u: Array) -> Array:
    """The displacements less the rigid motion of the joint itself, so that pictures show it where it is."""
    chosen = _of_the_joint(corner)
    motions = rigid_body_motions(corner.model)
    share, *_ = np.linalg.lstsq(motions[chosen], u[chosen], rcond=None)
    return np.asarray(u - motions @ share)


def magnification_for(corner: CornerModel, u: Array) -> float:
    """A round factor that makes the largest displacement about a sixteenth of the leg."""
    return round_magnification(float(np.abs(u).max()), corner.layout.boards.leg)


def round_magnification(largest: float, leg: float) -> float:
    """A round factor that makes a displacement of ``largest`` mm about a sixteenth of ``leg`` mm."""
    if largest == 0:
        return 1.0
    wanted = leg / 16 / largest
    power = 10.0 ** np.floor(np.log10(wanted))
    steps = [step for step in (1, 2, 5) if step * power <= wanted]
    return float(max(1.0, (steps[-1] if steps else 1) * power))


def all_standing_still(corner: CornerModel, states: Array) -> Array:
    """The same for many displacements (s, unknowns) at once, which differ from it by round-off."""
    chosen, motions = _of_the_joint(corner), rigid_body_motions(corner.model)
    shares = np.linalg.lstsq(motions[chosen], states[:, chosen].T, rcond=None)[0]
    return np.asarray(states - shares.T @ motions.T)


def _of_the_joint(corner: CornerModel) -> NDArray[np.int64]:
    """Unknowns of the bodies where both boards may reach."""
    boards = corner.layout.boards
    near = (corner.model.positions[:, 0] <= boards.depth_b + 1e-9) & (
        corner.model.positions[:, 1] <= boards.depth_a + 1e-9
    )
    return np.flatnonzero(np.repeat(near, 2))
