"""The plane model's compliance against a solid; run by hand: python -m tests.studies.predict.solid_corner

The solid is made of 20-node hexahedra of scikit-fem on a structured grid refined toward the corner; half the
width is modelled, held along z on the middle plane. Each board has its own nodes, and the glue film has the
plane model's own stiffness (k_n = 8000, k_s = 2200 N/mm3 for PVA) in interface terms without thickness, so
both models are glued alike. In both the end faces carry the same even load, and compliance is the mean
displacement of the end faces along the load for P = 1 N. Shared with the code under test are only the elastic
constants of the pieces, the glue stiffness and the linear solver.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from unittest import mock

import numpy as np
import scipy.sparse as sparse
import skfem
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.solve import ElasticSystem
from glueline.geometries import BOARD_A, BOARD_B, Boards, Bridle, FingerJoint, HalfLap
from glueline.geometries.finger import finger_widths
from glueline.materials import Bond, bond
from glueline.studies.corner.model import build_corner, out_of_plane_constraint
from glueline.studies.corner.piece import Constants
from glueline.studies.corner.specimen import Specimen
from tests.studies.corners import BOX, FRAME, specimen
from tests.studies.predict.refined_solve import refined

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

NEAR = 1e-6
CHUNK = 500


@dataclass(frozen=True)
class Grid:
    """How fine a solid is cut: elements over the depth and over a leg beyond the corner, and over each
    stretch of z (half the width, or one finger); ``growth`` of neighbouring elements."""

    depth: int
    leg: int
    across: int
    growth: float = 1.5


@dataclass(frozen=True)
class SolidAnswer:
    """Compliance in mm/N, unknowns and seconds of one solid."""

    compliance: float
    unknowns: int
    seconds: float


def graded(start: float, end: float, count: int, growth: float, fine: str) -> Array:
    """Grid lines (count + 1,) that lie closer toward ``fine``: "start", "end" or "both"."""
    if fine == "both":
        half = graded(start, (start + end) / 2, (count + 1) // 2, growth, "start")
        return np.concatenate([half, (start + end) - half[-2::-1]])
    steps = growth ** np.arange(count)
    lines = start + (end - start) * np.concatenate([[0.0], np.cumsum(steps)]) / steps.sum()
    return lines if fine == "start" else start + end - lines[::-1]


def part_widths(own: Specimen) -> tuple[float, ...]:
    """Widths in mm across the boards of the parts that reach into each other, board A's first."""
    across, joint = own.boards.across_a, own.joint
    if isinstance(joint, HalfLap):
        return (across / 2,) * 2
    if isinstance(joint, Bridle):
        tenon = across / 3 if joint.tenon_thickness is None else joint.tenon_thickness
        return ((across - tenon) / 2, tenon, (across - tenon) / 2)
    return finger_widths(joint, across) if isinstance(joint, FingerJoint) else (across,)


def lines_across(own: Specimen, grid: Grid, whole: bool = False) -> tuple[Array, Array]:
    """Grid lines along z over half the width, or the ``whole``, and the z at which parts meet."""
    widths = part_widths(own)
    faces = np.concatenate([[0.0], np.cumsum(widths)])
    if whole:
        sides = ["end", *["both"] * (len(widths) - 2), "start"]
        parts = [
            graded(low, high, grid.across, grid.growth, fine)
            for (low, high), fine in zip(pairwise(faces), sides, strict=True)
        ]
        return np.unique(np.concatenate(parts).round(9)), faces[1:-1]
    across = own.boards.across_a
    if len(widths) == 1:
        return graded(0.0, across / 2, grid.across, grid.growth, "start"), np.zeros(0)
    if not np.allclose(faces, across - faces[::-1]) or len(faces) % 2:
        raise ValueError("parts must be symmetric about the middle of the width")
    inner = faces[(faces > NEAR) & (faces < across / 2)]
    ends = np.concatenate([[0.0], inner, [across / 2]])
    stretches = []
    for low, high in pairwise(ends):
        last = high == ends[-1]
        # Half a finger lies before the middle plane: graded on its glued side only.
        count = max(1, (grid.across + 1) // 2) if last else grid.across
        stretches.append(graded(low, high, count, grid.growth, "start" if last else "both"))
    return np.unique(np.concatenate(stretches).round(9)), inner


def solid_boards(own: Specimen, grid: Grid, whole: bool = False) -> tuple[skfem.MeshHex, skfem.MeshHex]:
    """Meshes of board A and board B that match where they are glued, over half the width or the ``whole``."""
    depth, leg = own.boards.depth_a, own.boards.leg
    if own.boards.depth_b != depth:
        raise ValueError("the solid needs boards of one depth")
    over_depth = graded(0.0, depth, grid.depth, grid.growth, "both")
    over_leg = graded(depth, leg, grid.leg, leg_growth(depth, leg, grid, over_depth[1]), "start")
    along_z, faces = lines_across(own, grid, whole)
    if own.kind == "mitre":
        share = (over_leg - depth) / (leg - depth)
        mesh = skfem.MeshHex.init_tensor(share, over_depth, along_z)
        points = mesh.p.copy()
        points[0] = points[1] + points[0] * (leg - points[1])
        board_a = skfem.MeshHex(points, mesh.t)
        return board_a, mirrored(board_a)
    mesh = skfem.MeshHex.init_tensor(np.concatenate([over_depth, over_leg[1:]]), over_depth, along_z)
    middle = mesh.p[:, mesh.t].mean(axis=1)
    in_corner = middle[0] < depth
    if own.kind == "butt":
        return mesh, mirrored(mesh.restrict(np.flatnonzero(~in_corner)))
    of_a = np.searchsorted(faces, middle[2]) % 2 == 0
    board_a = mesh.restrict(np.flatnonzero(~in_corner | of_a))
    return board_a, mirrored(mesh.restrict(np.flatnonzero(~in_corner | ~of_a)))


def leg_growth(depth: float, leg: float, grid: Grid, smallest: float) -> float:
    """Growth along a leg with which its first element is as long as the smallest over the depth."""
    low, high = 1.0 + 1e-9, 4.0
    for _ in range(60):
        growth = (low + high) / 2
        first = (leg - depth) * (growth - 1) / (growth**grid.leg - 1)
        low, high = (growth, high) if first > smallest else (low, growth)
    return growth


def mirrored(mesh: skfem.MeshHex) -> skfem.MeshHex:
    """The mesh with x and y exchanged."""
    return skfem.MeshHex(mesh.p[[1, 0, 2]].copy(), mesh.t)


def solid_stiffness(constants: Constants, turned: bool) -> Array:
    """Stiffness (6, 6) in MPa, order xx, yy, zz, yz, xz, xy; the grain along x, or ``turned`` along y."""
    s = constants.solid
    compliance = np.zeros((6, 6))
    compliance[:3, :3] = [
        [1 / s.modulus_1, -s.poisson_12 / s.modulus_1, -s.poisson_13 / s.modulus_1],
        [-s.poisson_12 / s.modulus_1, 1 / s.modulus_2, -s.poisson_23 / s.modulus_2],
        [-s.poisson_13 / s.modulus_1, -s.poisson_23 / s.modulus_2, 1 / s.modulus_3],
    ]
    shear = [constants.shear_transverse_across, constants.shear_along_across, s.shear_modulus_12]
    compliance[3:, 3:] = np.diag(1 / np.array(shear))
    if turned:
        order = [1, 0, 2, 4, 3, 5]
        compliance = compliance[np.ix_(order, order)]
    return np.asarray(np.linalg.inv(compliance))


def strain_matrix(gradients: Array) -> Array:
    """Strain (e, q, 6, 3 a) from ``gradients`` (a, 3, e, q); unknowns x, y, z node by node."""
    count, _, cells, points = gradients.shape
    strain = np.zeros((cells, points, 6, count, 3))
    x, y, z = (np.moveaxis(gradients[:, i], 0, 2) for i in range(3))
    for row, (first, second) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
        strain[:, :, row, :, first] = (x, y, z)[second]
        strain[:, :, row, :, second] = (x, y, z)[first]
    return strain.reshape(cells, points, 6, 3 * count)


def bulk(mesh: skfem.MeshHex, cells: Integers, stiffness: Array, total: int) -> sparse.csr_matrix:
    """Stiffness matrix (3 total, 3 total) of some cells of one material."""
    matrix = sparse.csr_matrix((3 * total, 3 * total))
    for part in np.array_split(cells, max(1, len(cells) // CHUNK)):
        basis = skfem.Basis(mesh, skfem.ElementHexS2(), elements=part, intorder=5)
        gradients = np.stack([np.asarray(function[0].grad) for function in basis.basis])
        strain = strain_matrix(gradients)
        stress = np.einsum("ij,eqjk->eqik", stiffness, strain, optimize=True) * basis.dx[:, :, None, None]
        width = strain.shape[-1]
        local = np.matmul(
            strain.reshape(len(part), -1, width).transpose(0, 2, 1), stress.reshape(len(part), -1, width)
        )
        unknowns = (3 * basis.element_dofs.T[:, :, None] + np.arange(3)).reshape(len(part), width)
        rows, columns = np.repeat(unknowns, width, axis=1), np.tile(unknowns, (1, width))
        matrix += sparse.csr_matrix((local.ravel(), (rows.ravel(), columns.ravel())), matrix.shape)
    return matrix


def pairs(first: Array, second: Array) -> tuple[Integers, Integers]:
    """Indices of the columns of two sets of points (3, n) that lie on one another."""
    distance, other = cKDTree(second.T).query(first.T)
    met = np.flatnonzero(distance < NEAR)
    return met, other[met]


def glue_film(
    mesh: skfem.MeshHex, split: int, glue: Bond, basis: skfem.Basis, only_cheeks: bool = False
) -> sparse.csr_matrix:
    """Stiffness matrix of the film on all faces that board A (cells before ``split``) shares with board B.

    ``only_cheeks`` leaves out those that are not square to z.
    """
    outside = mesh.boundary_facets()
    of_a = mesh.f2t[0, outside] < split
    middle = mesh.p[:, mesh.facets].mean(axis=1)
    met, _ = pairs(middle[:, outside[of_a]], middle[:, outside[~of_a]])
    glued = outside[of_a][met]
    own, other = (np.unique(basis.element_dofs[:, cells]) for cells in (np.s_[:split], np.s_[split:]))
    here, there = pairs(basis.doflocs[:, own], basis.doflocs[:, other])
    total = basis.N
    one = np.ones(len(here))
    jump = sparse.csr_matrix((one, (own[here], other[there])), (total, total))
    jump = sparse.kron(jump - sparse.csr_matrix((one, (own[here], own[here])), (total, total)), np.eye(3))

    @skfem.BilinearForm
    def product(u, v, _):  # type: ignore[no-untyped-def]
        return u * v

    corners = mesh.p[:, mesh.facets[:, glued]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], axis=0)
    normals /= np.linalg.norm(normals, axis=0)
    if only_cheeks:
        across = np.abs(normals[2]) > 1 - NEAR
        glued, normals = glued[across], normals[:, across]
    matrix = sparse.csr_matrix((3 * total, 3 * total))
    along, group = np.unique(
        np.einsum("if,jf->fij", normals, normals).round(9).reshape(-1, 9), axis=0, return_inverse=True
    )
    for index, squared in enumerate(along.reshape(-1, 3, 3)):
        facets = skfem.FacetBasis(mesh, basis.elem, facets=glued[group.ravel() == index], intorder=5)
        local = glue.shear_stiffness * (np.eye(3) - squared) + glue.opening_stiffness * squared
        matrix += sparse.kron(product.assemble(facets), local)
    return (jump.T @ matrix @ jump).tocsr()


def even_end_load(mesh: skfem.MeshHex, basis: skfem.Basis, where: Callable[[Array], Array]) -> Array:
    """Share of a unit force (basis.N,) at every node for an even load on the facets picked out by x, y."""

    @skfem.LinearForm
    def one(v, _):  # type: ignore[no-untyped-def]
        return 1.0 * v

    facets = mesh.facets_satisfying(where, boundaries_only=True)
    load = np.asarray(one.assemble(skfem.FacetBasis(mesh, basis.elem, facets=facets, intorder=5)))
    return load / load.sum()


def film(own: Specimen) -> Bond:
    """The stiffness that every glue film of the solid has; the same whatever the grain."""
    return bond(own.glue, own.woods[BOARD_A], 0.0, own.woods[BOARD_B], 0.0, own.workmanship)


@dataclass(frozen=True)
class Solid:
    """A corner as a solid: board A's cells are those before ``split``; ``stiffness`` (3 n, 3 n) with its
    glue, ``load`` (3 n,) in N of diagonal compression for P = 1 N; x, y, z of all nodes in turn."""

    own: Specimen
    mesh: skfem.MeshHex
    basis: skfem.Basis
    split: int
    stiffness: sparse.csr_matrix
    load: Array

    def nearest(self, nodes: Integers, x: float, y: float) -> int:
        """Which of some nodes lies nearest to x, y."""
        place = self.basis.doflocs[:, nodes]
        return int(nodes[np.argmin(np.hypot(place[0] - x, place[1] - y))])

    def solve(self, held: Integers, bearing: Integers, load: Array | None = None) -> Array:
        """Displacements (3 n, ...) with some unknowns ``held``; of these only ``bearing`` may carry force.

        ``load`` (3 n, ...) in N, the solid's own if left out.
        """
        load = self.load if load is None else load
        free = np.setdiff1d(np.arange(len(load)), held)
        u = np.zeros(load.shape)
        u[free] = refined(self.stiffness[free][:, free].tocsc(), load[free])
        missed = np.abs(self.stiffness @ u - load)
        missed[bearing] = 0.0
        if missed.max() > 1e-6 * np.abs(load).sum():
            raise RuntimeError(f"the solid misses equilibrium by {missed.max():.1e}")
        return u


def solid_of(own: Specimen, grid: Grid, whole: bool = False, only_cheeks: bool = False) -> Solid:
    """A specimen as a solid over half the width or the ``whole``, on request held by its cheeks alone."""
    board_a, board_b = solid_boards(own, grid, whole)
    split = board_a.t.shape[1]
    mesh = skfem.MeshHex(
        np.concatenate([board_a.p, board_b.p], axis=1),
        np.concatenate([board_a.t, board_b.t + board_a.p.shape[1]], axis=1),
    )
    basis = skfem.Basis(mesh, skfem.ElementHexS2(), intorder=1)
    constants = {name: piece.constants for name, piece in build_corner(own).pieces.items()}
    cells = np.arange(mesh.t.shape[1])
    stiffness = bulk(mesh, cells[:split], solid_stiffness(constants[BOARD_A], False), basis.N)
    stiffness += bulk(mesh, cells[split:], solid_stiffness(constants[BOARD_B], True), basis.N)
    stiffness += glue_film(mesh, split, film(own), basis, only_cheeks)

    leg, depth = own.boards.leg, own.boards.depth_a
    end_a = even_end_load(mesh, basis, lambda x: np.abs(x[0] - leg) < NEAR)
    end_b = even_end_load(mesh, basis, lambda x: np.abs(x[1] - leg) < NEAR)
    toward_b = np.array([depth / 2 - leg, leg - depth / 2, 0.0])
    load = np.kron(end_a - end_b, toward_b / np.linalg.norm(toward_b))
    return Solid(own, mesh, basis, split, stiffness, load)


def solve_by_symmetry(solid: Solid) -> Array:
    """Displacements (3 n,) of half the width, its middle plane held along z."""
    leg, depth = solid.own.boards.leg, solid.own.boards.depth_a
    middle = np.flatnonzero(np.abs(solid.basis.doflocs[2] - solid.own.boards.across_a / 2) < NEAR)
    # The load is in equilibrium: three pins in the middle plane carry nothing.
    tip, inner = 3 * solid.nearest(middle, leg, 0.0), 3 * solid.nearest(middle, depth, 0.0)
    return solid.solve(np.concatenate([3 * middle + 2, [tip, tip + 1, inner + 1]]), 3 * middle + 2)


def solid_compliance(own: Specimen, grid: Grid, only_cheeks: bool = False) -> SolidAnswer:
    """Compliance under diagonal compression of a specimen as a solid, on request held by its cheeks alone."""
    started = time.perf_counter()
    solid = solid_of(own, grid, only_cheeks=only_cheeks)
    u = solve_by_symmetry(solid)
    # Half the width carried the whole of P.
    return SolidAnswer(float(solid.load @ u) / 2, len(u), time.perf_counter() - started)


def plane_compliance_of(own: Specimen, held: float | None = None, element_size: float | None = None) -> float:
    """Compliance of the plane model; ``held`` replaces the share of strain held back everywhere."""
    rule = out_of_plane_constraint if held is None else (lambda part: held)
    with mock.patch("glueline.studies.corner.model.out_of_plane_constraint", rule):
        corner = build_corner(own, element_size)
    stiffness = bulk_stiffness(corner.model)
    for surface in corner.surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    system = ElasticSystem(corner.model, stiffness)
    return system.solve(corner.loading).compliance


def box(width: float) -> Boards:
    """The usual box corner with boards of another width."""
    return Boards(BOX.thickness, width, BOX.leg)


def fingers(count: int, boards: Boards = BOX) -> Specimen:
    """A finger corner."""
    return specimen("finger", boards=boards, joint=FingerJoint(count))


# Name, specimen, coarser and finer grid of the solid.
CASES: tuple[tuple[str, Specimen, Grid, Grid], ...] = (
    ("butt, box", specimen("butt"), Grid(10, 16, 6), Grid(16, 24, 8)),
    ("mitre, box", specimen("mitre"), Grid(10, 16, 6), Grid(16, 24, 8)),
    ("3 fingers, box", fingers(3), Grid(8, 12, 4), Grid(12, 16, 6)),
    ("9 fingers, box", fingers(9), Grid(6, 10, 2), Grid(10, 14, 4)),
    ("butt, frame", specimen("butt", boards=FRAME), Grid(10, 16, 3), Grid(16, 24, 4)),
    ("mitre, frame", specimen("mitre", boards=FRAME), Grid(10, 16, 3), Grid(16, 24, 4)),
    ("3 fingers, frame", fingers(3, FRAME), Grid(8, 14, 3), Grid(12, 20, 4)),
    ("butt, box 19 wide", specimen("butt", boards=box(19.0)), Grid(10, 16, 4), Grid(16, 24, 6)),
    ("butt, box 38 wide", specimen("butt", boards=box(38.0)), Grid(10, 16, 4), Grid(16, 24, 6)),
)


def main() -> None:
    """Print the table: the finer solid, its change from the coarser, and plane over solid by assumption.

    The plane model is meshed with elements a fortieth of the depth; "as shipped" uses its default mesh.
    """
    print("diagonal compression, white oak, PVA; mm/kN; ratios are plane model / finer solid")
    print(
        f"{'case':<20}{'solid':>9}{'change':>9}{'as shipped':>12}{'rule':>8}{'stress':>8}{'strain':>8}"
        f"{'unknowns':>10}{'s':>6}{'GB':>6}"
    )
    for name, own, coarse, fine in CASES:
        before, solid = solid_compliance(own, coarse), solid_compliance(own, fine)
        size = own.boards.depth_a / 40
        shipped = plane_compliance_of(own) / solid.compliance
        rule, stress, strain = (
            plane_compliance_of(own, held, size) / solid.compliance for held in (None, 0.0, 1.0)
        )
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(
            f"{name:<20}{1e3 * solid.compliance:>9.4f}{solid.compliance / before.compliance - 1:>9.2%}"
            f"{shipped:>12.4f}{rule:>8.4f}{stress:>8.4f}{strain:>8.4f}"
            f"{solid.unknowns:>10}{solid.seconds:>6.0f}{used:>6.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
