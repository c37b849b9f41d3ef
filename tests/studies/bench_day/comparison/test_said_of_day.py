"""What is said aloud after a bench day, worked out by hand from made-up breaks and predictions."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from glueline.studies.bench_day.comparison.bench_page import bench_page
from glueline.studies.bench_day.comparison.bench_report import bench_text, written_bench
from glueline.studies.bench_day.comparison.comparison import Comparison
from glueline.studies.bench_day.comparison.said_of_day import said_of_day
from glueline.studies.files.json_text import json_text
from glueline.studies.predict.said_aloud import FORCES_MEANT, TREAT_AS_BROKEN, force_down, force_up
from glueline.studies.predict.scatter.lognormal import log_deviation
from tests.studies.bench_day.bench_logs import answer, rows_of
from tests.studies.bench_day.comparison.bench_days import BUTT, MITRE, compared
from tests.studies.bench_day.estimates.simulated_logs import stepped

WATCHED = 'watch the middle of nowhere, "quoted".'


def first_of(comparison: Comparison) -> str:
    return said_of_day(comparison, "metric")[0]


def test_it_stands_first_in_text_page_and_json(tmp_path: Path) -> None:
    """The strongest by its mean comes first; in JSON they keep the order of the log."""
    found = compared(tmp_path, [*BUTT, *MITRE])
    said = said_of_day(found, "metric")
    assert [each.partition(":")[0] for each in said[:2]] == ["mitre", "butt"]
    assert said[2:] == [TREAT_AS_BROKEN, FORCES_MEANT]
    assert bench_text(found, "metric").splitlines()[:4] == said
    page = bench_page(found, "metric", ())
    assert list(page.said[:2]) == said[:2]
    assert page.parts[0].sentences == (TREAT_AS_BROKEN, FORCES_MEANT)
    written = json.loads(json_text(written_bench(found)))["said_aloud"]
    assert [f"{each['label']}: {each['sentence']}" for each in written] == [said[1], said[0]]
    assert all("safe" not in each.casefold() for each in said)


def test_where_it_likely_goes_holds_all_breaks_and_nine_of_ten_of_their_fit(tmp_path: Path) -> None:
    found = compared(tmp_path, BUTT)
    fit = found.joints[0].measured.next_range
    assert fit is not None
    low, high = min(350.0, fit[0]), max(600.0, fit[1])
    clear, start, end = (
        force_down(min(320.0, low), "metric"),
        force_down(low, "metric"),
        force_up(high, "metric"),
    )
    assert first_of(found) == (
        f"butt: Stand clear from {clear} (force on the joint): by its 5 specimens it likely goes between "
        f"{start} and {end}; {WATCHED}"
    )


def test_the_range_for_the_next_one_is_student_s(tmp_path: Path) -> None:
    """Five breaks: 2.132 (t of 4 degrees of freedom at 95 %) * sqrt(6 / 4) = 2.611 deviations either way."""
    measured = compared(tmp_path, BUTT).joints[0].measured
    assert measured.next_range is not None
    assert measured.mean is not None
    assert measured.spread is not None
    low, high = measured.next_range
    assert math.log(high / low) == pytest.approx(2 * 2.611 * measured.spread, rel=1e-3)
    assert math.sqrt(low * high) == pytest.approx(measured.mean * math.exp(-(measured.spread**2) / 2))
    assert low < float(measured.low_value or 0.0), "few specimens know less than their fit"


def test_nine_of_ten_further_specimens_break_where_it_is_said(tmp_path: Path) -> None:
    """Eighty simulated logs of five, scatter 20 %, steps of a tenth of the mean; nothing is measured."""
    random = np.random.default_rng(3)
    lower, upper = stepped(random, 80, 5, 1000.0, 0.2, 100.0)
    rows = [
        row
        for number, steps in enumerate(zip(lower, upper, strict=True))
        for row in rows_of("butt", f"joint {number}", list(zip(*steps, strict=True)))
    ]
    spread = log_deviation(0.2)
    law = stats.lognorm(spread, scale=1000.0 * math.exp(-(spread**2) / 2))
    ranges = [joint.measured.next_range for joint in compared(tmp_path, rows).joints]
    shares = [law.cdf(each[1]) - law.cdf(each[0]) for each in ranges if each is not None]
    assert len(shares) > 70
    assert 0.86 < float(np.mean(shares)) < 0.95


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        # One break and a prediction of 320 to 700 N: what holds both, and no lower than was said before.
        (
            [(250, 300)],
            "from 250 N (force on the joint): by its 1 specimen and the prediction it likely goes "
            "between 250 N and 700 N",
        ),
        (
            [(900, "")] * 4,
            "from 320 N (force on the joint): not one of 4 broke by 900 N, and it was predicted "
            "to go between 320 N and 700 N",
        ),
        ([(900, "")], "from 320 N (force on the joint): the only one has not broken by 900 N"),
        (
            [("", 300)] * 3,
            "from the first load: by its 3 specimens and the prediction it likely goes between 0 N and 700 N",
        ),
    ],
)
def test_what_few_breaks_say(tmp_path: Path, steps: list[tuple[object, object]], words: str) -> None:
    assert words in first_of(compared(tmp_path, rows_of("butt", "butt", steps)))


def test_without_a_prediction_the_breaks_speak_alone(tmp_path: Path) -> None:
    found = compared(tmp_path, rows_of("butt", "butt", [(400, 450)] * 2))
    alone = replace(found, joints=(replace(found.joints[0], answers=(), band=None),))
    assert first_of(alone) == (
        "butt: Stand clear from 400 N (force on the joint): its 2 breaks came between 400 N and 450 N, from "
        "which no scatter shows; watch all of it, for no place was predicted."
    )


def test_on_one_rig_it_speaks_of_what_is_stacked(tmp_path: Path) -> None:
    """What broke joints on this rig counts as it was stacked, whatever the error of the rig.

    The rig's own error is taken off the predicted load alone, here far above: 5000 N.
    """
    rows = rows_of("butt", "butt", [(20, 22), (24, 26), (20, 22), (28, 30)], unit="kg")
    found = compared(tmp_path, rows, {"butt": answer(5000.0)}, rig=True)
    sentence = first_of(found)
    assert "(force" not in sentence
    fit = found.joints[0].measured.next_range
    assert fit is not None
    # Preload 6 kg at 350 of 400 mm, 1.5 times what is stacked: P = (5.25 + 1.5 w) g.
    low = (fit[0] / 9.80665 - 5.25) / 1.5
    assert low < 20
    assert float(sentence.split("from ")[1].split(" kg stacked")[0]) == pytest.approx(low, rel=0.05)
    assert FORCES_MEANT not in said_of_day(found, "metric")
    assert " lb stacked" in said_of_day(found, "imperial")[0]
