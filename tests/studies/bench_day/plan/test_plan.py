"""The bench day's plan: sample sizes against tables and simulation, weights, order, cut list, sheets."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.power import TTestIndPower

from glueline.studies.bench_day.expected import KeptAnswer, expected
from glueline.studies.bench_day.plan.cut_list import Blank, BlankTooLong, blanks_of, boards_to_buy
from glueline.studies.bench_day.plan.plan import PLATES_KG, Wishes, make_plan, random_order
from glueline.studies.bench_day.plan.plan_report import plan_text, written_plan
from glueline.studies.bench_day.plan.power import power_of_test, replicates_for_precision, widened_by_steps
from glueline.studies.bench_day.rig.rig import joint_force, joint_force_uncertainty
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.scatter.lognormal import load_of_band, log_deviation
from tests.studies.bench_day.plan.plan_examples import needed, of, rig
from tests.studies.made_up_answers import made_up


@pytest.mark.parametrize(
    ("effect", "significance", "table"),
    [
        (0.2, 0.01, 586),
        (0.2, 0.05, 393),
        (0.2, 0.10, 310),
        (0.5, 0.01, 95),
        (0.5, 0.05, 64),
        (0.5, 0.10, 50),
        (0.8, 0.01, 38),
        (0.8, 0.05, 26),
        (0.8, 0.10, 20),
    ],
)
def test_sample_sizes_of_a_published_table(effect: float, significance: float, table: int) -> None:
    """Cohen 1992, A power primer, Psychological Bulletin 112, Table 2 (power 0.80), from memory.

    The table rounds to the nearest whole number, here the next one up is taken: at most one more.
    """
    assert needed(effect, significance, 0.80) in (table, table + 1)


@pytest.mark.parametrize("effect", [0.4, 0.8, 1.2, 1.7, 2.4, 3.3])
@pytest.mark.parametrize("significance", [0.05, 0.05 / 3, 0.05 / 6])
@pytest.mark.parametrize("power", [0.8, 0.9])
def test_sample_sizes_against_statsmodels(effect: float, significance: float, power: float) -> None:
    exact = TTestIndPower().solve_power(effect_size=effect, nobs1=None, alpha=significance, power=power)
    assert needed(effect, significance, power) == max(2, math.ceil(float(exact) - 1e-6))


@pytest.mark.parametrize(("replicates", "ratio", "cov"), [(5, 1.5, 0.2), (8, 1.3, 0.18), (3, 2.0, 0.25)])
def test_power_against_simulated_lognormal_loads(replicates: int, ratio: float, cov: float) -> None:
    """40,000 pairs of samples of lognormal loads, Student's t test on their logarithms (scipy.stats)."""
    random = np.random.default_rng(3)
    spread = float(log_deviation(cov))
    first, second = (
        random.lognormal(math.log(median), spread, (40_000, replicates)) for median in (ratio, 1.0)
    )
    found = stats.ttest_ind(np.log(first), np.log(second), axis=1).pvalue < 0.05
    assert power_of_test(math.log(ratio) / spread, replicates, 0.05) == pytest.approx(found.mean(), abs=0.01)


@settings(max_examples=200, deadline=None)
@given(st.floats(0.001, 200), st.integers(2, 5000), st.floats(1e-5, 0.5))
def test_power_is_always_a_share(effect: float, replicates: int, significance: float) -> None:
    """SciPy's noncentral t has no number in far tails; the power must have one, and grow with the effect."""
    power = power_of_test(effect, replicates, significance)
    assert 0 <= power <= 1
    assert power_of_test(effect * 1.5, replicates, significance) >= power - 1e-9


def test_lognormal_band_by_hand() -> None:
    """Band 100 to 400 N: median 200 N, log deviation ln 4 / (2 * 1.644854) = 0.421403 (normal quantile)."""
    found = load_of_band(100.0, 400.0)
    assert found.median == pytest.approx(200)
    assert found.log_deviation == pytest.approx(0.4214035, rel=1e-6)
    assert found.quantile(0.05) == pytest.approx(100, rel=1e-9)
    assert found.quantile(0.95) == pytest.approx(400, rel=1e-9)
    assert found.cov == pytest.approx(
        stats.lognorm(0.4214035, scale=200).std() / stats.lognorm(0.4214035, scale=200).mean()
    )
    with pytest.raises(ValueError, match="band"):
        load_of_band(0.0, 5.0)


def test_precision_by_hand() -> None:
    """Log deviation 0.2 within a factor 1.25 (ln = 0.2231), Student's t table, 95 %.

    n = 5 gives 2.776 * 0.2 / sqrt 5 = 0.2483, n = 6 gives 2.571 * 0.2 / sqrt 6 = 0.2099.
    """
    assert replicates_for_precision(0.2, 0.25, 0.95, 100) == 6
    assert replicates_for_precision(0.2, 0.25, 0.95, 5) is None


def test_steps_widen_the_spread_as_simulated() -> None:
    """Loads rounded into steps of 30 % of the mean, offset at random: log deviation as s2 + h2/12."""
    random = np.random.default_rng(8)
    loads = random.lognormal(0.0, 0.15, 400_000)
    offset = random.uniform(0, 0.3, loads.size)
    middles = np.floor((loads - offset) / 0.3) * 0.3 + offset + 0.15
    assert widened_by_steps(0.15, 0.3) == pytest.approx(np.log(middles).std(), rel=0.05)


def test_weights_and_step_by_hand() -> None:
    """1000 N with 20 %: log deviation sqrt(ln 1.04) = 0.198042, median 1000/sqrt 1.04 = 980.58 N.

    95 %: 980.58 * exp(1.644854 * 0.198042) = 1358.1 N, and 20 % more 1629.8 N = 166.19 kg by standard
    gravity, 10.0 kg of which the preload (98.0665 N) bears: 156.19 kg, in steps. A tenth of the load is
    10.197 kg: plates of 10 kg, so 160 kg. 5 %: 708.0 N; half of it 354.0 N = 36.1 kg, less 10: 26.1 kg, so
    20 kg first.
    Energy: (160 + 10) kg * 9.80665 * 0.025 m = 41.68 J.
    """
    plan = make_plan([of("butt", 1000.0, 0.2)], rig(preload=98.0665), Wishes())
    each = plan.joints[0]
    assert each.band == pytest.approx((708.0, 1358.1), abs=0.1)
    assert each.step == 10.0
    assert each.weights_to_bring == 160.0
    assert each.first_stack == 20.0
    assert each.stored_energy == pytest.approx(41.678, abs=0.001)


def test_step_follows_a_small_spread() -> None:
    """With 4 % of spread a tenth of 1000 N is 2.5 standard deviations; one is 4.08 kg: plates of 2.5 kg."""
    plan = make_plan([of("butt", 1000.0, 0.04)], rig(), Wishes())
    assert plan.joints[0].step == 2.5


def test_a_band_without_width_still_gives_steps() -> None:
    """Steps of a fiftieth of 1000 N, 2.04 kg: plates of 2 kg."""
    kept = KeptAnswer(answer=made_up(1000.0, band=(1000.0, 1000.0)), material_cov=0.0)
    found = expected("butt", read_specimen(str(example_path("butt"))), kept)
    assert make_plan([found], rig(), Wishes()).joints[0].step == 2.0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(30, 20_000), st.floats(0.03, 0.5)), min_size=1, max_size=5),
    st.floats(0, 300),
    st.floats(0, 0.1),
    st.integers(3, 30),
)
def test_a_plan_always_covers_the_band(
    joints: list[tuple[float, float]], preload: float, weight_error: float, most: int
) -> None:
    bench = rig(preload, weight_error)
    found = [of(f"joint {index}", load, cov) for index, (load, cov) in enumerate(joints)]
    plan = make_plan(found, bench, Wishes(most=most))
    for each in plan.joints:
        weight = each.weights_to_bring
        sure = float(joint_force(bench, weight)) - 1.9 * float(joint_force_uncertainty(bench, weight))
        assert sure >= 1.2 * each.band[1] * 0.99
        assert each.step in PLATES_KG
        assert math.isclose(weight / each.step, round(weight / each.step), abs_tol=1e-9)
        assert 0 <= each.first_stack < weight
        assert 3 <= each.replicates <= most
    assert len(plan.order) == sum(each.replicates for each in plan.joints)
    assert {name for _, name in plan.order} == {
        f"{each.label} {number}" for each in plan.joints for number in range(1, each.replicates + 1)
    }


def test_replicates_are_those_of_the_hardest_pair_that_can_be_told() -> None:
    """Three joints, so 1 - 0.95 is shared by three pairs; checked by the power on either side."""
    found = [of("weak", 500.0, 0.2), of("middle", 800.0, 0.2), of("strong", 820.0, 0.2)]
    plan = make_plan(found, rig(), Wishes(most=12))
    counts = {each.label: each.replicates for each in plan.joints}
    pairs = {(pair.stronger, pair.weaker): pair for pair in plan.pairs}
    close = pairs["strong", "middle"]
    assert close.replicates is None
    assert close.needed is not None
    assert close.needed > 12
    spread = [
        widened_by_steps(each.scatter.log_deviation, joint.step * 9.80665 / each.load)
        for each, joint in zip(found, plan.joints, strict=True)
    ]
    effect = math.log(800 / 500) / math.sqrt((spread[0] ** 2 + spread[1] ** 2) / 2)
    count = pairs["middle", "weak"].replicates
    assert count is not None
    assert power_of_test(effect, count, 0.05 / 3) >= 0.8 > power_of_test(effect, count - 1, 0.05 / 3)
    assert counts["weak"] == max(count, pairs["strong", "weak"].replicates or 0)
    text = plan_text(plan, "metric")
    assert "not with 12 of each" in text
    assert {each.replicates_for for each in plan.joints} == {"to tell it from others"}
    assert "own median" not in text


def test_it_is_said_what_replicates_are_for_that_tell_nothing_apart() -> None:
    """Near joints with 20 %: t(0.975, n - 1) * 0.198 / sqrt n <= ln 1.25 = 0.2231 first holds for n = 6.

    By Student's table: 2.776 * 0.198 / sqrt 5 = 0.2458 and 2.571 * 0.198 / sqrt 6 = 0.2078.
    """
    near = [of("butt", 800.0, 0.2), of("mitre", 820.0, 0.2)]
    plan = make_plan(near, rig(), Wishes(most=12))
    assert [(each.replicates, each.replicates_for) for each in plan.joints] == [
        (6, "to know its median"),
        (6, "to know its median"),
    ]
    text = plan_text(plan, "metric")
    assert "not with 12 of each; it would take" in text
    assert (
        "6 of butt, 6 of mitre: enough to know each joint's own median load within a factor of 1.25 at 95 % "
        "confidence, not to tell it from the others."
    ) in text
    assert {each.replicates_for for each in written_plan(plan).specimens} == {"to know its median"}
    alone = plan_text(make_plan(near[:1], rig(), Wishes()), "metric")
    assert "6 of butt: enough" in alone
    assert "not to tell" not in alone
    few = plan_text(make_plan(near, rig(), Wishes(most=4, confidence=0.9999)), "metric")
    assert "4 of butt, 4 of mitre: the most allowed (--most), too few even to know" in few
    assert "at 99.99 % confidence" in few


def test_order_is_random_in_rounds_and_repeats_with_the_seed() -> None:
    counts = [("a", 6), ("b", 6), ("c", 3)]
    order = random_order(counts, seed=4)
    assert order == random_order(counts, seed=4)
    assert order != random_order(counts, seed=5)
    assert sorted(label for label, _ in order[:3]) == ["a", "b", "c"]
    assert sorted(label for label, _ in order[9:11]) == ["a", "b"]
    firsts = {random_order(counts, seed)[0][0] for seed in range(30)}
    assert firsts == {"a", "b", "c"}


@pytest.mark.parametrize(
    ("joint", "lengths"),
    [
        # Legs of 150 mm, boards 19 mm thick; 3 mm of trim; a mitre's blade path 3 * sqrt 2 = 4.24 mm.
        ("butt", {"board A": 153, "board B": 134}),
        ("finger", {"board A": 153, "board B": 153}),
        ("mitre", {"board A": 158, "board B": 158}),
        # A spline 21 mm deep fills a right-angled triangle whose base is 42 mm; 3 mm more at either end.
        ("splined_mitre", {"board A": 158, "board B": 158, "spline": 48}),
        # A dowel through 19 mm of board A and 30 mm deep in B, 3 mm more where it is sawn flush.
        ("dowel", {"board A": 153, "board B": 134, "dowel": 52}),
        # A tenon 20 mm deep in B and 12 mm in A, hidden, so as long as its mortises.
        ("loose_tenon", {"board A": 153, "board B": 134, "tenon": 32}),
    ],
)
def test_blanks_by_hand(joint: str, lengths: dict[str, int]) -> None:
    blanks = blanks_of(joint, read_specimen(str(example_path(joint))), kerf=3.0, round_up=1.0)
    assert {blank.part: blank.length for blank in blanks} == lengths
    for blank in blanks[:2]:
        assert (blank.width, blank.thickness) == (90.0, 19.0)
        assert "maple" in blank.wood
    if joint == "splined_mitre":
        assert blanks[2].each == 3
        assert blanks[2].thickness == pytest.approx(3.2)
        assert "cherry" in blanks[2].wood
    if joint == "dowel":
        assert (blanks[2].each, blanks[2].width, blanks[2].thickness) == (3, 8.0, 8.0)
        assert "beech" in blanks[2].wood.lower()
        assert "round, sawn flush" in blanks[2].note
    if joint == "loose_tenon":
        assert (blanks[2].each, blanks[2].width, blanks[2].thickness) == (1, 50.0, 6.0)
        assert "flush" not in blanks[2].note


def test_dowels_of_a_frame_are_one_row() -> None:
    """Two side by side in the plane, each a rod of its own; hidden in board A."""
    changes = [("boards.lay", "frame"), ("boards.width", "60 mm"), ("boards.leg", "200 mm")]
    changes += [("joint.through", "false"), ("joint.dowels", "2"), ("joint.dowel_depth_in_a", "30 mm")]
    *_, dowel = blanks_of("d", read_specimen(str(example_path("dowel")), changes), 3.0, 1.0)
    assert (dowel.part, dowel.each, dowel.length) == ("dowel", 2, pytest.approx(60.0))


def test_blanks_of_a_frame_and_of_unequal_boards() -> None:
    """In a frame a butt's board B is shorter by A's width of 90 mm; thickness_b is B's own."""
    changes = [("boards.lay", "frame"), ("boards.leg", "400 mm")]
    frame = blanks_of("f", read_specimen(str(example_path("butt")), changes), 3.0, 1.0)
    assert [blank.length for blank in frame] == [403.0, 313.0]
    assert [(blank.width, blank.thickness) for blank in frame] == [(90.0, 19.0)] * 2
    thin = blanks_of(
        "t", read_specimen(str(example_path("butt")), [("boards.thickness_b", "12 mm")]), 3.0, 1.0
    )
    assert [blank.thickness for blank in thin] == [19.0, 12.0]


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 30), st.floats(80, 700), st.floats(0, 6), st.integers(1, 3))
def test_every_blank_is_in_a_board_with_its_kerf(count: int, size: float, kerf: float, each: int) -> None:
    blank = Blank("a", "board A", each, size, 90.0, 19.0, "maple", size, "")
    order = [("a", f"a {number}") for number in range(count)]
    boards = boards_to_buy(order, {"a": [blank]}, kerf, 2400.0)
    assert sum(len(board.blanks) for board in boards) == count * each
    for board in boards:
        cut = len(board.blanks)
        assert board.length - board.left_over == pytest.approx(cut * size + (cut - 1) * kerf)
        assert board.left_over >= 0
    fitting = int((2400 + kerf) // (size + kerf))
    assert len(boards) == math.ceil(count * each / fitting)


def test_a_blank_longer_than_any_board_is_refused() -> None:
    blank = Blank("a", "board A", 1, 900.0, 90.0, 19.0, "maple", 897.0, "")
    with pytest.raises(BlankTooLong, match="900 mm"):
        boards_to_buy([("a", "a 1")], {"a": [blank]}, 3.0, 800.0)
