"""Patch, rank and rigid-motion tests on distorted meshes with turned grain.

Constant strain: Irons & Razzaque 1972; Taylor, Simo, Zienkiewicz & Chan 1986 (the patch test), from memory.
The jump t / k over a glue line and the traction K s over a cheek are the definitions of the stiffnesses.
"""

from __future__ import annotations

import numpy as np
import pytest

from glueline.fem.bulk import bulk_pattern, bulk_stiffness, element_stiffness, strain_operator
from glueline.fem.loads import edge_load, pinned_unknowns
from glueline.fem.model import Model, element_unknowns, rigid_body_motions
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.ties import BondArea, BondLine, bonded_surfaces
from glueline.fem.triangle import AREA_POINTS, STIFFNESS_POINTS, STIFFNESS_WEIGHTS
from tests.fem import meshes

ROUNDING = 1e-10
CHEEK = np.array([[90.0, 12.0], [12.0, 55.0]])


def distorted(seed: int = 3, keep_y: tuple[float, ...] = ()) -> meshes.Mesh:
    """Seven by six cells with corners moved by up to 0.35 of the spacing, turned by 0.4 rad."""
    mesh = meshes.grid(np.linspace(0, 35, 8), np.linspace(0, 24, 7), jitter=0.35, seed=seed, keep_y=keep_y)
    return meshes.turned(mesh, 0.4)


def constant_traction(
    model: Model, part: meshes.Body, stress: meshes.Array, edges: meshes.Integers
) -> meshes.Array:
    """Load of the constant ``stress`` (11, 22, 12) on straight ``edges`` with the body on their left."""
    load = np.zeros(model.unknowns)
    for edge in edges:
        along = model.mesh.nodes[edge[1]] - model.mesh.nodes[edge[0]]
        n = np.array([along[1], -along[0]]) / np.linalg.norm(along)
        t = np.array([stress[0] * n[0] + stress[2] * n[1], stress[2] * n[0] + stress[1] * n[1]])
        load += edge_load(
            model, part.name, edge[None], part.thickness[0], lambda p, t=t: np.tile(t, (len(p), 1))
        )
    return load


@pytest.mark.parametrize("angle", [0.0, 0.5, 1.3, -0.7])
@pytest.mark.parametrize("constraint", [0.0, 0.6, 1.0])
def test_constant_strain_is_exact(angle: float, constraint: float) -> None:
    """Prescribed on the boundary only, a linear displacement comes back inside, with its constant stress."""
    mesh = distorted()
    d = plane_stiffness(meshes.MAPLE, constraint, angle)
    part = meshes.body("board", mesh, d, thickness=7.0)
    model = Model(mesh, (part,))
    gradient = np.array([[1.1e-3, -0.4e-3], [0.9e-3, -0.7e-3]])
    exact = (mesh.nodes @ gradient.T)[np.argsort(model.numbers["board"])]
    edge_nodes = np.unique(meshes.boundary_edges(mesh, part.cells))
    fixed = meshes.nodes_to_unknowns(model, "board", edge_nodes)
    u = meshes.solve_prescribed(bulk_stiffness(model), np.zeros(model.unknowns), fixed, exact.ravel()[fixed])
    assert len(fixed) < 0.5 * model.unknowns
    assert np.abs(u - exact.ravel()).max() <= ROUNDING * np.abs(exact).max()
    stress = d @ [gradient[0, 0], gradient[1, 1], gradient[0, 1] + gradient[1, 0]]
    found = meshes.stresses(model, part, u, AREA_POINTS)
    assert np.abs(found - stress).max() <= ROUNDING * np.abs(stress).max()
    operator, _ = strain_operator(mesh, part.cells, AREA_POINTS)
    values = u.reshape(-1, 2)[model.numbers["board"][mesh.triangles]].reshape(-1, 12)
    again = np.einsum("vw,cqwk,ck->cqv", d, operator, values)
    assert np.abs(again - stress).max() <= ROUNDING * np.abs(stress).max()


@pytest.mark.parametrize("angle", [0.0, 0.5, -1.1])
def test_constant_stress_crosses_a_glue_line(angle: float) -> None:
    """Two woods, loaded by tractions alone: both stresses constant, jump t / k everywhere on the line.

    Stress along the line differs between the woods so that the strain along it is the same.
    """
    mesh = distorted(keep_y=(12.0,))
    axes = meshes.rotation(0.4).T  # rows: along the line, across it
    upper = (meshes.centres(mesh) @ axes.T)[:, 1] > 12
    woods = [plane_stiffness(meshes.MAPLE, c, a) for c, a in ((1.0, angle), (0.0, 0.9))]
    lower_part = meshes.body("lower", mesh, woods[0], ~upper, thickness=7.0)
    upper_part = meshes.body("upper", mesh, woods[1], upper, thickness=7.0)
    edges = meshes.edges_where(mesh, upper_part.cells, lambda p: np.abs(p @ axes[1] - 12) < 1e-9)
    line = BondLine("line", "lower", "upper", edges, np.full(len(edges), 7.0), 800.0, 220.0)
    model = Model(mesh, (lower_part, upper_part), (line,))
    (surface,) = bonded_surfaces(model)

    # Stress in the line's axes (along, across, shear); that along the line in the upper wood follows.
    a, b = axes[0]
    to_local = np.array(
        [[a * a, b * b, 2 * a * b], [b * b, a * a, -2 * a * b], [-a * b, a * b, a * a - b * b]]
    )
    strain_along = np.array([a * a, b * b, a * b])
    low = np.linalg.solve(to_local, [3.0, 1.7, -2.2])
    soft = [np.linalg.inv(wood) for wood in woods]
    target = strain_along @ soft[0] @ low
    other, unit = np.linalg.solve(to_local, [0.0, 1.7, -2.2]), np.linalg.solve(to_local, [1.0, 0.0, 0.0])
    high = other + unit * (target - strain_along @ soft[1] @ other) / (strain_along @ soft[1] @ unit)

    load = np.zeros(model.unknowns)
    glued = set(edges[:, 2].tolist())
    for part, stress in ((lower_part, low), (upper_part, high)):
        outer = meshes.boundary_edges(mesh, part.cells)
        outer = outer[[edge[2] not in glued for edge in outer.tolist()]]
        load += constant_traction(model, part, stress, outer)
    assert np.abs(rigid_body_motions(model).T @ load).max() < 1e-9 * np.abs(load).sum() * 30

    stiffness = bulk_stiffness(model) + surface.stiffness_matrix()
    u = meshes.solve_prescribed(stiffness, load, pinned_unknowns(model))
    for part, stress in ((lower_part, low), (upper_part, high)):
        found = meshes.stresses(model, part, u, AREA_POINTS)
        assert np.abs(found - stress).max() <= ROUNDING * np.abs(stress).max()
    traction = np.array([-2.2, 1.7])  # slip, opening
    assert np.abs(surface.tractions(u) - traction).max() <= ROUNDING * 2.2
    assert np.abs(surface.jumps(u) - traction / [220.0, 800.0]).max() <= ROUNDING * 2.2 / 220
    assert surface.weight.sum() == pytest.approx(35 * 7, rel=1e-12)
    assert np.all(np.diff(surface.points @ surface.axes[0, 0]) > 0)


def cheek_model(line: bool = False) -> Model:
    """Boards that overlap in the middle third, glued face to face; ``line`` adds a third, edge to edge."""
    mesh = meshes.turned(
        meshes.grid(np.linspace(0, 24, 7), np.linspace(0, 12, 5), 0.3, 5, keep_x=(8.0, 16.0), keep_y=(6.0,)),
        0.4,
    )
    place = meshes.centres(mesh) @ meshes.rotation(0.4)
    a = meshes.body("a", mesh, plane_stiffness(meshes.MAPLE, 0.0, 0.4), place[:, 0] < 16, 9.0)
    high = place[:, 1] > 6
    b = meshes.body(
        "b", mesh, plane_stiffness(meshes.MAPLE, 0.5, 1.9), (place[:, 0] > 8) & (high | (not line)), 8.0
    )
    shared = np.intersect1d(a.cells, b.cells)
    cheek = BondArea("cheek", "a", "b", shared, np.tile(CHEEK, (len(shared), 1, 1)))
    if not line:
        return Model(mesh, (a, b), (cheek,))
    c = meshes.body("c", mesh, plane_stiffness(meshes.MAPLE, 1.0, -0.3), (place[:, 0] > 16) & ~high, 8.0)
    edges = meshes.edges_where(
        mesh,
        b.cells,
        lambda p: (
            (np.abs((p @ meshes.rotation(0.4))[:, 1] - 6) < 1e-9) & ((p @ meshes.rotation(0.4))[:, 0] > 15.9)
        ),
    )
    line_tie = BondLine("line", "c", "b", edges, np.full(len(edges), 8.0), 80.0, 22.0)
    return Model(mesh, (a, b, c), (line_tie, cheek))


def test_cheek_feels_only_the_difference() -> None:
    """The same displacement of both boards: no traction. A constant shift: traction K s at every point."""
    model = cheek_model()
    (surface,) = bonded_surfaces(model)
    place = model.positions
    same = np.stack([0.01 * place[:, 0] ** 2 - 0.02 * place[:, 1], 0.03 * place[:, 0] * place[:, 1]], axis=1)
    assert np.abs(surface.tractions(same.ravel())).max() <= ROUNDING * 100 * np.abs(same).max()
    shift = np.array([0.03, -0.02])
    numbers = model.numbers["b"]
    same[numbers[numbers >= 0]] += shift
    traction = surface.tractions(same.ravel())
    assert np.abs(traction - CHEEK @ shift).max() <= ROUNDING * 100 * np.abs(same).max()
    assert surface.weight.sum() == pytest.approx(8 * 12, rel=1e-12)
    force = surface.forces_on_minus(traction).sum(axis=0)
    np.testing.assert_allclose(force, CHEEK @ shift * 96, rtol=1e-9)


@pytest.mark.parametrize("line", [False, True])
def test_exact_rank_and_rigid_motions(line: bool) -> None:
    """The assembled stiffness has three zero eigenvalues, no more; rigid motions are free of stress."""
    model = cheek_model(line)
    surfaces = bonded_surfaces(model)
    stiffness = bulk_stiffness(model)
    for surface in surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    dense = stiffness.toarray()
    assert np.abs(dense - dense.T).max() <= 1e-13 * np.abs(dense).max()
    values = np.linalg.eigvalsh(dense)
    assert np.abs(values[:3]).max() < 1e-11 * values[-1]
    assert values[3] > 1e-7 * values[-1]
    motions = rigid_body_motions(model)
    assert np.abs(dense @ motions).max() <= 1e-11 * np.abs(dense).max() * np.abs(motions).max()
    for motion in motions.T:
        for part in model.bodies:
            stress = meshes.stresses(model, part, motion, AREA_POINTS)
            assert np.abs(stress).max() <= 1e-11 * np.abs(part.stiffness).max() * np.abs(motion).max()
        for surface in surfaces:
            assert np.abs(surface.tractions(motion)).max() <= 1e-11 * 90 * np.abs(motion).max()


def test_untied_bodies_keep_their_own_motions() -> None:
    """Without the glue each body has its three zero eigenvalues: shared mesh nodes tie nothing."""
    values = np.linalg.eigvalsh(bulk_stiffness(cheek_model(True)).toarray())
    assert np.abs(values[:9]).max() < 1e-11 * values[-1]
    assert values[9] > 1e-7 * values[-1]


def test_bond_forces_balance_and_agree() -> None:
    """Nodal forces of the tractions are K u, sum to nothing, and on minus are ``forces_on_minus``
    turned round.
    """
    model = cheek_model(True)
    u = np.random.default_rng(2).normal(size=model.unknowns)
    for surface in bonded_surfaces(model):
        traction = surface.tractions(u)
        nodal = surface.nodal_forces(traction)
        np.testing.assert_allclose(nodal, surface.stiffness_matrix() @ u, atol=1e-10 * np.abs(nodal).max())
        assert np.abs(rigid_body_motions(model).T @ nodal).max() <= 1e-10 * np.abs(nodal).sum() * 12
        numbers = model.numbers[surface.minus]
        on_minus = -nodal.reshape(-1, 2)[numbers[numbers >= 0]].sum(axis=0)
        np.testing.assert_allclose(on_minus, surface.forces_on_minus(traction).sum(axis=0), rtol=1e-9)


def test_the_pattern_does_not_depend_on_the_values() -> None:
    """A pattern found once serves again, and gives what summing element by element gives."""
    model = cheek_model(True)
    once = bulk_stiffness(model)
    again = bulk_stiffness(model, bulk_pattern(model))
    assert (once != again).nnz == 0
    slow = np.zeros(once.shape)
    for part in model.bodies:
        unknowns = element_unknowns(model.numbers[part.name], model.mesh.triangles[part.cells])
        for places, matrix in zip(unknowns, element_stiffness(model.mesh, part), strict=True):
            slow[np.ix_(places, places)] += matrix
    np.testing.assert_allclose(once.toarray(), slow, atol=1e-12 * np.abs(slow).max())


def test_a_cell_turned_inside_out_is_refused() -> None:
    """Clockwise corners raise."""
    mesh = distorted()
    flipped = meshes.Mesh(mesh.nodes, mesh.triangles[:, [0, 2, 1, 5, 4, 3]])
    model = Model(flipped, (meshes.body("board", flipped, np.eye(3)),))
    with pytest.raises(ValueError, match="inside out"):
        bulk_stiffness(model)


def test_straight_cells_the_short_way_are_the_three_point_rule() -> None:
    """Stiffness of straight cells by reference integrals equals that by quadrature; curved cells go the
    general way.
    """
    mesh = distorted()
    bent = mesh.nodes.copy()
    bent[mesh.triangles[::5, 3]] += [0.11, -0.07]
    for nodes in (mesh.nodes, bent):
        each = meshes.Mesh(nodes, mesh.triangles)
        part = meshes.body("board", each, plane_stiffness(meshes.MAPLE, 0.3, 0.8), thickness=7.0)
        operator, determinant = strain_operator(each, part.cells, STIFFNESS_POINTS)
        weight = determinant * STIFFNESS_WEIGHTS * 7.0
        slow = np.einsum("cq,cqva,cvw,cqwb->cab", weight, operator, part.stiffness, operator)
        fast = element_stiffness(each, part)
        np.testing.assert_allclose(fast, slow, atol=1e-12 * np.abs(slow).max())
    assert not np.allclose(bent, mesh.nodes)


def test_a_curved_cell_turned_inside_out_is_refused() -> None:
    """A middle pulled across its cell raises too."""
    mesh = distorted()
    nodes = mesh.nodes.copy()
    top, middle = mesh.triangles[0, [2, 3]]
    nodes[middle] = 2 * nodes[top] - nodes[middle]
    each = meshes.Mesh(nodes, mesh.triangles)
    with pytest.raises(ValueError, match="inside out"):
        bulk_stiffness(Model(each, (meshes.body("board", each, np.eye(3)),)))
