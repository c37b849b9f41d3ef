"""Manufactured solutions: the error falls with the cube of the element size in displacement, with its
square in energy.

Method: Roache 2002; orders of quadratic elements p + 1 and p: Strang & Fix 1973 (both from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.loads import edge_load
from glueline.fem.model import Body, Model
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.ties import BondLine, bonded_surfaces
from glueline.fem.triangle import shape_functions, shape_gradients
from tests.fem import meshes
from tests.fem.meshes import Array

LINE = 0.5
KN, KS = 3000.0, 800.0


@dataclass(frozen=True)
class Wave:
    """Displacement Re[(a + (y - 1/2) b) exp(i (p x + q (y - 1/2)))], with its derivatives by hand."""

    a: Array
    b: Array
    p: float
    q: float

    def _parts(self, points: Array) -> tuple[Array, Array]:
        y = points[:, 1] - LINE
        amplitude = self.a + y[:, None] * self.b
        return amplitude, np.exp(1j * (self.p * points[:, 0] + self.q * y))[:, None]

    def value(self, points: Array) -> Array:
        """Displacement (n, 2)."""
        amplitude, phase = self._parts(points)
        return np.real(amplitude * phase)

    def gradient(self, points: Array) -> Array:
        """Gradient (n, 2, 2), last index the direction."""
        amplitude, phase = self._parts(points)
        by_x = 1j * self.p * amplitude * phase
        by_y = (self.b + 1j * self.q * amplitude) * phase
        return np.real(np.stack([by_x, by_y], axis=-1))

    def second(self, points: Array) -> Array:
        """Second derivatives (n, 2, 3): xx, yy, xy."""
        amplitude, phase = self._parts(points)
        xx = -(self.p**2) * amplitude * phase
        yy = (2j * self.q * self.b - self.q**2 * amplitude) * phase
        xy = 1j * self.p * (self.b + 1j * self.q * amplitude) * phase
        return np.real(np.stack([xx, yy, xy], axis=-1))


@dataclass(frozen=True)
class Field:
    """A sum of waves in a body of stiffness ``d``."""

    waves: tuple[Wave, ...]
    d: Array

    def value(self, points: Array) -> Array:
        """Displacement (n, 2)."""
        return np.sum([wave.value(points) for wave in self.waves], axis=0)

    def gradient(self, points: Array) -> Array:
        """Gradient (n, 2, 2)."""
        return np.sum([wave.gradient(points) for wave in self.waves], axis=0)

    def strain(self, points: Array) -> Array:
        """Strain (n, 3)."""
        g = self.gradient(points)
        return np.stack([g[:, 0, 0], g[:, 1, 1], g[:, 0, 1] + g[:, 1, 0]], axis=1)

    def force(self, points: Array) -> Array:
        """Force per volume (n, 2) that keeps the balance: minus the divergence of the stress."""
        h = np.sum([wave.second(points) for wave in self.waves], axis=0)
        by_x = np.stack([h[:, 0, 0], h[:, 1, 2], h[:, 0, 2] + h[:, 1, 0]], axis=1) @ self.d
        by_y = np.stack([h[:, 0, 2], h[:, 1, 1], h[:, 0, 1] + h[:, 1, 2]], axis=1) @ self.d
        return -np.stack([by_x[:, 0] + by_y[:, 2], by_x[:, 2] + by_y[:, 1]], axis=1)

    def traction(self, points: Array, normal: tuple[float, float]) -> Array:
        """Traction (n, 2) on a plane with ``normal``."""
        s, (a, b) = self.strain(points) @ self.d, normal
        return np.stack([s[:, 0] * a + s[:, 2] * b, s[:, 2] * a + s[:, 1] * b], axis=1)


def jumping(low: Field, d: Array) -> Field:
    """The field above the line: that below, plus a jump K^-1 t, plus a slope that keeps the traction
    continuous.
    """
    # Traction on the line (12, 22) by the derivatives of the displacement along x and along y.
    low_x, high_x = (np.array([[m[2, 0], m[2, 2]], [m[1, 0], m[1, 2]]]) for m in (low.d, d))
    low_y, high_y = (np.array([[m[2, 2], m[2, 1]], [m[1, 2], m[1, 1]]]) for m in (low.d, d))
    waves = []
    for w in low.waves:
        traction = low_x @ (1j * w.p * w.a) + low_y @ (w.b + 1j * w.q * w.a)
        a = w.a + traction / np.array([KS, KN])
        b = np.linalg.solve(high_y, traction - high_x @ (1j * w.p * a)) - 1j * w.q * a
        waves.append(Wave(a, b, w.p, w.q))
    return Field(tuple(waves), d)


def errors(model: Model, fields: dict[str, Field], u: Array) -> tuple[float, float]:
    """Relative errors in L2 of the displacement and in energy of the strain, with a fine rule."""
    points, weights = meshes.fine_rule(6)
    shape, slopes = shape_functions(points), shape_gradients(points)
    sums = np.zeros(4)
    for part in model.bodies:
        field = fields[part.name]
        nodes = model.mesh.triangles[part.cells]
        place = model.mesh.nodes[nodes]
        weight = np.linalg.det(np.einsum("qak,cai->cqik", slopes, place)) * weights
        where = np.einsum("qa,cai->cqi", shape, place)
        value = u.reshape(-1, 2)[model.numbers[part.name][nodes]]
        exact = field.value(where.reshape(-1, 2)).reshape(where.shape)
        strain = field.strain(where.reshape(-1, 2)).reshape(*where.shape[:2], 3)
        off = np.einsum("qa,cai->cqi", shape, value) - exact
        off_strain = meshes.stresses(model, part, u, points) @ np.linalg.inv(field.d) - strain
        sums += [
            np.einsum("cq,cqi,cqi", weight, off, off),
            np.einsum("cq,cqi,cqi", weight, exact, exact),
            np.einsum("cq,cqv,vw,cqw", weight, off_strain, field.d, off_strain),
            np.einsum("cq,cqv,vw,cqw", weight, strain, field.d, strain),
        ]
    return float(np.sqrt(sums[0] / sums[1])), float(np.sqrt(sums[2] / sums[3]))


def wavy(points: Array) -> Array:
    """Smooth distortion of the unit square that keeps its boundary and the line y = 1/2 in place."""
    x, y = points[:, 0], points[:, 1]
    bump = 0.06 * np.sin(2 * np.pi * x) * np.sin(2 * np.pi * y)
    return np.stack([x + bump, y + bump], axis=1)


def solved(count: int, low: Field, high: Field | None) -> tuple[float, float]:
    """Errors on a mesh of ``count`` cells a side: essential conditions left and right, tractions top
    and bottom.
    """
    ticks = np.linspace(0, 1, count + 1)
    mesh = meshes.grid(ticks, ticks, mapping=wavy)
    above = meshes.centres(mesh)[:, 1] > LINE
    parts: tuple[Body, ...] = (meshes.body("low", mesh, low.d),)
    fields, lines = {"low": low}, ()
    if high is not None:
        parts = (meshes.body("low", mesh, low.d, ~above), meshes.body("high", mesh, high.d, above))
        edges = meshes.edges_where(mesh, parts[1].cells, meshes.near(1, LINE))
        lines = (BondLine("line", "low", "high", edges, np.ones(len(edges)), KN, KS),)
        fields["high"] = high
    model = Model(mesh, parts, lines)
    stiffness, load, fixed, values = bulk_stiffness(model), np.zeros(model.unknowns), [], []
    for surface in bonded_surfaces(model):
        stiffness = stiffness + surface.stiffness_matrix()
    for part in parts:
        field = fields[part.name]
        load += meshes.body_load(model, part, field.force)
        nodes = np.unique(mesh.triangles[part.cells])
        nodes = nodes[np.isin(mesh.nodes[nodes, 0], [0.0, 1.0])]
        fixed.append(meshes.nodes_to_unknowns(model, part.name, nodes))
        values.append(field.value(mesh.nodes[nodes]).T.ravel())
    faces: list[tuple[Body, float, tuple[float, float]]] = [
        (parts[0], 0.0, (0.0, -1.0)),
        (parts[-1], 1.0, (0.0, 1.0)),
    ]
    for part, y, normal in faces:
        field = fields[part.name]
        edges = meshes.edges_where(mesh, part.cells, meshes.near(1, y))
        traction: Callable[[Array], Array] = lambda p, f=field, n=normal: f.traction(p, n)  # noqa: E731
        load += edge_load(model, part.name, edges, 1.0, traction)
    u = meshes.solve_prescribed(stiffness, load, np.concatenate(fixed), np.concatenate(values))
    return errors(model, fields, u)


def below(angle: float) -> Field:
    """Two waves in maple with the grain at ``angle``."""
    waves = (
        Wave(np.array([1.0 + 0.3j, -0.4 + 0.8j]), np.zeros(2), 2.5, 1.9),
        Wave(np.array([0.2 - 0.6j, 0.5 + 0.1j]), np.zeros(2), -1.7, 3.1),
    )
    return Field(waves, plane_stiffness(meshes.MAPLE, 0.0, angle))


def orders(low: Field, high: Field | None) -> tuple[Array, Array]:
    """Orders between meshes of 8, 16, 32 and 64 cells a side."""
    found = np.array([solved(count, low, high) for count in (8, 16, 32, 64)])
    rates = np.log2(found[:-1] / found[1:])
    print(f"errors {found.tolist()}\norders {rates.tolist()}")
    return rates[:, 0], rates[:, 1]


@pytest.mark.parametrize("angle", [0.0, 0.6])
def test_orders_in_one_body(angle: float) -> None:
    """Third order in displacement, second in energy."""
    displacement, energy = orders(below(angle), None)
    assert displacement[-1] >= 2.9
    assert energy[-1] >= 1.95


@pytest.mark.parametrize("angle", [0.0, 0.6])
def test_orders_across_a_compliant_glue_line(angle: float) -> None:
    """The same orders where the displacement jumps across the line and the woods on its sides differ."""
    low = below(angle)
    high = jumping(low, plane_stiffness(meshes.MAPLE, 1.0, -0.9))
    points = np.stack([np.linspace(0, 1, 7), np.full(7, LINE)], axis=1)
    traction = low.traction(points, (0.0, 1.0))
    np.testing.assert_allclose(high.traction(points, (0.0, 1.0)), traction, rtol=1e-10)
    jump = high.value(points) - low.value(points)
    np.testing.assert_allclose(jump * [KS, KN], traction, rtol=1e-10)
    assert np.abs(jump).max() > 0.3 * np.abs(low.value(points)).max()
    displacement, energy = orders(low, high)
    assert displacement[-1] >= 2.9
    assert energy[-1] >= 1.95


def test_the_forces_are_the_divergence() -> None:
    """The hand-made derivatives against central differences."""
    field = jumping(below(0.6), plane_stiffness(meshes.MAPLE, 1.0, -0.9))
    points, step = np.array([[0.31, 0.72], [0.8, 0.55]]), 1e-5
    east, north = np.array([step, 0.0]), np.array([0.0, step])
    by_x = (field.strain(points + east) - field.strain(points - east)) @ field.d / (2 * step)
    by_y = (field.strain(points + north) - field.strain(points - north)) @ field.d / (2 * step)
    force = -np.stack([by_x[:, 0] + by_y[:, 2], by_x[:, 2] + by_y[:, 1]], axis=1)
    np.testing.assert_allclose(field.force(points), force, rtol=1e-6)
    slope = (field.value(points + east) - field.value(points - east)) / (2 * step)
    np.testing.assert_allclose(field.gradient(points)[..., 0], slope, rtol=1e-6)
