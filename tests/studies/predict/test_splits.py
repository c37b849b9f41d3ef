"""Splits followed as cracks: white oak, 19 x 90 x 150 mm, PVA, splines of white oak, pulled open."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from glueline.fem.path_control import PathControl
from glueline.geometries import JOINTS, SplinedMitre
from glueline.studies.corner.connections import laws_of
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.predict import splits as module
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.predictor import predict
from glueline.studies.predict.remarks import split_note
from glueline.studies.predict.splits import followed_through_splits, ready_to_split
from glueline.studies.predict.wood_limits import sample_wood
from tests.studies.corners import specimen


def opened(splines: int) -> object:
    return specimen(
        "splined mitre",
        "diagonal tension",
        joint=SplinedMitre(splines, spline_thickness=3.2, spline_depth=21.0),
    )


@cache
def plain(splines: int, size: float | None = None) -> BreakPath:
    """The corner whose wood ends it where it begins to split."""
    corner = build_corner(opened(splines), size)
    return CornerFollower(corner).broken(sample_wood(corner), crushing=False)


@cache
def answered(splines: int) -> Prediction:
    return predict(opened(splines), band=False)


@cache
def five_followed() -> BreakPath:
    """With five splines, its splits followed."""
    return followed_through_splits(plain(5), crushing=False)


def followed(corner: CornerModel) -> BreakPath:
    """To just past its highest load: no more is asked of it."""
    control = PathControl(stop=0.9)
    return CornerFollower(corner).broken(sample_wood(corner), crushing=False, control=control)


def test_a_split_is_followed_and_ends_nothing_by_itself() -> None:
    """With six splines the criterion alone would end the corner over a quarter below the load it carries."""
    answer = answered(6).answer
    assert answer.split_load is not None
    assert answer.split_load < 0.8 * answer.break_load
    assert answer.wood_share.share == 1.0
    assert answer.wood_share.load == answer.split_load
    assert answer.wood_share.where in JOINTS["splined mitre"].places
    assert WOOD_MODES[answer.wood_share.mode].breaks
    assert answer.split_load <= answer.wood_load <= answer.break_load * (1 + 1e-9)
    (mode,) = [each for each in answer.modes if "followed as a crack" in each.note]
    assert not mode.counts_as_break
    assert mode.load == answer.split_load
    assert answer.events is not None
    assert answer.events[-1].kind == "lets go"
    assert any("followed as a crack" in warning for warning in answer.warnings)


def test_no_split_no_line() -> None:
    """Two splines stay below the strength, at which share and where the answer says."""
    answer = answered(2).answer
    assert answer.split_load is None
    assert 0.5 < answer.wood_share.share < 1.0
    assert answer.wood_load == pytest.approx(answer.break_load / answer.wood_share.share)
    assert not answered(2).corner.splits


@pytest.mark.slow
def test_more_splines_make_no_cliff() -> None:
    """By the criterion alone 3, 6 and 8 splines end at 633, 1019, 924 N."""
    loads = [answered(splines).answer.break_load for splines in (3, 6, 8)]
    print(" ".join(f"{load:.0f}" for load in loads))
    assert all(after > before for before, after in pairwise(loads))


def test_an_unbroken_line_is_not_felt() -> None:
    """The compliance of the corner changes by under 0.1 % (aim), by one line and by two."""
    found = plain(5)
    own = _compliance(found)
    for lines in (((found.wood.part, found.wood.point),), module._further_lines(found, found.wood)):
        path = CornerFollower(corner := build_corner(opened(5), splits=lines)).follow(laws_of(corner.holds))
        change = path.displacement[1] / path.load[1] / own - 1.0
        print(f"{len(lines)} lines: {100 * change:.3f} %")
        assert abs(change) < 1e-3


def _compliance(found: BreakPath) -> float:
    return float(found.path.displacement[1] / found.path.load[1])


@pytest.mark.slow
def test_doubling_a_line_moves_nothing() -> None:
    """A second line 1.5 mm beside the one in each board: under 2 % (aim)."""
    once = five_followed()
    lines = once.corner.split_places
    beside = []
    for part, place in lines:
        x, y = np.array(place) + 1.5 * np.abs(once.corner.pieces[part].across)
        beside.append((part, (float(x), float(y))))
    twice = followed(build_corner(opened(5), splits=(*lines, *beside)))
    print(f"single lines {once.break_load:.1f} N, double {twice.break_load:.1f} N")
    assert twice.break_load == pytest.approx(once.break_load, rel=0.02)


@pytest.mark.slow
def test_half_the_elements_move_little() -> None:
    """Under 1 % of the break load."""
    coarse = five_followed()
    finer = plain(5, coarse.corner.mesh.element_size / 2)
    fine = followed_through_splits(finer, crushing=False)
    print(f"{coarse.break_load:.1f} N, half the elements {fine.break_load:.1f} N")
    assert fine.break_load == pytest.approx(coarse.break_load, rel=0.01)


@pytest.mark.slow
def test_half_of_a_mirrored_corner_is_its_whole() -> None:
    """Two lines that are each other's image: the half unfolded, and the whole."""
    half = five_followed()
    assert half.path.basis is not None
    lopsided = replace(half.corner, layout=replace(half.corner.layout, mirrored=False))
    whole = followed(lopsided)
    assert whole.path.basis is None
    assert whole.break_load == pytest.approx(half.break_load, rel=2e-3)


def test_corners_like_it_that_would_split_share_a_line() -> None:
    """Two splines use over six tenths of the strength: the paths of the band have a line, the answer none."""
    found = plain(2)
    assert found.split_share is not None
    assert found.split_share.share > module.LIKELY
    ready = ready_to_split(found, crushing=False)
    assert ready.corner.splits
    assert ready.break_load == pytest.approx(found.break_load, rel=0.01)


def test_a_split_that_cannot_be_followed_ends_the_corner() -> None:
    def refuse(*_: object) -> CornerModel:
        from glueline.geometries.mesh import MeshFailure

        raise MeshFailure("no such mesh")

    found = followed_through_splits(plain(5), crushing=False, build=refuse)
    assert found.break_load == plain(5).break_load
    assert found.unfollowed is not None
    assert "no such mesh" in found.unfollowed
    assert found.split is None


def test_a_split_of_a_corner_that_takes_long_is_not_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The criterion then ends the corner, and the answer says so; effort is counted, not timed."""
    found = plain(6)
    assert 0 < found.path.effort < module.MOST_EFFORT
    monkeypatch.setattr(module, "MOST_EFFORT", found.path.effort - 1)
    left = followed_through_splits(found, crushing=False)
    assert left.split is None
    assert left.break_load == found.break_load
    assert "too long" in " ".join(split_note(left))


def test_wood_in_the_shadow_of_a_line_does_not_split_again() -> None:
    found = five_followed()
    for sample in sample_wood(found.corner):
        if sample.piece in {line.piece for line in found.corner.layout.splits}:
            assert sample.shaded is not None
            assert sample.shaded.any()
    assert np.isfinite(found.wood_load)
