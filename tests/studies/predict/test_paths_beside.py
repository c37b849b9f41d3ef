"""Paths of the scatter of glued corners, found beside the known one, against the same followed whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glueline.fem.guide import FALLEN, Guide
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.path_band import COARSE_CONTROL, coarse_follower, weight_carried
from glueline.studies.predict.scatter.band import _covariance
from glueline.studies.predict.scatter.glue_rows import scaled_holds
from glueline.studies.predict.scatter.peaks import counted
from glueline.studies.predict.scatter.surface import star_design
from glueline.studies.predict.scatter.variables import variables_of
from glueline.studies.predict.splits import ready_to_split
from glueline.studies.predict.wood_limits import sample_wood
from tests.studies.predict.test_fastener_paths import COMPRESSION, TENSION, coarse, followed

# Teeth of the load hid a higher one behind the first where weaker glue was taken to carry less in proportion.
TEETH = ("splined_mitre", COMPRESSION)
CASES = [TEETH, ("finger", COMPRESSION), ("half_lap", TENSION)]
LONG = [("bridle", COMPRESSION), ("mortise_and_tenon", COMPRESSION), ("loose_tenon", TENSION)]


def compare(example: str, arrangement: str) -> None:
    """Dead weight that is carried at every node of the scatter, found with less than half of the solves."""
    follower = coarse(example, (), arrangement)
    variables = variables_of(follower.corner)
    spent = np.zeros(2)
    for node in star_design(_covariance(variables)).nodes[1:]:
        factors = dict(zip(variables.rows, np.exp(node).tolist(), strict=True))
        beside, whole = followed(follower, factors)
        assert weight_carried(beside) == pytest.approx(weight_carried(whole), rel=0.01), factors
        spent += beside.iterations, whole.iterations
    assert spent[0] < 0.5 * spent[1]


@pytest.mark.parametrize(("example", "arrangement"), CASES)
def test_scattered_paths_carry_what_they_do_when_followed_whole(example: str, arrangement: str) -> None:
    compare(example, arrangement)


@pytest.mark.slow
@pytest.mark.parametrize(("example", "arrangement"), LONG)
def test_and_where_paths_take_longer(example: str, arrangement: str) -> None:
    compare(example, arrangement)


@pytest.mark.slow
@pytest.mark.parametrize(("with_lines", "factor"), [(False, 2.68), (True, 2.72), (True, 2.88)])
def test_an_early_peak_that_is_left_out_ends_no_path_of_strong_glue(with_lines: bool, factor: float) -> None:
    """A mortise and tenon cracks early and goes on to more than twice as much; glue as strong as an own file
    may say lifts that first peak. Paths beside ended there in steps of their own, at 1284 N, and those that
    are followed whole at 2607 N."""
    plain = build_corner(read_specimen(example_path("mortise_and_tenon")))
    known = CornerFollower(plain).broken(sample_wood(plain))
    if with_lines:
        known = ready_to_split(known)
    follower = coarse_follower(known.corner, known=known.path)
    assert 900.0 < follower.nominal.left_out < 1200.0
    guide = follower.guide
    assert isinstance(guide, Guide)
    # In steps of their own, other elements crack at a little more than the known path did.
    past = replace(COARSE_CONTROL, known_peak=guide.surely_past, stop_past_known=FALLEN)
    own = follower.follower.follow(follower.laws(follower.corner.holds), past)
    assert own.load.max() > 2.0 * follower.nominal.left_out
    laws = follower.laws(scaled_holds(follower.corner, {"end_grain": factor}))
    full = weight_carried(counted(follower.follower.follow(laws, COARSE_CONTROL)))
    assert full > 3400.0
    for growth in (factor, np.inf):
        assert weight_carried(follower.changed(laws, growth)) == pytest.approx(full, rel=0.02)
    assert weight_carried(follower.changed(laws, factor, whole=True)) == pytest.approx(full, rel=1e-3)
