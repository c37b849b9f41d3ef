"""Pocket screws and slot fittings: with glue and without, against balances of force and by comparison."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from glueline.geometries import JOINTS, Boards, PocketScrew
from glueline.materials import find_wood, holding_length, withdrawal_strength
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.predictor import predict
from glueline.studies.show.tables import prediction_table

OAK = ("boards.wood", "white oak")
BOX = Boards(19.0, 90.0, 150.0)
CLOSED, OPENED = "diagonal compression", "diagonal tension"


@cache
def predicted(
    example: str, arrangement: str = CLOSED, *changes: tuple[str, str], elastic: bool = False
) -> Prediction:
    """An example of white oak with changes, without band."""
    load = ("load.arrangement", arrangement)
    specimen = read_specimen(example_path(example), [OAK, load, *changes])
    return predict(specimen, method="elastic" if elastic else "progressive", band=False)


def test_dry_screws_pulled_open_hold_what_the_handbook_says_of_their_threads() -> None:
    """Axial force at the highest load over n 108.25 G^2 D (L - 1.1 D), Wood Handbook ch. 8 (from memory); and
    what board B is in balance with: load, screws, pressure of the face. The screws bend too, so one side of a
    thread slips on while the other still holds: not all of it at once.
    """
    found = predicted("pocket_screw", OPENED, ("glue.kind", "none"))
    assert found.broken is not None
    (screws,) = found.corner.layout.hardware
    threads = next(each for each in found.corner.bearings if each.name == "screws in board A")
    state = found.broken.state
    traction = found.broken.tractions(state)
    axial = abs(float(traction[threads.name][:, 0] @ threads.surface.weight))
    oak = find_wood("white oak")
    held = holding_length(screws.reaches[1].length, screws.diameter)
    handbook = screws.number * withdrawal_strength(oak, screws.diameter) * held
    assert 0.8 * handbook < axial <= 1.001 * handbook
    on_b = np.zeros(2)
    for each in (*found.corner.connections, *found.corner.bearings):
        force = each.surface.forces_on_minus(traction[each.name]).sum(axis=0)
        on_b += {each.surface.minus: 1.0, each.surface.plus: -1.0}.get("board B", 0.0) * force
    assert np.hypot(*on_b) == pytest.approx(found.broken.path.load[state], rel=2e-3)


def test_dry_screws_add_up_and_the_side_of_their_pockets_hardly_counts() -> None:
    """Twice as many hold nearly twice as much; inside and outside have the same axial lever."""
    dry = ("glue.kind", "none")
    two, four = (predicted("pocket_screw", CLOSED, dry, ("joint.screws", count)) for count in ("2", "4"))
    outside = predicted("pocket_screw", CLOSED, dry, ("joint.pocket_side", "outside"))
    assert four.break_load == pytest.approx(2 * two.break_load, rel=0.15)
    assert outside.break_load == pytest.approx(two.break_load, rel=0.08)
    assert any("axial lever" in note for note in two.answer.notes)


@pytest.mark.parametrize("kind", ["pocket_screw", "slot_fitting"])
def test_without_glue_an_answer_has_no_glue_in_it(kind: str) -> None:
    """Neither a load of glue nor a first damage nor an area; and only the fasteners give."""
    for elastic in (False, True):
        answer = predicted(kind, CLOSED, ("glue.kind", "none"), elastic=elastic).answer
        assert answer.glue_load is None
        assert answer.first_damage_load is None
        assert sum(answer.glue_area.values()) == 0.0
        assert answer.breaks_in == "fastener"
        assert answer.fastener_load is not None
    assert predicted(kind, CLOSED, ("glue.kind", "none")).answer.ranges is None


def test_a_dry_corner_on_screws_is_held_up_to_the_largest_turn() -> None:
    """Its only event, and no crack to be heard or held."""
    answer = predicted("pocket_screw", CLOSED, ("glue.kind", "none")).answer
    assert answer.events is not None
    assert [event.kind for event in answer.events] == ["holds"]
    assert answer.holds_after_crack is None
    assert answer.first_crack_load is None
    assert "crack to be heard" not in prediction_table(answer, "metric")


def test_four_screws_outlive_the_glue() -> None:
    """The glue lets go as in the butt, and the screws carry more.

    Ratio to the butt, common practice, no source: screws somewhat to clearly more.
    """
    found = predicted("pocket_screw", CLOSED, ("joint.screws", "4"))
    butt = predicted("butt")
    assert found.broken is not None
    assert found.broken.path.audit < 0.005
    assert found.glue_load == pytest.approx(butt.break_load, rel=0.1)
    assert found.break_load > 1.4 * butt.break_load
    answer = found.answer
    assert answer.events is not None
    assert [event.kind for event in answer.events] == ["cracks", "holds"]
    assert answer.holds_after_crack
    assert answer.breaks_in == "fastener"
    assert answer.fastener_load == pytest.approx(answer.break_load)


@pytest.mark.parametrize("arrangement", [CLOSED, OPENED])
def test_two_screws_have_a_second_life_that_dead_weight_does_not_reach(arrangement: str) -> None:
    """They hold as much as the glue did, but it lets go with more energy than they take up on the way."""
    found = predicted("pocket_screw", arrangement)
    dry = predicted("pocket_screw", arrangement, ("glue.kind", "none"))
    assert found.broken is not None
    assert found.broken.path.second_from is not None
    assert found.critical.kind == "glue"
    answer = found.answer
    assert answer.holds_after_crack is False
    assert answer.fastener_load == pytest.approx(dry.break_load, rel=0.03)
    assert answer.events is not None
    assert answer.events[-1].kind == "holds"
    assert answer.events[-1].load == pytest.approx(dry.break_load, rel=0.03)


@pytest.mark.parametrize("arrangement", [CLOSED, OPENED])
def test_a_slot_fitting_adds_next_to_nothing_to_a_glued_butt(arrangement: str) -> None:
    """Common practice, no source; but its slot takes a tenth of the face. Glued, the glue gives first."""
    found, butt = predicted("slot_fitting", arrangement), predicted("butt", arrangement)
    assert found.critical.kind == "glue"
    assert found.break_load == pytest.approx(butt.break_load, rel=0.1)
    assert found.answer.fastener_load is not None
    assert found.answer.fastener_load < 0.5 * found.break_load


def test_what_a_fitting_is_said_to_hold_is_what_a_dry_corner_holds_by() -> None:
    """Twice the strength and stiffness, not quite twice the load: fitting and slots give as well."""
    dry = ("glue.kind", "none")
    once = predicted("slot_fitting", CLOSED, dry)
    stronger = ("joint.fitting_strength", "800 N"), ("joint.fitting_stiffness", "800 N/mm")
    twice = predicted("slot_fitting", CLOSED, dry, *stronger)
    assert 1.3 < twice.break_load / once.break_load < 2.05


def test_what_is_not_judged_of_the_wood_round_screws_is_said() -> None:
    """Screws through the middle of board B's end stand 9.5 mm from board A's: 9.5 / 4.18 diameters at the
    mouth, less at the point, where their slant has brought them nearer."""
    full = JOINTS["pocket screw"].filled(PocketScrew(), BOX)
    notes = JOINTS["pocket screw"].layout(PocketScrew(), BOX).notes
    (said,) = (note for note in notes if "diameters from the end" in note)
    found = float(said.split("stand ")[1].split(" ")[0])
    assert 0.5 < found < 9.5 / full.screw_diameter
    assert any("begins to split" in note for note in notes)
    wide = Boards(19.0, 90.0, 150.0, thickness_b=60.0)
    assert not any(
        "diameters from the end" in note
        for note in JOINTS["pocket screw"]
        .layout(PocketScrew(screw_diameter=3.0, screw_length=50.0), wide)
        .notes
    )
