"""Half-lap and bridle against a solid; the kept table: ``tests.studies.predict.solid_lap``."""

from __future__ import annotations

import re

import pytest

pytest.importorskip("skfem")

from glueline.geometries import Bridle
from glueline.geometries.half_lap import LOPSIDED_NOTE
from tests.studies.predict.solid_corner import Solid, plane_compliance_of, solve_by_symmetry
from tests.studies.predict.solid_lap import (
    CANTILEVER,
    COARSE,
    DIAGONAL,
    FINE,
    FINEST,
    KEPT,
    bridle,
    compliance,
    free,
    free_of_half_lap,
    lap,
    loaded,
    of_bridle,
    one_of_a_pair,
    pair,
    plane_share,
    solid_share,
    turns,
    with_legs_held,
    with_tips_held,
)


@pytest.fixture(scope="module")
def half_lap() -> Solid:
    return loaded(lap(), COARSE, whole=True)


@pytest.mark.slow
def test_a_symmetric_corner_is_the_same_whole_and_by_halves() -> None:
    """Nothing drives a bridle out of its plane: no pins, no held tips and no half of it may matter.

    The two grids differ in the outer parts, hence 0.1 %.
    """
    own = bridle(CANTILEVER)
    whole, half = loaded(own, COARSE, whole=True), loaded(own, COARSE)
    found = compliance(whole, free(whole))
    assert found == pytest.approx(compliance(half, solve_by_symmetry(half)) / 2, rel=1e-3)
    assert found == pytest.approx(compliance(whole, with_tips_held(whole)), rel=1e-6)
    assert found == pytest.approx(compliance(whole, with_legs_held(whole, only_centres=True)), rel=1e-6)


def test_the_plane_model_knows_no_difference_between_a_half_lap_and_one_of_a_pair() -> None:
    assert plane_compliance_of(lap()) == pytest.approx(2 * plane_compliance_of(pair(lap())), rel=1e-9)


@pytest.mark.slow
def test_flat_platens_hold_nothing_of_a_half_lap_back(half_lap: Solid) -> None:
    """A half turn about the bisector exchanges its boards: both ends tilt alike, only the twist is left."""
    about_bisector, about_load = turns(half_lap, free(half_lap))
    assert abs(about_bisector) < 1e-6 * abs(about_load)


@pytest.mark.slow
def test_what_a_half_lap_lacks_in_the_plane(half_lap: Solid) -> None:
    """Against the coarse solid 6.5 % too stiff: 2.5 by twist, 3.5 by what spreads through the legs, 1 left.

    Bands of half a per cent about what is computed, no aims; on the finest grid it is 7 % (lopsided.txt).
    """
    plane = plane_compliance_of(lap())
    loose = plane / compliance(half_lap, free(half_lap))
    tips = plane / compliance(half_lap, with_tips_held(half_lap))
    centres, flat = (plane / compliance(half_lap, with_legs_held(half_lap, only)) for only in (True, False))
    twin, stiff = (plane / one_of_a_pair(lap(), COARSE, legs) for legs in (False, True))
    print(f"free {loose:.3f}, tips {tips:.3f}, centres {centres:.3f}, plane {flat:.3f}, pair {twin:.3f}")
    assert loose == pytest.approx(0.935, abs=0.005)
    # More is held back in turn, so it grows stiffer; legs that only keep from bending gain nothing.
    assert loose < tips < flat
    assert centres == pytest.approx(loose, abs=0.001)
    assert twin == pytest.approx(flat, abs=0.005)
    assert twin == pytest.approx(0.958, abs=0.005)
    assert stiff == pytest.approx(0.992, abs=0.005)


@pytest.mark.slow
@pytest.mark.parametrize(("wood", "arrangement"), [("white oak", DIAGONAL), ("hard maple", CANTILEVER)])
def test_a_bridle_agrees_with_a_solid_within_3_per_cent(wood: str, arrangement: str) -> None:
    """With the tenon of the example, 7 mm. A corner that is opened has the same figures: all is linear."""
    own = bridle(arrangement, wood=wood, joint=Bridle(7.0))
    assert plane_compliance_of(own) == pytest.approx(of_bridle(own, FINE), rel=0.03)


@pytest.mark.slow
def test_the_cheeks_of_a_bridle_carry_less_than_the_plane_model_says() -> None:
    """0.78 of the moment in the plane, 0.67 in the solid: a miss that is told, not an aim."""
    own = bridle()
    share, about = plane_share(own)
    solid = loaded(own, FINE)
    found = solid_share(solid, solve_by_symmetry(solid), about)
    print(f"cheeks: {share:.3f} of the moment in the plane model, {found:.3f} in the solid")
    assert 0.08 < share - found < 0.14


def kept(start: str, count: int = 8) -> list[list[float]]:
    """The last figures of every row that begins so."""
    rows = [row for row in KEPT.read_text(encoding="utf-8").splitlines() if row.startswith(start)]
    return [[float(figure) for figure in row.split()[-count:]] for row in rows]


@pytest.mark.slow
def test_kept_table_still_holds() -> None:
    """A row made anew, on its coarser grid, to the last digit but one."""
    (row,) = kept("hard maple")
    for figures, own, find in (
        (row[:4], lap(wood="hard maple"), free_of_half_lap),
        (row[4:], bridle(wood="hard maple"), of_bridle),
    ):
        assert figures[0] == pytest.approx(plane_compliance_of(own) / find(own, COARSE), abs=0.002)
        assert figures[2] == pytest.approx(plane_share(own)[0], abs=0.006)


def test_the_remark_tells_what_the_table_holds() -> None:
    """Per cent too stiff on the finest grid, and from the least to the most of all boards and woods."""
    told = [int(figure) for figure in re.findall(r"(\d+)(?= %| to)", LOPSIDED_NOTE)]
    size = f"{FINEST.depth}, {FINEST.leg}, {FINEST.across}"
    half_lap, _ = kept(f"{DIAGONAL:22s}{size:>12s}", count=6)
    miss = 100 * (1 - half_lap[0])
    boards = [row for wood in ("white oak", "hard maple", "eastern white pine") for row in kept(wood)]
    misses = [100 * (1 - row[1]) for row in boards]
    print(f"{miss:.1f}, {min(misses):.1f} to {max(misses):.1f} %")
    assert len(boards) == 8
    assert told == [round(miss), round(min(misses)), round(max(misses))]
