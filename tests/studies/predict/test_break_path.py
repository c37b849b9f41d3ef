"""The path of whole corners: energy, mesh, step, mirror, and the facts of the trade."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from glueline import predict, read_specimen
from glueline.fem.path import PathResult
from glueline.fem.path_control import PathControl
from glueline.studies.corner.connections import laws_of
from glueline.studies.corner.model import build_corner
from glueline.studies.examples import example_path
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict import corner_follower as module
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import CornerFollower, follow_break
from tests.studies.corners import JOINTS, specimen

QUICK = ("butt", "mitre")
CLOSING_AND_OPENING = ("diagonal compression", "diagonal tension", "apex press")


def report(found: BreakPath) -> str:
    path = found.path
    return f"{found.break_load:.1f} N, {len(path.load)} states, energy audit {path.audit:.1e}"


@pytest.mark.parametrize("arrangement", CLOSING_AND_OPENING)
@pytest.mark.parametrize("kind", QUICK)
def test_path_is_complete_and_loses_no_energy(kind: str, arrangement: str) -> None:
    """First law of thermodynamics: work is stored or spent, within 0.5 % along the whole path.

    The work that straight chords between the states enclose is as near to it.
    """
    found = follow_break(specimen(kind, arrangement))
    assert found.path.audit < 0.005, report(found)
    work = np.concatenate(
        [
            [0.0],
            np.cumsum(0.5 * (found.path.load[1:] + found.path.load[:-1]) * np.diff(found.path.displacement)),
        ]
    )
    assert np.abs(work - found.path.work).max() < 0.005 * found.path.work.max()
    assert found.path.load[found.path.first_damage] < found.glue_load


@pytest.mark.parametrize("kind", QUICK)
def test_break_load_stands_under_mesh_and_step(kind: str) -> None:
    """Under 2 % when the element size is halved, under 0.5 % when the step is."""
    coarse = follow_break(specimen(kind))
    fine = follow_break(specimen(kind), element_size=coarse.corner.mesh.element_size / 2)
    short = follow_break(specimen(kind), control=PathControl(step=0.125, first_step=0.0025, audit=0.0025))
    assert coarse.break_load == pytest.approx(fine.break_load, rel=0.02)
    assert coarse.break_load == pytest.approx(short.break_load, rel=0.005)


@pytest.mark.slow
def test_order_of_the_corners_in_closing() -> None:
    """Common practice, no source: butt, mitre, splined mitre in order; mitre and finger 2.3 to 5.1 butts.

    White oak, 19 mm, untuned values.
    """
    load = {kind: follow_break(specimen(kind)).break_load for kind in JOINTS}
    print({kind: round(value) for kind, value in load.items()})
    assert load["butt"] < load["mitre"] < load["splined mitre"]
    for kind in ("mitre", "finger"):
        assert 2.3 <= load[kind] / load["butt"] <= 5.1


@pytest.mark.parametrize("arrangement", CLOSING_AND_OPENING)
@pytest.mark.parametrize("kind", QUICK)
def test_elastic_answer_agrees_with_the_path(kind: str, arrangement: str) -> None:
    """The mean-stress load of a joint of one glue line against the same joint followed past its peak."""
    elastic = predict(specimen(kind, arrangement), method="elastic").glue_load
    followed = follow_break(specimen(kind, arrangement)).glue_load
    print(f"{kind}, {arrangement}: elastic {elastic:.0f} N, followed {followed:.0f} N")
    assert 0.8 < elastic / followed < 1.25


@pytest.mark.parametrize("quality", ["1 %", "5 %"])
def test_thin_boards_with_weak_foaming_glue(quality: str) -> None:
    """Butts of 8 mm with polyurethane of next to no strength once failed with advice that could not help."""
    asked = [("boards.thickness", "8 mm"), ("glue.kind", "polyurethane"), ("glue.quality", quality)]
    found = follow_break(read_specimen(example_path("butt"), asked))
    whole = follow_break(read_specimen(example_path("butt"), asked[:2]))
    assert found.path.is_complete
    assert found.path.audit < 0.005
    # So weak, the glue carries its strength all over; as it is, it gives at an end first.
    assert 1.0 < found.break_load / (float(quality.rstrip(" %")) / 100 * whole.break_load) < 2.0


def test_a_path_that_takes_long_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once, not three times in shorter steps: what is spent is counted, so it ends alike on every machine."""
    whole = follow_break(specimen("butt")).path
    tried = []
    followed = module.follow_tied

    def counted(*arguments: Any, **named: Any) -> PathResult:
        tried.append(arguments)
        return followed(*arguments, **named)

    monkeypatch.setattr(module, "follow_tied", counted)
    to_the_peak, corner = 0.2 * whole.effort, build_corner(specimen("butt"))
    with pytest.raises(ComputationError, match="too long to the end; glue as brittle") as caught:
        CornerFollower(corner, None, to_the_peak).follow(laws_of(corner.holds))
    assert len(tried) == 1
    assert to_the_peak < caught.value.effort < whole.effort


def test_a_path_that_takes_long_ends_where_its_load_has_clearly_fallen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With the same break load, and the answer says how far it was followed."""
    whole = follow_break(specimen("butt"))
    monkeypatch.setattr(module, "ENOUGH_EFFORT", 0.1 * whole.path.effort)
    answer = predict(specimen("butt"), band=False)
    left = answer.broken
    assert left is not None
    assert left.path.left_early
    assert not whole.path.left_early
    assert left.path.load[-1] <= PathControl().stop_late * left.path.load.max()
    assert len(left.path.load) < len(whole.path.load)
    assert left.break_load == pytest.approx(whole.break_load, rel=1e-9)
    assert any("left when its load had fallen to" in note for note in answer.warnings)


def test_a_path_that_fails_past_its_peak_is_left_there() -> None:
    """Only where its load has clearly fallen; before that there is no answer."""
    whole = follow_break(specimen("butt"))
    fallen = whole.path.load <= PathControl().stop_late * whole.path.load.max()
    falls = whole.path.highest + int(fallen[whole.path.highest :].argmax())
    found = follow_break(specimen("butt"), control=PathControl(most_steps=falls))
    assert found.path.left_early
    assert not found.path.is_complete
    assert found.break_load == pytest.approx(whole.break_load, rel=1e-9)
    with pytest.raises(ComputationError, match="the load has not fallen"):
        follow_break(specimen("butt"), control=PathControl(most_steps=whole.path.highest - 1))
