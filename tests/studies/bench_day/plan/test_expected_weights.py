"""The weights at which each joint is expected to go, on the plan and on the bench sheet, by hand."""

from __future__ import annotations

import json

import pytest

from glueline.studies.bench_day.expected import KeptAnswer, expected
from glueline.studies.bench_day.plan.bench_sheet import sheet_html
from glueline.studies.bench_day.plan.plan import Plan, Wishes, make_plan
from glueline.studies.bench_day.plan.plan_report import plan_text, written_plan
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.json_text import json_text
from tests.studies.bench_day.plan.plan_examples import of, rig
from tests.studies.made_up_answers import made_up


def day(preload: float = 50.0) -> Plan:
    answer = made_up(500.0, band=(400.0, 640.0), first_crack_load=350.0, ranges={})
    butt = expected("butt", read_specimen(example_path("butt")), KeptAnswer(answer=answer, material_cov=0.3))
    return make_plan([butt, of("mitre", 1290.0, 0.25, "mitre")], rig(preload), Wishes())


def test_the_weights_by_hand() -> None:
    """A hung weight of 50 N and no error: (load - 50 N) / 9.80665 m/s2."""
    found = json.loads(json_text(written_plan(day())))["said_aloud"][0]
    assert found["label"] == "butt"
    assert found["stand_clear_kg"] == pytest.approx(300 / 9.80665)  # the first crack
    assert found["goes_at_kg"] == pytest.approx(450 / 9.80665)
    assert found["likely_kg"] == pytest.approx([350 / 9.80665, 590 / 9.80665])
    # 30.6, 35.7 and 60.2 kg: the first two down, the last up.
    assert found["sentence"].startswith(
        "Stand clear from 30 kg stacked: it likely goes between 35 kg and 61 kg; watch"
    )


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_plan_and_sheet_say_it_first(units: str) -> None:
    plan = day()
    text, page = plan_text(plan, units), sheet_html(plan, units).decode()  # type: ignore[arg-type]
    assert text.startswith("butt: Stand clear from ")
    assert page.index("Stand clear from") < page.index("Before the first plate")
    said = (
        "butt: Stand clear from 30 kg stacked"
        if units == "metric"
        else "butt: Stand clear from 67 lb stacked"
    )
    assert said in page
    assert said in text
    for shown in (text, page):
        assert "expected to go at" in shown
        assert ("45 kg" if units == "metric" else "100 lb") in shown  # 45.9 kg, 101.2 lb
        assert "safe" not in shown.casefold()
        for load in ("first damage", "first crack", "glue", "wood", "break"):
            assert f"{load}: " in shown


def test_a_rig_that_breaks_a_joint_by_itself_is_said() -> None:
    text = plan_text(day(600.0), "metric")
    assert "butt: Stand clear from the bare rig, before anything is stacked: " in text
    assert "nothing  " in text
