"""Resultants on glue lines and cheeks, determinate supports, and one solver against the other. Statics
throughout.
"""

from __future__ import annotations

import numpy as np
import pytest

from glueline.fem.bond import BondedSurface
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.loads import Arrangement, even_load, even_moment, pinned_unknowns
from glueline.fem.model import Model, rigid_body_motions
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.solve import ElasticSystem, SolveFailure, factor_definite
from glueline.fem.ties import BondArea, BondLine, bonded_surfaces
from glueline.fem.triangle import AREA_POINTS
from tests.fem import meshes
from tests.fem.meshes import Array

LEG, THICK = 90.0, 18.0
CHEEK = np.array([[90.0, 12.0], [12.0, 55.0]])


def corner(cheek: bool, jitter: float = 0.3) -> Model:
    """An L of two boards on a distorted mesh: B's end glued on A's face, and with ``cheek`` B over A in
    the square.
    """
    ticks = np.concatenate([np.linspace(0, THICK, 5), np.linspace(THICK, LEG, 13)[1:]])
    square = meshes.grid(ticks, ticks, jitter, 4, keep_x=(THICK,), keep_y=(THICK,))
    at = meshes.centres(square)
    cells = square.triangles[(at < THICK).any(axis=1)]
    used, cells_flat = np.unique(cells, return_inverse=True)
    mesh = meshes.Mesh(square.nodes[used], cells_flat.reshape(-1, 6))
    at = meshes.centres(mesh)
    in_a, in_b = at[:, 1] < THICK, (at[:, 0] < THICK) & ((at[:, 1] > THICK) | cheek)
    a = meshes.body("a", mesh, plane_stiffness(meshes.MAPLE, 1.0, 0.1), in_a, 45.0)
    b = meshes.body("b", mesh, plane_stiffness(meshes.MAPLE, 1.0, np.pi / 2), in_b, 40.0)
    if cheek:
        shared = np.intersect1d(a.cells, b.cells)
        area = BondArea("cheek", "a", "b", shared, np.tile(CHEEK, (len(shared), 1, 1)))
        c_cells = (at[:, 0] < THICK) & (at[:, 1] < THICK)
        # A third body in the square, edge to edge with the leg of A and face to face with B, so
        # that both kinds act at once.
        a = meshes.body("a", mesh, plane_stiffness(meshes.MAPLE, 1.0, 0.1), in_a & ~c_cells, 45.0)
        c = meshes.body("c", mesh, plane_stiffness(meshes.MAPLE, 0.0, 0.1), c_cells, 5.0)
        edges = meshes.edges_where(mesh, a.cells, meshes.near(0, THICK))
        line = BondLine("line", "c", "a", edges, np.full(len(edges), 5.0), 8000.0, 2200.0)
        return Model(mesh, (a, b, c), (line, BondArea("cheek", "c", "b", area.cells, area.stiffness)))
    edges = meshes.edges_where(mesh, b.cells, meshes.near(1, THICK))
    return Model(
        mesh, (a, b), (BondLine("line", "a", "b", edges, np.full(len(edges), 40.0), 8000.0, 2200.0),)
    )


def glued(model: Model) -> tuple[ElasticSystem, tuple[BondedSurface, ...]]:
    """The factored corner and its bonds."""
    surfaces = bonded_surfaces(model)
    stiffness = bulk_stiffness(model)
    for surface in surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    return ElasticSystem(model, stiffness.tocsr()), surfaces


def diagonal(model: Model) -> Arrangement:
    """Tips pushed together along the line that joins them, held by what the load needs and no more."""
    mesh = model.mesh
    tip_a = meshes.edges_where(mesh, model.body("a").cells, meshes.near(0, LEG))
    tip_b = meshes.edges_where(mesh, model.body("b").cells, meshes.near(1, LEG))
    along = np.array([1.0, -1.0])
    load = even_load(model, "b", tip_b, along) - even_load(model, "a", tip_a, along)
    x, y = np.eye(2)
    supports = np.array(
        [
            even_load(model, "a", tip_a, x),
            even_load(model, "a", tip_a, y),
            even_load(model, "b", tip_b, np.array([1.0, 1.0])),
        ]
    )
    return Arrangement("diagonal", load, supports)


def cantilever(model: Model) -> Arrangement:
    """B's end clamped in the mean, P at A's tip square to A."""
    mesh = model.mesh
    tip_a = meshes.edges_where(mesh, model.body("a").cells, meshes.near(0, LEG))
    tip_b = meshes.edges_where(mesh, model.body("b").cells, meshes.near(1, LEG))
    x, y = np.eye(2)
    supports = np.array(
        [even_load(model, "b", tip_b, x), even_load(model, "b", tip_b, y), even_moment(model, "b", tip_b, y)]
    )
    return Arrangement("cantilever", even_load(model, "a", tip_a, y), supports)


def resultant(forces: Array, points: Array) -> Array:
    """Force x, y and moment about the origin."""
    moment = points[:, 0] * forces[:, 1] - points[:, 1] * forces[:, 0]
    return np.array([*forces.sum(axis=0), moment.sum()])


@pytest.mark.parametrize("arrangement", [diagonal, cantilever])
@pytest.mark.parametrize("cheek", [False, True])
def test_every_body_is_in_equilibrium(arrangement: object, cheek: bool) -> None:
    """On each body the bonds' forces, the load and the reactions have no resultant force and no moment,
    to 1e-8.
    """
    model = corner(cheek)
    system, surfaces = glued(model)
    case = arrangement(model)  # type: ignore[operator]
    solution = system.solve(case, load=1000.0)
    applied = (1000.0 * case.load + solution.reactions @ case.supports).reshape(-1, 2)
    acting = {part.name: np.zeros(3) for part in model.bodies}
    for part in model.bodies:
        numbers = model.numbers[part.name]
        mine = numbers[numbers >= 0]
        acting[part.name] += resultant(applied[mine], model.positions[mine])
    for surface in surfaces:
        bond = resultant(surface.forces_on_minus(surface.tractions(solution.u)), surface.points)
        assert np.abs(bond[:2]).max() > 1.0
        acting[surface.minus] += bond
        acting[surface.plus] -= bond
    for name, total in acting.items():
        print(f"{case.name} {name} {np.abs(total[:2]).max() / 1000:.1e} {abs(total[2]) / 1000 / LEG:.1e}")
        assert np.abs(total[:2]).max() <= 1e-8 * 1000.0
        assert abs(total[2]) <= 1e-8 * 1000.0 * LEG


def test_reactions_by_statics() -> None:
    """Cantilever: the clamp carries P and P times its arm; diagonal: the tips hold each other, no
    reaction.
    """
    model = corner(False)
    system, _ = glued(model)
    hold = cantilever(model)
    solution = system.solve(hold, load=250.0)
    # Clamp at (THICK / 2, LEG), force at (LEG, THICK / 2) along +y.
    np.testing.assert_allclose(solution.reactions, [0.0, -250.0, -250.0 * (LEG - THICK / 2)], atol=1e-7)
    assert np.abs(hold.supports @ solution.u).max() <= 1e-12
    push = diagonal(model)
    solution = system.solve(push, load=250.0)
    assert np.abs(solution.reactions).max() <= 1e-9 * 250
    assert np.abs(push.supports @ solution.u).max() <= 1e-12
    assert solution.compliance == pytest.approx(push.load @ solution.u / 250, rel=1e-14)
    assert solution.compliance > 0


def test_residual_vanishes_at_the_pins_too() -> None:
    """K u equals load plus reactions at every unknown, the pinned ones included: the pins carry nothing."""
    model = corner(True)
    system, _ = glued(model)
    for case in (diagonal(model), cantilever(model)):
        solution = system.solve(case)
        total = case.load + solution.reactions @ case.supports
        residual = system.stiffness @ solution.u - total
        assert np.abs(residual).max() <= 1e-9 * np.abs(total).sum()
        assert np.abs(residual[pinned_unknowns(model)]).max() <= 1e-9 * np.abs(total).sum()


def test_pins_do_not_matter() -> None:
    """A self-equilibrated load gives the same stress, and the same u less rigid motion, whichever nodes
    are pinned.
    """
    model = corner(True)
    system, surfaces = glued(model)
    case = diagonal(model)
    motions = rigid_body_motions(model)
    basis = np.linalg.qr(motions)[0]
    first = system.solve(case).u
    first = first - basis @ (basis.T @ first)
    numbers = model.numbers["c"]
    inside = numbers[numbers >= 0]
    pins = np.array([2 * inside[3], 2 * inside[3] + 1, 2 * inside[-2]])
    second = meshes.solve_prescribed(system.stiffness, case.load, pins)
    second = second - basis @ (basis.T @ second)
    assert np.abs(first - second).max() <= 1e-8 * np.abs(first).max()
    for part in model.bodies:
        one, two = (meshes.stresses(model, part, u, AREA_POINTS) for u in (first, second))
        assert np.abs(one - two).max() <= 1e-8 * np.abs(one).max()
    for surface in surfaces:
        one, two = surface.tractions(first), surface.tractions(second)
        assert np.abs(one - two).max() <= 1e-8 * np.abs(one).max()


def test_reciprocity_and_linearity() -> None:
    """Maxwell 1864 and Betti 1872: f . u' = f' . u between two arrangements on one set of supports; u
    grows with P.
    """
    model = corner(True)
    system, _ = glued(model)
    supports = cantilever(model).supports
    one = Arrangement("one", diagonal(model).load, supports)
    two = Arrangement("two", cantilever(model).load, supports)
    u, v = system.solve(one).u, system.solve(two).u
    assert one.load @ v == pytest.approx(two.load @ u, rel=1e-9)
    np.testing.assert_allclose(system.solve(two, load=-7.0).u, -7.0 * v, atol=1e-12 * np.abs(v).max() * 7)


def test_order_of_bodies_does_not_matter() -> None:
    """The same corner with its bodies listed the other way round."""
    model = corner(True)
    other = Model(model.mesh, model.bodies[::-1], model.ties)
    found = []
    for each in (model, other):
        system, _ = glued(each)
        u = system.solve(diagonal(each)).u
        found.append({part.name: each.displacement(part.name, u) for part in each.bodies})
    for name, field in found[0].items():
        np.testing.assert_allclose(field, found[1][name], atol=1e-9 * np.nanmax(np.abs(field)))


def test_an_untied_body_is_a_named_failure() -> None:
    """Without glue the second board floats: SolveFailure, never numbers."""
    model = corner(False)
    loose = Model(model.mesh, model.bodies)
    with pytest.raises(SolveFailure):
        ElasticSystem(loose, bulk_stiffness(loose)).solve(diagonal(loose))


def test_supernodal_cholesky_is_sparse_lu() -> None:
    """Both factorisations, one and several right-hand sides, to 1e-9."""
    pytest.importorskip("cvxopt")
    model = corner(True)
    system, _ = glued(model)
    fast = ElasticSystem(model, system.stiffness, "supernodal Cholesky")
    for case in (diagonal(model), cantilever(model)):
        one, two = system.solve(case), fast.solve(case)
        assert np.abs(one.u - two.u).max() <= 1e-9 * np.abs(one.u).max()
        assert one.compliance == pytest.approx(two.compliance, rel=1e-10)
    free = np.setdiff1d(np.arange(model.unknowns), pinned_unknowns(model))
    kept = system.stiffness[free][:, free]
    right = np.random.default_rng(1).normal(size=(len(free), 3))
    before = right.copy()
    answers = [factor_definite(kept, solver)(right) for solver in ("sparse LU", "supernodal Cholesky")]
    np.testing.assert_array_equal(right, before)
    assert answers[1].shape == right.shape
    assert np.abs(answers[0] - answers[1]).max() <= 1e-8 * np.abs(answers[0]).max()
    for answer in answers:
        assert np.abs(kept @ answer - right).max() <= 1e-7 * np.abs(right).max()


def test_unknown_solver_is_refused() -> None:
    """The message names the choices."""
    with pytest.raises(ValueError, match="sparse LU"):
        factor_definite(meshes.sparse.eye(3).tocsr(), "magic")


def test_supernodal_cholesky_refuses_an_indefinite_matrix() -> None:
    """Not positive definite: SolveFailure."""
    pytest.importorskip("cvxopt")
    with pytest.raises(SolveFailure, match="definite"):
        factor_definite(meshes.sparse.diags([1.0, -1.0, 2.0]).tocsr(), "supernodal Cholesky")


def test_even_moment_is_a_pure_couple() -> None:
    """No force, a unit anticlockwise moment, wherever the face looks and lies."""
    for angle in (0.0, 0.7, 2.0):
        mesh = meshes.turned(meshes.grid(np.linspace(0, 30, 5), np.linspace(0, 9, 4)), angle)
        model = Model(mesh, (meshes.body("board", mesh, np.eye(3)),))
        turn = meshes.rotation(angle)
        face = meshes.edges_where(
            mesh, model.bodies[0].cells, lambda p, t=turn: np.abs((p @ t)[:, 0] - 30) < 1e-9
        )
        load = even_moment(model, "board", face, turn @ [1.0, 0.0])
        total = resultant(load.reshape(-1, 2), model.positions)
        np.testing.assert_allclose(total, [0.0, 0.0, 1.0], atol=1e-12)
