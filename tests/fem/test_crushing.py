"""Faces that bear and crush: tangents, energy, unloading, and the stress block of a wall's eccentric load."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import trapezoid

from glueline.fem.crushing import borne_jump, crushing_share, crushing_work
from glueline.fem.line_law import LineLaw
from glueline.fem.model import Array
from glueline.fem.traction_law import evaluate, spent_energy, stored_energy
from tests.fem.faces import Pressed, faces, press

# A PVA line on white oak whose weaker side is side grain: 7.4 MPa across the grain.
STIFFNESS, STRENGTH = 8000.0, 7.4
YIELD = STRENGTH / STIFFNESS
HARDENINGS = (0.0, 23.0, 4000.0)  # flat; oak under a 19 mm face; half of the film's stiffness


def at(jump: float, before: float = 0.0, hardening: float = 0.0) -> Pressed:
    """One point of the line."""
    return press(faces(STIFFNESS, STRENGTH, hardening), np.array([jump]), np.array([before]))


def test_tangent_is_the_derivative() -> None:
    """Central differences at random jumps and histories: apart, bearing, crushing, unloaded."""
    random = np.random.default_rng(3)
    count = 4000
    stiffness, strength = random.uniform(500, 20000, count), random.uniform(2, 60, count)
    before = random.choice([0.0, 1.0], count) * random.uniform(0, 0.1, count)
    hardening = random.choice(HARDENINGS, count) * random.uniform(0, 1, count)
    limit = strength + hardening * before
    jump = -before + random.normal(0.0, 3.0, count) * limit / stiffness
    found = press(faces(stiffness, strength, hardening), jump, before)
    step = 1e-6 * strength / stiffness
    high, low = (press(faces(stiffness, strength, hardening), jump + s, before) for s in (step, -step))
    smooth = (high.growing == low.growing) & ((high.traction < 0) == (low.traction < 0))
    numeric = (high.traction - low.traction) / (2 * step)
    states = {(bool(g), bool(t < 0)) for g, t in zip(found.growing, found.traction, strict=True)}
    assert states == {(True, True), (False, True), (False, False)}
    assert smooth.sum() > 0.99 * count
    assert np.abs(numeric - found.tangent)[smooth] / stiffness[smooth] == pytest.approx(0.0, abs=1e-7)


def test_infinite_strength_is_pure_bearing() -> None:
    """Below zero the film's stiffness, above zero nothing, and no history."""
    jump = np.linspace(-5.0, 5.0, 1001)
    found = press(faces(STIFFNESS, np.inf), jump, np.zeros_like(jump))
    np.testing.assert_array_equal(found.traction, np.where(jump < 0, STIFFNESS * jump, 0.0))
    np.testing.assert_array_equal(found.tangent, np.where(jump <= 0, STIFFNESS, 0.0))
    assert not found.crushed.any()
    assert not found.growing.any()
    assert not crushing_share(faces(STIFFNESS, np.inf), jump, np.zeros_like(jump)).any()


def test_a_cycle_goes_along_the_plateau_back_and_up_again() -> None:
    """By hand: closes 5 times the yield, unloads along k to -4 yields, parts, comes back to the plateau."""
    crushed = 4 * YIELD
    pressed = at(-5 * YIELD)
    assert pressed.growing[0]
    assert pressed.traction[0] == pytest.approx(-STRENGTH, rel=1e-12)
    assert pressed.crushed[0] == pytest.approx(crushed, rel=1e-12)
    for jump, share, tangent in (
        (-4.5, -0.5, STIFFNESS),
        (-3.9, 0.0, 0.0),
        (2.0, 0.0, 0.0),
        (-4.25, -0.25, STIFFNESS),
    ):
        found = at(jump * YIELD, crushed)
        assert found.traction[0] == pytest.approx(share * STRENGTH, abs=1e-9)
        assert found.tangent[0] == tangent
        assert found.crushed[0] == crushed
    again = at(-7 * YIELD, crushed)
    assert again.traction[0] == pytest.approx(-STRENGTH)
    assert again.crushed[0] == pytest.approx(6 * YIELD)


def test_hardening_by_hand() -> None:
    """Two springs in series past the limit, p = C + k H / (k + H) (closing - C / k); unloading along k.

    k = 8000, H = 4000: past the limit pressure grows by 8000 / 3 for a mm and two thirds of what closes more
    is crushed. From then on crushing goes on at C + H crushed, not at C.
    """
    pressed = at(-4 * YIELD, 0.0, 4000.0)
    assert pressed.traction[0] == pytest.approx(-2 * STRENGTH, rel=1e-12)
    assert pressed.crushed[0] == pytest.approx(2 * YIELD, rel=1e-12)
    assert pressed.tangent[0] == pytest.approx(8000 / 3, rel=1e-12)
    for jump, share, tangent in ((-3.0, -1.0, STIFFNESS), (-2.5, -0.5, STIFFNESS), (-1.0, 0.0, 0.0)):
        found = at(jump * YIELD, pressed.crushed[0], 4000.0)
        assert found.traction[0] == pytest.approx(share * STRENGTH, abs=1e-9)
        assert found.tangent[0] == tangent
        assert found.crushed[0] == pressed.crushed[0]
    again = at(-7 * YIELD, pressed.crushed[0], 4000.0)
    assert again.traction[0] == pytest.approx(-3 * STRENGTH)
    assert again.crushed[0] == pytest.approx(4 * YIELD)
    share = crushing_share(faces(STIFFNESS, STRENGTH, 4000.0), np.array([-4 * YIELD]), pressed.crushed)
    assert share[0] == pytest.approx(1.0, rel=1e-12)
    work = crushing_work(STRENGTH, np.zeros(1), again.crushed, 4000.0)
    assert work[0] == pytest.approx(0.5 * (STRENGTH + 3 * STRENGTH) * 4 * YIELD)  # a trapezium


@pytest.mark.parametrize("hardening", HARDENINGS)
def test_a_closed_cycle_spends_what_crushing_takes(hardening: float) -> None:
    """First law: work over a cycle that ends as it began, without traction, is what crushing spent."""
    path = np.concatenate([np.linspace(0, -0.01, 801), np.linspace(-0.01, 0, 801)[1:]])
    crushed, last, work = 0.0, 0.0, 0.0
    for before, now in pairwise(path):
        found = at(now, crushed, hardening)
        work += 0.5 * (last + found.traction[0]) * (now - before)
        crushed, last = found.crushed[0], found.traction[0]
    assert last == 0.0
    assert crushed == pytest.approx((0.01 - YIELD) * STIFFNESS / (STIFFNESS + hardening), rel=1e-9)
    assert work == pytest.approx(STRENGTH * crushed + 0.5 * hardening * crushed**2, rel=1e-4)


walks = st.lists(st.floats(-0.05, 0.03), min_size=1, max_size=25)


@given(walk=walks, hardening=st.sampled_from(HARDENINGS))
@settings(max_examples=150, deadline=None)
def test_no_walk_gains_energy_or_passes_the_strength(walk: list[float], hardening: float) -> None:
    """Along any walk crushing never shrinks, and work is stored or spent.

    The work of a step is the area under the traction on the way, here by the corners of its straight pieces.
    """
    jump, crushed, traction = 0.0, 0.0, 0.0
    for now in walk:
        found = at(now, crushed, hardening)
        assert found.crushed[0] >= crushed
        strongest = STRENGTH + hardening * found.crushed[0]
        assert -strongest * (1 + 1e-12) <= found.traction[0] <= 0.0
        limit = -crushed - (STRENGTH + hardening * crushed) / STIFFNESS
        corners = sorted({jump, now, *(c for c in (-crushed, limit) if min(jump, now) < c < max(jump, now))})
        values = [at(corner, crushed, hardening).traction[0] for corner in corners]
        area = float(trapezoid(values, corners)) * (1 if now >= jump else -1)
        stored = (found.traction[0] ** 2 - traction**2) / (2 * STIFFNESS)
        spent = crushing_work(STRENGTH, np.array([crushed]), found.crushed, hardening)[0]
        assert area == pytest.approx(stored + spent, abs=1e-12)
        jump, crushed, traction = now, found.crushed[0], found.traction[0]


@given(steps=st.lists(st.floats(0.0, 0.02), min_size=1, max_size=10), hardening=st.sampled_from(HARDENINGS))
def test_one_step_is_as_good_as_many(steps: list[float], hardening: float) -> None:
    """While faces only close, crushing depends on where they stand and not on the steps that led there."""
    crushed, jump = 0.0, 0.0
    for step in steps:
        jump -= step
        crushed = at(jump, crushed, hardening).crushed[0]
    once = at(jump, 0.0, hardening)
    assert once.crushed[0] == pytest.approx(crushed, abs=1e-12)
    assert once.traction[0] == pytest.approx(at(jump, crushed, hardening).traction[0], abs=1e-9)


def test_share_says_when_crushing_starts() -> None:
    """1 at the limit, linear before any crushing, and 1 again where the plateau was left."""
    jump = np.array([-0.5, -1.0, 0.7]) * YIELD
    share = crushing_share(faces(STIFFNESS, STRENGTH), jump, np.zeros(3))
    np.testing.assert_allclose(share, [0.5, 1.0, 0.0], atol=1e-12)
    left = at(-3 * YIELD, 0.0)
    there = crushing_share(faces(STIFFNESS, STRENGTH), np.array([-3 * YIELD]), left.crushed)
    assert there[0] == pytest.approx(1.0, rel=1e-12)


def line(toughness: float = 0.45) -> LineLaw:
    """Side grain of white oak in PVA."""
    numbers = (np.array([number]) for number in (7.0, 14.0, toughness, 1.6))
    return LineLaw(np.array([np.diag([2200.0, STIFFNESS])]), *numbers)


def test_a_crushed_line_still_spends_its_toughness() -> None:
    """Pressed flat, then pulled apart: plastic work and, from where the faces part, exactly G_Ic.

    The steps meet every kink of the traction, so that the trapezoidal rule gives its work exactly.
    """
    law, damage, crushed = line(), np.zeros(1), np.zeros(1)
    before, traction, work, plastic, spent = np.zeros((1, 2)), np.zeros((1, 2)), 0.0, 0.0, 0.0
    parted = YIELD - 0.02
    kinks = (0.0, -YIELD, -0.02, parted, parted + 7.0 / STIFFNESS, parted + 0.9 / 7.0, 0.13)
    for opening in np.concatenate([np.linspace(*ends, 100) for ends in pairwise(kinks)]):
        jump = np.array([[0.0, opening]])
        pressed = press(faces(STIFFNESS, STRENGTH), jump[:, 1], crushed)
        borne, borne_before = borne_jump(jump, pressed.crushed), borne_jump(before, crushed)
        found = evaluate(law, borne, damage)
        assert min(found.traction[0, 1], 0.0) == pytest.approx(pressed.traction[0], abs=1e-9)
        spent += float(spent_energy(law, borne_before, damage, borne, found.damage)[0])
        plastic += STRENGTH * float(pressed.crushed[0] - crushed[0])
        work += 0.5 * float(((found.traction + traction) * (jump - before)).sum())
        stored = float(stored_energy(found.traction, borne)[0])
        assert work == pytest.approx(stored + spent + plastic, abs=1e-9)
        damage, crushed, before, traction = found.damage, pressed.crushed, jump, found.traction
    assert damage[0] == 1.0
    assert crushed[0] == pytest.approx(0.02 - YIELD, rel=1e-9)
    assert spent == pytest.approx(0.45, rel=1e-9)


def test_tangent_with_a_bond_is_that_of_its_law_with_the_normal_entry_replaced() -> None:
    """Central differences of the whole traction, pressed, slipping and opening, crushed before or not."""
    random, count, law = np.random.default_rng(7), 3000, line()
    crushed, hardening = random.choice([0.0, 0.004], count), random.choice(HARDENINGS, count)
    jump = random.normal(size=(count, 2)) * [0.02, 3 * YIELD]
    jump[:, 1] -= crushed
    damage = random.uniform(-1, 1, count).clip(0)

    def whole(at_jump: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
        pressed = press(faces(STIFFNESS, STRENGTH, hardening), at_jump[:, 1], crushed)
        found = evaluate(law, borne_jump(at_jump, pressed.crushed), damage)
        tangent = found.tangent.copy()
        tangent[pressed.growing, 1, 1] = pressed.tangent[pressed.growing]
        return found.traction, tangent, np.stack([pressed.growing, found.growing, found.traction[:, 1] < 0])

    _, tangent, state = whole(jump)
    same, numeric = np.ones(count, dtype=bool), np.zeros((count, 2, 2))
    for k in range(2):
        shift = np.zeros((count, 2))
        shift[:, k] = 1e-8
        high, low = whole(jump + shift), whole(jump - shift)
        same &= (high[2] == low[2]).all(axis=0)
        numeric[:, :, k] = (high[0] - low[0]) / 2e-8
    assert state.sum(axis=1).min() > 300
    assert (state[0] & state[1]).sum() > 50  # slip damages while the faces crush
    error = np.abs(numeric - tangent).max(axis=(1, 2))[same] / STIFFNESS
    assert error.max() < 1e-8


@pytest.mark.parametrize("pressure", [0.2, 0.5, 0.8])
def test_eccentric_load_reaches_the_stress_block(pressure: float) -> None:
    """EN 1996-1-1, 6.1.2.2: a section without tension holds N = f b t (1 - 2 e / t), a rectangular block.

    A rigid face of length L on the glue line, held at N while it turns; the moment must rise to
    N (L - N / f) / 2. Newton's method on the closing uses the tangent; the work of N and M is audited.
    """
    length, count, depth = 19.0, 2000, pressure * STRENGTH * 19.0
    place = (np.arange(count) + 0.5) * length / count - length / 2
    weight = length / count
    closing, crushed, slowest = -depth / STIFFNESS / length, np.zeros(count), 0
    work = plastic = moment = 0.0
    turn_before, closing_before = 0.0, closing
    stored_first = 0.5 * STIFFNESS * closing**2 * length
    for turn in np.concatenate([[0.0], np.geomspace(1e-6, 0.03, 600)]):
        for used in range(60):
            slowest = max(slowest, used)
            found = press(faces(STIFFNESS, STRENGTH), closing + turn * place, crushed)
            out = weight * found.traction.sum() + depth
            if abs(out) < 1e-9 * depth:
                break
            closing -= out / (weight * found.tangent.sum())
        new = weight * float((found.traction * place).sum())
        work += 0.5 * (moment + new) * (turn - turn_before) - depth * (closing - closing_before)
        plastic += weight * STRENGTH * float((found.crushed - crushed).sum())
        stored = weight * float((found.traction**2).sum()) / (2 * STIFFNESS) - stored_first
        assert abs(work - stored - plastic) < 1e-4 * max(work, 1e-2)
        moment, crushed, turn_before, closing_before = new, found.crushed, turn, closing
    assert slowest < 15
    assert moment == pytest.approx(depth * (length - depth / STRENGTH) / 2, rel=1e-5)
    assert moment < depth * (length - depth / STRENGTH) / 2


def test_eccentric_load_on_faces_that_harden() -> None:
    """The same face with hardening, turned to 0.3 mrad: pressure falls from the edge in two straight lines.

    By hand, exactly: where it crushes with the slope k H / (k + H) times the turn over a length z, from
    there to nothing with the slope k times the turn. The turn is so small that the crushed part still grows.
    """
    hardening, length, count, turn = 500.0, 19.0, 4000, 3e-4
    depth = 0.5 * STRENGTH * length
    slope = STIFFNESS * hardening / (STIFFNESS + hardening) * turn
    bearing = YIELD / turn
    crushes_over = (-STRENGTH + np.sqrt(STRENGTH**2 + 2 * slope * (depth - STRENGTH * bearing / 2))) / slope
    about_edge = STRENGTH * crushes_over**2 / 2 + slope * crushes_over**3 / 6
    about_edge += STRENGTH * bearing / 2 * (crushes_over + bearing / 3)
    place = (np.arange(count) + 0.5) * length / count - length / 2
    closing, crushed = -depth / STIFFNESS / length, np.zeros(count)
    for now in np.linspace(0.0, turn, 50):
        for _ in range(60):
            found = press(faces(STIFFNESS, STRENGTH, hardening), closing + now * place, crushed)
            out = found.traction.sum() * length / count + depth
            if abs(out) < 1e-9 * depth:
                break
            closing -= out / (found.tangent.sum() * length / count)
        crushed = found.crushed
    assert -found.traction.min() > 1.1 * STRENGTH
    moment = float((found.traction * place).sum()) * length / count
    assert moment == pytest.approx(depth * length / 2 - about_edge, rel=1e-5)
