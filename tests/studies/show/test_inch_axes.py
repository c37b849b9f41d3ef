"""Axes in inches: ticks that stand on a rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure

from glueline import predict
from glueline.studies.show.face_view import draw_face_view
from glueline.studies.show.inch_axes import TICKS, inch_words, rule_step, rule_ticks
from glueline.studies.show.traction_plots import draw_tractions
from glueline.studies.sweeps.sweep_plot import scale_of
from tests.studies.corners import specimen


def labels(axis: object) -> list[str]:
    return [each.get_text() for each in axis.get_ticklabels()]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("end", "said"),
    [(0.75, ["0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4"]), (3.5, ["0", "1", "2", "3"])],
)
def test_ticks_of_a_rule(end: float, said: list[str]) -> None:
    axes = Figure().add_subplot()
    axes.set_xlim(0.0, end)
    rule_ticks(axes.xaxis, "imperial")
    assert labels(axes.xaxis) == said


@given(st.floats(1e-4, 300.0))
def test_never_too_many_and_always_on_the_rule(span: float) -> None:
    step = rule_step(span)
    if step is None:
        assert span < 1 / 8
        return
    assert span <= TICKS * step * (1 + 1e-6)
    assert 64 * step == round(64 * step)
    assert "." not in inch_words(3 * step)


def test_an_axis_in_mm_and_one_too_fine_for_a_rule_are_decimal() -> None:
    axes = Figure().add_subplot()
    axes.set_xlim(0.0, 0.04)
    rule_ticks(axes.xaxis, "imperial")
    assert "0.008" in labels(axes.xaxis)
    axes.set_ylim(0.0, 20.0)
    rule_ticks(axes.yaxis, "metric")
    assert not any("/" in each for each in labels(axes.yaxis))


def test_pictures_in_inches_have_fractions() -> None:
    found = predict(specimen("finger"), method="elastic")
    face = draw_face_view(found.corner, "imperial")
    assert "1/2" in labels(face.axes[0].xaxis)
    tractions = draw_tractions(found, "imperial")
    assert {"1/4", "1/2"} <= set(labels(tractions.axes[0].xaxis))
    assert not any("/" in each for each in labels(draw_tractions(found, "metric").axes[0].xaxis))
    assert scale_of("joint.finger_width", ["1/4 in", "3/8 in"], "imperial").inches
    assert not scale_of("joint.finger_width", ["1/4 in", "3/8 in"], "metric").inches
