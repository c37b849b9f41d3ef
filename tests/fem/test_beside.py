"""Paths found beside a known one: against the same followed whole, on other meshes, and where they must turn.

The lap joint of ``tests.fem.test_path``, for which the load of a short one is area times strength.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glueline.fem.beside import BALANCED, follow_beside
from glueline.fem.equilibrium import BondedBodies, TiedBodies
from glueline.fem.guide import Guide, early_peak
from glueline.fem.line_law import LineLaw
from glueline.fem.path import PathFailure, follow_tied
from glueline.fem.path_control import PathControl
from tests.fem.test_path import STRENGTH, Lap, lap_path, side_grain_law

SHORT, LONG, COUNT = 4.0, 60.0, 30
CONTROL = PathControl(audit=0.02, residual=1e-6)


def stronger(factor: float) -> LineLaw:
    """Strengths and toughnesses times a factor."""
    law = side_grain_law()
    names = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
    return replace(law, **{name: factor * getattr(law, name) for name in names})


def tied(lap: Lap) -> TiedBodies:
    return TiedBodies(lap.stiffness, lap.surfaces, lap.pinned)


@pytest.mark.parametrize("factor", [0.1, 0.7, 1.4])
@pytest.mark.parametrize("length", [SHORT, LONG])
def test_a_path_beside_peaks_where_the_whole_does(length: float, factor: float) -> None:
    known, lap = lap_path(length, COUNT), Lap(length, COUNT)
    bodies, laws = tied(lap), [stronger(factor)]
    guide = Guide.along(known, [known.highest])
    found = follow_beside(bodies, laws, lap.load, replace(guide, growth=factor), CONTROL)
    whole = follow_tied(bodies, laws, lap.load, CONTROL)
    assert found.load.max() == pytest.approx(whole.load.max(), rel=2e-3)
    if factor > 0.5:
        assert found.iterations < whole.iterations
        assert len(found.load) <= len(whole.load)
    if length == SHORT:
        assert found.load.max() == pytest.approx(factor * STRENGTH * length, rel=0.01)


@pytest.mark.parametrize("factor", [0.4, 0.7, 1.4])
@pytest.mark.parametrize(("length", "count"), [(SHORT, COUNT), (300.0, 5 * COUNT)])
def test_how_much_more_other_glue_can_carry_at_most(length: float, count: int, factor: float) -> None:
    """As ``Guide.most`` has it; long laps, which break by energy, reach the root."""
    lap = Lap(length, count)
    load = follow_tied(tied(lap), [stronger(factor)], lap.load, CONTROL).load.max()
    known = lap_path(length, count)
    growth = float(load / known.load.max())
    assert growth < 1.001 * Guide.along(known, [known.highest]).grown(factor).most
    assert growth == pytest.approx(factor if length == SHORT else np.sqrt(factor), rel=0.03)


def test_peaks_before_the_one_that_counts_are_remembered() -> None:
    """A small first crack that a path beside leaves out may be lifted over the peak by stronger glue."""
    known = lap_path(LONG, COUNT)
    cracked = replace(known, load=known.load.copy())
    cracked.load[2:4] = [0.3 * known.load.max(), 0.2 * known.load.max()]
    assert early_peak(known, known.highest) == 0.0
    assert early_peak(cracked, known.highest) == pytest.approx(0.3 * known.load.max())
    assert early_peak(replace(known, left_out=50.0), known.highest) == 50.0
    guide = replace(Guide.along(known, [known.highest]), early=50.0)
    assert guide.grown(4.0).surely_past == pytest.approx(1.1 * 200.0)  # with other elements a little more
    assert guide.grown(0.25).surely_past == pytest.approx(1.1 * 25.0)
    assert guide.grown(np.inf).surely_past == np.inf
    assert replace(guide, early=0.0).grown(np.inf).surely_past == 0.0
    lap = Lap(LONG, COUNT)
    assert follow_beside(tied(lap), [stronger(1.4)], lap.load, guide, CONTROL).left_out == 50.0


def test_a_path_ends_past_the_peak_that_it_is_known_to_come_to() -> None:
    """It is the same path up to there."""
    lap = Lap(LONG, COUNT)
    whole = follow_tied(tied(lap), [stronger(1.4)], lap.load, CONTROL)
    known_peak = float(lap_path(LONG, COUNT).load.max())
    past = replace(CONTROL, known_peak=known_peak, stop_past_known=0.89)
    ended = follow_tied(tied(lap), [stronger(1.4)], lap.load, past)
    count = len(ended.load)
    np.testing.assert_array_equal(ended.load, whole.load[:count])
    assert ended.load[-1] <= 0.89 * ended.load.max() < ended.load[-2]
    assert len(whole.load) > count


def test_its_states_are_in_equilibrium_and_damage_only_grows() -> None:
    known, lap = lap_path(LONG, COUNT), Lap(LONG, COUNT)
    laws = [stronger(1.4)]
    guide = Guide.along(known, [known.highest])
    found = follow_beside(tied(lap), laws, lap.load, replace(guide, down=True), CONTROL)
    assert found.load[-1] < 0.96 * found.load.max()  # it goes down with the known one
    damage = found.damage["glue"]
    assert (np.diff(damage, axis=0) >= 0.0).all()
    bodies, nothing = BondedBodies(tied(lap), laws, lap.load), np.zeros(damage.shape[1])
    for state, load in enumerate(found.load):
        v = found._kept[state]
        response = bodies.respond(bodies.jumps(v), damage[state], nothing)
        bond = bodies.bond_forces(response.traction)
        out = bodies.stiffness @ v + bond - load * bodies.load
        assert np.linalg.norm(out) <= BALANCED * max(1.0, float(np.linalg.norm(bond)))


def test_a_known_path_is_carried_to_another_mesh() -> None:
    known, fine = lap_path(LONG, COUNT), Lap(LONG, 2 * COUNT)
    bodies, laws = tied(fine), [stronger(0.8)]
    carried = Guide.carried(
        known,
        Lap(LONG, COUNT).surfaces,
        [known.highest],
        BondedBodies(bodies, [side_grain_law()], fine.load),
        bodies.surfaces,
        is_half=False,
    )
    found = follow_beside(bodies, laws, fine.load, carried, CONTROL)
    assert found.load.max() == pytest.approx(
        follow_tied(bodies, laws, fine.load, CONTROL).load.max(), rel=1e-3
    )


def test_it_takes_no_more_effort_than_it_may() -> None:
    known, lap = lap_path(LONG, COUNT), Lap(LONG, COUNT)
    guide = Guide.along(known, [known.highest])
    with pytest.raises(PathFailure, match="too long"):
        follow_beside(tied(lap), [stronger(1.4)], lap.load, guide, replace(CONTROL, most_effort=1.0))


@pytest.mark.parametrize("factor", [0.7, 1.4])
def test_a_load_below_that_of_first_damage_comes_before_it(factor: float) -> None:
    """A short lap is stressed all alike: it is first damaged far above half of its highest load."""
    known, lap = lap_path(SHORT, COUNT), Lap(SHORT, COUNT)
    assert known.load[1] > 0.6 * known.load.max()
    guide = Guide.along(known, [known.highest])
    found = follow_beside(tied(lap), [stronger(factor)], lap.load, guide, CONTROL)
    assert (np.diff(found.load[: found.highest + 1]) > 0.0).all()
    assert found.first_peak in (None, found.highest)
    assert found.audit < 0.01
