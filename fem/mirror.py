"""Half of a problem that is its own mirror image about the diagonal x = y, followed in place of the whole.

Where bodies, bonds and load are the same on both sides, displacements that are their own mirror image stay so
along the whole path: every state of the half, unfolded, is an equilibrium of the whole. Points off the
diagonal count twice, so load, displacement and energies are those of the whole. Equilibria that leave the
symmetry are not looked for; nor did following the whole, whose numbers are symmetric too, come upon them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from glueline.fem.beside import follow_beside
from glueline.fem.bond import BondedSurface
from glueline.fem.equilibrium import TiedBodies
from glueline.fem.follower import Watch
from glueline.fem.guide import Guide
from glueline.fem.model import Array, Integers, Mesh, Model
from glueline.fem.path import PathFailure, PathResult, follow_tied
from glueline.fem.path_control import PathControl
from glueline.fem.traction_law import TractionLaw

SAME = 1e-9  # relative; rounding makes less
SLANTED = np.array([1.0, 0.7320508075688772])  # no ratio of whole numbers
TRIALS = 4  # jumps at which two laws are compared: three quadratics in two variables would need three


@dataclass(frozen=True)
class Twin:
    """The image of surface ``original`` is surface ``image`` (both places in the list of surfaces).

    ``point`` (p,) the points of the image in the order of the original's; ``turn`` (p, 2, 2) makes of a local
    jump of the original that of its image. ``kept`` (k,) are the points of the original that stand for
    themselves and for their images: all of them, or half where a surface is its own image.
    """

    original: int
    image: int
    point: Integers
    turn: Array

    @property
    def kept(self) -> Integers:
        place = np.arange(len(self.point))
        return place if self.image != self.original else np.flatnonzero(self.point >= place)

    def half(self, surface: BondedSurface, basis: sparse.csr_matrix) -> BondedSurface:
        """The kept points of the surface, with jumps from the displacements of the half."""
        kept = self.kept
        alone = (self.image == self.original) & (self.point[kept] == kept)
        return replace(
            surface,
            points=surface.points[kept],
            weight=np.where(alone, 1.0, 2.0) * surface.weight[kept],
            axes=surface.axes[kept],
            jump=(surface.jump[_rows(kept)] @ basis).tocsr(),
            stiffness=surface.stiffness[kept],
        )


@dataclass(frozen=True)
class Mirror:
    """How a model is its own mirror image about the diagonal.

    ``basis`` (unknowns, half) makes displacements of those of the half; ``partner`` (unknowns,) is the
    unknown that each becomes in the mirror; ``twins`` hold every surface or its image once; ``names`` are
    those of all surfaces.
    """

    basis: sparse.csr_matrix
    partner: Integers
    twins: tuple[Twin, ...]
    names: tuple[str, ...]

    def fits(self, laws: Sequence[TractionLaw], load: Array) -> bool:
        """Whether ``laws`` of all surfaces and ``load`` (unknowns,) are their own mirror images too."""
        if np.abs(load[self.partner] - load).max() > SAME * np.abs(load).max():
            return False
        return all(_are_twins(laws[twin.original], laws[twin.image], twin) for twin in self.twins)

    def half(
        self, stiffness: sparse.csr_matrix, surfaces: Sequence[BondedSurface], pinned: Integers
    ) -> TiedBodies:
        """Half of the bodies, tied. Of the ``pinned`` unknowns the first is enough.

        The half can only shift along the diagonal. Raises fem.solve.SolveFailure.
        """
        halves = [twin.half(surfaces[twin.original], self.basis) for twin in self.twins]
        own = (self.basis.T @ stiffness @ self.basis).tocsr()
        return TiedBodies(own, halves, self.basis[pinned[0]].indices)

    def own(self, laws: Sequence[TractionLaw], load: Array) -> tuple[list[TractionLaw], Array]:
        """Laws and load of the half, of those of the whole."""
        return [laws[twin.original].at(twin.kept) for twin in self.twins], np.asarray(self.basis.T @ load)

    def follow(
        self,
        half: TiedBodies,
        laws: Sequence[TractionLaw],
        load: Array,
        control: PathControl | None = None,
        watch: Watch | None = None,
        guide: Guide | None = None,
    ) -> PathResult:
        """The path of the whole, for laws and a load that fit; ``watch`` is told of its states.

        It is followed beside a ``guide`` made of a path of the half, if there is one. Raises PathFailure
        as ``follow_tied`` does.
        """
        own, own_load = self.own(laws, load)
        try:
            if guide is not None:
                return self._unfolded(follow_beside(half, own, own_load, guide, control, watch))
            return self._unfolded(follow_tied(half, own, own_load, control, watch=watch))
        except PathFailure as error:
            result = None if error.result is None else self._unfolded(error.result)
            raise PathFailure(str(error), result) from error

    def _unfolded(self, half: PathResult) -> PathResult:
        return replace(
            half, damage=self._both(half.damage), crushed=self._both(half.crushed), basis=self.basis
        )

    def _both(self, half: Mapping[str, Array]) -> dict[str, Array]:
        """Values (s, points) of all points by surface, from those of the points that are kept."""
        by_surface: dict[str, Array] = {}
        for twin in self.twins:
            values = half[self.names[twin.original]]
            whole = (len(values), len(twin.point))
            own = by_surface[self.names[twin.original]] = np.empty(whole)
            image = by_surface.setdefault(self.names[twin.image], np.empty(whole))
            own[:, twin.kept] = values
            image[:, twin.point[twin.kept]] = values
        return {name: by_surface[name] for name in self.names}


def find_mirror(
    model: Model, stiffness: sparse.csr_matrix, surfaces: Sequence[BondedSurface]
) -> Mirror | None:
    """How a model is its own mirror image about the diagonal; None for a model that is not.

    ``stiffness`` (unknowns, unknowns) is that of the bodies without glue.

    Two halves of a square, their grain along x and along y, glued on the diagonal:

    >>> from glueline.fem.bulk import bulk_stiffness
    >>> from glueline.fem.model import Body, Mesh
    >>> from glueline.fem.ties import BondLine
    >>> square = np.array([[0, 0], [2, 0], [2, 2], [0, 2], [1, 0], [2, 1], [1, 1], [1, 2], [0, 1]])
    >>> mesh = Mesh(20.0 * square, np.array([[0, 1, 2, 4, 5, 6], [0, 2, 3, 6, 7, 8]]))  # mm
    >>> a = Body("A", np.array([0]), np.array([19.0]), np.diag([12000.0, 900.0, 700.0])[None])
    >>> b = Body("B", np.array([1]), np.array([19.0]), np.diag([900.0, 12000.0, 700.0])[None])
    >>> mitre = BondLine("mitre", "A", "B", np.array([[0, 2, 6]]), np.array([19.0]), 8000.0, 2200.0)
    >>> model = Model(mesh, (a, b))
    >>> find_mirror(model, bulk_stiffness(model), [mitre.surface(model)]).basis.shape  # half of the unknowns
    (24, 12)
    """
    partner = _partners(model)
    if partner is None or not _is_image(stiffness, stiffness[partner][:, partner]):
        return None
    twins = [_twin(surface, place, surfaces, partner) for place, surface in enumerate(surfaces)]
    if any(twin is None for twin in twins):
        return None
    kept = tuple(twin for twin in twins if twin is not None and twin.original <= twin.image)
    return Mirror(_basis(partner), partner, kept, tuple(surface.name for surface in surfaces))


def _basis(partner: Integers) -> sparse.csr_matrix:
    """Displacements (unknowns, half) that are their own image: both of a pair move alike."""
    first = np.minimum(partner, np.arange(len(partner)))
    _, column = np.unique(first, return_inverse=True)
    return sparse.csr_matrix((np.ones(len(partner)), (np.arange(len(partner)), column.ravel())))


def _partners(model: Model) -> Integers | None:
    """The unknown that every unknown becomes where x and y change places, None where a body has no image.

    Found cell by cell: where a body is parted two of its nodes lie in one place. Images of beams are not
    looked for: with any the whole is followed.
    """
    if model.beams:
        return None
    mesh = model.mesh
    size = np.ptp(mesh.nodes, axis=0).max()
    middles = mesh.nodes[mesh.triangles[:, :3]].mean(axis=1)
    image = _same_places(middles, middles[:, ::-1], SAME * size)
    if image is None:
        return None
    partner = np.full(model.unknowns, -1)
    for body in model.bodies:
        own = model.nodes_of(body)
        for other in model.bodies:
            row = np.full(len(mesh.triangles), -1)
            row[other.cells] = np.arange(len(other.cells))
            there = row[image[body.cells]]
            if len(other.cells) == len(own) and (there >= 0).all():
                seen = _in_order_of(mesh, own, model.nodes_of(other)[there])
                if seen is None:
                    return None
                k, m = model.numbers[body.name][own], model.numbers[other.name][seen]
                partner[2 * k], partner[2 * k + 1] = 2 * m + 1, 2 * m
                break
        else:
            return None
    is_involution = np.array_equal(partner[partner], np.arange(len(partner)))
    return partner if is_involution else None


def _same_places(places: Array, wanted: Array, within: float) -> Integers | None:
    """Which of ``places`` (n, 2) each of the ``wanted`` (n, 2) is; None unless each is one, ``within`` mm.

    Both are sorted along a line so slanted that no two places of a mesh share a height on it. A tree of
    places would find them too, but takes longer to load than this whole search.
    """
    if len(places) != len(wanted):
        return None
    order, wanted_order = np.argsort(places @ SLANTED), np.argsort(wanted @ SLANTED)
    if np.abs(places[order] - wanted[wanted_order]).max(initial=0.0) > within:
        return None
    found = np.empty(len(places), dtype=np.int64)
    found[wanted_order] = order
    return found


def _in_order_of(mesh: Mesh, nodes: Integers, images: Integers) -> Integers | None:
    """Nodes (c, a) of cells that are the ``images`` (c, a) of others, in the order of those of the others."""
    places, seen = mesh.nodes[nodes], mesh.nodes[images][..., ::-1]
    gaps = np.abs(places[:, :, None] - seen[:, None]).max(axis=3)
    if gaps.min(axis=2).max() > SAME * np.ptp(mesh.nodes, axis=0).max():
        return None
    return np.take_along_axis(images, gaps.argmin(axis=2), axis=1)


def _twin(
    surface: BondedSurface, place: int, surfaces: Sequence[BondedSurface], partner: Integers
) -> Twin | None:
    """The image of a surface, another or itself; None if there is none."""
    images = surface.points[:, ::-1]
    scale = np.ptp(np.concatenate([surface.points, images]), axis=0).max()
    for number, other in enumerate(surfaces):
        point = _same_places(other.points, images, SAME * scale)
        if point is None:
            continue
        seen = other.jump[_rows(point)][:, partner]
        for sign in (1.0, -1.0):
            turn = sign * np.einsum("pij,pkj->pik", other.axes[point][..., ::-1], surface.axes)
            if _is_image(_turned(surface.jump, turn), seen) and np.allclose(
                other.weight[point], surface.weight, rtol=SAME, atol=SAME * surface.weight.max()
            ):
                return Twin(place, number, point, turn)
    return None


def _rows(points: Integers) -> Integers:
    """The two rows of every point in a matrix of jumps."""
    return np.stack([2 * points, 2 * points + 1], axis=1).ravel()


def _turned(jump: sparse.csr_matrix, turn: Array) -> sparse.csr_matrix:
    count = len(turn)
    blocks = sparse.bsr_matrix((turn, np.arange(count), np.arange(count + 1)), shape=(2 * count, 2 * count))
    return (blocks @ jump).tocsr()


def _is_image(one: sparse.csr_matrix, other: sparse.csr_matrix) -> bool:
    return bool(abs(one - other).max() <= SAME * abs(one).max())


def _are_twins(own: TractionLaw, image: TractionLaw, twin: Twin) -> bool:
    """Whether two laws do the same with jumps that are each other's image: their energies tell all."""
    if own.alike != image.alike or not _close_alike(own, image, twin):
        return False
    back = np.argsort(twin.point)
    for angle in np.pi * (np.arange(TRIALS) + 0.3) / TRIALS:
        jump = np.tile([np.cos(angle), np.sin(angle)], (len(twin.point), 1))
        turned = np.einsum("pij,pj->pi", twin.turn, jump)
        if not _are_same(own.measure(jump), image.measure(turned[back]), twin.point):
            return False
    return True


def _close_alike(own: TractionLaw, image: TractionLaw, twin: Twin) -> bool:
    if own.closing is None or image.closing is None:
        return own.closing is image.closing
    return _are_same(own.closing, image.closing, twin.point)


def _are_same(own: Sequence[NDArray[Any]], image: Sequence[NDArray[Any]], point: Integers) -> bool:
    """Whether numbers (p,) or (1,) of all points are those of their images at ``point`` (p,)."""
    return all(
        np.allclose(one, np.broadcast_to(other, point.shape)[point], rtol=SAME, atol=0.0)
        for one, other in zip(own, image, strict=True)
    )
