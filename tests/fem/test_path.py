"""Paths: lap joints from ductile to brittle, energy audit, step size, mirror images, cracks that stay.

The lap joint, rotation suppressed, two like strips of depth t: with softening slope k_s = f^2 / (2 G) the
bond softens as cos(w x), w^2 = 2 k_s / (E t), so short laps hold f l (area times strength) and long ones
2 f / w = 2 sqrt(G E t) (energy). Gustafsson 1987 puts the same k_s into Volkersen 1938 as if it were elastic,
f l tanh(w l / 2) / (w l / 2): right at both ends, low in between.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import scipy.sparse as sparse
from scipy.optimize import minimize_scalar

from glueline.fem.bond import BondedSurface
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.cheek_law import CheekLaw, CheekSideLaw
from glueline.fem.condense import condense, touched_unknowns
from glueline.fem.line_law import LineLaw
from glueline.fem.loads import edge_load, even_load, pinned_unknowns
from glueline.fem.model import Integers, Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.path import PathFailure, PathResult, follow_path
from glueline.fem.path_control import PathControl
from glueline.fem.solve import factor_definite
from glueline.fem.ties import BondArea, BondLine, bonded_surfaces
from glueline.fem.traction_law import evaluate, growth_share
from tests.fem import meshes
from tests.fem.meshes import Array

MODULUS, DEPTH = 13900.0, 3.0
STIFFNESS, STRENGTH, TOUGHNESS = 2200.0, 9.0, 0.8
STRIP = OrthotropicSolid(MODULUS, 900.0, 900.0, 1330.0, 0.0, 0.0, 0.0)
RATE = STRENGTH / np.sqrt(TOUGHNESS * MODULUS * DEPTH)


def side_grain_law(softening: str = "linear") -> LineLaw:
    """Rounded numbers of a wood glue on side grain."""
    numbers = (np.array([number]) for number in (5.0, STRENGTH, 0.3, TOUGHNESS))
    return LineLaw(np.array([np.diag([STIFFNESS, 8000.0])]), *numbers, softening)


class Lap:
    """Two strips glued along y = 0, pulled at opposite ends, all displacement across held."""

    def __init__(self, length: float, count: int) -> None:
        mesh = meshes.grid(np.linspace(-length / 2, length / 2, count + 1), np.linspace(-DEPTH, DEPTH, 3))
        d = plane_stiffness(STRIP, 0.0, 0.0)
        above = meshes.centres(mesh)[:, 1] > 0
        low, high = meshes.body("low", mesh, d, ~above), meshes.body("high", mesh, d, above)
        edges = meshes.edges_where(mesh, high.cells, meshes.near(1, 0))
        line = BondLine("glue", "low", "high", edges, np.ones(len(edges)), 8000.0, STIFFNESS)
        self.model = Model(mesh, (low, high), (line,))
        self.load = np.zeros(self.model.unknowns)
        for part, x, sign in ((low, -length / 2, -1.0), (high, length / 2, 1.0)):
            end = meshes.edges_where(mesh, part.cells, meshes.near(0, x))
            self.load += even_load(self.model, part.name, end, np.array([sign, 0.0]))
        self.pinned: Integers = np.append(np.arange(1, self.model.unknowns, 2), 0)
        self.surfaces = bonded_surfaces(self.model)
        self.stiffness = bulk_stiffness(self.model)

    def follow(self, control: PathControl | None = None) -> PathResult:
        """The path with the law of side grain."""
        laws = [side_grain_law()]
        return follow_path(self.stiffness, self.surfaces, laws, self.load, self.pinned, control)


@cache
def lap_path(length: float, count: int) -> PathResult:
    """Followed once for all tests."""
    return Lap(length, count).follow()


def lap_strength(length: float) -> float:
    """Highest load of the bilinear lap, derived here: elastic within c of the middle, softening beyond.

    Elastic traction f cosh(w_e x) / cosh(w_e c), w_e^2 = 2 k / (E t); beyond c it goes on with the same jump
    and slope of jump as f cos(w s) - B sin(w s); the load is the integral, greatest over c.
    """
    elastic = np.sqrt(2 * STIFFNESS / (MODULUS * DEPTH))
    fall = 1 / (2 * TOUGHNESS / STRENGTH**2 - 1 / STIFFNESS)
    rate = np.sqrt(2 * fall / (MODULUS * DEPTH))

    def minus_load(c: float) -> float:
        slope = STRENGTH * elastic * np.tanh(elastic * c) / STIFFNESS
        side = fall * slope / rate
        reach = min(length / 2 - c, np.arctan2(STRENGTH, side) / rate)
        beyond = (STRENGTH * np.sin(rate * reach) - side * (1 - np.cos(rate * reach))) / rate
        return -2 * float(STRENGTH * np.tanh(elastic * c) / elastic + beyond)

    return -minimize_scalar(minus_load, bounds=(0, length / 2), method="bounded", options={"xatol": 1e-9}).fun


def volkersen(length: float) -> float:
    """Gustafsson's generalised Volkersen curve."""
    half = RATE * length / 2
    return float(STRENGTH * length * np.tanh(half) / half)


def test_lap_formulas_meet_at_both_ends() -> None:
    """The bilinear lap tends to strength times area and to 2 sqrt(G E t)."""
    assert lap_strength(0.5) == pytest.approx(STRENGTH * 0.5, rel=1e-3)
    energy = 2 * np.sqrt(TOUGHNESS * MODULUS * DEPTH)
    assert lap_strength(400.0) == pytest.approx(energy, rel=1e-3)
    assert volkersen(400.0) == pytest.approx(energy, rel=1e-3)


def test_short_lap_is_ductile() -> None:
    """Area times strength within 5 %."""
    peak = lap_path(4.0, 4).load.max()
    print(f"ductile {peak / (STRENGTH * 4.0):.4f}")
    assert peak == pytest.approx(STRENGTH * 4.0, rel=0.05)


@pytest.mark.slow
def test_long_lap_is_brittle() -> None:
    """Twice the root of G E t within 5 %; the displacement turns back on the way to half of it."""
    result = lap_path(160.0, 80)
    peak = result.load[result.highest]
    exact = 2 * np.sqrt(TOUGHNESS * MODULUS * DEPTH)
    print(f"brittle {peak / exact:.4f}, steps {len(result.load)}, audit {result.audit:.5f}")
    assert peak == pytest.approx(exact, rel=0.05)
    assert result.is_complete
    assert result.displacement[-1] < 0.9 * result.displacement.max()
    assert result.audit < 0.005


@pytest.mark.parametrize("length", [12.0, 24.0, 40.0, pytest.param(80.0, marks=pytest.mark.slow)])
def test_lap_in_between(length: float) -> None:
    """Within 5 % of the bilinear lap, between Gustafsson's curve and the lesser of both limits."""
    peak = lap_path(length, 40).load.max()
    exact, low = lap_strength(length), volkersen(length)
    print(f"length {length:g}: {peak / exact:.4f} of the bilinear lap, {peak / low:.4f} of Gustafsson's")
    assert peak == pytest.approx(exact, rel=0.05)
    assert 0.99 * low < peak < min(STRENGTH * length, 2 * np.sqrt(TOUGHNESS * MODULUS * DEPTH)) * 1.005


# --- a corner of two legs that meet on a slanted glue line


class Mitre:
    """An L of two legs with grain along each, glued on the diagonal, its tips pulled apart or together."""

    def __init__(self, count: int = 8, mirrored: bool = False) -> None:
        t, leg = 20.0, 80.0
        # Columns across leg A are rows across B: leg A is a strip whose end is cut by moving its nodes.
        xs = np.concatenate([np.linspace(0, t, count + 1), np.linspace(t, leg, 13)[1:]])
        ys = np.linspace(0, t, count + 1)
        strip = meshes.grid(xs, ys)
        cut = strip.nodes.copy()
        share = np.clip((leg - cut[:, 0]) / leg, 0, 1)
        cut[:, 0] += share * cut[:, 1]
        other = cut[:, ::-1]
        turned = strip.triangles[:, [0, 2, 1, 5, 4, 3]] + len(cut)
        nodes, inverse = np.unique(np.round(np.vstack([cut, other]), 9), axis=0, return_inverse=True)
        triangles = inverse.reshape(-1)[np.vstack([strip.triangles, turned])]
        if mirrored:
            nodes, triangles = nodes * [-1.0, 1.0], triangles[:, [0, 2, 1, 5, 4, 3]]
        mesh = meshes.Mesh(nodes, triangles.astype(np.int64))
        wood = OrthotropicSolid(12000.0, 900.0, 900.0, 800.0, 0.4, 0.4, 0.4)
        cells = np.arange(len(triangles)) < len(strip.triangles)
        a = meshes.body("a", mesh, plane_stiffness(wood, 0.0, 0.0), cells, 20.0)
        b = meshes.body("b", mesh, plane_stiffness(wood, 0.0, np.pi / 2), ~cells, 20.0)

        def on_diagonal(points: Array) -> meshes.Mask:
            return np.abs(np.abs(points[:, 0]) - points[:, 1]) < 1e-6

        edges = meshes.edges_where(mesh, b.cells, on_diagonal)
        line = BondLine("mitre", "a", "b", edges, np.full(len(edges), 20.0), 8000.0, 2200.0)
        self.model = Model(mesh, (a, b), (line,))
        sign = -1.0 if mirrored else 1.0
        toward = np.array([-sign, 1.0]) / np.sqrt(2)
        tip_a = meshes.edges_where(mesh, a.cells, meshes.near(0, sign * leg))
        tip_b = meshes.edges_where(mesh, b.cells, meshes.near(1, leg))
        self.closing = even_load(self.model, "a", tip_a, toward) - even_load(self.model, "b", tip_b, toward)
        self.stiffness = bulk_stiffness(self.model)
        self.surfaces = bonded_surfaces(self.model)
        self.pinned = pinned_unknowns(self.model)

    def follow(
        self,
        sign: float = -1.0,
        control: PathControl | None = None,
        damage: list[Array] | None = None,
        softening: str = "linear",
    ) -> PathResult:
        """Closing with ``sign`` 1, opening with -1."""
        laws = [side_grain_law(softening)]
        return follow_path(
            self.stiffness, self.surfaces, laws, sign * self.closing, self.pinned, control, damage
        )


@cache
def corner() -> tuple[Mitre, dict[float, PathResult]]:
    """One corner, opened and closed."""
    model = Mitre()
    return model, {sign: model.follow(sign) for sign in (-1.0, 1.0)}


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_energy_audit(sign: float) -> None:
    """Work of the load is energy stored and energy spent, the last summed at the points, to 0.5 %."""
    result = corner()[1][sign]
    print(f"audit {result.audit:.5f}, steps {len(result.load)}, peak {result.load.max():.1f}")
    assert result.is_complete
    assert result.load[-1] <= 0.5 * result.load.max()
    assert result.audit < 0.005
    assert (np.diff(result.spent) >= 0).all()
    damage = result.damage["mitre"]
    assert (np.diff(damage, axis=0) >= 0).all()


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_states_are_in_equilibrium(sign: float) -> None:
    """On all unknowns, eliminated ones too, tractions worked out afresh: as well as a path is followed."""
    model, results = corner()
    result, law, (surface,) = results[sign], side_grain_law(), model.surfaces
    for state in (1, result.highest, len(result.load) - 1):
        u = result.displacements(state)
        traction = evaluate(law, surface.jumps(u), result.damage["mitre"][state]).traction
        bond = surface.nodal_forces(traction)
        out = model.stiffness @ u + bond - sign * result.load[state] * model.closing
        assert np.abs(out).max() < PathControl().residual * np.linalg.norm(bond)
        assert sign * model.closing @ u == pytest.approx(result.displacement[state], rel=1e-7)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
@pytest.mark.parametrize("softening", ["linear", "bridging"])
def test_shorter_steps_keep_the_peak(sign: float, softening: str) -> None:
    """To 0.5 %, from the default to steps bound so short that the bound decides them, then a quarter of that.

    The states added to locate the peak do not multiply, so their number grows by less than four.
    """
    model, _ = corner()
    paths = [model.follow(sign, softening=softening)]
    for step in (0.01, 0.0025):
        paths.append(model.follow(sign, PathControl(step=step, first_step=step), softening=softening))
    before = [path.highest for path in paths]
    peaks = np.array([path.load.max() for path in paths])
    print(f"states before the peak {before}, peaks {peaks}")
    assert before[1] > before[0]
    assert before[2] > 2.0 * before[1]
    assert np.ptp(peaks) < 0.005 * peaks[0]
    assert np.ptp([path.load[1] for path in paths]) < 1e-9 * peaks[0]


@pytest.mark.parametrize("softening", ["linear", "bridging"])
@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_peak_is_located(sign: float, softening: str) -> None:
    """The highest load is within 0.1 % of that of a path that locates it a hundred times as well."""
    model, _ = corner()
    path = model.follow(sign, softening=softening)
    fine = model.follow(sign, PathControl(step=0.02, peak=3e-6), softening=softening)
    assert len(fine.load) > 2 * len(path.load)
    assert path.load.max() == pytest.approx(fine.load.max(), rel=1e-3)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_mirror_image(sign: float) -> None:
    """A mirrored corner has the same path and the same damage."""
    result, other = corner()[1][sign], Mitre(mirrored=True).follow(sign)
    assert other.load.max() == pytest.approx(result.load.max(), rel=1e-4)
    assert other.load[1] == pytest.approx(result.load[1], rel=1e-9)
    one, two = (np.sort(r.damage["mitre"][r.highest]) for r in (result, other))
    assert np.abs(one - two).max() < 0.02


def test_cracks_stay_cracked() -> None:
    """Unloaded past the peak and loaded again, it climbs straight back to where it was, then goes on."""
    model, results = corner()
    result = results[-1.0]
    state = result.highest + 4
    again = model.follow(damage=[result.damage["mitre"][state]])
    assert again.load[1] == pytest.approx(result.load[state], rel=1e-3)
    assert again.displacement[1] == pytest.approx(result.displacement[state], rel=1e-3)
    assert again.load.max() <= result.load[state] * 1.001
    assert (again.damage["mitre"] >= result.damage["mitre"][state]).all()
    assert again.load[1] / again.displacement[1] < 0.95 * result.load[1] / result.displacement[1]


def test_deep_crack_bears_when_the_load_turns() -> None:
    """Opened until half is gone, then closed: cracked faces bear, so it is stiffer than it was in opening."""
    model, results = corner()
    damage = results[-1.0].damage["mitre"][-1]
    assert (damage >= 1).any()
    closed = model.follow(1.0, damage=[damage])
    opened = model.follow(-1.0, damage=[damage])
    assert closed.load[1] / closed.displacement[1] > 1.05 * opened.load[1] / opened.displacement[1]
    assert (closed.damage["mitre"] >= damage).all()
    assert closed.audit < 0.005


def cheek_corner() -> tuple[Model, BondedSurface, CheekLaw]:
    """Two boards crossed face to face over a square."""
    mesh = meshes.grid(np.linspace(0, 60, 13), np.linspace(0, 60, 13), keep_x=(20,), keep_y=(20,))
    place = meshes.centres(mesh)
    wood = OrthotropicSolid(12000.0, 900.0, 900.0, 800.0, 0.4, 0.4, 0.4)
    a = meshes.body("a", mesh, plane_stiffness(wood, 0.0, 0.0), place[:, 1] < 20, 10.0)
    b = meshes.body("b", mesh, plane_stiffness(wood, 0.0, np.pi / 2), place[:, 0] < 20, 10.0)
    square = np.flatnonzero((place < 20).all(axis=1))
    stiffness = np.tile(np.array([[300.0, 0.0], [0.0, 300.0]]), (len(square), 1, 1))
    model = Model(mesh, (a, b), (BondArea("cheek", "a", "b", square, stiffness, 2),))
    (surface,) = bonded_surfaces(model)
    sides = (CheekSideLaw(0.0, 9.0, 2.5, 0.8, 0.4), CheekSideLaw(np.pi / 2, 9.0, 2.5, 0.8, 0.4))
    return model, surface, CheekLaw.of(surface.stiffness, sides)


def test_crossed_cheek_twists_off() -> None:
    """A cheek path completes with its energies in balance, its legs eliminated."""
    model, surface, law = cheek_corner()
    tips = [
        meshes.edges_where(model.mesh, model.body(name).cells, meshes.near(axis, 60.0))
        for name, axis in (("a", 0), ("b", 1))
    ]
    toward = np.array([-1.0, 1.0])
    load = even_load(model, "a", tips[0], toward) - even_load(model, "b", tips[1], toward)
    result = follow_path(bulk_stiffness(model), [surface], [law], load, pinned_unknowns(model))
    print(f"audit {result.audit:.5f}, steps {len(result.load)}")
    assert result.is_complete
    assert result.audit < 0.005
    first = growth_share(law, surface.jumps(result.displacements(1)), np.zeros(len(surface.weight)))
    assert first.max() == pytest.approx(1.0, rel=1e-9)


def test_condensation_changes_nothing() -> None:
    """Displacements through the condensed stiffness are those of the whole one."""
    model = Mitre()
    whole = model.stiffness + model.surfaces[0].stiffness_matrix()
    free = np.setdiff1d(np.arange(whole.shape[0]), model.pinned)
    u = np.zeros(whole.shape[0])
    u[free] = factor_definite(whole[free][:, free])(model.closing[free])
    kept = condense(model.stiffness, touched_unknowns(model.surfaces), model.pinned)
    load, alone = kept.load(model.closing)
    bond = model.surfaces[0].stiffness_matrix()[kept.kept][:, kept.kept]
    v = sparse.linalg.spsolve((kept.stiffness + bond).tocsc(), load)
    assert np.abs(kept.recover(v, alone) - u).max() < 1e-9 * np.abs(u).max()


def test_failure_says_what_to_try_and_keeps_the_path() -> None:
    """A path that is cut short raises with the states found; a load that opens nothing raises at once."""
    model, _ = corner()
    with pytest.raises(PathFailure, match="steps") as caught:
        model.follow(control=PathControl(most_steps=5))
    assert caught.value.result is not None
    assert not caught.value.result.is_complete
    assert len(caught.value.result.load) > 3
    with pytest.raises(PathFailure, match="none will ever break"):
        model.follow(damage=[np.ones(len(model.surfaces[0].weight))], sign=0.0)
    with pytest.raises(ValueError, match="damage"):
        model.follow(damage=[np.zeros(3)])


def test_load_on_the_bond_itself() -> None:
    """A load whose unknowns are all kept works like any other."""
    lap = Lap(4.0, 4)
    end = meshes.edges_where(lap.model.mesh, lap.model.body("high").cells, meshes.near(1, 0.0))
    pull = edge_load(lap.model, "high", end, 1.0, lambda p: np.tile([0.25, 0.0], (len(p), 1)))
    fixed = np.union1d(lap.pinned, 2 * lap.model.numbers["low"][lap.model.numbers["low"] >= 0])
    result = follow_path(lap.stiffness, lap.surfaces, [side_grain_law()], pull, fixed)
    assert result.load.max() == pytest.approx(STRENGTH * 4.0, rel=0.02)
