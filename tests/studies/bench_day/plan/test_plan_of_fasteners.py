"""The plan of joints that bought fasteners hold: what gives much, what never lets go, what has no glue."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from msgspec import structs

from glueline.studies.bench_day.expected import KeptAnswer, expected, kept_answer
from glueline.studies.bench_day.plan.bench_sheet import sheet_html
from glueline.studies.bench_day.plan.plan import Wishes, make_plan, usual_wishes
from glueline.studies.bench_day.plan.plan_page import plan_page
from glueline.studies.bench_day.plan.plan_report import plan_text
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.files.units import Units
from glueline.studies.predict.answer import Event
from glueline.studies.predict.request import METHODS, Method, Request
from tests.studies.bench_day.plan.plan_examples import rig
from tests.studies.made_up_answers import made_up


def test_a_corner_that_gives_much_or_never_lets_go_is_said_to() -> None:
    """Catch blocks 25 mm below would hold up what gives 20 mm with some scatter; one of 10 mm is quiet."""
    holding = Event(kind="holds", load=400.0, displacement=20.0, where="w", mode="m", part="p")
    made = made_up(400.0, displacement_at_break=20.0, events=(holding,), breaks_in="fastener")
    dry = read_specimen(str(example_path("pocket_screw")), [("glue.kind", "none")])
    each = expected("dry", dry, KeptAnswer(answer=made, material_cov=0.15))
    assert each.still_holds
    plan = make_plan([each], rig(), Wishes())
    (planned,) = plan.joints
    said = " ".join(planned.notes)
    assert "gives 20 mm by then, which catch blocks 25 mm below" in said
    assert "leave 40 mm (--drop)" in said
    assert "nothing lets go" in said
    assert f"bring {2 * planned.replicates} screws, 2 for each specimen" in said
    assert "without glue" in said
    assert [f"dry: {note}" for note in planned.notes] == plan.notes("metric")
    later = structs.replace(made, displacement_at_break=10.0, break_load=450.0)
    glued = read_specimen(str(example_path("butt")))
    plain = expected("glued", glued, KeptAnswer(answer=later, material_cov=0.15))
    assert not plain.still_holds, "it broke before, and holds what is less"
    assert make_plan([plain], rig(), Wishes()).joints[0].notes == ()


def test_the_plan_and_the_sheet_speak_in_one_unit() -> None:
    """A plan in inches gives no mm, kg or N, one in mm no inches and pounds: 20 mm / 25.4 is 0.79 in."""
    made = made_up(400.0, displacement_at_break=20.0)
    each = expected("butt", read_specimen(example_path("butt")), KeptAnswer(answer=made, material_cov=0.15))
    said: tuple[tuple[Units, str, str], ...] = (
        ("imperial", "gives 0.79 in by then, which catch blocks 1 in below", r"\d (mm|kg|N|J)\b"),
        ("metric", "gives 20 mm by then, which catch blocks 25 mm below", r"\d (in|lb|lbf)\b"),
    )
    for units, gives, foreign in said:
        odd = "the check-weighing with 20 kg stacked (scale 31.7 kg) lies off the line"
        plan = make_plan([each], replace(rig(50.0), warnings=(odd,)), usual_wishes(units))
        for page in (plan_text(plan, units), sheet_html(plan, units).decode(), repr(plan_page(plan, units))):
            assert gives in page
            assert "the empty rig" in html.unescape(page)
            assert odd in page or "with 44.09 lb stacked (scale 69.89 lb) lies off the line" in page
            assert not re.search(foreign, page)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("kind", ["pocket_screw", "slot_fitting"])
def test_what_is_made_without_glue_can_be_planned(kind: str, method: Method) -> None:
    """Without a band too: the scatter is that of what gives, 15 % of a grip in the table of fasteners."""
    dry = read_specimen(str(example_path(kind)), [("glue.kind", "none")])
    kept = kept_answer("dry", dry, Request(method, element_size=6.0, band=False), None)
    assert kept.material_cov == pytest.approx(0.15)
    (planned,) = make_plan([expected("dry", dry, kept)], rig(), Wishes()).joints
    assert planned.breaks_in == "fastener"


def test_what_only_bears_scatters_with_the_stiffness_of_its_wood() -> None:
    """White oak on dry screws is held to the largest turn, and what has given is the wood under the heads."""
    dry = read_specimen(
        str(example_path("pocket_screw")), [("glue.kind", "none"), ("boards.wood", "white oak")]
    )
    kept = kept_answer("dry", dry, Request(band=False), None)
    assert kept.answer.mode == "crushing under the head"
    assert kept.material_cov == dry.woods["board A"].cov["modulus_along"]
    assert expected("dry", dry, kept).still_holds
