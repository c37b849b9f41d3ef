"""glueline bench: what a log says, what it supports, and the prediction beside it."""

from __future__ import annotations

import csv
import io
import json
import math
import time
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from msgspec import structs
from PIL import Image
from scipy import stats

from glueline.studies.bench_day.comparison.bench_report import (
    bench_text,
    breaks_csv,
    joints_csv,
    write_bench,
    written_bench,
)
from glueline.studies.bench_day.comparison.bench_words import prediction_words
from glueline.studies.bench_day.comparison.comparison import Agreement, Comparison, compare
from glueline.studies.bench_day.comparison.parity_picture import draw_parity
from glueline.studies.bench_day.comparison.ranking_picture import draw_bench_ranking
from glueline.studies.bench_day.estimates.measured import MOST_ORDERED, measure
from glueline.studies.bench_day.log.log_file import read_log
from glueline.studies.bench_day.rig.rig import COVERAGE_FACTOR
from glueline.studies.corner.connections import FIBRE_MODES
from glueline.studies.files.json_text import json_text
from glueline.studies.files.units import Units
from tests.studies.bench_day.bench_logs import answer, rows_of, write_log
from tests.studies.bench_day.comparison.bench_days import BUTT, FINGER, MITRE, PREDICTED, compared, joint


def test_the_keys_of_the_contract_and_nothing_that_json_cannot_hold(tmp_path: Path) -> None:
    found = json.loads(json_text(written_bench(compared(tmp_path, [*BUTT, *MITRE, *FINGER]))))
    assert {"joints", "bias", "rank_correlation", "supported_order"} <= set(found)
    keys = {"label", "n", "mean_N", "cov", "p05_N", "ci_N", "predicted_N", "band_N", "ratio"}
    assert all(keys <= set(each) for each in found["joints"])
    assert [each["label"] for each in found["joints"]] == ["butt", "mitre", "fingers"]
    assert sorted(found["supported_order"]) == [["fingers", "butt"], ["fingers", "mitre"], ["mitre", "butt"]]


def test_mean_cov_and_low_value_are_those_of_scipy_on_the_same_intervals(tmp_path: Path) -> None:
    """scipy.stats.lognorm on CensoredData with its own optimiser."""
    found = joint(compared(tmp_path, FINGER), "fingers")
    low = [row[2] for row in FINGER]
    high = [row[3] or math.inf for row in FINGER]
    shape, _, scale = stats.lognorm.fit(stats.CensoredData.interval_censored(low, high), floc=0)
    law = stats.lognorm(shape, scale=scale)
    assert found.mean == pytest.approx(law.mean(), rel=1e-4)
    assert found.cov == pytest.approx(law.std() / law.mean(), rel=1e-3)
    assert found.low_value == pytest.approx(law.ppf(0.05), rel=1e-4)
    assert found.low_limit < found.low_value < found.limits[0] < found.mean < found.limits[1]


def test_one_specimen_has_a_mean_in_its_interval_and_claims_nothing(tmp_path: Path) -> None:
    found = compared(tmp_path, [*BUTT, *rows_of("mitre", "mitre", [(1800, 2000)])])
    alone = joint(found, "mitre")
    assert (alone.count, alone.cov, alone.low_value, alone.limits) == (1, None, None, None)
    assert 1800 < alone.mean < 2000
    assert found.supported_order == ()
    assert "One specimen only, so no order is claimed: mitre." in bench_text(found, "metric")


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([(900, "")] * 4, "none broke"),
        ([("", 300)] * 4, "failed at the first step"),
        ([("", 300), (400, "")], "lie so far apart"),
    ],
)
def test_logs_that_say_nothing_of_the_mean(
    tmp_path: Path, steps: list[tuple[object, object]], words: str
) -> None:
    found = compared(tmp_path, rows_of("butt", "butt", steps))
    nothing = joint(found, "butt")
    names = ("mean", "cov", "low_value", "limits", "ratio", "ratio_limits", "low_limit")
    assert [getattr(nothing, name) for name in names] == [None] * len(names)
    assert found.bias is found.rank_correlation is None
    assert words in bench_text(found, "metric")
    assert len(write_bench(found, tmp_path, "imperial")) == 5


def test_all_in_one_interval_show_no_scatter_and_say_so(tmp_path: Path) -> None:
    """No cov and no 5 % value; the mean lies in the interval, whatever the spread."""
    found = compared(tmp_path, [*rows_of("butt", "butt", [(400, 450)] * 4), *MITRE])
    flat = joint(found, "butt")
    assert flat.cov is flat.low_value is None
    assert flat.shared_interval == pytest.approx([400, 450])
    assert flat.mean == pytest.approx(math.sqrt(400 * 450))
    assert flat.limits[0] <= 400
    assert flat.limits[1] >= 450
    assert ("mitre", "butt") in found.supported_order
    assert "the scatter is less than these steps can show" in bench_text(found, "metric")


def test_what_never_failed_can_still_be_the_stronger(tmp_path: Path) -> None:
    found = compared(tmp_path, [*BUTT, *rows_of("finger", "fingers", [(2000, "")] * 4)])
    assert found.supported_order == (("fingers", "butt"),)
    assert "fingers holds more than butt" in bench_text(found, "metric")


def test_near_joints_are_not_told_apart(tmp_path: Path) -> None:
    near = rows_of("mitre", "mitre", [(450, 500), (400, 450), (500, 550), (350, 400), (550, 600)])
    found = compared(tmp_path, [*BUTT, *near])
    assert found.supported_order == ()
    assert "No difference is supported" in bench_text(found, "metric")


def test_more_pairs_make_a_claim_harder(tmp_path: Path) -> None:
    apart = rows_of("mitre", "mitre", [(600, 650), (500, 550), (550, 600), (700, 750), (650, 700)])
    alone = compared(tmp_path, [*BUTT, *apart])
    others = [each for n in range(6) for each in rows_of("finger", f"f{n}", [(1000, 1100), (1100, 1200)])]
    many = compared(tmp_path, [*BUTT, *apart, *others])

    def corrected(found: Comparison) -> tuple[float, float]:
        (pair,) = [each for each in found.pairs if {each.stronger, each.weaker} == {"butt", "mitre"}]
        return pair.probability, pair.corrected

    assert corrected(alone)[0] == pytest.approx(corrected(many)[0], rel=1e-6)
    assert corrected(alone)[1] < corrected(many)[1]
    assert len(many.pairs) == 28


# Beside the prediction


def test_ratio_bias_and_ranks_by_hand(tmp_path: Path) -> None:
    found = compared(tmp_path, [*BUTT, *MITRE, *FINGER])
    joints = written_bench(found).joints
    ratios = np.array([each.ratio for each in joints])
    expected = [each.mean / each.predicted for each in joints]
    np.testing.assert_allclose(ratios, expected, rtol=1e-12)
    assert found.bias == pytest.approx(stats.gmean(ratios))
    limits = stats.t.interval(0.95, 2, np.log(ratios).mean(), stats.sem(np.log(ratios)))
    assert found.bias_limits == pytest.approx(tuple(np.exp(limits)))
    assert found.rank_correlation == pytest.approx(1.0)
    swapped = compared(tmp_path, [*BUTT, *MITRE, *FINGER], {"butt": answer(1700.0)})
    means, loads = zip(*((each.mean, each.predicted) for each in written_bench(swapped).joints), strict=True)
    assert swapped.rank_correlation == pytest.approx(stats.spearmanr(means, loads).statistic)


def test_limits_of_the_ratio_are_those_of_the_mean_without_a_rig(tmp_path: Path) -> None:
    each = joint(compared(tmp_path, BUTT), "butt")
    assert each.ratio_limits == pytest.approx([end / 490.0 for end in each.limits])


def test_a_rig_widens_ratios_but_not_the_scatter(tmp_path: Path) -> None:
    """The rig's error is common to all loads: in quadrature with the half-widths, in logarithms."""
    stacked = rows_of("butt", "butt", [(20, 22.5), (22.5, 25), (17.5, 20), (25, 27.5)], "kg")
    found = compared(tmp_path, stacked, rig=True)
    each = joint(found, "butt")
    rig = found.log.rig
    assert rig is not None
    share = float(rig.line.uncertainty((each.mean - rig.line.preload) / rig.line.per_stacked)) / each.mean
    upper = math.log(each.limits[1] / each.mean)
    widened = math.log(each.ratio_limits[1] / each.ratio)
    assert share > 0.003
    assert widened == pytest.approx(math.hypot(upper, COVERAGE_FACTOR * share), rel=1e-9)
    assert any("force of the empty rig is added" in note for note in found.notes)


def test_share_inside_the_band_counts_what_is_certain_and_judges_the_rest(tmp_path: Path) -> None:
    found = compared(tmp_path, BUTT, {"butt": answer(490.0, (425.0, 500.0))})
    band = joint(found, "butt").in_band
    assert (band.specimens, band.inside, band.outside) == (5, 2, 2)
    each = found.joints[0].measured
    law = stats.lognorm(each.spread, scale=each.mean * math.exp(-(each.spread**2) / 2))
    reaching = (law.cdf(450) - law.cdf(425)) / (law.cdf(450) - law.cdf(400))
    assert band.share == pytest.approx((2 + reaching) / 5)
    assert (band.share_least, band.share_most) == (0.4, 0.6)


def test_without_a_band_none_is_made_up(tmp_path: Path) -> None:
    found = compared(tmp_path, BUTT, {"butt": answer(490.0)})
    assert joint(found, "butt").band is joint(found, "butt").in_band is None
    assert any("no band" in words for words in prediction_words(found))


def test_failure_kinds(tmp_path: Path) -> None:
    kinds = ["glue", "wood", "both", "", "fastener"]
    rows = [(*row[:5], kind, "") for row, kind in zip(BUTT, kinds, strict=True)]
    found = joint(compared(tmp_path, rows), "butt")
    assert found.failures_agreed == Agreement(agreed=2, noted=4)
    assert found.failures == {"glue": 1, "wood": 1, "both": 1, "fastener": 1}


def test_glue_that_failed_where_there_is_none_is_remarked(tmp_path: Path) -> None:
    """By its line, so that the log or the specimen file can be put right; a fastener agrees."""
    rows = rows_of("butt", "dry", [(400, 450), (450, 500), (350, 400)])
    kinds = ("fastener", "glue", "")
    rows = [(*row[:5], kind, *row[6:]) for row, kind in zip(rows, kinds, strict=True)]
    dry = structs.replace(answer(430.0, (320.0, 700.0)), glue_load=None, breaks_in="fastener")
    found = joint(compared(tmp_path, rows, {"butt": dry}), "dry")
    assert (found.failures_agreed.agreed, found.failures_agreed.noted) == (1, 2)
    assert "1 noted as failed in the glue, of which the specimen file has none: line 3" in found.remarks


def test_torn_fibres_beside_the_glue_may_be_noted_as_glue_or_wood(tmp_path: Path) -> None:
    """A predicted mode that tears fibres agrees with glue, wood and both, and the words say so."""
    kinds = ["glue", "wood", "both", "", "fastener"]
    rows = [(*row[:5], kind, "") for row, kind in zip(BUTT, kinds, strict=True)]
    (mode,) = FIBRE_MODES
    assert mode == "rolling shear beside the glue"
    torn = compared(tmp_path, rows, {"butt": answer(490.0, mode=mode)})
    assert torn.agreement == Agreement(agreed=3, noted=4, fibres=4)
    said = (
        "For 4 of them torn fibres beside the glue were predicted, with which glue, wood and both all agree."
    )
    assert said in prediction_words(torn)
    assert json.loads(json_text(written_bench(torn)))["failures_agreed"] == {
        "agreed": 3,
        "noted": 4,
        "fibres": 4,
    }
    assert not any("fibres" in words for words in prediction_words(compared(tmp_path, rows)))


def test_one_label_for_several_files_averages_their_predictions(tmp_path: Path) -> None:
    rows = [*BUTT[:2], *[("mitre.toml", *row[1:]) for row in BUTT[2:3]]]
    found = joint(compared(tmp_path, rows, {"mitre": answer(520.0, (350.0, 760.0))}), "butt")
    assert found.predicted == pytest.approx((2 * 490 + 520) / 3)
    assert found.specimens == ("butt.toml", "mitre.toml")
    assert "2 specimen files share this label" in found.remarks[0]


# What is written


def test_tables_are_harmless_in_a_spreadsheet(tmp_path: Path) -> None:
    evil = ["=cmd|' /C calc'!A0", "+1", "-1+2", "@SUM(A1)"]
    rows = [("butt.toml", label, 400 + n, 450 + n, "N", "glue", label) for n, label in enumerate(evil)]
    found = compared(tmp_path, rows)
    for table in (joints_csv(found), breaks_csv(found)):
        cells = [cell for row in csv.reader(io.StringIO(table.decode())) for cell in row]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert [each.label for each in written_bench(found).joints] == evil


def test_pictures_show_every_joint(tmp_path: Path) -> None:
    """Both open, are wide enough for a room, and hold the colours of what they show."""
    found = compared(tmp_path, [*BUTT, *MITRE, *FINGER])
    write_bench(found, tmp_path, "metric")
    for name, colours in (
        ("parity.png", [(0, 114, 178), (213, 94, 0), (0, 158, 115)]),
        ("bench_ranking.png", [(0, 114, 178), (213, 94, 0)]),
    ):
        with Image.open(tmp_path / name) as picture:
            pixels = np.asarray(picture.convert("RGB"))
        assert pixels.shape[1] > 1200
        for colour in colours:
            assert (np.abs(pixels.astype(int) - colour).max(axis=2) < 12).sum() > 300, (name, colour)
        assert (pixels == 255).all(axis=2).mean() > 0.5
        for edge in (pixels[:, :3], pixels[:, -3:], pixels[:3], pixels[-3:]):
            assert (edge == 255).all(), name


def test_letters_of_the_parity_plot_never_overlap_and_say_it_plainly(tmp_path: Path) -> None:
    """Seven joints nearly at one place: every letter stands clear of the others and inside the plot."""
    rows = [row for n in range(7) for row in rows_of("butt", f"butt {n}", [(400 + n, 450 + n), (450, 500)])]
    sheet = draw_parity(compared(tmp_path, rows), "metric")
    sheet.canvas.draw()
    axes = sheet.axes[0]
    letters = [text for text in axes.texts if text.get_text() in "ABCDEFG"]
    boxes = [text.get_bbox_patch().get_window_extent() for text in letters]
    assert len(boxes) == 7
    frame = axes.get_window_extent().padded(3.0)
    middles = np.array([((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2) for box in boxes])
    for number, box in enumerate(boxes):
        assert frame.x0 <= box.x0 < box.x1 <= frame.x1
        assert frame.y0 <= box.y0 < box.y1 <= frame.y1
        others = np.delete(middles, number, axis=0)
        assert np.linalg.norm(others - middles[number], axis=1).min() >= min(box.width, box.height)
    said = [text.get_text() for text in sheet.texts]
    assert sum("less than predicted" in words for words in said) == 7


def test_a_ratio_is_said_as_one_would(tmp_path: Path) -> None:
    """2000 N where 490 N were predicted, by hand 4.1 times; 12 % and none likewise."""
    for load, words in ((490.0, "just what was predicted"), (549.0, "12 % more than predicted")):
        rows = rows_of("butt", "butt", [(load - 1, load + 1)] * 3)
        said = [text.get_text() for text in draw_parity(compared(tmp_path, rows), "metric").texts]
        assert any(words in line for line in said), (words, said)
    rows = rows_of("butt", "butt", [(1999, 2001)] * 3)
    said = [text.get_text() for text in draw_parity(compared(tmp_path, rows), "metric").texts]
    assert any("4.1 times what was predicted" in line for line in said)


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([(2_077_000, 2_077_100)] * 3, {"3 far above", "467000 lbf, far above", "far above"}),
        ([(1500, 1600), (2_077_000, 2_077_100), (1600, 1700), (1400, 1500)], {"1 far above"}),
        ([(1500, 160_000), (1600, 1700), (1400, 1500)], set()),
        ([(1, 2)] * 3, {"far below"}),
    ],
)
def test_nonsense_does_not_push_a_picture_together(
    tmp_path: Path, steps: list[tuple[object, object]], words: set[str]
) -> None:
    """466,937 lbf in a log: the axes end where they do without it, and an arrow says that it is there."""
    sense = [*BUTT, *MITRE, *FINGER]
    found = compared(tmp_path, [*sense, *rows_of("splined_mitre", "splines", steps)])
    without = compared(tmp_path, [*sense, *rows_of("splined_mitre", "splines", [(1500, 1600)] * 3)])
    said: set[str] = set()
    for draw in (draw_bench_ranking, draw_parity):
        axes, usual = draw(found, "imperial").axes[0], draw(without, "imperial").axes[0]
        assert axes.get_xlim()[0] == pytest.approx(usual.get_xlim()[0], rel=0.05)
        assert axes.get_xlim()[1] == pytest.approx(usual.get_xlim()[1], rel=0.05)
        texts = (text.get_text() for text in axes.texts)
        said |= {text for text in texts if text.endswith(("far above", "far below"))}
    assert said == words


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_mean_is_written_right_above_its_point(tmp_path: Path, units: Units) -> None:
    """In its own lane, so that it reads as the load of no other place; inside the picture at either end."""
    weak = rows_of("splined_mitre", "weak", [(4, 5), (5, 6)])
    figure = draw_bench_ranking(compared(tmp_path, [*weak, *BUTT, *MITRE, *FINGER]), units)
    FigureCanvasAgg(figure).draw()
    (axes,) = figure.axes
    drawn = [line for line in axes.lines if line.get_marker() == "o"]
    points = sorted(axes.transData.transform(line.get_xydata()[0]).tolist() for line in drawn)
    words = [text for text in axes.texts if text.get_fontweight() == "bold"]
    boxes = sorted((text.get_window_extent() for text in words), key=lambda box: box.x0 + box.x1)
    assert len(boxes) == len(points) == 4
    for (x, y), box in zip(points, boxes, strict=True):
        assert box.x0 - 0.1 * box.width < x < box.x1
        assert y < box.y0 < y + box.height
        assert axes.bbox.x0 <= box.x0 < box.x1 <= axes.bbox.x1
        assert not any(box.overlaps(patch.get_window_extent()) for patch in axes.patches)
    for (x, _), box in zip(points[1:], boxes[1:], strict=True):
        assert (box.x0 + box.x1) / 2 == pytest.approx(x, abs=1.5)


def test_many_joints_and_awkward_labels_are_still_drawn(tmp_path: Path) -> None:
    rows = []
    for n in range(MOST_ORDERED + 5):
        label = f"joint $x_{n}$ {'with a long name ' * 3}{n}"
        rows += rows_of("butt", label, [(300 + 20 * n, 350 + 20 * n), (350 + 20 * n, 400 + 20 * n)])
    found = compared(tmp_path, rows)
    assert found.pairs == ()
    assert any(f"more than {MOST_ORDERED} joints" in words for words in found.notes)
    assert "bench_ranking.png" in write_bench(found, tmp_path, "metric")


def test_imperial_tables_have_no_newtons(tmp_path: Path) -> None:
    text = bench_text(compared(tmp_path, [*BUTT, *MITRE]), "imperial")
    assert "lbf" in text
    assert " N " not in text


def test_ten_thousand_rows_of_four_joints_take_no_time(tmp_path: Path) -> None:
    random = np.random.default_rng(1)
    rows = []
    for name, load in (("butt", 490.0), ("mitre", 1450.0), ("finger", 1800.0), ("splined_mitre", 1550.0)):
        steps = np.floor(load * np.exp(0.2 * random.standard_normal(2500)) / 50) * 50
        rows += rows_of(name, name, [(held or "", held + 50) for held in steps])
    path = write_log(tmp_path, rows)
    started = time.process_time()
    log = read_log(path, force=True)
    joints, pairs, notes = measure(log)
    found = compare(log, joints, pairs, {each: PREDICTED[Path(each).stem] for each in log.specimens}, notes)
    bench_text(found, "metric")
    assert time.process_time() - started < 20.0
    assert [each.measured.count for each in found.joints] == [2500] * 4
    assert found.joints[0].measured.cov == pytest.approx(0.2, rel=0.05)
    assert len(found.supported_order) == 6
