"""Paths of the scatter of glued corners, found beside the known one, against the same followed whole."""

from __future__ import annotations

import numpy as np
import pytest

from glueline.studies.predict.path_band import weight_carried
from glueline.studies.predict.scatter.band import _covariance
from glueline.studies.predict.scatter.surface import star_design
from glueline.studies.predict.scatter.variables import variables_of
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
        print(example, arrangement, factors, weight_carried(beside), weight_carried(whole))
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
