"""Rig statics against hand calculation, simulation and a general least-squares routine."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from glueline.studies.bench_day.rig.check_weighings import Scale, correct
from glueline.studies.bench_day.rig.rig import (
    CheckWeighing,
    ForceLine,
    Lever,
    Rig,
    direct_line,
    hinge_share,
    joint_force,
    joint_force_uncertainty,
    lever_line,
    specimen_preload,
    stacked_weight,
)
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.bench_day.rig.rig_report import rig_text, stacked_table, written_rig
from glueline.studies.commands import main
from glueline.studies.corner.arrangements import APEX_PRESS, ARRANGEMENTS
from tests.studies.bench_day.rig.rig_files import PLATFORM, checks, write


def test_platform_by_hand(tmp_path: Path) -> None:
    """Moments about the hinge, by hand: 10 kg at 800 mm and 6 kg at 450 mm against the specimen at 400 mm.

    (10 * 800 + 6 * 450) / 400 = 26.75 kg; times 9.80665 m/s2 (standard gravity, CGPM 1901) 262.3279 N.
    With nothing stacked 6 * 450 / 400 = 6.75 kg = 66.1949 N. Upward on the hinge: 26.75 - 16 = 10.75 kg.
    """
    rig = read_rig(write(tmp_path, PLATFORM))
    np.testing.assert_allclose(joint_force(rig, [0, 10]), [66.19489, 262.32789], rtol=1e-7)
    np.testing.assert_allclose(joint_force_uncertainty(rig, [0, 10]), 0, atol=1e-12)
    assert hinge_share(Lever(400.0, 800.0, 450.0)) == pytest.approx(-1.0)


def test_platform_in_inches_and_pounds_by_hand(tmp_path: Path) -> None:
    """The same lever in inches: 20 lb at 24 in, 10 lb at 12 in, specimen at 16 in.

    (20 * 24 + 10 * 12) / 16 = 37.5 lbf = 166.808 N (1 lbf = 4.4482216 N, NIST SP 811, Appendix B).
    """
    text = PLATFORM.replace("400 mm", "16 in").replace("800 mm", "24 in").replace("450 mm", "1 ft")
    rig = read_rig(write(tmp_path, text.replace("6 kg", "10 lb")))
    assert float(joint_force(rig, 20 * 0.45359237)) == pytest.approx(166.80831, rel=1e-6)


@pytest.mark.parametrize("kind", ["press", "hung weight"])
def test_direct_rigs_by_hand(tmp_path: Path, kind: str) -> None:
    """Load = weight + own: (12 + 1.5) kg * 9.80665 = 132.3898 N."""
    text = f'[rig]\nkind = "{kind}"\narrangement = "apex press"\nown_weight = "1.5 kg"\n'
    rig = read_rig(write(tmp_path, text))
    assert float(joint_force(rig, 12.0)) == pytest.approx(132.38978, rel=1e-7)


def test_error_of_one_distance_by_hand() -> None:
    """Distances known to +- 4 mm, the specimen's being 400 mm: 1 %, as a standard uncertainty 1 % / sqrt 3.

    Rectangular distribution, JCGM 100:2008, 4.3.7. The specimen's place brings 800/400 * 1 % / sqrt 3 =
    0.011547, the weights' place 4/400 / sqrt 3 = 0.0057735.
    """
    line = lever_line(Lever(400.0, 800.0, 450.0), own_weight=0.0, position_error=4.0, weight_error=0.0)
    expected = math.hypot(0.011547005, 0.0057735027)
    assert math.sqrt(line.per_stacked_variance) == pytest.approx(expected, rel=1e-6)
    assert line.preload_variance == 0.0


def test_uncertainty_against_simulation() -> None:
    """The propagated uncertainty against 200,000 rigs whose measures err within their half-widths."""
    random = np.random.default_rng(5)
    lever, own, stacked = Lever(400.0, 800.0, 450.0), 60.0, 200.0
    line = lever_line(lever, own, position_error=5.0, weight_error=0.02)
    at, far, centre = (random.uniform(place - 5, place + 5, 200_000) for place in (400.0, 800.0, 450.0))
    owns, weights = (random.uniform(0.98 * load, 1.02 * load, 200_000) for load in (own, stacked))
    forces = (weights * far + owns * centre) / at
    assert float(line.uncertainty(stacked)) == pytest.approx(forces.std(), rel=0.01)
    assert float(line.force(stacked)) == pytest.approx(forces.mean(), rel=0.001)


def corner_moment_of_own_weight(arrangement: str, points: int = 4000) -> tuple[float, float]:
    """Corner moments of slender unit legs of weight 1/2 each and of P = 1 N, by summing over the leg.

    Axes as the rig stands: gravity along -y, corner at the origin, the free body is one leg.
    """
    along = (np.arange(points) + 0.5) / points
    weights = np.full(points, 0.5 / points)
    if arrangement == "apex press":
        leg = np.array([math.sqrt(0.5), -math.sqrt(0.5)])
        support = 0.5  # each foot bears half of the whole weight
        own = support * leg[0] - float(weights @ (along * leg[0]))
        return own, 0.5 * leg[0]
    if arrangement.startswith("cantilever"):
        return float(weights @ along), 1.0
    reach = math.sqrt(0.5)  # of the corner from the upright load line
    upper = np.stack([-reach * along, reach * along], axis=1)
    lower = np.stack([-reach * along, -reach * along], axis=1)
    moment_about_foot = float(weights @ (upper[:, 0] + reach)) + float(weights @ (lower[:, 0] + reach))
    sideways = moment_about_foot / (2 * reach)  # at the upper tip, keeps the whole from tipping over
    own = float(weights @ -upper[:, 0]) + sideways * reach
    return own, reach


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_share_of_the_specimens_weight(arrangement: str) -> None:
    """The share by equal corner moment, from statics summed over the legs."""
    own, unit_load = corner_moment_of_own_weight(arrangement)
    load, variance = specimen_preload(ARRANGEMENTS[arrangement], 1.0, weight_error=0.0)
    assert load == pytest.approx(own / unit_load, rel=1e-3)
    assert variance == 0.0


def test_preload_counts_platform_and_specimen(tmp_path: Path) -> None:
    """66.1949 N of the platform and half of a 2 kg specimen: 9.80665 N more."""
    rig = read_rig(write(tmp_path, PLATFORM + 'specimen_weight = "2 kg"\n'))
    assert float(joint_force(rig, 0.0)) == pytest.approx(66.19489 + 9.80665, rel=1e-6)
    assert any("50 %" in words for words in rig.assumptions)


def test_measured_line_against_a_general_fit() -> None:
    """Weighted least squares against scipy.optimize.curve_fit with the same known deviations."""
    statics = lever_line(Lever(400.0, 800.0, 450.0), 60.0, 2.0, 0.02)
    stacked = np.array([0.0, 50.0, 100.0, 150.0, 200.0])
    reading = 64.0 + 1.93 * stacked + np.array([0.2, -1.0, 1.5, -0.5, 1.0])
    scale = Scale(step=1.0, error=0.0, weight_error=0.02)
    pairs = [CheckWeighing(*pair) for pair in zip(stacked, reading, strict=True)]
    found = correct(statics, pairs, scale)
    deviation = np.hypot(1 / math.sqrt(12), 0.02 / math.sqrt(3) * 2.0 * stacked)
    best, covariance = curve_fit(
        lambda x, a, b: a + b * x, stacked, reading, sigma=deviation, absolute_sigma=True
    )
    chi_squared = float((((reading - best[0] - best[1] * stacked) / deviation) ** 2).sum())
    covariance = covariance * max(1.0, chi_squared / 3)
    assert found.line.preload == pytest.approx(best[0], rel=1e-6)
    assert found.line.per_stacked == pytest.approx(best[1], rel=1e-6)
    assert found.line.preload_variance == pytest.approx(covariance[0, 0], rel=1e-4)
    assert found.line.per_stacked_variance == pytest.approx(covariance[1, 1], rel=1e-4)
    assert found.line.covariance == pytest.approx(covariance[0, 1], rel=1e-4)


def test_one_weighing_scales_the_statics_by_hand() -> None:
    """Statics give 20 + 2 * 40 = 100 N, the scale 90 N: every force counts for 0.9 of the statics."""
    statics = ForceLine(20.0, 2.0, 0.0, 0.0, 0.0)
    found = correct(statics, [CheckWeighing(40.0, 90.0)], Scale(step=0.0001, error=0.0, weight_error=0.0))
    assert found.line.preload == pytest.approx(18.0)
    assert found.line.per_stacked == pytest.approx(1.8)
    assert found.ratio == pytest.approx(0.9)


def test_corrected_force_covers_the_truth() -> None:
    """Of 2,000 simulated rigs at least 93 % hold the true force inside the expanded uncertainty (k = 2).

    Each has a hinge that takes 0 to 10 %, plates and a scale that err as stated; the force is looked up at
    twice the heaviest weighing.
    """
    random = np.random.default_rng(11)
    scale = Scale(step=1.0, error=0.01, weight_error=0.02)
    nominal = np.array([0.0, 60.0, 120.0, 180.0])
    inside = 0
    for _ in range(2000):
        hinge = 1 - random.uniform(0, 0.1)
        preload, per_stacked = 66.0 * hinge, 2.0 * hinge
        statics = ForceLine(66.0, 2.0, 1.0, 1e-4, 0.0)
        gain = random.uniform(0.99, 1.01)
        plates = nominal * random.uniform(0.98, 1.02, nominal.size)
        reading = np.round(gain * (preload + per_stacked * plates))
        found = correct(statics, [CheckWeighing(*p) for p in zip(nominal, reading, strict=True)], scale)
        truth = preload + per_stacked * 360.0
        inside += abs(float(found.line.force(360.0)) - truth) <= 2 * float(found.line.uncertainty(360.0))
    assert inside >= 0.93 * 2000


def test_share_lost_to_the_hinge_is_warned_of(tmp_path: Path) -> None:
    """Eight percent less than statics (26.75, 46.75 kg), far beyond plates and scale: 24.6 and 43.0 kg."""
    text = PLATFORM + checks((10, 24.6), (20, 43.0), (30, 61.4))
    rig = read_rig(write(tmp_path, text))
    assert rig.correction is not None
    assert rig.correction.ratio == pytest.approx(0.92, abs=0.001)
    assert any("hinge or friction" in warning for warning in rig.warnings)
    assert float(joint_force(rig, 30)) == pytest.approx(61.4 * 9.80665, rel=1e-3)


def test_agreement_is_not_warned_of(tmp_path: Path) -> None:
    rig = read_rig(write(tmp_path, PLATFORM + checks((10, 26.7), (20, 46.9), (30, 66.6))))
    assert not any("statics" in warning for warning in rig.warnings)


def test_more_force_than_statics_points_to_a_measure(tmp_path: Path) -> None:
    rig = read_rig(write(tmp_path, PLATFORM + checks((10, 29.0), (20, 50.9), (30, 73.0))))
    assert any("friction cannot add force" in warning for warning in rig.warnings)


def test_an_outlying_weighing_is_left_out_and_named(tmp_path: Path) -> None:
    text = PLATFORM + checks((0, 6.7), (10, 26.8), (20, 40.1), (30, 66.8), (40, 86.7))
    rig = read_rig(write(tmp_path, text))
    assert rig.correction is not None
    assert [round(check.stacked / 9.80665) for check in rig.correction.outliers] == [20]
    assert rig.correction.ratio == pytest.approx(1.0, abs=0.005)
    assert any("left out" in warning and "20 kg" in warning for warning in rig.warnings)


@settings(max_examples=100, deadline=None)
@given(st.floats(50, 2000), st.floats(50, 2000), st.floats(50, 2000), st.floats(0, 500), st.floats(0, 1000))
def test_stacked_weight_undoes_the_force(
    at: float, far: float, centre: float, own: float, stacked: float
) -> None:
    line = lever_line(Lever(at, far, centre), own, 2.0, 0.02)
    rig = Rig("press", APEX_PRESS, direct_line(0, 0), line)
    assert float(stacked_weight(rig, joint_force(rig, stacked))) == pytest.approx(stacked, rel=1e-9, abs=1e-9)
    assert float(joint_force_uncertainty(rig, stacked)) >= 0


def test_the_rig_of_the_readme(tmp_path: Path) -> None:
    """20 kg at 600 mm and 6 kg at 350 mm against 400 mm: 35.25 kg by statics; the scale read 34.2 kg."""
    readme = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
    rig = read_rig(write(tmp_path, readme[readme.index("[rig]") :].partition("```")[0]))
    assert float(rig.statics.force(20 * 9.80665)) / 9.80665 == pytest.approx(35.25)
    assert rig.correction is not None
    assert rig.correction.ratio == pytest.approx(34.2 / 35.25)


def test_the_command_prints_the_transmission(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, PLATFORM + checks((10, 26.7), (20, 46.9)))
    assert main(["rig", path, "--json", "--up-to", "40 kg"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["kind"] == "hinged platform"
    assert answer["statics"]["force_per_stacked_kg_N"] == pytest.approx(2 * 9.80665)
    assert answer["table"][-1]["stacked_kg"] == pytest.approx(40)
    assert answer["table"][-1]["force_N"] == pytest.approx(
        answer["preload_N"] + 40 * answer["force_per_stacked_kg_N"]
    )
    assert main(["rig", path, "--units", "imperial"]) == 0
    text = capsys.readouterr().out
    assert "lbf" in text
    assert "9.80665" in text
    assert "eye protection" in text
    assert "safe" not in text.lower()


def test_preloads_by_statics_and_by_scale_both_hold_the_specimen(tmp_path: Path) -> None:
    """By hand: 6 kg at 450 mm over 400 mm is 66.195 N, half of 2 kg more is 9.807 N: 76.002 N by statics.

    One weighing of 44 kg where statics give 20 * 2 + 6.75 = 46.75 kg scales the platform alone, by 0.94118:
    62.301 N, with the specimen 72.108 N. The difference, 3.894 N, is that of the platform.
    """
    text = PLATFORM + 'specimen_weight = "2 kg"\n' + checks((20, 44))
    rig = read_rig(write(tmp_path, text))
    answer = written_rig(rig, stacked_table(40.0, "metric"))
    own, statics, correction = answer.specimen_preload, answer.statics, answer.correction
    assert own == pytest.approx(9.80665)
    assert statics.preload == pytest.approx(66.19489 + 9.80665)
    assert answer.preload == pytest.approx(66.19489 * 44 / 46.75 + 9.80665)
    assert correction is not None
    assert correction.measured.preload == pytest.approx(answer.preload)
    assert correction.preload_difference == pytest.approx(answer.preload - statics.preload)
    assert answer.preload - own == pytest.approx(correction.factor * (statics.preload - own))
    text = rig_text(rig, stacked_table(40.0, "metric"), "metric")
    assert re.search(r"force with nothing stacked +72\.11 N", text)
    assert re.search(r"of it the specimen's own weight +9\.807 N", text)
    assert re.search(r"by distances and weights alone +19\.61 N .* per kg, 76 N .* nothing stacked", text)
    assert re.search(r"by the scale, against that +0\.941 .* of the force per kg", text)


def test_without_check_weighings_the_statics_are_what_is_used(tmp_path: Path) -> None:
    rig = read_rig(write(tmp_path, PLATFORM + 'specimen_weight = "2 kg"\n'))
    answer = written_rig(rig, stacked_table(40.0, "metric"))
    statics = msgspec.structs.asdict(answer.statics)
    assert {name: getattr(answer, name) for name in statics} == statics
    bare = read_rig(write(tmp_path, PLATFORM))
    assert written_rig(bare, stacked_table(40.0, "metric")).specimen_preload == 0
    assert "own weight  " not in rig_text(bare, stacked_table(40.0, "metric"), "metric")
