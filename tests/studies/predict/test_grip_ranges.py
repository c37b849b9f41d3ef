"""Break loads at the ends of what can be believed of screws and fittings: against full solves, by hand."""

from __future__ import annotations

from functools import cache

import pytest

from glueline import Prediction, predict, read_specimen
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.examples import example_path
from glueline.studies.files.json_text import json_text, read_json
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.credible_range import GRIPS, end_in_full, ends_of
from glueline.studies.show.range_words import BOUGHT, BOUGHT_HEAD, HEAD, range_words
from glueline.studies.sweeps.ranges import judged_range
from tests.studies.made_up_answers import made_up
from tests.studies.makers_folder import MakersFolder, changed, plain_corner

DRY, OAK = ("glue.kind", "none"), ("boards.wood", "white oak")
SIZE = 4.0  # mm


@cache
def predicted(example: str, *changes: tuple[str, str]) -> Prediction:
    return predict(read_specimen(example_path(example), changes), element_size=SIZE)


def built(example: str, *changes: tuple[str, str]) -> CornerModel:
    return build_corner(read_specimen(example_path(example), changes), SIZE)


@pytest.mark.parametrize(("example", "row"), [("pocket_screw", "withdrawal"), ("slot_fitting", "fittings")])
def test_ends_are_those_of_full_solves(example: str, row: str) -> None:
    """They are such; a weak grip holds less, and what it holds reads back from JSON."""
    found = predicted(example, DRY, OAK)
    assert found.answer.ranges is not None
    assert list(found.answer.ranges) == [row]
    plain = build_corner(found.specimen, SIZE)
    (name,) = (each for each in GRIPS if each == row)
    weak, strong = found.answer.ranges[name]
    for end, said in enumerate((weak, strong)):
        assert said == pytest.approx(end_in_full(plain, name, end).break_load, rel=1e-3)
    assert weak < 0.98 * found.break_load
    assert strong >= found.break_load
    assert read_json(json_text(found.answer), Answer) == found.answer


def test_screws_that_the_glue_outlasts_change_nothing() -> None:
    """Two screws carry 1 % of the moment while the glue holds, and it is the glue that ends the corner."""
    found = predicted("pocket_screw").answer
    assert found.ranges is not None
    assert list(found.ranges) == ["end_grain", "withdrawal"]
    assert found.ranges["withdrawal"] == pytest.approx((found.break_load, found.break_load), rel=0.02)


def test_a_thread_goes_to_the_ends_of_the_table() -> None:
    """12 to 36 for 21 N/mm3, 0.75 to 3 for 1.5 mm of slip; at 75 degrees to the grain its strength stays."""
    corner = built("pocket_screw")
    (row,) = (row for row in ends_of(corner) if row in GRIPS)
    for end, stiffness, slip in zip(ends_of(corner)[row], (12 / 21, 36 / 21), (0.5, 2.0), strict=True):
        ((name, changed),) = end.items()
        whole = next(each for each in corner.bearings if each.name == name)
        assert changed.surface.stiffness == pytest.approx(stiffness * whole.surface.stiffness)
        assert changed.growth_to(whole) == pytest.approx(max(1.0, 1 / slip))


@pytest.mark.parametrize(("is_stated", "weak_share"), [(True, 1.0), (False, 0.5)])
def test_what_the_maker_of_a_fitting_states_is_not_doubted(
    is_stated: bool, weak_share: float, makers_folder: MakersFolder
) -> None:
    """Else half to twice of it; the slip past its strength, 1 to 4 for 2 mm, is judged either way."""
    own = {"joint__fitting_strength": "500 N", "joint__fitting_stiffness": "300 N/mm"} if is_stated else {}
    corner = build_corner(makers_folder.read(changed(plain_corner("slot fitting"), **own)), SIZE)
    weak, strong = ends_of(corner)["fittings"]
    assert set(weak) == set(strong) == {"fittings in board A", "fittings in board B"}
    for name, end in weak.items():
        whole = next(each for each in corner.bearings if each.name == name)
        assert end.surface.stiffness == pytest.approx(weak_share * whole.surface.stiffness)
        assert strong[name].surface.stiffness == pytest.approx(whole.surface.stiffness / weak_share)
        # Toughness is half of strength times slip, and grows by most.
        assert end.growth_to(whole) == pytest.approx(2.0 / weak_share)


def test_words_say_whose_judgement_it_is() -> None:
    mixed = made_up(1000.0, ranges={"end_grain": (600.0, 1500.0), "withdrawal": (900.0, 1100.0)})
    first, _, second = range_words(mixed, "metric")
    assert first == f"{HEAD} {BOUGHT_HEAD}"
    assert second.startswith("If the grip of the screws is at the weak end of what can be believed: 900 N;")
    alone = made_up(1000.0, ranges={"fittings": (999.0, 1001.0)})
    assert range_words(alone, "metric") == [
        BOUGHT_HEAD,
        "Whether the grip of the fittings is weak or strong changes nothing: 1000 N.",
    ]
    assert BOUGHT == GRIPS


def test_influence_has_a_line_for_them() -> None:
    moved = judged_range(read_specimen(example_path("pocket_screw"), [DRY]), "withdrawal")
    assert (moved.key, moved.low, moved.high) == ("fasteners.withdrawal", "weak", "strong")
    assert "judgement" in moved.source
