"""A path that is watched is the same to the last digit; one that is ended from outside leaves all of use."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from glueline.geometries import SplinedMitre
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.predictor import predict_request, with_scatter
from glueline.studies.predict.request import Request
from tests.studies.corners import specimen

ALONE = Request(band=False)


class Enough(Exception):
    """Raised to end a path."""


class Told:
    """The states that a watch was told last, of every path that began; it ends all after ``most`` steps."""

    def __init__(self, most: int = 10**9) -> None:
        self.paths: list[Sequence[tuple[float, float]]] = []
        self.steps, self.most = 0, most

    def __call__(self, states: Sequence[tuple[float, float]]) -> None:
        self.paths[len(self.paths) - (len(states) > 2) :] = [states]
        self.steps += 1
        if self.steps >= self.most:
            raise Enough


def watched(kind: str, told: Any, reuse: Reuse | None = None) -> Any:
    return predict_request(read_specimen(example_path(kind)), ALONE, reuse=reuse, watch=told)


@pytest.mark.parametrize("kind", ["butt", "mitre"])
def test_every_state_is_told_and_none_is_changed(kind: str) -> None:
    """Also of a corner of which half is followed."""
    told = Told()
    found = watched(kind, told)
    states = np.array(told.paths[-1])
    assert np.array_equal(states[:, 0], found.broken.path.load)
    assert np.array_equal(states[:, 1], found.broken.path.displacement)
    assert found.answer == watched(kind, None).answer


def test_two_lives_are_told_as_one() -> None:
    """Screws outlive their glue: their states are told after those of the glue."""
    told = Told()
    path = watched("pocket_screw", told).broken.path
    assert path.second_from is not None
    whole = list(zip(path.load.tolist(), path.displacement.tolist(), strict=True))
    states = told.paths[-1]
    assert list(states[: path.second_from]) == whole[: path.second_from]
    assert states[-1] == whole[-1]


def test_a_split_is_told_anew() -> None:
    """A mitre with splines, pulled open, splits: it is followed again with a line in its wood."""
    told = Told()
    joint = SplinedMitre(6, spline_thickness=3.2, spline_depth=21.0)
    corner = specimen("splined mitre", "diagonal tension", joint=joint)
    found = predict_request(corner, Request(band=False, crushing=False), watch=told)
    assert found.corner.splits
    assert len(told.paths) >= 2
    assert len(told.paths[-1]) == len(found.broken.path.load)


def test_what_is_ended_leaves_the_reuse_of_use() -> None:
    """Ended within its path, at a step of its band or within one, it then answers as from a fresh start."""

    def end(step: str) -> None:
        if step.startswith("following it with other"):
            raise Enough

    reuse, specimen = Reuse(), read_specimen(example_path("butt"))
    with pytest.raises(Enough):
        watched("butt", Told(most=12), reuse)
    with pytest.raises(Enough):
        predict_request(specimen, Request(), end, reuse)
    alone = watched("butt", None, reuse)
    assert alone.answer == watched("butt", None).answer
    with pytest.raises(Enough):
        with_scatter(alone, Request(), reuse=reuse, watch=Told(most=5))
    whole = with_scatter(alone, Request(), reuse=reuse, watch=Told())
    assert whole.answer == predict_request(specimen, Request()).answer
