"""The traction laws point by point: energy at fixed mixtures, damage that only grows, tangents, contact."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.fem.cheek_law import CheekLaw, CheekSideLaw
from glueline.fem.line_law import MIXINGS, LineLaw
from glueline.fem.model import Array
from glueline.fem.softening import SOFTENINGS
from glueline.fem.traction_law import (
    TractionLaw,
    evaluate,
    final_share,
    growth_share,
    spent_energy,
    stored_energy,
)

# A PVA line on side grain of oak, rounded.
NUMBERS = (8000.0, 2200.0, 5.0, 9.0, 0.3, 0.8)
CHEEK_STIFFNESS = np.array([[900.0, 200.0], [200.0, 600.0]])
SIDES = (CheekSideLaw(0.0, 9.0, 2.5, 0.8, 0.4), CheekSideLaw(np.pi / 2, 8.0, 3.0, 0.7, 0.45))


def line_law(softening: str = "linear", mixing: str = "linear") -> LineLaw:
    """The law of NUMBERS."""
    kn, ks, *numbers = (np.array([number]) for number in NUMBERS)
    return LineLaw(np.array([np.diag([ks[0], kn[0]])]), *numbers, softening, mixing, 1.7)


def cheek_law(points: int, softening: str = "linear") -> CheekLaw:
    """A cheek of two boards whose grains cross, with stiffness that favours neither axis."""
    return CheekLaw.of(np.tile(CHEEK_STIFFNESS, (points, 1, 1)), SIDES, softening)


def pull_apart(law: TractionLaw, direction: Array, count: int = 1500) -> tuple[float, float, float]:
    """Stretch one point along ``direction`` until it breaks: work, energy spent, damage."""
    jump = direction / final_share(law, direction[None])[0]
    damage, before = np.zeros(1), np.zeros((1, 2))
    work = spent = 0.0
    traction = np.zeros((1, 2))
    for share in np.linspace(0.0, 1.001, count):
        now = share * jump[None]
        response = evaluate(law, now, damage)
        work += 0.5 * float(((response.traction + traction) * (now - before)).sum())
        spent += float(spent_energy(law, before, damage, now, response.damage)[0])
        damage, before, traction = response.damage, now, response.traction
    return work, spent, float(damage[0])


@pytest.mark.parametrize("softening", SOFTENINGS)
@pytest.mark.parametrize("mixing", MIXINGS)
@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.75, 1.0])
def test_fixed_mixture_spends_the_toughness_of_it(softening: str, mixing: str, share: float) -> None:
    """Work of the traction and energy spent are G_c of the mixture to 0.1 %.

    Linear: G_I / G_Ic + G_II / G_IIc = 1. Benzeggagh and Kenane 1996: G_Ic + (G_IIc - G_Ic) (G_II / G)^eta.
    """
    kn, ks, _, _, first, second = NUMBERS
    law = line_law(softening, mixing)
    exact = 1 / ((1 - share) / first + share / second)
    if mixing == "benzeggagh-kenane":
        exact = first + (second - first) * share**1.7
    work, spent, damage = pull_apart(law, np.array([np.sqrt(share / ks), np.sqrt((1 - share) / kn)]))
    assert damage == 1.0
    assert work == pytest.approx(exact, rel=1e-3)
    assert spent == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("softening", SOFTENINGS)
@pytest.mark.parametrize(("turn", "strength", "toughness"), [(0.0, 3.0, 0.45), (np.pi / 2, 2.5, 0.4)])
def test_cheek_breaks_on_its_weaker_side(
    softening: str, turn: float, strength: float, toughness: float
) -> None:
    """Traction along one board's grain rolls the other's, which gives way at its rolling numbers."""
    law = cheek_law(1, softening)
    traction = np.array([np.cos(turn), np.sin(turn)])
    jump = np.linalg.solve(CHEEK_STIFFNESS, traction)
    assert growth_share(law, jump[None], np.zeros(1))[0] == pytest.approx(1 / strength, rel=1e-12)
    work, spent, damage = pull_apart(law, jump)
    assert damage == 1.0
    assert work == pytest.approx(toughness, rel=1e-3)
    assert spent == pytest.approx(toughness, rel=1e-9)


def test_shares_of_a_cheek_side_by_hand() -> None:
    """Grain at 30 degrees, traction 2 MPa along x: sqrt 3 along it, 1 across."""
    side = CheekSideLaw(np.pi / 6, 9.0, 2.5, 0.8, 0.4)
    shares = side.shares(np.array([[2.0, 0.0], [0.0, 0.0]]))
    np.testing.assert_allclose(shares, [[np.sqrt(3) / 9.0, -1.0 / 2.5], [0.0, 0.0]], rtol=1e-12)
    part = 0.16 / (0.16 + 3 / 81)
    np.testing.assert_allclose(side.toughness(shares), [0.8 - 0.4 * part, 0.8], rtol=1e-12)
    by_jump = np.einsum("pij,j->pi", side.forms(CHEEK_STIFFNESS[None]), [0.01, 0.02])
    np.testing.assert_allclose(by_jump, side.shares((CHEEK_STIFFNESS @ [0.01, 0.02])[None]), rtol=1e-12)


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_onset_is_the_quadratic(share: float) -> None:
    """(t_n / f_n)^2 + (t_s / f_s)^2 = 1 where softening starts."""
    kn, ks, fn, fs, _, _ = NUMBERS
    traction = np.array([fs * np.sqrt(share), fn * np.sqrt(1 - share)])
    law = line_law()
    jump = (traction / [ks, kn])[None]
    assert evaluate(law, 0.999999 * jump, np.zeros(1)).damage[0] == 0.0
    assert evaluate(law, 1.000001 * jump, np.zeros(1)).damage[0] > 0.0


def test_bridging_kinks_at_a_third_of_the_strength_with_60_percent_of_the_energy_before_it() -> None:
    """In pure opening: the kink lies at a third of the strength with 60 % of the energy before it."""
    kn, _, fn, _, first, _ = NUMBERS
    law = line_law("bridging")
    openings = np.linspace(0.0, 0.4, 400001)
    jump = np.stack([np.zeros_like(openings), openings], axis=1)
    traction = evaluate(law, jump, np.zeros(len(jump))).traction[:, 1]
    area = np.concatenate([[0.0], np.cumsum(0.5 * (traction[1:] + traction[:-1]) * np.diff(openings))])
    at = int(np.argmax((traction < fn / 3) & (openings > fn / kn)))
    assert area[at] / first == pytest.approx(0.6, abs=1e-4)
    slopes = np.diff(traction) / np.diff(openings)
    assert slopes[at - 10] / slopes[at + 10] > 3.0


def laws(points: int) -> list[TractionLaw]:
    """Every law with every choice."""
    lines: list[TractionLaw] = [line_law(soft, mix) for soft in SOFTENINGS for mix in MIXINGS]
    return lines + [cheek_law(points, soft) for soft in SOFTENINGS]


@pytest.mark.parametrize("which", range(6))
def test_tangent_is_the_derivative(which: int) -> None:
    """Central differences at random jumps: elastic, softening, kinked, broken, unloading, closed."""
    count = 3000
    random = np.random.default_rng(which)
    law = laws(count)[which]
    jump = random.normal(size=(count, 2)) * np.exp(random.uniform(-9, -0.5, size=(count, 1)))
    damage = random.uniform(-1, 1, count).clip(0)
    found = evaluate(law, jump, damage)
    step = 1e-6 * np.abs(jump).max(axis=1)
    numeric = np.zeros((count, 2, 2))
    same = np.ones(count, dtype=bool)
    for k in range(2):
        shift = np.zeros((count, 2))
        shift[:, k] = step
        high, low = evaluate(law, jump + shift, damage), evaluate(law, jump - shift, damage)
        same &= high.growing == low.growing
        numeric[:, :, k] = (high.traction - low.traction) / (2 * step[:, None])
    error = np.abs(numeric - found.tangent).max(axis=(1, 2))[same] / 8000.0
    assert found.growing.sum() > 1000
    # A millionth of the jumps lies at a kink of a law, where there is no derivative.
    assert np.quantile(error, 0.999) < 1e-8


jumps = st.lists(
    st.tuples(st.floats(-0.3, 0.3), st.floats(-0.02, 0.2)).filter(lambda j: max(map(abs, j)) > 1e-9),
    min_size=2,
    max_size=30,
)


@given(walk=jumps, which=st.integers(0, 5))
@settings(max_examples=150, deadline=None)
def test_no_walk_heals_or_gains_energy(walk: list[tuple[float, float]], which: int) -> None:
    """Under any change of mixture damage and spent energy never fall, and tractions stay finite."""
    law = laws(1)[which]
    damage, before = np.zeros(1), np.zeros((1, 2))
    for step in walk:
        jump = np.array([step])
        response = evaluate(law, jump, damage)
        assert damage[0] <= response.damage[0] <= 1.0
        assert np.isfinite(response.traction).all()
        assert np.isfinite(response.tangent).all()
        assert spent_energy(law, before, damage, jump, response.damage)[0] >= 0.0
        assert stored_energy(response.traction, jump)[0] >= 0.0
        damage, before = response.damage, jump


@given(start=st.floats(0.0, np.pi / 2), end=st.floats(0.0, np.pi / 2), which=st.integers(0, 3))
@settings(max_examples=12, deadline=None)
def test_work_is_stored_and_spent_while_the_mixture_turns(start: float, end: float, which: int) -> None:
    """Along a smooth path from nothing to broken the three energies, each on its own, agree to 0.2 %."""
    law = laws(1)[which]
    damage, before, traction = np.zeros(1), np.zeros((1, 2)), np.zeros((1, 2))
    work = spent = 0.0
    for s in np.linspace(0, 1, 1500):
        turn = start + (end - start) * s
        jump = 0.25 * s * np.array([[np.sin(turn), np.cos(turn)]])
        response = evaluate(law, jump, damage)
        work += 0.5 * float(((response.traction + traction) * (jump - before)).sum())
        spent += float(spent_energy(law, before, damage, jump, response.damage)[0])
        damage, before, traction = response.damage, jump, response.traction
    assert spent + stored_energy(traction, before)[0] == pytest.approx(work, rel=2e-3)


def test_cracked_faces_bear_and_never_heal() -> None:
    """Closed, a broken line presses with the full opening stiffness and slides; open it holds nothing."""
    law = line_law()
    broken = np.ones(1)
    closed = evaluate(law, np.array([[0.01, -0.001]]), broken)
    assert closed.traction[0] == pytest.approx([0.0, -8.0])
    assert closed.tangent[0] == pytest.approx(np.diag([0.0, 8000.0]))
    assert evaluate(law, np.array([[0.01, 0.001]]), broken).traction[0] == pytest.approx([0.0, 0.0])
    pressed = evaluate(law, np.array([[0.0, -1.0]]), np.zeros(1))
    assert pressed.damage[0] == 0.0


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"opening_strength": np.array(0.0)}, "opening_strength"),
        ({"softening": "cubic"}, "softening"),
        ({"mixing": "none"}, "mixing"),
        ({"opening_toughness": np.array(1e-3)}, "toughness"),
        ({"exponent": 0.5}, "exponent"),
        ({"stiffness": np.array([np.diag([2200.0, 0.0])])}, "opening_stiffness"),
        ({"stiffness": np.array([[[2200.0, 1.0], [1.0, 8000.0]]])}, "couple"),
    ],
)
def test_impossible_laws_are_refused(change: dict[str, object], word: str) -> None:
    """With a word about what is wrong."""
    with pytest.raises(ValueError, match=word):
        replace(line_law(), **change)  # type: ignore[arg-type]
