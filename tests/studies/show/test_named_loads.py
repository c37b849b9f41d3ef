"""Pictures of a path name the loads that all answers name, and words over them do not lie on each other."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from glueline import predict, read_specimen
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.units import format_force
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.path_curve import draw_path_curve
from glueline.studies.show.path_moment import draw_path_moment
from glueline.studies.show.path_strip import draw_path_strip


@cache
def followed(kind: str) -> BreakPath:
    found = predict(read_specimen(str(example_path(kind))), band=False).broken
    assert found is not None
    return found


@pytest.mark.parametrize("whole", [False, True])
def test_a_break_between_two_states_is_where_the_answer_has_it(whole: bool) -> None:
    """A bridle whose wood breaks: the state after it carries 1.5 % more."""
    found = followed("bridle")
    assert found.path.load[found.state] > 1.01 * found.break_load
    sheet = draw_path_curve(found, "metric", whole)
    (legend,) = sheet.legends
    (told,) = (each.get_text() for each in legend.get_texts() if each.get_text().startswith("break in"))
    assert told.endswith(f": {format_force(found.break_load, 'metric')}")
    holds = sheet.axes[0].lines[0].get_xydata()[-1]
    assert holds == pytest.approx([found.displacement, found.break_load], rel=1e-9)


def test_the_damage_at_the_break_is_told_with_its_load() -> None:
    titles = [axes.get_title() for axes in draw_path_strip(followed("bridle"), "metric").axes]
    assert f"the wood breaks\n{format_force(followed('bridle').break_load, 'metric')}" in titles


@pytest.mark.parametrize(
    "kind", [each if each == "dowel" else pytest.param(each, marks=pytest.mark.slow) for each in EXAMPLES]
)
def test_words_over_the_bending_do_not_lie_on_each_other(kind: str) -> None:
    sheet = draw_path_moment(followed(kind), "metric")
    FigureCanvasAgg(sheet).draw()
    above = sheet.axes[0]
    boxes = [Text.get_window_extent(text) for text in above.texts]  # without their lines
    assert len(boxes) >= 2
    assert not [one for one, other in combinations(boxes, 2) if one.overlaps(other)]
    edge = sheet.bbox
    assert np.all([box.x0 >= edge.x0 and box.x1 <= edge.x1 and box.y1 <= edge.y1 for box in boxes])
