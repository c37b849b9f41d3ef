"""The moment that glued surfaces carry along a path, against statics and the elastic answer."""

from __future__ import annotations

from functools import cache
from math import sqrt

import numpy as np
import pytest

from glueline import predict
from glueline.geometries import FingerJoint
from glueline.studies.predict.break_path import BreakPath, follow_break
from glueline.studies.predict.path_shares import PathShares, path_shares
from tests.studies.corners import BOX, specimen

SIZE = {"butt": None, "mitre": None, "finger": 6.0}


@cache
def followed(kind: str, arrangement: str) -> tuple[BreakPath, PathShares]:
    """A corner followed once for all tests; the fingers coarse, which statics do not mind."""
    joint = FingerJoint(5) if kind == "finger" else None
    found = follow_break(specimen(kind, arrangement, joint=joint), element_size=SIZE[kind])
    return found, path_shares(found)


@pytest.mark.parametrize("kind", SIZE)
def test_shares_sum_to_one(kind: str) -> None:
    """At every state, the unloaded one included."""
    found, shares = followed(kind, "diagonal compression")
    total = np.sum(list(shares.share.values()), axis=0)
    assert total == pytest.approx(np.ones(len(found.path.load)), abs=1e-12)


@pytest.mark.parametrize(
    ("kind", "arrangement"),
    [
        ("butt", "diagonal compression"),
        ("mitre", "diagonal tension"),
        ("butt", "cantilever in"),
        ("mitre", "cantilever out"),
        ("finger", "diagonal compression"),
    ],
)
def test_moment_is_load_times_arm(kind: str, arrangement: str) -> None:
    """Statics: a force at the tip's centre, L - t/2 from the corner square's, at 45 or 90 degrees to it."""
    found, shares = followed(kind, arrangement)
    arm = BOX.leg - BOX.thickness / 2
    arm *= {"diagonal": 1 / sqrt(2), "cantilever": 1.0}[arrangement.split()[0]]
    sign = -1.0 if arrangement in ("diagonal compression", "cantilever in") else 1.0
    # Bonds turn the board against the load.
    assert shares.total == pytest.approx(sign * arm * found.path.load, rel=1e-6)


def test_first_state_has_the_shares_of_the_elastic_answer() -> None:
    """Up to first damage everything is linear: the shares are those of the elastic prediction."""
    found, shares = followed("finger", "diagonal compression")
    elastic = predict(found.corner.specimen, method="elastic", element_size=SIZE["finger"])
    assert set(elastic.moment_share) == set(shares.share)
    for name, share in elastic.moment_share.items():
        assert shares.share[name][found.path.first_damage] == pytest.approx(share, abs=1e-6)


def test_moment_moves_to_the_cheeks_as_end_grain_gives() -> None:
    """Five fingers closed: the end-grain lines soften first, cheeks carry over twice as much at the peak."""
    found, shares = followed("finger", "diagonal compression")
    cheeks = shares.share["finger cheeks"]
    print(f"cheeks carry {cheeks[0]:.3f} at first, {cheeks[found.path.highest]:.3f} at the peak")
    assert cheeks[found.path.highest] > 2 * cheeks[0] > 0
