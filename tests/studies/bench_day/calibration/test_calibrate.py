"""Calibration: quality from intervals against closed forms and simulation, the command, the glue file."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from glueline.materials import find_glue, glue_from_tables, glue_to_tables
from glueline.studies.bench_day.calibration.calibrated_glue import (
    all_remarks,
    check_target,
    choose,
    chosen_labels,
    glue_file_text,
    groups_of,
    one_by_one,
    origin_words,
    untouched,
)
from glueline.studies.bench_day.calibration.calibration import (
    QUALITIES,
    Calibration,
    Intervals,
    ModelError,
    calibrate,
    load_curve,
)
from glueline.studies.bench_day.calibration.joint_errors import table_width
from glueline.studies.bench_day.log.log_file import BenchLog, Break, read_log
from glueline.studies.commands import main
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.failures import InputError
from glueline.studies.files.own_files import read_glue_file
from glueline.studies.predict.predictor import predict
from tests.benchmarks.calibration import World, left_out

HEADER = "specimen,label,held,broke,unit,failure,notes\n"
POWER = 0.8
CURVE = 500 * np.array(QUALITIES) ** POWER  # an invented joint of 500 N


def intervals(loads: np.ndarray, step: float, curve: np.ndarray = CURVE) -> Intervals:
    lower = np.floor(loads / step) * step
    return Intervals(lower, lower + step, curve)


def test_fine_steps_give_students_interval_of_the_mean() -> None:
    """With steps near nothing and a small scatter: the textbook mean and t limits, through the load curve."""
    loads = 350 * np.exp(np.random.default_rng(3).normal(size=9) * 0.02)
    found = calibrate([intervals(loads, 0.01)])
    logs = np.log(loads / 500)
    half = stats.t.ppf(0.975, 8) * logs.std(ddof=1) / 3
    spread = logs.std()
    expected = np.exp((logs.mean() + spread**2 / 2 + np.array([-half, 0, half])) / POWER)
    assert found.quality is not None
    assert found.interval is not None
    assert found.quality == pytest.approx(expected[1], rel=1e-3)
    assert found.interval == pytest.approx(expected[[0, 2]], rel=2e-3)
    assert found.spread == pytest.approx(spread, rel=0.02)


def test_two_joints_share_one_quality() -> None:
    loads = 350 * np.exp(np.random.default_rng(5).normal(size=12) * 0.1)
    alone = calibrate([intervals(loads, 1)])
    second = intervals(3 * loads[:6], 3, 3 * CURVE)
    parted = calibrate([second, intervals(loads[6:], 1)])
    assert parted.quality == pytest.approx(alone.quality, rel=1e-4)
    assert parted.interval == pytest.approx(alone.interval, rel=1e-4)


@pytest.mark.slow
def test_interval_holds_the_hidden_quality_where_the_model_is_right() -> None:
    """Simulated: 95 % limits at n = 6 hold a hidden quality of 70 % at least nine times in ten."""
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(200):
        loads = 500 * 0.7**POWER * np.exp(rng.normal(size=6) * 0.15 - 0.15**2 / 2)
        found = calibrate([intervals(loads, 35)])
        assert found.interval is not None
        low, high = found.interval
        held += low is not None and high is not None and low <= 0.7 <= high
    assert 180 <= held <= 199


def test_error_common_to_all_loads_widens_by_its_share() -> None:
    group = intervals(350 * np.exp(np.random.default_rng(3).normal(size=9) * 0.02), 0.01)
    plain, wide = calibrate([group]), calibrate([group], common_error=0.1)
    assert wide.quality == plain.quality
    assert wide.quality is not None
    assert wide.interval is not None
    # 10 % of load is 10 %/0.8 of quality; the scatter of the mean is small beside it.
    assert np.log(wide.interval[1] / wide.quality) == pytest.approx(0.1 / POWER, rel=0.05)


@pytest.mark.parametrize(
    ("lower", "upper", "word"),
    [
        ([400.0] * 3, [np.inf] * 3, "at least"),
        ([0.0] * 3, [100.0] * 3, "at most"),
        ([9000.0] * 3, [9100.0] * 3, "best glue"),
        ([5.0] * 3, [6.0] * 3, "below"),
    ],
)
def test_what_settles_nothing_is_said(lower: list[float], upper: list[float], word: str) -> None:
    found = calibrate([Intervals(np.array(lower), np.array(upper), CURVE)])
    assert (found.quality, found.interval, found.spread, found.count) == (None, None, None, 3)
    assert word in found.remarks[0]


def test_one_specimen_has_a_quality_without_interval() -> None:
    found = calibrate([Intervals(np.array([300.0]), np.array([320.0]), CURVE)])
    assert found.interval is None
    assert found.quality == pytest.approx((np.sqrt(300 * 320) / 500) ** (1 / POWER), rel=1e-3)


def test_breaks_in_one_interval_have_finite_limits() -> None:
    found = calibrate([Intervals(np.full(4, 300.0), np.full(4, 320.0), CURVE)])
    assert found.interval is not None
    assert found.quality is not None
    low, high = found.interval
    assert low is not None
    assert high is not None
    assert 0.3 < low < (300 / 500) ** (1 / POWER) < found.quality < (320 / 500) ** (1 / POWER) < high < 1
    # By hand: 100 (300/500)^(1/0.8) = 52.8 and 100 (320/500)^(1/0.8) = 57.2.
    assert any("any quality from 53 % to 57 % fits every interval" in words for words in found.remarks)


@pytest.mark.parametrize(
    ("lower", "upper"),
    [
        ([0.0, 375.0, 447.0, 518.0], [126.0, 411.0, 483.0, 554.0]),  # one far below: no load is in all
        ([300.0, 320.0], [320.0, 340.0]),
        ([300.0, 300.0], [300.6, 300.6]),  # one interval, but its ends print the same
    ],
)
def test_a_range_of_qualities_is_claimed_only_where_each_meets_every_interval(
    lower: list[float], upper: list[float]
) -> None:
    found = calibrate([Intervals(np.array(lower), np.array(upper), CURVE)])
    assert found.quality is not None
    assert not any("any quality" in words for words in found.remarks)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 1.8), st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=6), st.floats(5.0, 90.0))
def test_a_claimed_range_of_qualities_is_that_of_the_intervals(
    hidden: float, shifts: list[float], width: float
) -> None:
    """Intervals of one width moved by less than it: the claim is what is common to all, read by the curve."""
    lower = 500 * hidden**POWER - width / 2 + np.array(shifts) * width * 0.6
    group = Intervals(np.maximum(lower, 1.0), np.maximum(lower, 1.0) + width, CURVE)
    found = calibrate([group])
    claims = re.findall(r"any quality from (\d+) % to (\d+) %", " ".join(found.remarks))
    low, high = group.lower.max(), group.upper.min()
    if not claims:
        return
    assert low < high
    ends = 100 * (np.array([low, high]) / 500) ** (1 / POWER)
    assert [float(end) for end in claims[0]] == pytest.approx(ends, rel=0.02, abs=0.6)


def test_no_breaks_are_refused() -> None:
    with pytest.raises(ValueError, match="no breaks"):
        calibrate([Intervals(np.empty(0), np.empty(0), CURVE)])


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 1.8), st.integers(2, 30), st.floats(0.02, 0.4), st.integers(0, 10**6))
def test_any_log_gives_ordered_finite_numbers(hidden: float, n: int, scatter: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    found = calibrate([intervals(500 * hidden**POWER * np.exp(rng.normal(size=n) * scatter), 25)])
    if found.quality is None:
        assert found.interval is None
        return
    assert found.interval is not None
    low, high = found.interval
    assert QUALITIES[0] <= (low or QUALITIES[0]) <= found.quality <= (high or QUALITIES[-1]) <= QUALITIES[-1]


def test_curve_goes_through_predictions_and_never_falls() -> None:
    loads = np.array([10.0, 20, 30, 40, 39.9, 60, 60, 61])
    curve = load_curve(loads)
    dense = curve(np.linspace(np.log(QUALITIES[0]), np.log(QUALITIES[-1]), 500))
    assert np.exp(curve(np.log(QUALITIES)))[[0, 1, 2, 3, 5, 7]] == pytest.approx(loads[[0, 1, 2, 3, 5, 7]])
    assert (np.diff(dense) >= -1e-12).all()


def test_joint_left_out_gains_with_weak_glue_and_hardly_loses_where_the_model_errs() -> None:
    """Gain or loss as it is; tests/benchmarks/calibration.txt has the whole table for the four corners."""
    loads = {"one": CURVE, "two": 3 * CURVE, "three": 2 * CURVE}
    width = table_width(find_glue("pva"))
    weak = left_out(loads, "one", ["two", "three"], World("", 0.6, 0.1, 0.1), 25, 1, width)
    right = left_out(loads, "one", ["two", "three"], World("", 1.0, 0.0, 0.3), 25, 1, width)
    assert weak.calibrated < 0.6 * weak.nominal
    assert right.calibrated < right.nominal + 0.04  # 25 days; two points on average in the table
    # Both held 4 to 6 days of 10 when limits knew of the scatter alone; 2 of 25 missed are usual at 95 %.
    assert min(weak.covered, right.covered, weak.load_covered, right.load_covered) >= 0.84


def a_break(label: str, specimen: str, failure: str = "glue", upper: float = 320.0) -> Break:
    return Break(2, specimen, label, 300.0, upper, failure, "", None)


def test_failure_in_the_wood_says_only_that_the_glue_held() -> None:
    specimen = read_specimen(example_path("butt"))
    rows = (a_break("a", "x"), a_break("a", "x", "wood"), a_break("a", "x", ""), a_break("a", "x", "both"))
    chosen = choose(BenchLog("log.csv", None, rows, ()), ["a"], {"x": specimen})
    (group,) = groups_of(chosen, {"x": CURVE})
    assert group.upper.tolist() == [320.0, np.inf, 320.0, 320.0]
    remarks = " ".join(all_remarks(chosen, Calibration(0.7, (0.6, 0.8), 0.1, 4, ())))
    assert "1 of 4 failed in the wood" in remarks
    assert "1 of 4 have no word" in remarks


def test_every_label_is_also_judged_by_itself() -> None:
    specimen = read_specimen(example_path("butt"))
    rows = [Break(2, "x", "weak", low, low + 10, "glue", "", None) for low in (240.0, 250.0, 270.0)]
    rows += [Break(2, "x", "strong", low, low + 10, "glue", "", None) for low in (380.0, 410.0, 400.0)]
    chosen = choose(BenchLog("log.csv", None, tuple(rows), ()), ["weak", "strong"], {"x": specimen})
    together = calibrate(groups_of(chosen, {"x": CURVE}))
    alone = one_by_one(chosen, {"x": CURVE})
    assert alone["weak"] == calibrate([Intervals(*np.array([[240.0, 250, 270], [250.0, 260, 280]]), CURVE)])
    assert together.quality is not None
    assert (alone["weak"].quality or 9) < together.quality < (alone["strong"].quality or 0)
    assert one_by_one(replace(chosen, labels=("weak",)), {"x": CURVE}) == {}


def test_specimens_with_two_glues_are_refused() -> None:
    first = read_specimen(example_path("butt"))
    second = read_specimen(example_path("butt"), [("glue.kind", "hide")])
    log = BenchLog("log.csv", None, (a_break("a", "x"), a_break("b", "y")), ())
    with pytest.raises(InputError, match="one glue at a time") as caught:
        choose(log, ["a", "b"], {"x": first, "y": second})
    assert first.glue.name in str(caught.value)
    assert second.glue.name in str(caught.value)
    tired = replace(first, glue=replace(first.glue, quality=0.8, calibrated="once before"))
    assert choose(log, ["a", "b"], {"x": first, "y": tired}).glue == untouched(first.glue)


def test_labels_are_found_as_people_write_them() -> None:
    log = BenchLog("l", None, (a_break("Plain butt", "x"), a_break("nine, dry", "x")), ())
    assert chosen_labels(log, "plain-butt") == ("Plain butt",)
    assert chosen_labels(log, "nine, dry") == ("nine, dry",)
    with pytest.raises(InputError, match='did you mean "Plain butt"'):
        chosen_labels(log, "plain but,finger")


@pytest.mark.parametrize("of_table", [True, False])
def test_glue_file_reads_back_with_its_quality_and_its_origin(tmp_path: Path, of_table: bool) -> None:
    glue = find_glue("pva") if of_table else replace(find_glue("pva"), name="ours", film_thickness=0.2)
    specimen = replace(read_specimen(example_path("butt")), glue=glue)
    log = BenchLog('sat"ur\nday.csv', None, (a_break("a = 1", "x"),), ())
    chosen = choose(log, ["a = 1"], {"x": specimen})
    found_so = Calibration(0.712, (0.61, None), 0.1, 1, (), 0.65, ModelError(0.3, 1, False, 2.146))
    origin = origin_words(chosen, found_so, "elastic")
    path = tmp_path / "our_glue.toml"
    path.write_text(glue_file_text(chosen, found_so, origin, str(path)), encoding="utf-8")
    found = read_glue_file(str(path))
    assert (found.quality, found.model_error, found.load_factor) == (0.712, 0.3, 2.15)
    assert "drawn toward the table from 65.0 % by the breaks alone" in found.calibrated
    assert "30 % from joint to joint: a judgement" in found.calibrated
    assert "load_factor" not in found.sources
    assert "95 % limits 61 % to no limit" in found.calibrated
    assert found.calibrated == origin
    assert found.sources["quality"].source == origin
    assert replace(untouched(found), name=glue.name) == untouched(glue)
    assert glue_from_tables(glue_to_tables(found)) == found
    assert "calibrated" not in found.sources


def test_older_glue_files_are_read_and_own_up_to_what_they_lack(tmp_path: Path) -> None:
    glue = tmp_path / "older.toml"
    glue.write_text('like = "pva"\nquality = 0.7\ncalibrated = "by butts"\n', encoding="utf-8")
    changes = [("glue.kind", str(glue))]
    assert any(
        "run calibrate again" in words for words in read_specimen(example_path("butt"), changes).warnings
    )
    for slip in ("load_factor = 0.5", 'model_error = "much"'):
        glue.write_text(f'like = "pva"\ncalibrated = "by butts"\n{slip}\n', encoding="utf-8")
        with pytest.raises(InputError, match=slip.partition(" ")[0]):
            read_specimen(example_path("butt"), changes)


def test_only_a_calibrated_file_is_written_over(tmp_path: Path) -> None:
    ours, other = tmp_path / "ours.toml", tmp_path / "other.toml"
    check_target(str(ours))
    ours.write_text('like = "pva"\ncalibrated = "so"\n', encoding="utf-8")
    check_target(str(ours))
    other.write_text('like = "pva"\n', encoding="utf-8")
    for path in (other, tmp_path / "glue.txt", tmp_path / "none" / "glue.toml", tmp_path):
        with pytest.raises(InputError):
            check_target(str(path))
    with pytest.raises(InputError):
        check_target("a\0.toml")


BY_FORCE = ("--method", "elastic", "--force")


def written_log(folder: Path, *rows: str) -> Path:
    (folder / "butt.toml").write_bytes(example_path("butt").read_bytes())
    path = folder / "log.csv"
    path.write_text(HEADER + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_command_recovers_the_quality_that_made_the_log(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Breaks around the elastic prediction at 60 % quality: found, then drawn toward the table, in words."""
    butt = read_specimen(example_path("butt"))
    load = predict(replace(butt, glue=replace(butt.glue, quality=0.6)), method="elastic").break_load
    rows = [f"butt.toml,b,{load * at - 2},{load * at + 2},N,glue," for at in (0.97, 0.99, 1.0, 1.01, 1.03)]
    log, glue = written_log(tmp_path, *rows), tmp_path / "glue.toml"
    arguments = ["calibrate", str(log), "--using", "b", "--write", str(glue), *BY_FORCE]
    assert main([*arguments, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["quality_by_breaks_alone"] == pytest.approx(0.6, rel=0.01)
    assert 0.6 < found["quality"] < 0.9
    # By hand: 1.96 model errors of 30 % either way of 60 %, somewhat more for loads short of the quality.
    assert 0.27 < found["interval"][0] < 0.6 * np.exp(-1.96 * 0.3)
    assert 0.6 * np.exp(1.96 * 0.3) < found["interval"][1] < 1.35
    error = found["model_error"]
    assert (error["from_breaks"], error["kinds_of_joint"], error["spread_of_log_load"]) == (False, 1, 0.3)
    assert (found["n"], found["written"]) == (5, str(glue))
    assert main(arguments) == 0
    printed = capsys.readouterr().out
    assert "by the breaks alone 60.0 %: drawn toward the table" in printed
    assert "a judgement" in printed
    again = ["predict", str(tmp_path / "butt.toml"), "--set", f"glue.kind={glue}", "--method", "elastic"]
    assert main([*again, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert load < answer["break_load_N"] < predict(butt, method="elastic").break_load
    share = f"{100 * error['load_factor']:.0f} %"
    assert any("the load can be off" in words and share in words for words in answer["warnings"])
    (said,) = (words for words in answer["warnings"] if "calibrated" in words and "5 specimens (b)" in words)
    assert "(predictions: elastic answer)" in said
    assert main(again) == 0
    assert "note: The glue is calibrated" in capsys.readouterr().out


def test_command_says_what_cannot_be_told_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log, glue = written_log(tmp_path, *["butt.toml,b,300,,N,,"] * 3), tmp_path / "glue.toml"
    arguments = ["calibrate", str(log), "--using", "b", "--write", str(glue), *BY_FORCE, "--json"]
    assert main(arguments) == 1
    printed = capsys.readouterr()
    found = json.loads(printed.out)
    assert (found["quality"], found["interval"], found["n"], found["written"]) == (None, None, 3, None)
    assert "holds at least" in printed.err
    assert "nothing is written" in printed.err
    assert not glue.exists()


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--using", "c"], "--using"),
        (["--using", "b", "--write", "glue.csv"], "--write"),
        (["--using", "b", "--set", "boards.wood=unobtainium"], "boards.wood"),
        (["--using", "b", "--element-size", "1 m"], "--element-size"),
        (["--using", "b", "--rig", "no_rig.toml"], "no_rig.toml"),
    ],
)
def test_wrong_command_lines_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], word: str
) -> None:
    log = written_log(tmp_path, "butt.toml,b,300,320,N,glue,")
    write = [] if "--write" in options else ["--write", str(tmp_path / "glue.toml")]
    assert main(["calibrate", str(log), *([] if "--rig" in options else ["--force"]), *write, *options]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert word in printed.err
    assert "Traceback" not in printed.err
    assert not (tmp_path / "glue.toml").exists()


def test_ten_thousand_rows_take_no_longer_than_their_steps(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    lower = np.floor(350 * np.exp(rng.normal(size=10_000) * 0.15) / 25) * 25
    rows = [f"butt.toml,b,{low:g},{low + 25:g},N,glue," for low in lower]
    log = read_log(written_log(tmp_path, *rows), force=True)
    path = log.specimens[0]
    chosen = choose(log, ["b"], {path: read_specimen(path)})
    found = calibrate(groups_of(chosen, {path: CURVE}))
    # The mean of a lognormal with median 350 and log deviation 0.15.
    assert found.quality == pytest.approx((350 * np.exp(0.15**2 / 2) / 500) ** (1 / POWER), rel=0.01)
