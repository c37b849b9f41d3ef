"""A body parted along a chain of element edges: its cells on one side get nodes of their own there.

Nothing else changes: the copies lie where the nodes do, other bodies go on using the nodes of the mesh, and a
tie of the body with itself (``fem.ties.BondLine``) says what holds the two sides together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from glueline.fem.model import Array, Body, Integers, Mesh


@dataclass(frozen=True)
class Slit:
    """Both sides of a slit as edges (e, 3) of nodes: ``right`` and ``left`` of its own direction."""

    right: Integers
    left: Integers


def part(mesh: Mesh, body: Body, edges: Integers) -> tuple[Mesh, Body, Slit]:
    """Part a body along ``edges`` (e, 3), a straight chain in order; all its nodes are doubled, ends too.

    Returns the mesh with the copies as its last nodes, the parted body and the sides of the slit.

    >>> square = np.array([[0, 0], [2, 0], [2, 2], [0, 2], [1, 0], [2, 1], [1, 1], [1, 2], [0, 1]])
    >>> mesh = Mesh(20.0 * square, np.array([[0, 1, 2, 4, 5, 6], [0, 2, 3, 6, 7, 8]]))  # mm
    >>> plane = np.tile(np.diag([12000.0, 900.0, 700.0]), (2, 1, 1))  # MPa
    >>> board = Body("board", np.array([0, 1]), np.array([19.0, 19.0]), plane)
    >>> mesh, parted, slit = part(mesh, board, np.array([[0, 2, 6]]))
    >>> parted.nodes[1].tolist(), slit.left.tolist()  # of the cell on the left of the diagonal
    ([9, 10, 3, 11, 7, 8], [[9, 10, 11]])
    """
    own = mesh.triangles[body.cells] if body.nodes is None else body.nodes
    doubled = np.unique(edges)
    copy = np.arange(len(mesh.nodes) + len(doubled))
    copy[doubled] = len(mesh.nodes) + np.arange(len(doubled))
    on_left = _is_left(mesh, own, edges)
    nodes = np.where(on_left[:, None], copy[own], own)
    wider = Mesh(np.concatenate([mesh.nodes, mesh.nodes[doubled]]), mesh.triangles)
    return wider, replace(body, nodes=nodes), Slit(edges, copy[edges])


def _is_left(mesh: Mesh, cells: Integers, edges: Integers) -> Array:
    """Which cells (m, 6) lie on the left of a straight chain."""
    start, end = mesh.nodes[edges[0, 0]], mesh.nodes[edges[-1, 1]]
    along = end - start
    away = mesh.nodes[cells[:, :3]].mean(axis=1) - start
    return np.asarray(along[0] * away[:, 1] - along[1] * away[:, 0] > 0)
