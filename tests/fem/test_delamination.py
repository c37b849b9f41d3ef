"""Cracks between two arms against beam theory: double cantilever, end-notched flexure, mixed-mode bending.

With arm depth h, half span L, crack a, width b and the lever arm c of the mixed-mode rig (ASTM D5528, ASTM
D6671; Williams 1989 for the root's own turn chi h, 0.42 chi h in shear by Wang and Williams 1992),

    G_I = 12 P_I^2 A^2 / (b^2 h^3 E1), G_II = 9 P_II^2 B^2 / (16 b^2 h^3 E1),
    A = a + chi h, B = a + 0.42 chi h,
    C = 8 A^3 s_I^2 / (b h^3 E1) + s_II^2 (3 B^3 + 2 L^3) / (8 b h^3 E1) + s_II^2 3 L / (10 b h G12)

with P_I = s_I P and P_II = s_II P: s_I = 1, s_II = 0 for the double cantilever; 0 and 1 for the end notch;
(3 c - L) / 4 L and (c + L) / L for mixed mode. (C follows from dC/da = 2 b G / P^2 and the beam without a
crack.) The zone that softens is kept under a twentieth of the crack, as these formulas know none.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.line_law import LineLaw
from glueline.fem.loads import even_load, pinned_unknowns
from glueline.fem.model import Mesh, Model
from glueline.fem.orthotropy import OrthotropicSolid, plane_stiffness
from glueline.fem.path import PathResult, follow_path
from glueline.fem.path_control import PathControl
from glueline.fem.ties import BondLine, bonded_surfaces
from tests.fem import meshes
from tests.fem.meshes import Array

E1, E2, G12 = 12000.0, 900.0, 700.0
ARM = OrthotropicSolid(E1, E2, 900.0, G12, 0.3, 0.3, 0.3)
DEPTH, HALF_SPAN, CRACK = 4.0, 120.0, 80.0
FIRST, SECOND, ETA = 0.3, 0.6, 2.0
# The mixture stays the same through the zone only if f_II / f_I is the root of G_II k_II / (G_I k_I) (Turon,
# Camanho, Costa and Renart 2010, recalled): with 20 and 50 MPa the mixed-mode peak comes out 7 % high.
STRENGTHS = (20.0, 20.0 * np.sqrt(SECOND / FIRST))
GROWTH = 24.0
GAMMA = 1.18 * np.sqrt(E1 * E2) / G12
CHI = np.sqrt(E1 / (11 * G12) * (3 - 2 * (GAMMA / (1 + GAMMA)) ** 2))


@dataclass(frozen=True)
class Rig:
    """Shares of the load in opening and in bending, and the lever arm that makes them (0 for none)."""

    opening: float
    bending: float
    lever: float = 0.0


DCB, ENF = Rig(1.0, 0.0), Rig(0.0, 1.0)


def mixed(lever: float) -> Rig:
    """The mixed-mode rig of ASTM D6671."""
    return Rig((3 * lever - HALF_SPAN) / (4 * HALF_SPAN), (lever + HALF_SPAN) / HALF_SPAN, lever)


MMB = mixed(66.0)


def rates(rig: Rig, crack: Array) -> tuple[Array, Array]:
    """G_I and G_II for P = 1 and b = 1."""
    first = 12 * rig.opening**2 * (crack + CHI * DEPTH) ** 2 / (DEPTH**3 * E1)
    second = 9 * rig.bending**2 * (crack + 0.42 * CHI * DEPTH) ** 2 / (16 * DEPTH**3 * E1)
    return first, second


def compliance(rig: Rig, crack: Array) -> Array:
    """Displacement of the load for P = 1 and b = 1."""
    opening = 8 * (crack + CHI * DEPTH) ** 3 / (DEPTH**3 * E1)
    bending = (3 * (crack + 0.42 * CHI * DEPTH) ** 3 + 2 * HALF_SPAN**3) / (8 * DEPTH**3 * E1)
    bending = bending + 3 * HALF_SPAN / (10 * DEPTH * G12)
    return np.asarray(rig.opening**2 * opening + rig.bending**2 * bending)


def critical_load(rig: Rig, crack: Array) -> Array:
    """P at which G is the toughness of its mixture, after Benzeggagh and Kenane 1996."""
    first, second = rates(rig, crack)
    toughness = FIRST + (SECOND - FIRST) * (second / (first + second)) ** ETA
    return np.asarray(np.sqrt(toughness / (first + second)))


def ticks() -> Array:
    """Columns along the arms: half a millimetre where the crack grows."""
    return np.concatenate(
        [
            np.linspace(0.0, CRACK - 4.0, 20)[:-1],
            np.linspace(CRACK - 4.0, CRACK + GROWTH, 2 * round(GROWTH + 4.0) + 1),
            np.linspace(CRACK + GROWTH, HALF_SPAN, 5)[1:],
            np.linspace(HALF_SPAN, 2 * HALF_SPAN, 26)[1:],
        ]
    )


def section(model: Model, name: str, x: float) -> Array:
    """Unit force along y spread over a cross section of an arm."""
    part = model.body(name)
    centre = meshes.centres(model.mesh)[part.cells, 0]
    side = part.cells[centre > x] if x == 0 else part.cells[centre < x]
    edges = meshes.edges_where(model.mesh, side, meshes.near(0, x))
    return even_load(model, name, edges, np.array([0.0, 1.0]))


def beam_model(mesh: Mesh) -> Model:
    """Two arms and the line between them, its cracked part the first edges."""
    d = plane_stiffness(ARM, 0.0, 0.0)
    above = meshes.centres(mesh)[:, 1] > 0
    low, high = meshes.body("low", mesh, d, ~above), meshes.body("high", mesh, d, above)
    edges = meshes.edges_where(mesh, high.cells, meshes.near(1, 0))
    line = BondLine("line", "low", "high", edges, np.ones(len(edges)), 2e5, 2e5)
    return Model(mesh, (low, high), (line,))


def rig_load(model: Model, rig: Rig) -> Array:
    """Forces of the rig for P = 1, reactions included; they are in equilibrium."""
    if not rig.bending:
        return section(model, "high", 0.0) - section(model, "low", 0.0)
    share = rig.lever / HALF_SPAN
    middle = 0.5 * (section(model, "high", HALF_SPAN) + section(model, "low", HALF_SPAN))
    right = 0.5 * (section(model, "high", 2 * HALF_SPAN) + section(model, "low", 2 * HALF_SPAN))
    load = share * section(model, "high", 0.0) + (1 - share) / 2 * section(model, "low", 0.0)
    return np.asarray(load + (1 + share) / 2 * right - (1 + share) * middle)


@cache
def followed(rig: Rig) -> tuple[PathResult, Array]:
    """The path until the load has fallen by a fifth, and the places of the line's points."""
    model = beam_model(meshes.grid(ticks(), np.linspace(-DEPTH, DEPTH, 5)))
    (surface,) = bonded_surfaces(model)
    law = LineLaw(
        surface.stiffness,
        *(np.array([value]) for value in (*STRENGTHS, FIRST, SECOND)),
        mixing="benzeggagh-kenane",
        exponent=ETA,
    )
    x = surface.points[:, 0]
    cracked = (x < CRACK).astype(float)
    result = follow_path(
        bulk_stiffness(model),
        [surface],
        [law],
        rig_load(model, rig),
        pinned_unknowns(model),
        PathControl(stop=0.85),
        [cracked],
    )
    return result, x


RIGS = [
    pytest.param(DCB, id="double cantilever", marks=pytest.mark.slow),
    pytest.param(ENF, id="end notch", marks=pytest.mark.slow),
    pytest.param(MMB, id="mixed mode", marks=pytest.mark.slow),
]


@pytest.mark.parametrize("rig", RIGS)
def test_zone_is_short(rig: Rig) -> None:
    """The points that soften when the load is highest span under a twentieth of the crack."""
    result, x = followed(rig)
    damage = result.damage["line"][result.highest]
    softening = x[(damage > 0) & (damage < 1)]
    print(f"zone {np.ptp(softening):.2f} mm")
    assert np.ptp(softening) < CRACK / 20


@pytest.mark.parametrize("rig", RIGS)
def test_elastic_slope(rig: Rig) -> None:
    """Within 3 % of beam theory."""
    result, _ = followed(rig)
    slope = result.load[1] / result.displacement[1] * compliance(rig, np.array(CRACK))
    print(f"slope {slope:.4f}")
    assert slope == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("rig", RIGS)
def test_peak(rig: Rig) -> None:
    """Within 3 % of the load at which the crack of length a runs."""
    result, _ = followed(rig)
    peak = result.load[result.highest] / critical_load(rig, np.array(CRACK))
    print(f"peak {peak:.4f}")
    assert peak == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("rig", RIGS)
def test_running_crack(rig: Rig) -> None:
    """While it runs, the load is within 3 % of that of beam theory's crack of the same compliance."""
    result, x = followed(rig)
    assert result.is_complete
    tip = np.array([x[damage >= 1].max() for damage in result.damage["line"]])
    running = (tip > CRACK + 1.0) & (tip < CRACK + GROWTH - 4.0)
    assert running.sum() >= 10
    cracks = np.linspace(0.8 * CRACK, CRACK + GROWTH, 2000)
    soft = result.displacement[running] / result.load[running]
    exact = np.interp(soft, compliance(rig, cracks), critical_load(rig, cracks))
    worst = np.abs(result.load[running] / exact - 1).max()
    print(f"running worst {worst:.4f}, steps {len(tip)}")
    assert worst <= 0.03


@pytest.mark.parametrize("rig", RIGS)
def test_energy_audit(rig: Rig) -> None:
    """Work of the load is energy stored and spent, to 0.5 % of the work at the peak."""
    result, _ = followed(rig)
    print(f"audit {result.audit:.5f}")
    assert result.audit < 0.005
