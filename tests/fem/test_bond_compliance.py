"""The slip of a rod in its hole against sums over images, limits, and a strip solved in the plane."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.fem.beam import Beam
from glueline.fem.bond_compliance import bond_compliance, image_distances, spreading, two_lines
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.fastener import FastenerBond
from glueline.fem.model import Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.ties import bonded_surfaces
from tests.fem import meshes

MODULI = (1160.0, 250.0)  # G_LR and G_RT of an oak, across A's grain

lengths = st.floats(0.5, 200.0)
moduli = st.tuples(st.floats(10.0, 2000.0), st.floats(10.0, 2000.0))


def rim_mean(diameter: float, spacing: float, beside: float, across: float, faces: list[float]) -> float:
    """The same by summing logarithms of many single rods, less what the plane has of them, no closed form.

    Every rod of 2 n + 1 in a row, and every image of the row, makes -ln(distance) in stretched axes; its mean
    over the rim is taken by points. Rows are finite, so a constant is taken off by the far displacement: at
    distances x much smaller than the row's length, row and plane differ by a constant that is the same at
    every x, found at 5 spacings.
    """
    stretch = np.sqrt(across / beside)
    rods = spacing * np.arange(-20000, 20001)

    def row(x: float | np.ndarray, z: float | np.ndarray) -> np.ndarray:
        squares = (stretch * np.asarray(x)[..., None]) ** 2 + (np.asarray(z)[..., None] - rods) ** 2
        return np.asarray(-0.5 * np.log(squares).sum(axis=-1) / (2 * np.pi * np.sqrt(beside * across)))

    def plane(x: float | np.ndarray) -> np.ndarray:
        return np.asarray(-np.abs(x) / (2 * beside * spacing))

    far = 5.0 * spacing / stretch
    constant = row(far, 0.0) - plane(far)
    # A rigid rim: the force on it is spread as the potential of the ellipse asks, evenly in its angle.
    angle = 2 * np.pi * (np.arange(64) + 0.5) / 64
    x, z = 0.5 * diameter * np.cos(angle), 0.5 * diameter * np.sin(angle)
    total = float(np.mean(row(x, z) - constant))
    # The plane's own value is that on the axis.
    return total + sum(float(row(face, 0.0) - constant - plane(face)) for face in faces)


@pytest.mark.parametrize("faces", [[], [18.0], [12.0, 20.0, 32.0, 32.0]])
def test_formula_is_the_sum_over_single_rods(faces: list[float]) -> None:
    """Against 40001 rods one by one, d 4 mm, s 45 mm; the images given by hand."""
    stretch = np.sqrt(MODULI[1] / MODULI[0])
    direct = rim_mean(4.0, 45.0, *MODULI, faces)
    formula = np.log(2 * 45.0 / (np.pi * 4.0 * (1 + stretch)))
    formula -= sum(np.log1p(-np.exp(-2 * np.pi * face * stretch / 45.0)) for face in faces)
    assert formula / (2 * np.pi * np.sqrt(MODULI[0] * MODULI[1])) == pytest.approx(direct, rel=0.01)
    if not faces:
        assert spreading(4.0, 45.0, MODULI) == pytest.approx(direct, rel=0.01)


def test_images_repeat_between_two_faces() -> None:
    """The images of a point between mirrors, by reflecting it to and fro."""
    near, far = 7.0, 12.0
    found, places = [], [0.0]
    for start in (-near, far):
        at, mirror = 0.0, start
        for _ in range(12):
            at = 2 * mirror - at
            places.append(at)
            mirror = far if mirror == -near else -near
    found = sorted(abs(place) for place in places if 0 < abs(place) <= 100.0)
    assert image_distances(near, far, farthest=100.0) == pytest.approx(found)
    assert image_distances(near, farthest=100.0) == [14.0]
    assert image_distances(near, np.inf, farthest=100.0) == [14.0]
    with pytest.raises(ValueError, match="free faces"):
        image_distances(0.0, farthest=1.0)


@given(diameter=lengths, spacing=lengths, shear=moduli, faces=st.lists(st.floats(0.5, 50.0), max_size=2))
def test_never_below_zero(
    diameter: float, spacing: float, shear: tuple[float, float], faces: list[float]
) -> None:
    """Whatever the numbers; free faces only make it softer."""
    own = spreading(diameter, spacing, shear)
    assert own >= 0
    assert spreading(diameter, spacing, shear, tuple(faces)) >= own * (1 - 1e-12)
    assert bond_compliance(diameter, spacing, 100.0, 500.0, shear, tuple(faces)) > 0


def test_limits() -> None:
    """A film much softer than all else, faces far away, a rod in like wood, and none of the spreading."""
    soft = bond_compliance(8.0, 45.0, 1e-3, 500.0, MODULI)
    assert soft == pytest.approx(1 / (np.pi * 8.0 * 1e-3), rel=1e-4)
    assert spreading(8.0, 45.0, MODULI, (1e4, 1e4)) == pytest.approx(spreading(8.0, 45.0, MODULI), rel=1e-12)
    alike = spreading(8.0, 45.0, (600.0, 600.0))
    assert alike == pytest.approx(np.log(45.0 / (np.pi * 8.0)) / (2 * np.pi * 600.0), rel=1e-12)
    assert spreading(44.0, 45.0, (600.0, 600.0)) == 0.0
    none = bond_compliance(8.0, 45.0, 50.0, 500.0, MODULI, share_of_spreading=0.0)
    own = 1 / (np.pi * 8.0 * 50.0) + 1 / (8 * np.pi * 500.0)
    assert none == pytest.approx(own + two_lines(8.0, 45.0, MODULI[0]), rel=1e-12)
    with pytest.raises(ValueError, match="above zero"):
        spreading(0.0, 45.0, MODULI)


def test_two_lines_on_a_strip() -> None:
    """A strip of half width X held at both sides, sheared by a rod on its middle: C + X / (2 G s) a force.

    Solved in the plane with six-node triangles, the rod tied to two lines; every node moves along the rod
    only and alike all along it. With ``two_lines`` in C the rod is as far as one line would take it.
    """
    half, thick, shear, diameter, spacing_ = 30.0, 45.0, 700.0, 8.0, 45.0
    x = np.concatenate([[-half], np.linspace(-6, 6, 25), [half]])
    mesh = meshes.grid(x, np.linspace(0.0, 10.0, 3))
    solid = OrthotropicSolid(13900.0, 900.0, 900.0, shear, 0.0, 0.0, 0.0)
    body = meshes.body("strip", mesh, plane_stiffness(solid, 0.0, np.pi / 2), thickness=thick)
    compliance = 1e-4 + two_lines(diameter, spacing_, shear)
    rod = Beam("rod", np.zeros(2), np.array([0.0, 1.0]), np.array([0.0, 5.0, 10.0]), 1e9, 1e9)
    bond = FastenerBond("bond", "strip", "rod", 0.0, 10.0, diameter, 1 / (np.pi * diameter * compliance))
    model = Model(mesh, (body,), (bond,), (rod,))
    stiffness = bulk_stiffness(model) + bonded_surfaces(model)[0].stiffness_matrix()
    # One unknown for every x, the same along the strip, and one for the rod.
    columns, where = np.unique(mesh.nodes[:, 0].round(9), return_inverse=True)
    alike = np.zeros((model.unknowns, len(columns) + 1))
    number = model.numbers["strip"]
    alike[2 * number + 1, where] = 1.0
    alike[model.beam_unknowns("rod")[[1, 4, 7]], -1] = 1.0
    free = [k for k in range(len(columns) + 1) if k not in (0, len(columns) - 1)]
    own = (alike.T @ (stiffness @ alike))[np.ix_(free, free)]
    force = np.zeros(len(free))
    force[-1] = 1.0 * 10.0  # 1 N on every mm
    moved = np.linalg.solve(own, force)[-1]
    assert moved == pytest.approx(1e-4 + half / (2 * shear * thick), rel=2e-3)
