"""Model errors beside the common quality, against closed forms, quadrature, statsmodels and simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats
from statsmodels.regression.mixed_linear_model import MixedLM

from glueline.materials import find_glue
from glueline.studies.bench_day.calibration import joint_errors
from glueline.studies.bench_day.calibration.calibration import QUALITIES, Intervals, calibrate
from glueline.studies.bench_day.calibration.joint_errors import (
    MODEL_ERROR,
    calibrate_joints,
    own_up,
    table_width,
)

POWER = 0.8
CURVE = 500 * np.array(QUALITIES) ** POWER  # an invented joint of 500 N
WIDTH = table_width(find_glue("pva"))


def stepped(loads: np.ndarray, step: float) -> Intervals:
    lower = np.floor(loads / step) * step
    return Intervals(lower, lower + step, CURVE)


def chance_of(joint: Intervals, size: float) -> np.ndarray:
    """Log likelihood by scatter and quality at one size of the error."""
    return joint_errors._joint_chance([[joint]], float(np.log(0.7)), np.array([size]), 0.0)[:, 0]


@pytest.mark.parametrize("size", [0.05, 0.3])
def test_fine_steps_are_a_multivariate_normal(size: float) -> None:
    """Specimens of one joint share its error: scatter on the diagonal, the error's square everywhere."""
    loads = 350 * np.exp(np.random.default_rng(4).normal(size=5) * 0.15)
    found = chance_of(stepped(loads, 0.01), size)
    at = np.flatnonzero(np.abs(joint_errors._QUALITIES - np.log(0.7)) < 0.5)
    for number, scatter in enumerate(joint_errors._SCATTERS[3:7], start=3):
        middle = np.log(500) + POWER * joint_errors._QUALITIES[at] - scatter**2 / 2
        shared = scatter**2 * np.eye(5) + size**2
        exact = [stats.multivariate_normal.logpdf(np.log(loads), np.full(5, m), shared) for m in middle]
        drop, expected = found[number, at] - found[number, at[0]], np.array(exact) - exact[0]
        assert drop == pytest.approx(expected, abs=0.03)


def test_wide_and_open_intervals_are_as_by_quadrature() -> None:
    rows = [(0.0, 300.0), (300.0, 350.0), (400.0, np.inf), (350.0, 400.0)]
    joint = Intervals(*np.array(rows).T, CURVE)
    size, number = 0.3, 5
    scatter = joint_errors._SCATTERS[number]
    found = chance_of(joint, size)[number]
    for at in np.flatnonzero(np.abs(joint_errors._QUALITIES - np.log(0.7)) < 0.8)[::8]:
        middle = np.log(500) + POWER * joint_errors._QUALITIES[at] - scatter**2 / 2

        def density(error: float, middle: float = middle) -> float:
            with np.errstate(divide="ignore"):
                ends = (np.log(np.array(rows)) - middle - error) / scatter
            return float(np.prod(np.diff(stats.norm.cdf(ends))) * stats.norm.pdf(error, scale=size))

        exact, _ = integrate.quad(density, -2.0, 2.0, epsabs=1e-14, limit=200)
        assert found[at] == pytest.approx(np.log(exact), abs=0.02)


def test_many_joints_agree_with_a_mixed_model() -> None:
    """Twelve joints of six, fine steps: statsmodels' MixedLM (restricted likelihood) as the outside."""
    rng = np.random.default_rng(8)
    errors, scatter = np.repeat(rng.normal(size=12) * 0.25, 6), 0.15
    logs = np.log(350) + errors + rng.normal(size=72) * scatter
    joints = [[stepped(np.exp(logs[6 * at : 6 * at + 6]), 0.05)] for at in range(12)]
    found = own_up(joints, 0.7, WIDTH)
    outside = MixedLM(logs, np.ones((72, 1)), groups=np.repeat(np.arange(12), 6)).fit()
    half = 1.96 * float(outside.bse_fe[0])
    low, high = found.interval
    assert low is not None
    assert high is not None
    middle = (float(outside.fe_params[0]) + outside.scale / 2 - np.log(500)) / POWER
    assert 0.5 * np.log(low * high) == pytest.approx(middle, abs=0.02)
    # Its limits take the size of the errors as known, ours do not, and are up to a fifth wider.
    assert half < 0.5 * POWER * np.log(high / low) < 1.25 * half
    assert found.model.from_breaks
    assert found.model.size == pytest.approx(float(np.sqrt(outside.cov_re.item())), rel=0.2)


def test_error_of_one_joint_is_the_stated_one_and_does_not_average_out() -> None:
    loads = 350 * np.exp(np.random.default_rng(3).normal(size=400) * 0.1)
    found = own_up([[stepped(loads, 0.5)]], 0.7, WIDTH)
    assert found.model.size == MODEL_ERROR
    assert not found.model.from_breaks
    low, high = found.interval
    assert low is not None
    assert high is not None
    # By hand: 400 specimens leave only the joint's error, read through the curve.
    assert 0.5 * np.log(high / low) == pytest.approx(1.96 * MODEL_ERROR / POWER, rel=0.03)
    # Another joint misses by its own error at least.
    assert found.model.load_factor > np.exp(1.96 * MODEL_ERROR)


def test_files_of_one_kind_share_its_error() -> None:
    rng = np.random.default_rng(6)
    files = [stepped(350 * np.exp(rng.normal(size=5) * 0.1), 10) for _ in range(2)]
    one, two = own_up([files], 0.65, WIDTH), own_up([[each] for each in files], 0.65, WIDTH)
    assert one.interval[0] is not None
    assert two.interval[0] is not None
    assert one.interval[0] < 0.9 * two.interval[0]
    assert (one.model.joints, two.model.joints) == (1, 2)


def test_quality_is_drawn_toward_the_table_and_less_where_joints_agree() -> None:
    rng = np.random.default_rng(7)
    joints = [[stepped(330 * np.exp(rng.normal(size=5) * 0.1), 10)] for _ in range(4)]
    alone = calibrate([group for joint in joints for group in joint]).quality
    several, single = calibrate_joints(joints, WIDTH), calibrate_joints(joints[:1], WIDTH)
    assert alone is not None
    assert several.by_breaks == alone
    assert single.by_breaks is not None
    assert single.quality is not None
    assert several.quality is not None
    assert several.model is not None
    assert alone < several.quality < single.quality < 1.0
    assert several.model.size < MODEL_ERROR
    # A glue of 5 % is no matter of a model error: the tails let go.
    spoilt = calibrate_joints([[stepped(500 * 0.08**POWER * np.ones(5), 5)]], WIDTH)
    assert spoilt.quality is not None
    assert spoilt.quality < 0.2


def test_error_shared_by_all_breaks_widens_the_limits() -> None:
    joints = [[stepped(350 * np.exp(np.random.default_rng(3).normal(size=9) * 0.05), 1)]]
    low, high = own_up(joints, 0.7, WIDTH, common_error=0.4).interval
    assert low is not None
    assert high is not None
    # By hand: 40 % of half-width beside 1.96 errors of 30 %, in quadrature, and little scatter.
    assert 0.5 * np.log(high / low) == pytest.approx(np.hypot(0.4, 1.96 * MODEL_ERROR) / POWER, rel=0.03)


def test_one_specimen_says_that_its_scatter_is_taken() -> None:
    found = calibrate_joints([[Intervals(np.array([300.0]), np.array([320.0]), CURVE)]], WIDTH)
    assert found.interval is not None
    assert any("one specimen" in words and "not seen" in words for words in found.remarks)
