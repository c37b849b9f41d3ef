"""Pictures and words of corners on bought fasteners, with glue and without: they name what is there."""

from __future__ import annotations

from functools import cache

import pytest
from matplotlib.figure import Figure

from glueline import Prediction, predict, read_specimen
from glueline.studies.examples import example_path
from glueline.studies.show.path_curve import draw_path_curve
from glueline.studies.show.path_moment import draw_path_moment
from glueline.studies.show.path_strip import draw_path_strip
from glueline.studies.show.tables import prediction_table
from glueline.studies.show.traction_plots import draw_tractions
from tests.studies.made_up_answers import made_up
from tests.studies.show.test_path_pictures import words


@cache
def screwed(glue: str, wood: str = "hard maple") -> Prediction:
    corner = read_specimen(example_path("pocket_screw"), [("glue.kind", glue), ("boards.wood", wood)])
    return predict(corner, element_size=5.0, band=False)


def test_without_glue_no_picture_speaks_of_glue() -> None:
    """Its faces only bear and its screws hold, so no title, label or legend names what is not there."""
    found = screwed("none")
    assert found.broken is not None
    for draw in (draw_path_curve, draw_path_strip):
        sheet = draw(found.broken, "metric")
        assert "glue" not in words(sheet).replace("without glue", "")
        assert "toughness" not in words(sheet)
    assert "had the fasteners held" in words(draw_path_curve(found.broken, "metric"))
    tractions = words(draw_tractions(found, "metric"))
    assert "glue" not in tractions
    assert "strength" not in tractions


def test_what_still_holds_at_the_largest_turn_is_no_break() -> None:
    """Oak on dry screws: nothing lets go under weight, and no path goes beyond; nor is anything damaged."""
    found = screwed("none", "white oak").broken
    assert found is not None
    assert found.ends_held
    curve, strip = words(draw_path_curve(found, "metric")), words(draw_path_strip(found, "metric"))
    for wrong in ("lets go", "break in", "past its peak", "drives it on"):
        assert wrong not in curve
    assert "still held where the path ends, at the largest turn" in curve
    assert "still held, at the largest turn" in strip
    assert "peak" not in strip
    moment = words(draw_path_moment(found, "metric"))
    assert "first damage" not in moment + strip
    assert "ring" not in strip
    assert "still held" in moment
    assert "break" not in moment


def test_with_glue_they_do() -> None:
    found = screwed("pva")
    assert found.broken is not None
    assert "had the glue held" in words(draw_path_curve(found.broken, "metric"))
    assert "Where the glue goes" in words(draw_path_strip(found.broken, "metric"))
    assert "gone" in [
        text.get_text()[-4:] for text in draw_path_strip(found.broken, "metric").axes[-1].get_yticklabels()
    ]
    assert "Tractions on the glue" in words(draw_tractions(found, "metric"))


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_the_titles_of_engineers_pictures_fit_them(units: str) -> None:
    """Large as others: the longest name of a joint with one glue line, whose picture is the narrowest."""
    found = screwed("pva")
    assert found.broken is not None
    for sheet in (draw_tractions(found, units), draw_path_moment(found.broken, units)):
        assert _inside(sheet)
        title = sheet._suptitle
        assert title is not None
        assert (title.get_fontsize(), title.get_fontweight()) == (20, "bold")


def _inside(sheet: Figure) -> bool:
    sheet.canvas.draw()
    title = sheet._suptitle  # matplotlib offers the text of a sheet's title, not its place
    assert title is not None
    box = title.get_window_extent()
    return bool(box.x0 >= 0 and box.x1 <= sheet.bbox.x1)


def test_a_screw_is_a_fastener_and_nothing_else() -> None:
    """What moves the load past the break is a vice or a jack; a screw would be taken for one of the joint."""
    told = prediction_table(made_up(1000.0, highest_load=1200.0), "metric")
    assert "highest load if a vice or jack drives it, not weight" in told
    assert "screw" not in told
