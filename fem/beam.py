"""A straight slender member in the plane on nodes of its own: axial force, bending and shear.

Cubic bending with the shear of the section in it, so that any load at the nodes is answered exactly; where a
member may bend for good it has a hinge at every inner node (``fem.fastener.HingeTie``). Local axes: along the
member, and across it to the left; a turn is anticlockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

HINGE_SHARE = 0.02
"""Share of a hinged beam's flexibility in bending that its hinges have, taken off its members."""


@dataclass(frozen=True)
class Beam:
    """A beam from ``start`` (2,) in the ``direction`` (2,), its nodes at ``stations`` (n,) mm along it.

    ``axial_stiffness`` E A in N, ``bending_stiffness`` E I in N mm2 and ``shear_stiffness`` G A_s in N are of
    one of ``count`` like members side by side across the plane, which act as one. ``hinged`` gives every
    inner node two turns, that of the member before it and that of the one after, for a hinge to join. Raises
    ValueError for stations that do not rise, and for stiffnesses or a count not above zero.

    Unknowns: three a node in the order u, v (x and y, mm) and turn (rad, of the member before), then the
    turns of the members after, node by node.

    >>> screw = Beam("screw", np.zeros(2), np.array([0.0, 1.0]), np.linspace(0.0, 40.0, 9), 2.9e6, 3.2e6)
    >>> screw.unknowns
    27
    """

    name: str
    start: Array
    direction: Array
    stations: Array
    axial_stiffness: float
    bending_stiffness: float
    shear_stiffness: float = float("inf")
    count: int = 1
    hinged: bool = False

    def __post_init__(self) -> None:
        if len(self.stations) < 2 or not (np.diff(self.stations) > 0).all():
            raise ValueError(f"{self.name}: stations of a beam must rise from one to the next")
        for name in ("axial_stiffness", "bending_stiffness", "shear_stiffness", "count"):
            if not getattr(self, name) > 0:
                raise ValueError(f"{self.name}: {name} must be above zero")
        if not np.linalg.norm(self.direction) > 0:
            raise ValueError(f"{self.name}: a beam must have a direction")

    @cached_property
    def axes(self) -> Array:
        """Unit directions (2, 2): row 0 along the beam, row 1 across it."""
        along = self.direction / np.linalg.norm(self.direction)
        return np.array([along, [-along[1], along[0]]])

    @cached_property
    def nodes(self) -> Array:
        """Places (n, 2) of its nodes."""
        return np.asarray(self.start + self.stations[:, None] * self.axes[0])

    @property
    def unknowns(self) -> int:
        """Count of its degrees of freedom."""
        nodes = len(self.stations)
        return 3 * nodes + (nodes - 2 if self.hinged else 0)

    @cached_property
    def member_unknowns(self) -> Integers:
        """Unknowns (n - 1, 6) of every member among the beam's own: u, v, turn at its start, then its end."""
        nodes = len(self.stations)
        number = np.arange(3 * nodes).reshape(nodes, 3)
        start, end = number[:-1].copy(), number[1:]
        if self.hinged:
            start[1:, 2] = 3 * nodes + np.arange(nodes - 2)
        return np.concatenate([start, end], axis=1)

    @cached_property
    def _member_bending(self) -> float:
        """E I of the members: with hinges a little more, so that both together bend as the beam."""
        return self.bending_stiffness / (1.0 - HINGE_SHARE if self.hinged else 1.0)

    @property
    def hinge_stiffness(self) -> Array:
        """Moment (n - 2,) in N mm a rad of every hinge of one member."""
        between = 0.5 * (self.stations[2:] - self.stations[:-2])
        return np.asarray(self.bending_stiffness / (HINGE_SHARE * between))

    @cached_property
    def _shear_share(self) -> Array:
        """12 E I / (G A_s L^2) of every member (n - 1,)."""
        return np.asarray(12.0 * self._member_bending / (self.shear_stiffness * np.diff(self.stations) ** 2))

    @cached_property
    def _to_local(self) -> Array:
        """Turns (6, 6) the unknowns of a member into u along, v across and turn at both ends."""
        turn = np.zeros((6, 6))
        for end in (0, 3):
            turn[end : end + 2, end : end + 2] = self.axes
            turn[end + 2, end + 2] = 1.0
        return turn

    def _local_stiffness(self) -> Array:
        """Stiffness (n - 1, 6, 6) of all ``count`` members in their own axes (Przemieniecki 1968, ch. 5)."""
        length, shear = np.diff(self.stations), self._shear_share
        bend = self.count * self._member_bending / (length**3 * (1.0 + shear))
        axial = self.count * self.axial_stiffness / length
        matrix = np.zeros((len(length), 6, 6))
        for i, j, sign in ((0, 0, 1.0), (3, 3, 1.0), (0, 3, -1.0), (3, 0, -1.0)):
            matrix[:, i, j] = sign * axial
            matrix[:, i + 1, j + 1] = sign * 12.0 * bend
        for i, j, sign in ((1, 2, 1.0), (1, 5, 1.0), (4, 2, -1.0), (4, 5, -1.0)):
            matrix[:, i, j] = matrix[:, j, i] = sign * 6.0 * bend * length
        near, far = (4.0 + shear) * bend * length**2, (2.0 - shear) * bend * length**2
        matrix[:, 2, 2] = matrix[:, 5, 5] = near
        matrix[:, 2, 5] = matrix[:, 5, 2] = far
        return matrix

    def stiffness_matrix(self) -> sparse.csr_matrix:
        """Stiffness (unknowns, unknowns) in N/mm, N and N mm, hinges not included."""
        blocks = self._to_local.T @ self._local_stiffness() @ self._to_local
        places = self.member_unknowns
        rows, columns = np.repeat(places, 6, axis=1), np.tile(places, (1, 6))
        entries = (blocks.ravel(), (rows.ravel(), columns.ravel()))
        return sparse.csr_matrix(entries, shape=(self.unknowns, self.unknowns))

    def member_forces(self, u: Array) -> Array:
        """Axial force (N, pull above zero), shear (N) and moments at both ends (N mm), (n - 1, 4).

        Of all ``count`` members together under the beam's own displacements ``u`` (unknowns,). A moment
        above zero bends the beam hollow to its left; shear is the slope of the moment along it.
        """
        local = np.einsum("ij,mj->mi", self._to_local, u[self.member_unknowns])
        forces = np.einsum("mij,mj->mi", self._local_stiffness(), local)
        return np.stack([forces[:, 3], forces[:, 4] * -1.0, -forces[:, 2], forces[:, 5]], axis=1)

    def interpolation(self, places: Array) -> tuple[Integers, Array]:
        """Movement of sections at ``places`` (p,) mm along the beam: unknowns (p, 6), rows (p, 3, 6).

        Rows give u along, v across and turn of the section from the member's unknowns. Raises ValueError for
        a place beyond its ends.
        """
        ends = self.stations[[0, -1]]
        if len(places) and (places.min() < ends[0] - 1e-9 or places.max() > ends[1] + 1e-9):
            raise ValueError(f"{self.name}: a place lies beyond the ends of the beam")
        member = np.clip(np.searchsorted(self.stations, places, side="right") - 1, 0, len(self.stations) - 2)
        length, shear = np.diff(self.stations)[member], self._shear_share[member]
        r = (places - self.stations[member]) / length
        rows = np.zeros((len(places), 3, 6))
        rows[:, 0, 0], rows[:, 0, 3] = 1.0 - r, r
        whole = 1.0 + shear
        rows[:, 1, 1] = (1 - 3 * r**2 + 2 * r**3 + shear * (1 - r)) / whole
        rows[:, 1, 2] = length * (r - 2 * r**2 + r**3 + 0.5 * shear * (r - r**2)) / whole
        rows[:, 1, 4] = (3 * r**2 - 2 * r**3 + shear * r) / whole
        rows[:, 1, 5] = length * (r**3 - r**2 - 0.5 * shear * (r - r**2)) / whole
        rows[:, 2, 1] = -6 * (r - r**2) / (whole * length)
        rows[:, 2, 2] = (1 - 4 * r + 3 * r**2 + shear * (1 - r)) / whole
        rows[:, 2, 4] = -rows[:, 2, 1]
        rows[:, 2, 5] = (3 * r**2 - 2 * r + shear * r) / whole
        return self.member_unknowns[member], rows @ self._to_local
