"""The model: one mesh, bodies with their own displacement fields, beams beside them, and what ties them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from glueline.fem.beam import Beam
from glueline.fem.bond import BondedSurface

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True)
class Mesh:
    """Six-node triangles: ``nodes`` (n, 2) in mm, ``triangles`` (c, 6) corners anticlockwise, middles.

    >>> from glueline.fem.triangle import REFERENCE_NODES
    >>> mesh = Mesh(40.0 * REFERENCE_NODES, np.array([[0, 1, 2, 3, 4, 5]]))  # one, with legs of 40 mm
    >>> mesh.nodes[1].tolist()  # mm
    [40.0, 0.0]
    """

    nodes: Array
    triangles: Integers


@dataclass(frozen=True)
class Body:
    """A piece as the solver sees it.

    ``cells`` (m,) indices of triangles; ``thickness`` (m,) in mm across the plane; ``stiffness`` (m, 3, 3)
    plane stiffness in x, y in MPa; ``grain_angle`` in rad from x. ``nodes`` (m, 6) are those of its cells
    where it is parted (``fem.slit``); by default they are those of the mesh.

    >>> plane = np.diag([12000.0, 900.0, 700.0])  # MPa, grain along x
    >>> board = Body("board", np.array([0]), np.array([19.0]), plane[None])  # one cell, 19 mm across
    >>> board.stiffness.shape
    (1, 3, 3)
    """

    name: str
    cells: Integers
    thickness: Array
    stiffness: Array
    grain_angle: float = 0.0
    nodes: Integers | None = None


class Tie(Protocol):
    """What ties body ``minus`` to body ``plus`` and knows where its points lie."""

    @property
    def name(self) -> str:
        """Its own, by which paths give what happens on it."""
        ...

    @property
    def minus(self) -> str:
        """Name of a body, or of a beam."""
        ...

    @property
    def plus(self) -> str:
        """Name of the other: a jump is its displacement less that of ``minus``."""
        ...

    def surface(self, model: Model) -> BondedSurface:
        """The tie's points on the bodies of ``model``."""
        ...


@dataclass(frozen=True)
class Model:
    """Bodies on one mesh, beams with nodes of their own, and what ties them.

    A degree of freedom belongs to (body, node): number 2 k and 2 k + 1 for x and y. Those of the beams follow
    after those of all bodies, beam by beam.

    >>> from glueline.fem.triangle import REFERENCE_NODES
    >>> mesh = Mesh(40.0 * REFERENCE_NODES, np.array([[0, 1, 2, 3, 4, 5]]))
    >>> plane = np.diag([12000.0, 900.0, 700.0])[None]  # MPa
    >>> fingers = [Body(name, np.array([0]), np.array([19.0]), plane) for name in ("A", "B")]
    >>> Model(mesh, tuple(fingers)).unknowns  # x and y of six nodes of either body
    24
    """

    mesh: Mesh
    bodies: tuple[Body, ...]
    ties: tuple[Tie, ...] = ()
    beams: tuple[Beam, ...] = ()

    @cached_property
    def numbers(self) -> dict[str, Integers]:
        """For each body the number k of every mesh node (n,), -1 where the body does not reach."""
        numbering: dict[str, Integers] = {}
        start = 0
        for body in self.bodies:
            used = np.unique(self.nodes_of(body))
            number = np.full(len(self.mesh.nodes), -1, dtype=np.int64)
            number[used] = start + np.arange(len(used))
            numbering[body.name] = number
            start += len(used)
        return numbering

    @cached_property
    def body_unknowns(self) -> int:
        """Count of degrees of freedom of the bodies; those of the beams follow after them."""
        return 2 * sum(int((number >= 0).sum()) for number in self.numbers.values())

    @cached_property
    def unknowns(self) -> int:
        """Count of degrees of freedom, supports not taken off."""
        return self.body_unknowns + sum(beam.unknowns for beam in self.beams)

    def beam_unknowns(self, name: str) -> Integers:
        """Unknowns of the beam called ``name``, in its own order; KeyError if there is none."""
        first = self.body_unknowns
        for beam in self.beams:
            if beam.name == name:
                return first + np.arange(beam.unknowns)
            first += beam.unknowns
        raise KeyError(name)

    def beam(self, name: str) -> Beam:
        """The beam called ``name``; KeyError if there is none."""
        for beam in self.beams:
            if beam.name == name:
                return beam
        raise KeyError(name)

    @cached_property
    def positions(self) -> Array:
        """Coordinates (k, 2) of every (body, node)."""
        place = np.empty((self.body_unknowns // 2, 2))
        for number in self.numbers.values():
            there = number >= 0
            place[number[there]] = self.mesh.nodes[there]
        return place

    def body(self, name: str) -> Body:
        """The body called ``name``; KeyError if there is none."""
        for body in self.bodies:
            if body.name == name:
                return body
        raise KeyError(name)

    def nodes_of(self, body: Body) -> Integers:
        """Nodes (m, 6) of the cells of a body, its own copies where it is parted."""
        return self.mesh.triangles[body.cells] if body.nodes is None else body.nodes

    def own_edges(self, name: str, edges: Integers) -> Integers:
        """Edges (e, 3) of the mesh with the nodes that body ``name`` has there.

        An edge that lies on a slit of the body is that of one of its two sides. KeyError if no cell has it.
        """
        body = self.body(name)
        if body.nodes is None:
            return edges
        triangles = self.mesh.triangles[body.cells]
        cell_of = {int(node): row for row, middles in enumerate(triangles[:, 3:]) for node in middles}
        rows = np.array([cell_of[int(middle)] for middle in edges[:, 2]])
        corner = (triangles[rows][:, None, :] == edges[:, :, None]).argmax(axis=2)
        return np.asarray(body.nodes[rows[:, None], corner])

    def displacement(self, name: str, u: Array) -> Array:
        """Displacement (n, 2) of body ``name`` on the mesh nodes, NaN where it does not reach."""
        number = self.numbers[name]
        field = np.full((len(self.mesh.nodes), 2), np.nan)
        there = number >= 0
        field[there] = u[: self.body_unknowns].reshape(-1, 2)[number[there]]
        return field


def element_unknowns(number: Integers, nodes: Integers) -> Integers:
    """Unknowns (c, 2 a) of elements with ``nodes`` (c, a) in a body's ``number``; order x, y node by node."""
    k = number[nodes]
    if k.size and k.min() < 0:
        raise ValueError("an element uses a node that its body does not have")
    return np.stack([2 * k, 2 * k + 1], axis=2).reshape(len(nodes), -1)


def rigid_body_motions(model: Model) -> Array:
    """Two shifts and a turn about the middle of the bodies, as columns (unknowns, 3)."""
    middle = model.positions.mean(axis=0)
    motions = np.zeros((model.unknowns, 3))
    _fill_motions(motions[: model.body_unknowns].reshape(-1, 2, 3), model.positions - middle)
    for beam in model.beams:
        own = motions[model.beam_unknowns(beam.name)]
        nodes = own[: 3 * len(beam.nodes)].reshape(-1, 3, 3)
        _fill_motions(nodes, beam.nodes - middle)
        nodes[:, 2, 2] = 1.0
        own[3 * len(beam.nodes) :, 2] = 1.0
        motions[model.beam_unknowns(beam.name)] = own
    return motions


def _fill_motions(motions: Array, place: Array) -> None:
    """Shifts and turn of nodes at ``place`` (k, 2) from the middle, into ``motions`` (k, x y ..., 3)."""
    motions[:, 0, 0] = 1.0
    motions[:, 1, 1] = 1.0
    motions[:, 0, 2] = -place[:, 1]
    motions[:, 1, 2] = place[:, 0]
