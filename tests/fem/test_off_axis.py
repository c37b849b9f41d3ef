"""Off-axis stiffness and the coupon with glue in series.

Jones, Mechanics of Composite Materials (1975, 2nd ed. 1999), off-axis modulus, Poisson's ratio, shear
modulus and the
coupling coefficient (the last two from memory); delta = sigma (sum L / E + 1 / k_n) is statics.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.loads import Arrangement, edge_load, even_load, even_moment
from glueline.fem.model import Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_compliance, plane_stiffness, stress_rotation
from glueline.fem.solve import ElasticSystem
from glueline.fem.ties import BondLine, bonded_surfaces
from glueline.fem.triangle import AREA_POINTS
from tests.fem import meshes

WOOD = meshes.MAPLE
E1, E2, G12, NU12 = WOOD.modulus_1, WOOD.modulus_2, WOOD.shear_modulus_12, WOOD.poisson_12


def jones(angle: float) -> dict[str, float]:
    """Closed forms for plane stress along x with the grain at ``angle`` to x."""
    c, s = np.cos(angle), np.sin(angle)
    s11, s22, s12, s66 = 1 / E1, 1 / E2, -NU12 / E1, 1 / G12
    modulus = 1 / (c**4 / E1 + (1 / G12 - 2 * NU12 / E1) * s**2 * c**2 + s**4 / E2)
    s16 = (2 * s11 - 2 * s12 - s66) * s * c**3 - (2 * s22 - 2 * s12 - s66) * s**3 * c
    poisson = modulus * (NU12 / E1 * (s**4 + c**4) - (1 / E1 + 1 / E2 - 1 / G12) * s**2 * c**2)
    shear = 1 / (2 * (2 / E1 + 2 / E2 + 4 * NU12 / E1 - 1 / G12) * s**2 * c**2 + (s**4 + c**4) / G12)
    return {"modulus": modulus, "s16": s16, "poisson": poisson, "shear": shear}


@pytest.mark.parametrize("degrees", [0, 10, 30, 45, 60, 90, 135, -20])
def test_compliance_is_jones(degrees: float) -> None:
    """Modulus, coupling, Poisson's ratio and shear modulus off the axis, to rounding."""
    angle = np.deg2rad(degrees)
    soft = np.linalg.inv(plane_stiffness(WOOD, 0.0, angle))
    form = jones(angle)
    assert 1 / soft[0, 0] == pytest.approx(form["modulus"], rel=1e-12)
    assert soft[0, 2] == pytest.approx(form["s16"], rel=1e-11, abs=1e-17)
    assert -soft[0, 1] / soft[0, 0] == pytest.approx(form["poisson"], rel=1e-11)
    assert 1 / soft[2, 2] == pytest.approx(form["shear"], rel=1e-12)


@pytest.mark.parametrize("degrees", [0, 15, 45, 75, -30])
def test_coupon_strains_as_jones(degrees: float) -> None:
    """A distorted coupon under end tractions and three mean supports stretches, contracts and shears as
    Jones says.
    """
    angle = np.deg2rad(degrees)
    mesh = meshes.grid(np.linspace(0, 60, 9), np.linspace(0, 12, 4), jitter=0.35)
    part = meshes.body("coupon", mesh, plane_stiffness(WOOD, 0.0, angle), thickness=5.0)
    model = Model(mesh, (part,))
    left = meshes.edges_where(mesh, part.cells, meshes.near(0, 0))
    right = meshes.edges_where(mesh, part.cells, meshes.near(0, 60))
    load = edge_load(model, "coupon", right, 5.0, lambda p: np.tile([2.0, 0.0], (len(p), 1)))
    supports = np.array(
        [
            even_load(model, "coupon", left, np.array([1.0, 0.0])),
            even_load(model, "coupon", left, np.array([0.0, 1.0])),
            even_moment(model, "coupon", left, np.array([-1.0, 0.0])),
        ]
    )
    solution = ElasticSystem(model, bulk_stiffness(model)).solve(Arrangement("pull", load, supports))
    np.testing.assert_allclose(solution.reactions, [-120.0, 0.0, 0.0], atol=1e-9)
    form = jones(angle)
    stress = meshes.stresses(model, part, solution.u, AREA_POINTS)
    strain = stress @ np.linalg.inv(part.stiffness[0])
    assert strain[..., 0] == pytest.approx(2 / form["modulus"], rel=1e-9)
    assert strain[..., 1] == pytest.approx(-2 / form["modulus"] * form["poisson"], rel=1e-9)
    assert strain[..., 2] == pytest.approx(2 * form["s16"], rel=1e-9, abs=1e-14)
    assert (supports @ solution.u) == pytest.approx(0.0, abs=1e-12)
    stretch = even_load(model, "coupon", right, np.array([1.0, 0.0])) @ solution.u
    assert stretch == pytest.approx(2 * 60 / form["modulus"], rel=1e-10)


def test_coupon_and_glue_in_series() -> None:
    """Two off-axis lengths and a glue line: delta = sigma (sum L / E + 1 / k_n), and no slip.

    Grain at +20 and -20 degrees, so that both contract alike (S12) and the shear takes up a turn that
    both share.
    """
    angle, kn = np.deg2rad(20.0), 800.0
    mesh = meshes.grid(np.linspace(0, 60, 10), np.linspace(0, 12, 4), jitter=0.35, keep_x=(40.0,))
    left_side = meshes.centres(mesh)[:, 0] < 40
    a = meshes.body("a", mesh, plane_stiffness(WOOD, 0.0, angle), left_side, 5.0)
    b = meshes.body("b", mesh, plane_stiffness(WOOD, 0.0, -angle), ~left_side, 5.0)
    edges = meshes.edges_where(mesh, b.cells, meshes.near(0, 40))
    model = Model(mesh, (a, b), (BondLine("glue", "a", "b", edges, np.full(len(edges), 5.0), kn, 220.0),))
    (glue,) = bonded_surfaces(model)
    ends = [meshes.edges_where(mesh, part.cells, meshes.near(0, x)) for part, x in ((a, 0.0), (b, 60.0))]
    pull = even_load(model, "b", ends[1], np.array([1.0, 0.0]))
    hold = even_load(model, "a", ends[0], np.array([1.0, 0.0]))
    supports = np.array(
        [
            hold,
            even_load(model, "a", ends[0], np.array([0.0, 1.0])),
            even_moment(model, "a", ends[0], np.array([-1.0, 0.0])),
        ]
    )
    system = ElasticSystem(model, bulk_stiffness(model) + glue.stiffness_matrix())
    solution = system.solve(Arrangement("pull", pull, supports), load=90.0)
    sigma = 90.0 / (12 * 5)
    expected = sigma * (60 / jones(angle)["modulus"] + 1 / kn)
    assert pull @ solution.u - hold @ solution.u == pytest.approx(expected, rel=1e-10)
    assert solution.compliance == pytest.approx(expected / 90, rel=1e-10)
    np.testing.assert_allclose(
        glue.tractions(solution.u), np.tile([0.0, sigma], (len(glue.points), 1)), atol=1e-9
    )


def test_plane_strain_is_the_reduced_compliance() -> None:
    """Constraint 1: S_ij - S_i3 S_j3 / S_33 (Lekhnitskii 1968), here by holding the third strain in
    three dimensions.
    """
    s = np.array(
        [
            [1 / E1, -NU12 / E1, -WOOD.poisson_13 / E1],
            [-NU12 / E1, 1 / E2, -WOOD.poisson_23 / E2],
            [-WOOD.poisson_13 / E1, -WOOD.poisson_23 / E2, 1 / WOOD.modulus_3],
        ]
    )
    held = np.linalg.inv(np.linalg.inv(s)[:2, :2])
    np.testing.assert_allclose(plane_compliance(WOOD, 1.0)[:2, :2], held, rtol=1e-12)
    np.testing.assert_allclose(plane_compliance(WOOD, 0.0)[:2, :2], s[:2, :2], rtol=1e-14)


def test_rotation_of_stress_is_that_of_a_tensor() -> None:
    """The matrix agrees with Q s Q^T, and turning back undoes it."""
    stress, angle = np.array([3.0, -1.0, 2.0]), 0.7
    q = meshes.rotation(angle).T
    tensor = q @ np.array([[stress[0], stress[2]], [stress[2], stress[1]]]) @ q.T
    np.testing.assert_allclose(
        stress_rotation(angle) @ stress, [tensor[0, 0], tensor[1, 1], tensor[0, 1]], rtol=1e-13
    )
    np.testing.assert_allclose(stress_rotation(-angle) @ stress_rotation(angle), np.eye(3), atol=1e-14)


@pytest.mark.parametrize("change", [{"poisson_12": 4.5}, {"shear_modulus_12": -1.0}, {"modulus_3": 50000.0}])
def test_constants_of_no_stable_solid_are_refused(change: dict[str, float]) -> None:
    """Lempriere 1968: |nu_ij| < sqrt(E_i / E_j) and so on; here by the eigenvalues of the compliance."""
    with pytest.raises(ValueError, match="stable"):
        plane_compliance(dataclasses.replace(WOOD, **change), 0.0)


@pytest.mark.parametrize("constraint", [-0.1, 1.01])
def test_constraint_outside_its_range_is_refused(constraint: float) -> None:
    """Only 0 to 1 means something."""
    with pytest.raises(ValueError, match="constraint"):
        plane_compliance(OrthotropicSolid(1.0, 1.0, 1.0, 0.4, 0.25, 0.25, 0.25), constraint)
