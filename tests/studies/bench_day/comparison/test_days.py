"""Several Saturdays: pooled, each with its own rig, and held against each other joint for joint."""

from __future__ import annotations

import csv
import io
import json
import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from glueline.studies.bench_day.comparison.bench_report import bench_text, breaks_csv, written_bench
from glueline.studies.bench_day.comparison.comparison import Comparison, compare
from glueline.studies.bench_day.comparison.days import expected_logs, seen_spread, shuffled_probability
from glueline.studies.bench_day.estimates.intervals import fit, gather
from glueline.studies.bench_day.estimates.measured import measure
from glueline.studies.bench_day.log.log_file import read_logs
from glueline.studies.bench_day.rig.rig import Rig, common_error
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.files.json_text import json_text
from tests.studies.bench_day.bench_logs import RIG, rows_of, write_log
from tests.studies.bench_day.comparison.bench_days import BUTT, MITRE, PREDICTED
from tests.studies.command_lines import called

Rows = list[tuple[object, ...]]


def logs_of(folder: Path, *days: Rows) -> list[Path]:
    paths = []
    for number, rows in enumerate(days, 1):
        path = folder / f"day{number}.csv"
        write_log(folder, rows).rename(path)
        paths.append(path)
    return paths


def pooled(paths: list[Path], rigs: list[Rig] | None = None) -> Comparison:
    log = read_logs(paths, rigs or [], force=not rigs)
    joints, pairs, notes = measure(log)
    return compare(log, joints, pairs, {path: PREDICTED[Path(path).stem] for path in log.specimens}, notes)


def times(rows: Rows, factor: float) -> Rows:
    return [(file, label, held * factor, broke * factor, *rest) for file, label, held, broke, *rest in rows]


def share_told_apart(sets: int, factors: tuple[float, ...], steps: tuple[float, ...], seed: int) -> float:
    """Of simulated sets of days, each of four butts and four mitres of 15 % scatter, how many are told apart.

    ``factors`` are the days' true loads over the usual one, ``steps`` those of each day as a share of it.
    """
    random = np.random.default_rng(seed)
    of_set = np.repeat(np.arange(len(factors)), 4)
    level, step = np.array(factors)[of_set], np.array(steps)[of_set]
    loads = level * np.exp(0.15 * random.standard_normal((2 * sets, len(of_set))))
    held = np.floor(loads / step) * step
    fitted = fit(gather([(low, low + step) for low in held]))
    told = 0
    for number in range(sets):
        strata = []
        for joint in (2 * number, 2 * number + 1):
            low, high = np.log(held[joint]), np.log(held[joint] + step)
            place, spread = float(fitted.location[joint]), float(fitted.spread[joint])
            logs = expected_logs(low, high, place, spread)
            strata.append(((logs - logs.mean()) / seen_spread(low, high, spread), of_set))
        told += shuffled_probability(strata, len(factors)) <= 0.05
    return told / sets


def test_logs_are_pooled_label_by_label(tmp_path: Path) -> None:
    """As one log with all their rows; a label is spelled as it first comes."""
    other = [("butt.toml", "BUTT", *row[2:]) for row in BUTT]
    found = pooled(logs_of(tmp_path, [*BUTT, *MITRE], other))
    whole = pooled([write_log(tmp_path, [*BUTT, *MITRE, *BUTT])])
    assert [each.label for each in written_bench(found).joints] == ["butt", "mitre"]
    for one, same in zip(written_bench(found).joints, written_bench(whole).joints, strict=True):
        assert (one.count, one.mean, one.cov, one.ratio) == (same.count, same.mean, same.cov, same.ratio)
    assert whole.days is None
    assert "\n10 specimens" not in bench_text(found, "metric")
    assert "15 specimens of 2 logs, 2 joints" in bench_text(found, "metric")
    rows = list(csv.DictReader(io.StringIO(breaks_csv(found).decode())))
    assert [Path(row["log"]).name for row in rows] == ["day1.csv"] * 10 + ["day2.csv"] * 5


def test_each_log_has_its_own_rig_and_error(tmp_path: Path) -> None:
    """Force by hand; the error of a mean that two rigs share is theirs by shares, in quadrature."""
    (tmp_path / "first.toml").write_text(RIG)
    (tmp_path / "second.toml").write_text(RIG.replace("600 mm", "800 mm").replace('"3 mm"', '"6 mm"'))
    first, second = (read_rig(tmp_path / f"{name}.toml") for name in ("first", "second"))
    heavy = rows_of("butt", "butt", [(20, 22.5), (22.5, 25), (25, 27.5)], "kg")
    light = rows_of("butt", "butt", [(15, 17.5)], "kg")
    found = pooled(logs_of(tmp_path, heavy, light), [first, second])
    g = 9.80665
    assert found.log.breaks[0].lower == pytest.approx((20 * 600 + 6 * 350) / 400 * g)
    assert found.log.breaks[3].lower == pytest.approx((15 * 800 + 6 * 350) / 400 * g)
    error = math.hypot(0.75 * common_error(first, 500.0), 0.25 * common_error(second, 500.0))
    assert found.log.rig_error(found.log.breaks, 500.0) == pytest.approx(error)
    same = pooled(logs_of(tmp_path, heavy, light), [first])
    assert same.log.rig_error(same.log.breaks, 500.0) == pytest.approx(common_error(first, 500.0))
    each = written_bench(found).joints[0]
    wider = math.hypot(math.log(each.limits[1] / each.mean), found.log.rig_error(found.log.breaks, each.mean))
    assert math.log(each.ratio_limits[1] / each.ratio) == pytest.approx(wider)


def test_shuffling_agrees_with_scipy() -> None:
    """scipy.stats.permutation_test on one joint, every one of its 252 ways."""
    random = np.random.default_rng(3)
    for apart in (0.0, 0.12, 0.25):
        logs = 0.15 * random.standard_normal(10) + np.repeat([0.0, apart], 5)
        exact = stats.permutation_test(
            (logs[:5], logs[5:]), lambda one, two: abs(one.mean() - two.mean()), alternative="greater"
        ).pvalue
        ours = shuffled_probability([(logs - logs.mean(), np.repeat([0, 1], 5))], 2)
        assert ours == pytest.approx(exact, abs=0.015)


def test_days_that_differ_are_told_and_by_how_much(tmp_path: Path) -> None:
    found = pooled(logs_of(tmp_path, [*BUTT, *MITRE], times([*BUTT, *MITRE], 0.6)))
    days = found.days
    assert days is not None
    assert days.differ
    assert days.joints == ("butt", "mitre")
    assert "The days differ: joint for joint day2.csv lies 40 % below day1.csv (p = 0.00" in days.words
    assert days.words in bench_text(found, "metric")
    one, two = (each.over_common for each in days.days)
    assert one is not None
    assert two is not None
    assert two / one == pytest.approx(0.6, rel=0.01)
    assert json.loads(json_text(written_bench(found)))["days"]["differ"] is True


def test_a_joint_that_scatters_wildly_does_not_drown_the_others(tmp_path: Path) -> None:
    """A slip of ten among the mitres beside butts that are 40 % weaker: each by the inverse of its variance.

    By hand from the middles of the intervals; counted alike, the two would all but cancel.
    """
    slip = [*MITRE[:-1], (*MITRE[-1][:2], 14_000, 15_000, *MITRE[-1][4:])]
    days = pooled(logs_of(tmp_path, [*BUTT, *MITRE], [*times(BUTT, 0.6), *slip])).days
    assert days is not None
    one, two = (each.over_common for each in days.days)
    assert one is not None
    assert two is not None
    shifts, weights = [], []
    for first, second in ((BUTT, times(BUTT, 0.6)), (MITRE, slip)):
        logs = [
            np.log([math.sqrt(float(row[2]) * float(row[3])) for row in rows]) for rows in (first, second)
        ]
        shifts.append(logs[1].mean() - logs[0].mean())
        weights.append(1 / np.concatenate(logs).var())
    assert two / one == pytest.approx(math.exp(np.average(shifts, weights=weights)), rel=0.03)
    assert two / one < 0.72 < 0.9 < math.exp(np.mean(shifts))


def test_days_alike_are_not_told_apart(tmp_path: Path) -> None:
    found = pooled(logs_of(tmp_path, [*BUTT, *MITRE], [*MITRE, *BUTT], times([*BUTT, *MITRE], 1.02)))
    assert found.days is not None
    assert found.days.differ is False
    assert "The days cannot be told apart" in found.days.words


@pytest.mark.parametrize(
    ("days", "why"),
    [
        ([BUTT[:1], BUTT[1:2]], "too few specimens of the same joint (butt)"),
        ([BUTT, MITRE], "no joint whose load could be told was broken on two of them"),
        ([BUTT[:3], BUTT[2:]], None),
    ],
)
def test_what_cannot_be_told_is_not_claimed(tmp_path: Path, days: list[Rows], why: str | None) -> None:
    found = pooled(logs_of(tmp_path, *days)).days
    assert found is not None
    if why is None:
        assert found.differ is not None or "too few" in found.words
        return
    assert (found.differ, found.probability) == (None, None)
    assert f"cannot be told: {why}" in found.words


@pytest.mark.parametrize("steps", [(0.1, 0.1), (0.05, 0.2), (0.1, 0.1, 0.2)])
def test_days_alike_are_taken_for_different_in_one_of_twenty(steps: tuple[float, ...]) -> None:
    """200 sets of days: at most 9 %, which is 5 % and 2.6 standard errors of it."""
    assert share_told_apart(200, (1.0,) * len(steps), steps, seed=11) <= 0.09


def test_a_day_a_third_weaker_is_found() -> None:
    assert share_told_apart(100, (1.0, 0.67), (0.1, 0.1), seed=5) > 0.9


def test_a_joint_broken_on_one_day_only_says_nothing_of_the_days() -> None:
    deviations: NDArray[np.float64] = np.array([-3.0, -2.0, -1.0, 1.0, 2.0, 3.0])
    days = np.array([0, 1, 0, 1, 0, 1])
    alone = (np.array([-50.0, 50.0]), np.array([1, 1]))
    assert shuffled_probability([(deviations, days)], 2) == pytest.approx(
        shuffled_probability([(deviations, days), alone], 2), abs=0.12
    )


def test_the_command_pools_logs_and_rigs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "first.toml").write_text(RIG)
    (tmp_path / "second.toml").write_text(RIG.replace("600 mm", "800 mm"))
    heavy = rows_of("butt", "butt", [(20, 22.5), (22.5, 25), (25, 27.5), (20, 22.5)], "kg")
    light = rows_of("butt", "butt", [(15, 17.5), (17.5, 20), (15, 17.5), (12.5, 15)], "kg")
    one, two = logs_of(tmp_path, heavy, light)
    rigs = ("--rig", tmp_path / "first.toml", "--rig", tmp_path / "second.toml")
    done = called(
        capsys, "bench", one, two, *rigs, "--method", "elastic", "--json", "--out", tmp_path / "out"
    )
    assert done.returncode == 0
    found = json.loads(done.stdout)
    assert [Path(day["log"]).name for day in found["days"]["days"]] == ["day1.csv", "day2.csv"]
    assert found["joints"][0]["n"] == 8
    assert found["joints"][0]["specimens"] == ["butt.toml"]
    assert found["days"]["words"].startswith("The days ")
    done = called(capsys, "bench", one, two, "--rig", tmp_path / "first.toml", *rigs)
    assert done.returncode == 2
    assert "--rig: is given 3 times for 2 logs" in done.stderr
