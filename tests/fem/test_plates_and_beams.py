"""Closed forms for single bodies: hole in a plate, cantilever, pure bending, Cook's membrane."""

from __future__ import annotations

import numpy as np
import pytest

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.loads import edge_load, pinned_unknowns
from glueline.fem.model import Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.triangle import AREA_POINTS, REFERENCE_NODES
from tests.fem import meshes
from tests.fem.meshes import Array

WOOD = meshes.MAPLE
E1, E2, G12, NU12 = WOOD.modulus_1, WOOD.modulus_2, WOOD.shear_modulus_12, WOOD.poisson_12
ISOTROPIC = OrthotropicSolid(1000.0, 1000.0, 1000.0, 1000 / 2.6, 0.3, 0.3, 0.3)


def ring(outer: float, around: int, across: int, turn: float) -> meshes.Mesh:
    """Ring from radius 1 to ``outer`` with curved cells, finest at the hole and at right angles to
    ``turn``.
    """

    def bend(points: Array) -> Array:
        radius, angle = outer ** points[:, 0] ** 1.25, 2 * np.pi * points[:, 1]
        angle = turn + angle + 0.3 * np.sin(2 * angle)
        return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)

    open_ring = meshes.grid(
        np.linspace(0, 1, across + 1), np.linspace(0, 1, around + 1), mapping=bend, curved=True
    )
    _, first, same = np.unique(np.round(open_ring.nodes, 9), axis=0, return_index=True, return_inverse=True)
    return meshes.Mesh(open_ring.nodes[first], same.reshape(-1)[open_ring.triangles])


def hole(solid: OrthotropicSolid, grain: float, cells: tuple[int, int]) -> tuple[Array, Array]:
    """Stress all round the edge of a hole per stress far away, found and exact.

    Lekhnitskii, Anisotropic Plates (1968): pulled along the grain, edge peak 1 + n, load poles
    -sqrt(E2 / E1).

    n = sqrt(2 (sqrt(E1 / E2) - nu12) + E1 / G12). All round the edge: sigma E_theta / E1 times
    (-sqrt(E1 / E2) cos^2 + (1 + n) sin^2). The plate is a disc of 40 radii under the uniform traction: its
    effect is of the order (1 / 40)^2, 0.1 %.
    """
    e1, e2, g, nu = solid.modulus_1, solid.modulus_2, solid.shear_modulus_12, solid.poisson_12
    mesh = ring(40.0, *cells, grain)
    part = meshes.body("plate", mesh, plane_stiffness(solid, 0.0, grain))
    model = Model(mesh, (part,))
    pull = np.array([np.cos(grain), np.sin(grain)])
    rim = meshes.boundary_edges(mesh, part.cells)
    rim = rim[np.linalg.norm(mesh.nodes[rim[:, 2]], axis=1) > 2]

    def pulled(points: Array) -> Array:
        return (points @ pull / np.linalg.norm(points, axis=1))[:, None] * pull

    load = edge_load(model, "plate", rim, 1.0, pulled)
    u = meshes.solve_prescribed(bulk_stiffness(model), load, pinned_unknowns(model))

    stress = meshes.stresses(model, part, u, REFERENCE_NODES)
    nodes = mesh.triangles
    edge = np.abs(np.linalg.norm(mesh.nodes[nodes], axis=2) - 1) < 1e-9
    place, s = mesh.nodes[nodes][edge], stress[edge]
    hoop = s[:, 0] * place[:, 1] ** 2 + s[:, 1] * place[:, 0] ** 2 - 2 * s[:, 2] * place[:, 0] * place[:, 1]
    # Mean over the cells that share a node.
    angle = np.round(np.arctan2(place[:, 1], place[:, 0]) - grain, 9)
    turns, which, count = np.unique(np.mod(angle, 2 * np.pi), return_inverse=True, return_counts=True)
    hoop = np.bincount(which, hoop) / count
    sin2, cos2 = np.sin(turns) ** 2, np.cos(turns) ** 2
    n = np.sqrt(2 * (np.sqrt(e1 / e2) - nu) + e1 / g)
    around = 1 / (sin2**2 / e1 + (1 / g - 2 * nu / e1) * sin2 * cos2 + cos2**2 / e2)
    exact = around / e1 * (-np.sqrt(e1 / e2) * cos2 + (1 + n) * sin2)
    assert exact.max() == pytest.approx(1 + n, rel=1e-6)
    print(f"peak {hoop.max():.4f} against {1 + n:.4f}, pole {hoop.min():.4f} against {exact.min():.4f}")
    print(f"worst on the edge {np.abs(hoop - exact).max() / (1 + n):.4f} of the peak")
    return hoop, exact


@pytest.mark.parametrize(("solid", "grain"), [(WOOD, 0.5), (ISOTROPIC, 0.0)])
def test_peak_at_a_hole(solid: OrthotropicSolid, grain: float) -> None:
    """The peak within 2 %."""
    hoop, exact = hole(solid, grain, (160, 48))
    assert hoop.max() == pytest.approx(exact.max(), rel=0.02)
    assert hoop.min() == pytest.approx(exact.min(), rel=0.02)


@pytest.mark.slow
def test_stress_all_round_a_hole() -> None:
    """Everywhere on the edge within 2 % of the peak, on a finer mesh: the flanks of the peak are steep."""
    hoop, exact = hole(WOOD, 0.5, (320, 80))
    assert np.abs(hoop - exact).max() <= 0.02 * exact.max()


def test_pure_bending_is_exact() -> None:
    """Linear stress over the end: a quadratic displacement, which the element holds exactly on straight
    cells.
    """
    length, half = 80.0, 8.0
    mesh = meshes.grid(np.linspace(0, length, 13), np.linspace(-half, half, 4), jitter=0.35)
    part = meshes.body("beam", mesh, plane_stiffness(WOOD, 0.0, 0.0), thickness=5.0)
    model = Model(mesh, (part,))
    load = np.zeros(model.unknowns)
    for x, sign in ((0.0, -1.0), (length, 1.0)):
        edges = meshes.edges_where(mesh, part.cells, meshes.near(0, x))
        load += edge_load(
            model, "beam", edges, 5.0, lambda p, s=sign: np.stack([-s * p[:, 1], 0 * p[:, 0]], axis=1)
        )
    u = meshes.solve_prescribed(bulk_stiffness(model), load, pinned_unknowns(model))
    stress = meshes.stresses(model, part, u, AREA_POINTS)
    place = np.einsum("qa,cai->cqi", meshes.shape_functions(AREA_POINTS), mesh.nodes[mesh.triangles])
    assert np.abs(stress[..., 0] + place[..., 1]).max() <= 1e-10 * half
    assert np.abs(stress[..., 1:]).max() <= 1e-10 * half
    # Curvature 1 / E1: the energy is the work of the ends, sigma^2 / 2 E1 over the volume.
    assert load @ u == pytest.approx(length * 5 * (2 * half**3 / 3) / E1, rel=1e-10)


def cantilever_exact(points: Array, length: float, half: float, force: float, turn: float) -> Array:
    """Displacement of a cantilever of unit width held at x = 0, ``force`` along y at its tip (plane stress).

    Timoshenko & Goodier, Theory of Elasticity (1970), article 21, derived again for an orthotropic strip:
    stress -P (L - x) y / I along, P (c^2 - y^2) / 2 I shear. ``turn`` 1 keeps du/dy = 0 at the middle of the
    root, 0 keeps dv/dx = 0.
    """
    x, y = points[:, 0], points[:, 1]
    second = 2 * half**3 / 3
    bend, slide = force / (E1 * second), force / (G12 * second)
    spin = (1 - turn) * slide * half**2 / 2
    along = -bend * (length * x - x**2 / 2) * y + NU12 * bend * y**3 / 6 - slide * y**3 / 6 + spin * y
    across = NU12 * bend * (length - x) * y**2 / 2 + bend * (length * x**2 / 2 - x**3 / 6)
    across += (slide * half**2 / 2 - spin) * x
    return np.stack([along, across], axis=1)


@pytest.mark.parametrize("turn", [1.0, 0.0])
def test_cantilever(turn: float) -> None:
    """Tip deflection P L^3 / 3 E1 I + P c^2 L / 2 G12 I with du/dy = 0 at the root; the second term
    falls with dv/dx = 0.

    The root is given the exact displacement (its section warps), the tip the parabola of shear.
    """
    length, half, force = 60.0, 10.0, 100.0
    second = 2 * half**3 / 3
    mesh = meshes.grid(np.linspace(0, length, 13), np.linspace(-half, half, 5), jitter=0.3, keep_y=(0.0,))
    part = meshes.body("beam", mesh, plane_stiffness(WOOD, 0.0, 0.0))
    model = Model(mesh, (part,))
    tip = meshes.edges_where(mesh, part.cells, meshes.near(0, length))

    def shear(points: Array) -> Array:
        return np.stack([0 * points[:, 0], force / (2 * second) * (half**2 - points[:, 1] ** 2)], axis=1)

    load = edge_load(model, "beam", tip, 1.0, shear)
    assert load[1::2].sum() == pytest.approx(force, rel=1e-12)
    root = np.flatnonzero(mesh.nodes[:, 0] == 0)
    fixed = meshes.nodes_to_unknowns(model, "beam", root)
    values = cantilever_exact(mesh.nodes[root], length, half, force, turn).T.ravel()
    u = meshes.solve_prescribed(bulk_stiffness(model), load, fixed, values)
    at_tip = int(np.argmin(np.linalg.norm(mesh.nodes - [length, 0.0], axis=1)))
    found = u[2 * model.numbers["beam"][at_tip] + 1]
    expected = force * length**3 / (3 * E1 * second) + turn * force * half**2 * length / (2 * G12 * second)
    print(f"tip {found:.6f} against {expected:.6f}: {found / expected - 1:.2e}")
    assert found == pytest.approx(expected, rel=1e-3)
    exact = cantilever_exact(mesh.nodes, length, half, force, turn)
    off = model.displacement("beam", u) - exact
    assert np.abs(off).max() <= 1e-3 * expected


def test_cantilever_field_is_in_equilibrium() -> None:
    """The closed form's stress by differences: bending P x y / I, parabola of shear, nothing across."""
    length, half, force, step = 60.0, 10.0, 100.0, 1e-3
    second = 2 * half**3 / 3
    points = np.array([[11.0, 3.0], [40.0, -7.0], [25.0, 0.0]])
    east, north = np.array([step, 0.0]), np.array([0.0, step])
    by_x, by_y = (
        np.subtract(*(cantilever_exact(points + way * d, length, half, force, 1.0) for way in (1, -1)))
        / (2 * step)
        for d in (east, north)
    )
    strain = np.stack([by_x[:, 0], by_y[:, 1], by_y[:, 0] + by_x[:, 1]], axis=1)
    stress = strain @ plane_stiffness(WOOD, 0.0, 0.0)
    x, y = length - points[:, 0], points[:, 1]
    expected = np.stack([-force * x * y / second, 0 * x, force / (2 * second) * (half**2 - y**2)], axis=1)
    np.testing.assert_allclose(stress, expected, atol=1e-5 * np.abs(expected).max())


def test_cooks_membrane() -> None:
    """Cook 1974 (J. Struct. Div. ASCE 100): tip 23.96 for E 1, nu 1/3, F 1 in plane stress; value as
    commonly quoted.
    """

    def trapezium(points: Array) -> Array:
        x, y = points[:, 0], points[:, 1]
        return np.stack([48 * x, 44 * x + y * (44 - 28 * x)], axis=1)

    ticks = np.linspace(0, 1, 33)
    mesh = meshes.grid(ticks, ticks, mapping=trapezium)
    solid = OrthotropicSolid(1.0, 1.0, 1.0, 0.375, 1 / 3, 1 / 3, 1 / 3)
    part = meshes.body("membrane", mesh, plane_stiffness(solid, 0.0, 0.0))
    model = Model(mesh, (part,))
    right = meshes.edges_where(mesh, part.cells, meshes.near(0, 48.0))
    load = edge_load(model, "membrane", right, 1.0, lambda p: np.tile([0.0, 1 / 16], (len(p), 1)))
    fixed = meshes.nodes_to_unknowns(model, "membrane", np.flatnonzero(mesh.nodes[:, 0] == 0))
    u = meshes.solve_prescribed(bulk_stiffness(model), load, fixed)
    tip = int(np.argmin(np.linalg.norm(mesh.nodes - [48.0, 52.0], axis=1)))
    found = model.displacement("membrane", u)[tip, 1]
    print(f"Cook {found:.4f}")
    assert found == pytest.approx(23.96, abs=0.01)
