"""Beams with nodes of their own: cantilever, Hetenyi's beam on an elastic bed, rigid motions, hinges.

M. Hetenyi, Beams on Elastic Foundation (1946), finite beams with free ends, recalled and checked here by the
differential equation E I y'''' + k y = 0: the deflection below a force P at one end is
(2 P L / k) (sinh l cosh l - sin l cos l) / (sinh^2 l - sin^2 l) with L = (k / (4 E I))^(1/4) and l its
product with the beam's length.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse

from glueline.fem.beam import Beam
from glueline.fem.bearing_law import BearingLaw
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.fastener import HingeTie, HoleWalls
from glueline.fem.line_law import LineLaw
from glueline.fem.model import Model, rigid_body_motions
from glueline.fem.path import follow_path
from glueline.fem.path_control import PathControl
from glueline.fem.ties import bonded_surfaces
from tests.fem import meshes
from tests.fem.meshes import Array

AXIAL, BENDING, SHEAR = 2.5e6, 4.0e6, 3.0e5
SLOPED = np.array([3.0, 4.0])


def beam(members: int, shear: float = SHEAR, hinged: bool = False, count: int = 1) -> Beam:
    """50 mm long in a slope of 3 by 4, its members of unlike lengths."""
    stations = 50.0 * np.linspace(0.0, 1.0, members + 1) ** 1.3
    return Beam("rod", np.array([7.0, -2.0]), SLOPED, stations, AXIAL, BENDING, shear, count, hinged)


def solved(stiffness: sparse.spmatrix, load: Array, held: list[int]) -> Array:
    """Displacements with the unknowns ``held`` at zero."""
    return meshes.solve_prescribed(sparse.csr_matrix(stiffness), load, np.array(held))


@pytest.mark.parametrize("members", [1, 2, 7])
@pytest.mark.parametrize("shear", [SHEAR, np.inf])
def test_cantilever_is_exact(members: int, shear: float) -> None:
    """Tip of a cantilever of three like members: P l^3 / (3 E I) + P l / (G A_s), turn P l^2 / (2 E I)."""
    rod = beam(members, shear, count=3)
    load = np.zeros(rod.unknowns)
    load[-3:-1] = 120.0 * rod.axes[1] + 900.0 * rod.axes[0]
    u = solved(rod.stiffness_matrix(), load, [0, 1, 2])
    along, across = rod.axes @ u[-3:-1]
    assert along == pytest.approx(900.0 * 50.0 / (3 * AXIAL), rel=1e-9)
    assert across == pytest.approx(40.0 * 50.0**3 / (3 * BENDING) + 40.0 * 50.0 / shear, rel=1e-9)
    assert u[-1] == pytest.approx(40.0 * 50.0**2 / (2 * BENDING), rel=1e-9)
    forces = rod.member_forces(u)
    np.testing.assert_allclose(forces[:, 0], 900.0, rtol=1e-9)
    np.testing.assert_allclose(forces[:, 1], -120.0, rtol=1e-9)
    np.testing.assert_allclose(forces[:, 2], 120.0 * (50.0 - rod.stations[:-1]), rtol=1e-9)
    np.testing.assert_allclose(forces[:, 3], 120.0 * (50.0 - rod.stations[1:]), atol=1e-6)


def test_sections_move_as_the_cubic_between_nodes() -> None:
    """Interpolated within one member, a cantilever under a tip force has its exact deflection and turn."""
    rod = beam(1, np.inf)
    load = np.zeros(6)
    load[-3:-1] = 40.0 * rod.axes[1]
    u = solved(rod.stiffness_matrix(), load, [0, 1, 2])
    places = np.array([0.0, 11.0, 30.0, 50.0])
    unknowns, rows = rod.interpolation(places)
    moved = np.einsum("pij,pj->pi", rows, u[unknowns])
    exact = 40.0 / BENDING * (25.0 * places**2 - places**3 / 6)
    np.testing.assert_allclose(moved[:, 1], exact, atol=1e-12)
    np.testing.assert_allclose(moved[:, 2], 40.0 / BENDING * (50.0 * places - places**2 / 2), atol=1e-12)
    with pytest.raises(ValueError, match="beyond the ends"):
        rod.interpolation(np.array([50.1]))


def block() -> Model:
    """A beam beside a block that does nothing."""
    mesh = meshes.grid(np.linspace(0, 60, 4), np.linspace(-20, 20, 4))
    body = meshes.body("block", mesh, np.diag([9e6, 9e6, 4e6]))
    return Model(mesh, (body,))


def test_rigid_motions_strain_nothing() -> None:
    """Two shifts and a turn of bodies and beams together, hinged or not."""
    plain = block()
    rods = (beam(3), Beam("other", np.zeros(2), np.array([0.0, 1.0]), np.arange(4.0), 1e6, 1e6, hinged=True))
    model = Model(plain.mesh, plain.bodies, (HingeTie("hinges", "other", 2.0),), rods)
    assert model.unknowns == model.body_unknowns + rods[0].unknowns + rods[1].unknowns
    motions = rigid_body_motions(model)
    stiffness = bulk_stiffness(model) + bonded_surfaces(model)[0].stiffness_matrix()
    assert np.abs(stiffness @ motions).max() < 1e-7 * abs(stiffness).max()
    assert np.linalg.matrix_rank(motions) == 3
    assert model.displacement("block", motions[:, 0])[:, 0] == pytest.approx(1.0)


@pytest.mark.parametrize("length", [12.0, 30.0, 80.0])
def test_beam_on_an_elastic_bed(length: float) -> None:
    """Hetenyi's finite beam, pushed at one end: short ones turn as a whole, long ones bend at the end."""
    bed = 300.0  # N/mm2
    places = np.linspace(0.0, length, 33)
    rod = Beam("rod", np.array([5.0, 0.0]), np.array([1.0, 0.0]), places, AXIAL, BENDING)
    mesh = meshes.grid(np.linspace(0, 100, 3), np.linspace(-20, 20, 3))
    body = meshes.body("block", mesh, np.diag([9e6, 9e6, 4e6]))
    model = Model(mesh, (body,), (HoleWalls("walls", "block", "rod", 0.0, length, 8.0, bed / 8.0),), (rod,))
    stiffness = bulk_stiffness(model) + bonded_surfaces(model)[0].stiffness_matrix()
    load = np.zeros(model.unknowns)
    first = model.beam_unknowns("rod")[0]
    load[first + 1] = 100.0
    held = [*range(model.body_unknowns), first]
    u = solved(stiffness, load, held)
    root = (bed / (4 * BENDING)) ** 0.25
    turn = root * length
    exact = 2 * 100.0 * root / bed * (np.sinh(turn) * np.cosh(turn) - np.sin(turn) * np.cos(turn))
    exact /= np.sinh(turn) ** 2 - np.sin(turn) ** 2
    assert u[first + 1] == pytest.approx(exact, rel=1e-4)


def test_hinges_leave_the_beam_as_soft_as_it_was_and_turn_at_the_plastic_moment() -> None:
    """A cantilever of 20 hinged members under a tip force: P l^3 / (3 E I), then M_p in the first hinge."""
    plastic = 9000.0
    places = np.linspace(0.0, 50.0, 21)
    rod = Beam("rod", np.zeros(2), np.array([1.0, 0.0]), places, AXIAL, BENDING, hinged=True, count=2)
    hinges = HingeTie("hinges", "rod", 2.0)
    model = Model(block().mesh, block().bodies, (hinges,), (rod,))
    (surface,) = bonded_surfaces(model)
    load = np.zeros(model.unknowns)
    first = model.beam_unknowns("rod")[0]
    load[first + 3 * 20 + 1] = 1.0
    held = np.array([*range(model.body_unknowns), first, first + 1, first + 2])
    law = BearingLaw(surface.stiffness[:, 1, 1], np.array([hinges.stress(plastic)]), 1.0, both_ways=True)
    control = PathControl(stop=0.0, stop_first=0.0, farthest=10.0)
    path = follow_path(bulk_stiffness(model), [surface], [law], load, held, control)
    assert path.displacement[1] / path.load[1] == pytest.approx(50.0**3 / (3 * 2 * BENDING), rel=2e-3)
    # The hinge next to the clamp is 2.5 mm from it.
    assert path.load[1] == pytest.approx(2 * plastic / 47.5, rel=1e-3)
    assert path.load[-1] == pytest.approx(2 * plastic / 47.5, rel=0.02)
    assert path.is_complete
    assert path.displacement[-1] == pytest.approx(10.0, rel=1e-3)
    assert path.audit < 1e-3


def test_a_wooden_rod_breaks_where_it_bends_most() -> None:
    """The same cantilever of wood: it bears its moment next to the clamp, then breaks there, either way."""
    most = 9000.0
    rod = Beam(
        "rod", np.zeros(2), np.array([1.0, 0.0]), np.linspace(0.0, 50.0, 11), AXIAL, BENDING, hinged=True
    )
    hinges = HingeTie("hinges", "rod", 4.0, breaks=True)
    model = Model(block().mesh, block().bodies, (hinges,), (rod,))
    (surface,) = bonded_surfaces(model)
    first = model.beam_unknowns("rod")[0]
    held = np.array([*range(model.body_unknowns), first, first + 1, first + 2])
    numbers = (np.array([number]) for number in (hinges.stress(most), hinges.stress(most), 8.0, 8.0))
    law = LineLaw(surface.stiffness, *numbers)
    for sense in (1.0, -1.0):
        load = np.zeros(model.unknowns)
        load[first + 3 * 10 + 1] = sense
        path = follow_path(bulk_stiffness(model), [surface], [law], load, held)
        assert path.load.max() == pytest.approx(most / 45.0, rel=1e-3)
        assert path.is_complete
        assert (path.damage["hinges"][-1] > 0).tolist() == [True] + 8 * [False]
        assert path.audit < 0.005


def test_what_a_beam_cannot_be() -> None:
    """Stations that fall, numbers not above zero, no direction, no hinges to join."""
    one = np.array([1.0, 0.0])
    for change in ({"stations": np.array([0.0, 0.0])}, {"axial_stiffness": 0.0}, {"direction": 0.0 * one}):
        numbers = {
            "start": one,
            "direction": one,
            "stations": np.arange(3.0),
            "axial_stiffness": 1.0,
            "bending_stiffness": 1.0,
        }
        with pytest.raises(ValueError, match="rod"):
            Beam("rod", **(numbers | change))  # type: ignore[arg-type]
    model = Model(block().mesh, block().bodies, (), (beam(3),))
    with pytest.raises(ValueError, match="no hinges"):
        HingeTie("hinges", "rod", 2.0).surface(model)
    with pytest.raises(KeyError):
        model.beam("other")
    with pytest.raises(KeyError):
        model.beam_unknowns("other")
