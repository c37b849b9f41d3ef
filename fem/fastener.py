"""How a beam is tied to a body: along its axis, to the body's field interpolated there.

So no mesh edges are needed. A round fastener in its hole is a bond along the axis, on two lines beside it,
and walls that bear across it; a head or an end may bear along it; where it bends for good, hinges join its
members. Each is a tie like those of ``fem.ties``, with a ``BondedSurface`` of points, and follows a law.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import scipy.sparse as sparse

from glueline.fem.beam import Beam
from glueline.fem.bond import BondedSurface
from glueline.fem.model import Array, Integers, Model, element_unknowns
from glueline.fem.triangle import EDGE_POINTS, EDGE_WEIGHTS, shape_functions

ON_THE_EDGE = 1e-6  # how far outside a cell, as a share of it, a point still counts as in it


@dataclass(frozen=True)
class FastenerBond:
    """The bond along a ``beam`` in a ``body``: slip along the axis, on two lines beside it.

    From ``start`` to ``end`` (mm along the beam) the ``diameter`` (mm) sticks to its hole. Half of it sits on
    either of two lines at r / sqrt(2) from the axis, which resist turning as the whole rim does: for a unit
    turn the slips of a rim r cos(phi) have the mean square r^2 / 2. ``slip_stiffness`` in N/mm3 is the
    traction on the rim per slip, 1 / (C pi d) with C of ``fem.bond_compliance``.

    Minus is the body and plus the beam; of a local jump only the slip, in the beam's direction, is there.
    """

    name: str
    body: str
    beam: str
    start: float
    end: float
    diameter: float
    slip_stiffness: float

    @property
    def minus(self) -> str:
        """The body."""
        return self.body

    @property
    def plus(self) -> str:
        """The beam."""
        return self.beam

    def surface(self, model: Model) -> BondedSurface:
        """Points of both lines, (slip, nothing). Raises ValueError where one lies outside the body."""
        beam = model.beam(self.beam)
        places, lengths = _points_along(beam, self.start, self.end)
        away = 0.5 * self.diameter / sqrt(2)
        weight = 0.5 * pi * self.diameter * beam.count * lengths
        return _surface(
            self,
            model,
            np.tile(places, 2),
            np.repeat([away, -away], len(places)),
            np.tile(weight, 2),
            (0, None),
            self.slip_stiffness,
        )


@dataclass(frozen=True)
class HoleWalls:
    """The walls of a hole in a ``body`` that bear on a ``beam`` across its axis.

    From ``start`` to ``end`` (mm along the beam) on the projected width ``diameter`` (mm);
    ``wall_stiffness`` in N/mm3 is the pressure on it per movement. Minus is the body and plus the beam; of a
    local jump only the movement across, to the left of the beam, is there.
    """

    name: str
    body: str
    beam: str
    start: float
    end: float
    diameter: float
    wall_stiffness: float

    @property
    def minus(self) -> str:
        """The body."""
        return self.body

    @property
    def plus(self) -> str:
        """The beam."""
        return self.beam

    def surface(self, model: Model) -> BondedSurface:
        """Points on the axis, (nothing, movement across). Raises ValueError where one lies outside."""
        beam = model.beam(self.beam)
        places, lengths = _points_along(beam, self.start, self.end)
        return _surface(
            self,
            model,
            places,
            np.zeros(len(places)),
            self.diameter * beam.count * lengths,
            (None, 1),
            self.wall_stiffness,
        )


@dataclass(frozen=True)
class FastenerHead:
    """A head, or an end, of a ``beam`` that bears on a ``body`` along the axis.

    At ``place`` (mm along the beam) on two points beside the axis, with ``area`` in mm2 of one head,
    pi (d_h^2 - d^2) / 4 for a round one, whose middle ring has the diameter ``width`` (mm). It bears on what
    lies ahead of it in the beam's direction, or behind it where ``looks_back``: a head at the start of a beam
    presses ahead as the fastener is pulled on in its direction. ``bearing_stiffness`` in N/mm3. The second
    part of a jump is the opening between head and body.
    """

    name: str
    body: str
    beam: str
    place: float
    area: float
    width: float
    bearing_stiffness: float
    looks_back: bool = False

    @property
    def minus(self) -> str:
        """The body."""
        return self.body

    @property
    def plus(self) -> str:
        """The beam."""
        return self.beam

    def surface(self, model: Model) -> BondedSurface:
        """Two points, (nothing, opening). Raises ValueError where one lies outside the body."""
        beam = model.beam(self.beam)
        away = 0.5 * self.width / sqrt(2)
        return _surface(
            self,
            model,
            np.full(2, self.place),
            np.array([away, -away]),
            np.full(2, 0.5 * self.area * beam.count),
            (None, 0),
            self.bearing_stiffness,
            1.0 if self.looks_back else -1.0,
        )


@dataclass(frozen=True)
class HingeTie:
    """Hinges at the inner nodes of a ``hinged`` beam, by which it bends for good or breaks.

    In units of a bond: a jump is the turn (after less before, rad) times the ``radius`` (mm) of the beam, the
    area that of its section, so a moment M is the stress M / (pi r^3) and a law's strength the one at the
    most it bears. A turn is the second part of a jump, for a law that bears both ways as steel does; where
    the rod ``breaks`` it is the first, for a law that softens in slip. Axial force does not lower the moment.
    Minus and plus are both the beam.
    """

    name: str
    beam: str
    radius: float
    breaks: bool = False

    @property
    def minus(self) -> str:
        """The beam."""
        return self.beam

    @property
    def plus(self) -> str:
        """The beam."""
        return self.beam

    def stress(self, moment: float) -> float:
        """Stress in MPa that stands for a ``moment`` in N mm of one member."""
        return moment / (pi * self.radius**3)

    def surface(self, model: Model) -> BondedSurface:
        """One point a hinge, (nothing, turn) or (turn, nothing). Raises ValueError for a beam without any."""
        beam = model.beam(self.beam)
        if not beam.hinged:
            raise ValueError(f"{self.name}: the beam {self.beam} has no hinges")
        count, nodes = len(beam.stations) - 2, len(beam.stations)
        unknowns = model.beam_unknowns(self.beam)
        before, after = unknowns[3 * np.arange(1, nodes - 1) + 2], unknowns[3 * nodes :]
        rows = np.repeat(2 * np.arange(count) + (0 if self.breaks else 1), 2)
        columns = np.stack([before, after], axis=1).ravel()
        values = np.tile([-self.radius, self.radius], count)
        area = pi * self.radius**2
        own = beam.hinge_stiffness / (area * self.radius**2)
        stiffness = np.zeros((count, 2, 2))
        stiffness[:, 0, 0] = stiffness[:, 1, 1] = own
        return BondedSurface(
            name=self.name,
            minus=self.beam,
            plus=self.beam,
            points=beam.nodes[1:-1],
            weight=np.full(count, area * beam.count),
            axes=np.broadcast_to(beam.axes, (count, 2, 2)).copy(),
            jump=sparse.csr_matrix((values, (rows, columns)), shape=(2 * count, model.unknowns)),
            stiffness=stiffness,
        )


def interpolation(model: Model, body: str, points: Array) -> tuple[Integers, Array]:
    """A body's displacement at ``points`` (p, 2): unknowns (p, 12) of the cell there, shape functions (p, 6).

    Cells must be straight-sided. Raises ValueError for a point outside the body.
    """
    own = model.body(body)
    corners = model.mesh.nodes[model.mesh.triangles[own.cells][:, :3]]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice_area = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    away = points[:, None] - corners[None, :, 0]
    r = (away[..., 0] * second[:, 1] - away[..., 1] * second[:, 0]) / twice_area
    s = (first[:, 0] * away[..., 1] - first[:, 1] * away[..., 0]) / twice_area
    inside = np.minimum(np.minimum(r, s), 1.0 - r - s)
    cell = inside.argmax(axis=1)
    place = np.arange(len(points))
    outside = inside[place, cell] < -ON_THE_EDGE
    if outside.any():
        x, y = points[outside][0]
        raise ValueError(f"the point ({x:.4g}, {y:.4g}) mm of a fastener lies outside {body}")
    reference = np.stack([r[place, cell], s[place, cell]], axis=1)
    nodes = model.nodes_of(own)[cell]
    return element_unknowns(model.numbers[body], nodes), shape_functions(reference)


def _points_along(beam: Beam, start: float, end: float) -> tuple[Array, Array]:
    """Gauss points (p,) in mm along the beam between ``start`` and ``end``, and the length (p,) of each."""
    if not end > start:
        raise ValueError(f"{beam.name}: a tie must end after it starts")
    inner = beam.stations[(beam.stations > start) & (beam.stations < end)]
    ends = np.concatenate([[start], inner, [end]])
    length = np.diff(ends)
    places = ends[:-1, None] + length[:, None] * EDGE_POINTS
    return places.ravel(), (length[:, None] * EDGE_WEIGHTS).ravel()


def _surface(
    tie: FastenerBond | HoleWalls | FastenerHead,
    model: Model,
    places: Array,
    away: Array,
    weight: Array,
    parts: tuple[int | None, int | None],
    stiffness: float,
    sign: float = 1.0,
) -> BondedSurface:
    """Points at ``places`` (p,) along the beam and ``away`` (p,) to its left.

    ``parts`` say which movement of the beam against the body, 0 along it and 1 across, is the first and which
    the second local jump, None for neither; ``sign`` turns them round.
    """
    beam, count = model.beam(tie.beam), len(places)
    points = beam.start + places[:, None] * beam.axes[0] + away[:, None] * beam.axes[1]
    members, sections = beam.interpolation(places)
    sections = sections.copy()
    sections[:, 0] -= away[:, None] * sections[:, 2]
    unknowns, shape = interpolation(model, tie.body, points)
    of_beam = model.beam_unknowns(tie.beam)[members]
    directions = beam.axes if parts[1] != 0 else np.stack([beam.axes[1], sign * beam.axes[0]])
    rows, columns, values = [], [], []
    for component, part in enumerate(parts):
        if part is None:
            continue
        of_body = (shape[:, :, None] * beam.axes[part]).reshape(count, 12)
        for own, value in ((of_beam, sign * sections[:, part]), (unknowns, -sign * of_body)):
            rows.append(np.repeat(2 * np.arange(count) + component, own.shape[1]))
            columns.append(own.ravel())
            values.append(value.ravel())
    entries = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
    jump = sparse.csr_matrix(entries, shape=(2 * count, model.unknowns))
    return BondedSurface(
        name=tie.name,
        minus=tie.body,
        plus=tie.beam,
        points=points,
        weight=weight,
        axes=np.broadcast_to(directions, (count, 2, 2)).copy(),
        jump=jump,
        stiffness=np.broadcast_to(stiffness * np.eye(2), (count, 2, 2)).copy(),
    )
