"""The same meshes solved by scikit-fem (Gustafsson & McBain 2020, JOSS 5(52), 2369), to 1e-8."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.loads import edge_load
from glueline.fem.model import Body, Model
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.ties import BondLine, bonded_surfaces
from tests.fem import meshes
from tests.fem.meshes import Array, Integers

skfem = pytest.importorskip("skfem")


def strain(w: object) -> tuple[Array, Array, Array]:
    """Strain 11, 22, 12 (engineering) of a scikit-fem field."""
    grad = w.grad  # type: ignore[attr-defined]
    return grad[0, 0], grad[1, 1], grad[0, 1] + grad[1, 0]


def other_mesh(mesh: meshes.Mesh, cells: Integers) -> object:
    """Straight-sided scikit-fem mesh of some cells."""
    corners, local = np.unique(mesh.triangles[cells][:, :3], return_inverse=True)
    return skfem.MeshTri(mesh.nodes[corners].T.copy(), local.reshape(-1, 3).T.copy())


def other_basis(mesh: meshes.Mesh, cells: Integers) -> object:
    """Quadratic vector basis on some cells."""
    return skfem.Basis(other_mesh(mesh, cells), skfem.ElementVector(skfem.ElementTriP2()))


def other_stiffness(basis: object, d: Array, thickness: float) -> sparse.csr_matrix:
    """Stiffness assembled by scikit-fem."""

    @skfem.BilinearForm
    def form(u: object, v: object, w: object) -> Array:
        e, f = strain(u), strain(v)
        return thickness * sum(d[i, j] * e[j] * f[i] for i in range(3) for j in range(3))

    return form.assemble(basis).tocsr()


def other_load(basis: object, facets: Integers, traction: Array) -> Array:
    """Line load assembled by scikit-fem."""
    element = skfem.ElementVector(skfem.ElementTriP2())

    @skfem.LinearForm
    def form(v: object, w: object) -> Array:
        return traction[0] * v[0] + traction[1] * v[1]  # type: ignore[index]

    return form.assemble(skfem.FacetBasis(basis.mesh, element, facets=facets))  # type: ignore[attr-defined]


def to_other(model: Model, part: Body, basis: object) -> Integers:
    """Our unknown for every unknown of ``basis``, matched by place and direction."""
    place = basis.doflocs.T  # type: ignore[attr-defined]
    number = model.numbers[part.name]
    nodes = np.flatnonzero(number >= 0)
    gap = np.linalg.norm(place[:, None] - model.mesh.nodes[nodes][None], axis=2)
    nearest = gap.argmin(axis=1)
    assert gap[np.arange(len(place)), nearest].max() < 1e-9
    component = np.zeros(len(place), dtype=np.int64)
    component[np.concatenate([basis.nodal_dofs[1], basis.facet_dofs[1]])] = 1  # type: ignore[attr-defined]
    return 2 * number[nodes[nearest]] + component


@pytest.mark.parametrize("grain", [0.0, 0.5, 1.2])
def test_one_turned_board(grain: float) -> None:
    """A distorted board, clamped left, pulled and sheared right: stiffness matrix, load and
    displacements agree.
    """
    mesh = meshes.grid(np.linspace(0, 40, 9), np.linspace(0, 15, 5), 0.35, 6)
    d = plane_stiffness(meshes.MAPLE, 0.4, grain)
    part = meshes.body("board", mesh, d, thickness=7.0)
    model = Model(mesh, (part,))
    basis = other_basis(mesh, part.cells)
    ours = to_other(model, part, basis)
    theirs = other_stiffness(basis, d, 7.0)
    mine = bulk_stiffness(model)
    assert abs(mine[ours][:, ours] - theirs).max() <= 1e-12 * abs(theirs).max()

    end = meshes.edges_where(mesh, part.cells, meshes.near(0, 40))
    load = edge_load(model, "board", end, 7.0, lambda p: np.tile([2.0, -1.0], (len(p), 1)))
    facets = basis.mesh.facets_satisfying(lambda x: np.abs(x[0] - 40) < 1e-9)  # type: ignore[attr-defined]
    other = other_load(basis, facets, 7.0 * np.array([2.0, -1.0]))
    np.testing.assert_allclose(load[ours], other, atol=1e-11)
    u = meshes.solve_prescribed(
        mine, load, meshes.nodes_to_unknowns(model, "board", np.flatnonzero(mesh.nodes[:, 0] == 0))
    )
    held = np.flatnonzero(basis.doflocs[0] == 0)  # type: ignore[attr-defined]
    v = skfem.solve(*skfem.condense(theirs, other, D=held))
    print(f"largest difference {np.abs(u[ours] - v).max() / np.abs(v).max():.1e}")
    assert np.abs(u[ours] - v).max() <= 1e-8 * np.abs(v).max()


def test_two_boards_and_a_glue_line() -> None:
    """Two boards on meshes of their own in scikit-fem, tied by a facet form of the jump."""
    mesh = meshes.grid(np.linspace(0, 40, 9), np.linspace(0, 16, 5), 0.35, 8, keep_y=(8.0,))
    above = meshes.centres(mesh)[:, 1] > 8
    woods = [plane_stiffness(meshes.MAPLE, 0.0, 0.3), plane_stiffness(meshes.MAPLE, 1.0, 1.4)]
    low, high = (
        meshes.body("low", mesh, woods[0], ~above, 7.0),
        meshes.body("high", mesh, woods[1], above, 6.0),
    )
    edges = meshes.edges_where(mesh, high.cells, meshes.near(1, 8))
    kn, ks, width = 800.0, 220.0, 6.0
    line = BondLine("glue", "low", "high", edges, np.full(len(edges), width), kn, ks)
    model = Model(mesh, (low, high), (line,))
    (glue,) = bonded_surfaces(model)

    bases = [other_basis(mesh, part.cells) for part in (low, high)]
    ours = np.concatenate(
        [to_other(model, part, basis) for part, basis in zip((low, high), bases, strict=True)]
    )
    faces = []
    for basis in bases:
        grid = basis.mesh  # type: ignore[attr-defined]
        facets = grid.facets_satisfying(lambda x: np.abs(x[1] - 8) < 1e-9)
        facets = facets[np.argsort(grid.p[0, grid.facets[:, facets]].mean(axis=0))]
        # Facets run from the lower to the higher vertex number: these grow with x on both sides.
        assert np.all(np.diff(grid.p[0, grid.facets[:, facets]], axis=0) > 0)
        faces.append(
            skfem.FacetBasis(grid, skfem.ElementVector(skfem.ElementTriP2()), facets=facets, intorder=5)
        )
    places = [np.asarray(face.global_coordinates()) for face in faces]
    np.testing.assert_allclose(places[0], places[1], atol=1e-12)

    @skfem.BilinearForm
    def tie(u: object, v: object, w: object) -> Array:
        return width * (ks * u[0] * v[0] + kn * u[1] * v[1])  # type: ignore[index]

    blocks = [[tie.assemble(faces[j], faces[i]) for j in range(2)] for i in range(2)]
    stiff = [other_stiffness(basis, d, t) for basis, d, t in zip(bases, woods, (7.0, 6.0), strict=True)]
    theirs = sparse.bmat(
        [[stiff[0] + blocks[0][0], -blocks[0][1]], [-blocks[1][0], stiff[1] + blocks[1][1]]]
    ).tocsr()
    mine = bulk_stiffness(model) + glue.stiffness_matrix()
    print(f"matrix {abs(mine[ours][:, ours] - theirs).max() / abs(theirs).max():.1e}")
    assert abs(mine[ours][:, ours] - theirs).max() <= 1e-12 * abs(theirs).max()

    end = meshes.edges_where(mesh, high.cells, meshes.near(0, 40))
    load = edge_load(model, "high", end, 6.0, lambda p: np.tile([2.0, 1.0], (len(p), 1)))
    facets = bases[1].mesh.facets_satisfying(lambda x: np.abs(x[0] - 40) < 1e-9)  # type: ignore[attr-defined]
    other = np.concatenate(
        [np.zeros(stiff[0].shape[0]), other_load(bases[1], facets, 6.0 * np.array([2.0, 1.0]))]
    )
    nodes = np.flatnonzero((mesh.nodes[:, 0] == 0) & (model.numbers["low"] >= 0))
    u = meshes.solve_prescribed(mine, load, meshes.nodes_to_unknowns(model, "low", nodes))
    held = np.flatnonzero(bases[0].doflocs[0] == 0)  # type: ignore[attr-defined]
    v = skfem.solve(*skfem.condense(theirs, other, D=held))
    print(f"largest difference {np.abs(u[ours] - v).max() / np.abs(v).max():.1e}")
    assert np.abs(u[ours] - v).max() <= 1e-8 * np.abs(v).max()
