"""Faces that bear without a bond: one way and both, energy, unloading, and what is asked of any law."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.fem.bearing_law import BearingLaw
from glueline.fem.bond import BondedSurface
from glueline.fem.crushing import crushing_share, crushing_work, eased
from glueline.fem.line_law import LineLaw
from glueline.fem.path import PathFailure, follow_path
from glueline.fem.path_control import PathControl
from glueline.fem.traction_law import (
    Closing,
    evaluate,
    final_share,
    growth_share,
    joined_laws,
    spent_energy,
    spent_share,
)
from tests.fem.faces import press

STIFFNESS, STRENGTH = 200.0, 30.0
YIELD = STRENGTH / STIFFNESS


def closing(hardening: float, both_ways: bool = True) -> Closing:
    """One point."""
    made = BearingLaw(np.array([STIFFNESS]), np.array([STRENGTH]), hardening, both_ways).closing
    assert made is not None
    return made


walks = st.lists(st.floats(-2.0, 2.0), min_size=1, max_size=25)


@given(walk=walks, hardening=st.sampled_from([0.0, 3.0, 50.0]))
@settings(max_examples=150, deadline=None)
def test_no_walk_gains_energy(walk: list[float], hardening: float) -> None:
    """Both ways: the pressure stays within its limits, and work in small steps is stored or spent."""
    jump, crushed, traction, work, spent = 0.0, np.zeros(1), 0.0, 0.0, 0.0
    for target in walk:
        for now in np.linspace(jump, target, 60)[1:]:
            found = press(closing(hardening), np.array([now]), crushed)
            more = crushing_work(STRENGTH, crushed, found.crushed, hardening)[0]
            # What hardening stores is counted as spent and comes back; the rest never does.
            stored = 0.5 * hardening * (found.crushed[0] ** 2 - crushed[0] ** 2)
            assert more - stored >= -1e-12
            work += 0.5 * (traction + found.traction[0]) * (now - jump)
            spent += more
            limit = abs(found.traction[0] + hardening * found.crushed[0])
            assert limit <= STRENGTH * (1 + 1e-9)
            jump, crushed, traction = now, found.crushed, found.traction[0]
    total = spent + traction**2 / (2 * STIFFNESS)
    # A step across a limit is a trapezium too much by at most a step's worth of it.
    assert work == pytest.approx(total, abs=0.02 * STRENGTH * YIELD * len(walk) + 0.02 * spent)


def test_a_cycle_by_hand() -> None:
    """Pushed to -3 yields, back past +1 where it is at the limit the other way: no slack, no hardening."""
    crushed = np.zeros(1)
    for jump, traction, left in ((-3.0, -1.0, 2.0), (-2.0, 0.0, 2.0), (-1.0, 1.0, 2.0), (4.0, 1.0, -3.0)):
        found = press(closing(0.0), np.array([jump * YIELD]), crushed)
        assert found.traction[0] == pytest.approx(traction * STRENGTH, abs=1e-9)
        assert found.crushed[0] == pytest.approx(left * YIELD, abs=1e-12)
        crushed = found.crushed
    share = crushing_share(closing(0.0), np.array([4.0 * YIELD, 3.5 * YIELD]), np.tile(crushed, 2))
    np.testing.assert_allclose(share, [1.0, 0.5], rtol=1e-12)


@pytest.mark.parametrize("hardening", [0.0, 20.0])
def test_tangent_is_the_derivative_and_unloading_is_elastic(hardening: float) -> None:
    """Central differences both ways; a point at its limit unloads when eased."""
    jump = np.array([-2.0, -0.4, 0.4, 2.0]) * YIELD
    before = np.zeros(4)
    found = press(closing(hardening), jump, before)
    high, low = (press(closing(hardening), jump + s, before).traction for s in (1e-6, -1e-6))
    np.testing.assert_allclose((high - low) / 2e-6, found.tangent, rtol=1e-6, atol=1e-6)
    assert found.growing.tolist() == [True, False, False, True]
    less = eased(closing(hardening), jump + found.crushed, found.crushed)
    unloading = press(closing(hardening), jump, less)
    assert not unloading.growing.any()
    np.testing.assert_array_equal(unloading.tangent, STIFFNESS)


def test_one_way_never_pulls_and_nothing_ever_damages() -> None:
    """Every question that is asked of a law."""
    law = BearingLaw(np.array([STIFFNESS]), np.array([STRENGTH]))
    jump = np.array([[0.5, 0.3], [0.5, -0.1], [-9.0, -5.0]])
    whole = np.zeros(3)
    found = evaluate(law, jump, whole)
    np.testing.assert_array_equal(found.traction[:, 0], 0.0)
    np.testing.assert_allclose(found.traction[:, 1], [0.0, -20.0, -1000.0])
    np.testing.assert_array_equal(found.tangent[:, 1, 1], [0.0, STIFFNESS, STIFFNESS])
    assert not found.damage.any()
    assert not found.growing.any()
    for share in (
        growth_share(law, jump, whole),
        final_share(law, jump),
        spent_share(law, jump, whole),
        spent_energy(law, 0 * jump, whole, jump, whole),
    ):
        np.testing.assert_array_equal(share, 0.0)


def test_laws_join_and_part() -> None:
    """Alike ones become one law for all their points; one way and both never do."""
    first = BearingLaw(np.array([200.0]), np.array([30.0]), 1.0)
    second = BearingLaw(np.array([100.0, 50.0]), np.array([20.0, 10.0]), 0.0, reach=2.0)
    walls = BearingLaw(np.array([100.0]), np.array([20.0]), both_ways=True)
    (law, part), (other, rest) = joined_laws([first, second, walls], [2, 2, 3])
    assert (part, rest) == (slice(0, 4), slice(4, 7))
    assert other is walls
    assert isinstance(law, BearingLaw)
    assert np.asarray(law.stiffness).tolist() == [200.0, 200.0, 100.0, 50.0]
    assert np.asarray(law.at(np.array([1, 3])).strength).tolist() == [30.0, 10.0]
    assert np.asarray(law.reach).tolist() == [1.0, 1.0, 2.0, 2.0]


@pytest.mark.parametrize(
    "wrong", [{"stiffness": 0.0}, {"strength": -1.0}, {"hardening": -1.0}, {"reach": 0.0}]
)
def test_numbers_that_cannot_be(wrong: dict[str, float]) -> None:
    """Told by name."""
    numbers = {"stiffness": np.array([1.0]), "strength": np.array([1.0])}
    with pytest.raises(ValueError, match=next(iter(wrong))):
        BearingLaw(**(numbers | {key: np.array([value]) for key, value in wrong.items()}))


def points(name: str, row: list[float], area: float, stiffness: float) -> BondedSurface:
    """One point whose opening is ``row`` times the unknowns."""
    return BondedSurface(
        name,
        "ground",
        "block",
        np.zeros((1, 2)),
        np.array([area]),
        np.array([np.eye(2)]),
        sparse.csr_matrix(np.array([[0.0] * len(row), row])),
        np.array([stiffness * np.eye(2)]),
    )


def test_a_path_that_only_crushes_goes_to_its_end() -> None:
    """A rigid block on two walls side by side: the first yields at 2 N, then both harden, and no peak."""
    walls = [points("soft", [1.0], 1.0, 10.0), points("hard", [1.0], 1.0, 10.0)]
    laws = [
        BearingLaw(np.array([10.0]), np.array([limit]), 0.01, both_ways=True, reach=0.5)
        for limit in (1.0, 4.0)
    ]
    control = PathControl(stop=0.0, stop_first=0.0, farthest=3.0)
    path = follow_path(
        sparse.csr_matrix((1, 1)), walls, laws, np.array([1.0]), np.zeros(0, dtype=int), control
    )
    assert path.load[1] == pytest.approx(2.0, rel=1e-9)
    assert path.first_peak is None
    at = path.displacement[-1]
    exact = sum(limit + (at - limit / 10.0) * 10.0 * 0.01 / 10.01 for limit in (1.0, 4.0))
    assert path.load[-1] == pytest.approx(exact, rel=1e-9)
    assert path.displacement[-1] >= 3.0
    assert path.audit < 1e-3
    assert path.crushed["soft"][-1, 0] < 0  # opened walls crush the other way


def test_faces_that_only_bear_hold_nothing() -> None:
    """Pulled, a dry face lets go: there is no path to follow."""
    law = BearingLaw(np.array([10.0]), np.array([1.0]))
    with pytest.raises(PathFailure, match="before first damage"):
        follow_path(
            sparse.csr_matrix((1, 1)),
            [points("dry", [1.0], 1.0, 10.0)],
            [law],
            np.array([1.0]),
            np.zeros(0, dtype=int),
        )


def test_a_dry_face_beside_glue_is_no_first_damage() -> None:
    """A lever: glue pulls open, a dry stop is pressed to its limit before it; first damage is the glue's."""
    glue, stop = points("glue", [1.0, 1.0], 20.0, 8000.0), points("stop", [1.0, -1.0], 5.0, 800.0)
    numbers = (np.array([number]) for number in (5.0, 9.0, 0.3, 0.8))
    laws = [
        LineLaw(np.array([np.diag([2200.0, 8000.0])]), *numbers),
        BearingLaw(np.array([800.0]), np.array([8.0]), 1.0),
    ]
    # Unknowns are shift and turn by the lever of 1: 3 N on the glue for 2 on the stop.
    path = follow_path(
        sparse.csr_matrix((2, 2)),
        [glue, stop],
        laws,
        np.array([1.0, 5.0]),
        np.zeros(0, dtype=int),
        PathControl(limit_when_short=1e-5),
    )
    assert path.load[1] == pytest.approx(40.0 / 2.0, rel=1e-9)  # 5 mm2 of 8 MPa begin to crush
    assert path.load[path.first_damage] == pytest.approx(100.0 / 3.0, rel=1e-4)
    assert path.load.max() == pytest.approx(100.0 / 3.0, rel=1e-4)
    assert not path.damage["stop"].any()
    assert path.audit < 0.005
