"""Loads and reactions spread over edges, and supports that hold exactly the rigid motions.

A support is a weighted mean of displacements, g . u = 0, and its reaction acts with the same weights. With
three such supports the reactions follow from equilibrium alone and no support can add stiffness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from glueline.fem.model import Array, Integers, Model, element_unknowns, rigid_body_motions
from glueline.fem.triangle import EDGE_POINTS, EDGE_WEIGHTS, edge_shape_functions, edge_shape_slopes

EdgeTraction = Callable[[Array], Array]


def edge_load(model: Model, body: str, edges: Integers, width: float, traction: EdgeTraction) -> Array:
    """Nodal forces (unknowns,) of a traction on ``edges`` (e, 3) of a body ``width`` mm thick.

    ``traction`` takes points (p, 2) and returns MPa in x, y (p, 2).
    """
    shape, slope = edge_shape_functions(EDGE_POINTS), edge_shape_slopes(EDGE_POINTS)
    corners = model.mesh.nodes[edges]
    length = np.linalg.norm(np.einsum("qa,caj->cqj", slope, corners), axis=2)
    points = np.einsum("qa,caj->cqj", shape, corners)
    value = traction(points.reshape(-1, 2)).reshape(points.shape)
    forces = np.einsum("cq,q,qa,cqj->caj", length * width, EDGE_WEIGHTS, shape, value)
    load = np.zeros(model.unknowns)
    unknowns = element_unknowns(model.numbers[body], model.own_edges(body, edges))
    np.add.at(load, unknowns.ravel(), forces.ravel())
    return load


def even_load(model: Model, body: str, edges: Integers, direction: Array) -> Array:
    """Unit force in ``direction`` (2,) spread evenly over ``edges``; its dual is the mean displacement."""
    length = np.linalg.norm(model.mesh.nodes[edges[:, 1]] - model.mesh.nodes[edges[:, 0]], axis=1).sum()
    unit = np.asarray(direction, dtype=float) / np.linalg.norm(direction)
    return edge_load(model, body, edges, 1.0, lambda points: np.tile(unit / length, (len(points), 1)))


def even_moment(model: Model, body: str, edges: Integers, normal: Array) -> Array:
    """Unit anticlockwise couple on a straight face, as the linear stress of bending along ``normal``."""
    start, end = model.mesh.nodes[edges[:, 0]], model.mesh.nodes[edges[:, 1]]
    length = np.linalg.norm(end - start, axis=1)
    middle = (length[:, None] * (start + end) / 2).sum(axis=0) / length.sum()
    face = length.sum()
    unit = np.asarray(normal, dtype=float) / np.linalg.norm(normal)
    across = np.array([-unit[1], unit[0]])
    # A force along the normal at distance r along ``across`` has the moment -r about the middle.
    return edge_load(
        model, body, edges, 1.0, lambda p: -(12 / face**3) * ((p - middle) @ across)[:, None] * unit
    )


@dataclass(frozen=True)
class Arrangement:
    """A load arrangement: ``load`` (unknowns,) in N for P = 1 N and three ``supports`` (3, unknowns).

    A support is the weights of a mean displacement, or of a mean turn in 1/mm.
    """

    name: str
    load: Array
    supports: Array


def pinned_unknowns(model: Model) -> Integers:
    """Three unknowns of one body that stop its rigid motions: x and y at one end, one across at the other."""
    number = model.numbers[model.bodies[0].name]
    nodes = np.flatnonzero(number >= 0)
    place = model.mesh.nodes[nodes]
    first = int(np.argmax(np.linalg.norm(place - place.mean(axis=0), axis=1)))
    away = place - place[first]
    last = int(np.argmax(np.linalg.norm(away, axis=1)))
    across = 1 if abs(away[last, 0]) >= abs(away[last, 1]) else 0
    k, m = number[nodes[first]], number[nodes[last]]
    return np.array([2 * k, 2 * k + 1, 2 * m + across])


def support_reactions(model: Model, load: Array, supports: Array) -> Array:
    """Reactions (3,) that the ``supports`` (3, unknowns) give against ``load``, by statics alone."""
    motions = rigid_body_motions(model)
    return np.asarray(np.linalg.solve(motions.T @ supports.T, -motions.T @ load))


def equilibrated(model: Model, arrangement: Arrangement) -> Array:
    """Load of an arrangement for P = 1 N together with the reactions of its supports: in equilibrium."""
    reactions = support_reactions(model, arrangement.load, arrangement.supports)
    return np.asarray(arrangement.load + reactions @ arrangement.supports)


def settle(model: Model, arrangement: Arrangement, u: Array) -> Array:
    """Move ``u`` rigidly so that the mean displacement of every support is zero."""
    motions = rigid_body_motions(model)
    motion = np.linalg.solve(arrangement.supports @ motions, -arrangement.supports @ u)
    return np.asarray(u + motions @ motion)
