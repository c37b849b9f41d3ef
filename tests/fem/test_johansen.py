"""A fastener across a joint against Johansen's six modes of single shear, without factors of any code.

K. W. Johansen 1949, Theory of timber connections, as EN 1995-1-1 eq. (8.6) prints it (recalled) less its
factors 1.05 and 1.15: rigid-plastic walls f_1 and f_2 and hinges of M_y. Bodies here are rigid, and walls and
hinges stiff and hardly hardening, so what is left is the mode. The formulas themselves are checked by turning
the question round: the least of the six is the load at which a rigid-plastic rod first finds a way.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse
from scipy.optimize import linprog

from glueline.fem.beam import Beam
from glueline.fem.bearing_law import BearingLaw
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.fastener import HingeTie, HoleWalls
from glueline.fem.loads import even_load
from glueline.fem.model import Model
from glueline.fem.path import follow_path
from glueline.fem.path_control import PathControl
from glueline.fem.ties import bonded_surfaces
from glueline.materials.fastener import johansen_modes
from tests.fem import meshes

RIGID = np.diag([9e8, 9e8, 4e8])
DIAMETER, ELASTIC = 6.0, 210000.0
CASES = {
    # thicknesses of members 1 and 2 (mm), embedment strengths (MPa), yield moment (N mm), the least mode
    "walls of 1": (10.0, 60.0, 30.0, 40.0, 9e5, "a"),
    "walls of 2": (60.0, 10.0, 40.0, 30.0, 9e5, "b"),
    "walls of both": (20.0, 20.0, 30.0, 30.0, 9e5, "c"),
    "walls of both, unlike": (25.0, 15.0, 20.0, 45.0, 9e5, "c"),
    "hinge in 2": (15.0, 90.0, 30.0, 30.0, 20000.0, "d"),
    "hinge in 1": (90.0, 15.0, 30.0, 30.0, 20000.0, "e"),
    "two hinges": (60.0, 60.0, 30.0, 40.0, 20000.0, "f"),
}


def rigid_plastic(one: float, two: float, first: float, second: float, moment: float) -> float:
    """Highest load by statics alone: pressures within the walls' strengths, moments within the rod's.

    Linear programming over pressures on slices along the rod (lower bound theorem), shear V at the joint.
    """
    count = 300
    lengths = np.concatenate([np.full(count, one / count), np.full(count, two / count)])
    middles = np.concatenate(
        [-one + one / count * (np.arange(count) + 0.5), two / count * (np.arange(count) + 0.5)]
    )
    limit = np.concatenate([np.full(count, first), np.full(count, second)]) * DIAMETER * lengths
    # Unknown forces on slices, then the load: those of member 1 sum to it, all sum to nothing.
    sums = np.zeros((3, 2 * count + 1))
    sums[0, :count], sums[0, -1] = 1.0, -1.0
    sums[1, : 2 * count] = 1.0
    sums[2, : 2 * count] = middles
    cuts = middles[::10]
    bending = np.hstack([np.maximum(cuts[:, None] - middles[None], 0.0), np.zeros((len(cuts), 1))])
    goal = np.zeros(2 * count + 1)
    goal[-1] = -1.0
    found = linprog(
        goal,
        A_ub=np.vstack([bending, -bending]),
        b_ub=np.full(2 * len(cuts), moment),
        A_eq=sums,
        b_eq=np.zeros(3),
        bounds=[*zip(-limit, limit, strict=True), (0, None)],
    )
    return float(-found.fun)


@pytest.mark.parametrize("case", CASES)
def test_formulas_are_the_limit_by_statics(case: str) -> None:
    """The least mode, and which one, against linear programming."""
    one, two, first, second, moment, mode = CASES[case]
    modes = johansen_modes(first, second, one, two, DIAMETER, moment)
    assert min(modes, key=lambda name: modes[name]) == mode
    assert rigid_plastic(one, two, first, second, moment) == pytest.approx(modes[mode], rel=0.01)


@pytest.mark.parametrize("case", CASES)
def test_tied_beam_finds_the_mode(case: str) -> None:
    """The load at 6 mm of slip within 3 % of the least mode, followed with walls and hinges that give."""
    one, two, first, second, moment, mode = CASES[case]
    mesh = meshes.grid(np.linspace(-20, 20, 3), np.array([-two, 0.0, one]))
    above = meshes.centres(mesh)[:, 1] > 0
    upper, lower = meshes.body("1", mesh, RIGID, above), meshes.body("2", mesh, RIGID, ~above)
    stations = np.unique(np.concatenate([np.linspace(0, one, 25), one + np.linspace(0, two, 25)]))
    inertia = np.pi * DIAMETER**4 / 64
    rod = Beam(
        "rod",
        np.array([0.0, one]),
        np.array([0.0, -1.0]),
        stations,
        ELASTIC * np.pi * DIAMETER**2 / 4,
        ELASTIC * inertia,
        hinged=True,
    )
    ties = (
        HoleWalls("walls of 1", "1", "rod", 0.0, one, DIAMETER, 100.0 * first),
        HoleWalls("walls of 2", "2", "rod", one, one + two, DIAMETER, 100.0 * second),
        HingeTie("hinges", "rod", DIAMETER / 2),
    )
    model = Model(mesh, (upper, lower), ties, (rod,))
    surfaces = bonded_surfaces(model)
    laws = [
        BearingLaw(surface.stiffness[:, 1, 1], np.array([strength]), 0.002 * strength, both_ways=True)
        for surface, strength in zip(surfaces, (first, second, ties[2].stress(moment)), strict=True)
    ]
    edges = meshes.edges_where(mesh, upper.cells, meshes.near(1, one))
    load = even_load(model, "1", edges, np.array([1.0, 0.0]))
    whole = np.flatnonzero(model.numbers["2"] >= 0)
    held = np.concatenate(
        [
            meshes.nodes_to_unknowns(model, "2", whole),
            meshes.nodes_to_unknowns(model, "1", np.flatnonzero(model.numbers["1"] >= 0), (1,)),
            model.beam_unknowns("rod")[1:2],
        ]
    )
    control = PathControl(stop=0.0, stop_first=0.0, farthest=6.0)
    path = follow_path(sparse.csr_matrix(bulk_stiffness(model)), surfaces, laws, load, held, control)
    modes = johansen_modes(first, second, one, two, DIAMETER, moment)
    found = float(np.interp(6.0, path.displacement, path.load))
    print(f"{case}: {found:.0f} of {modes[mode]:.0f} N, {found / modes[mode]:.4f}; {len(path.load)} states")
    assert path.is_complete
    assert path.audit < 0.005
    assert found == pytest.approx(modes[mode], rel=0.03)
