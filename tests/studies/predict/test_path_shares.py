"""The moment that glued surfaces carry along a path, against statics and the elastic answer."""

from __future__ import annotations

from functools import cache
from math import sqrt

import numpy as np
import pytest

from glueline import predict
from glueline.geometries import FingerJoint
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.measures import pressure_centroid
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
    """Statics: a force at the tip's centre, at 45 or 90 degrees to board A, about each state's own place."""
    found, shares = followed(kind, arrangement)
    closing = {"diagonal": np.array([-1.0, 1.0]) / sqrt(2), "cantilever": np.array([0.0, 1.0])}
    force = closing[arrangement.split()[0]]
    if arrangement not in ("diagonal compression", "cantilever in"):
        force = -force
    arm = np.array([BOX.leg, BOX.thickness / 2]) - shares.about
    turning = found.path.load * (arm[:, 0] * force[1] - arm[:, 1] * force[0])
    # Bonds turn the board against the load.
    assert shares.total == pytest.approx(-turning, rel=1e-6)


def test_every_state_has_the_centroid_of_its_own_pressure() -> None:
    """As an opened mitre cracks from inside, what is pressed draws back to the outer corner."""
    found, shares = followed("mitre", "diagonal tension")
    for state in (1, found.path.highest, len(found.path.load) - 1):
        place = pressure_centroid(found.corner, found.tractions(state))
        assert shares.about[state] == pytest.approx(place)
    assert shares.about[0] == pytest.approx(shares.about[found.path.first_damage])
    assert (np.diff(shares.about[:, 0]) < 1e-3).all()


def test_first_state_has_the_shares_of_the_elastic_answer() -> None:
    """Up to first damage all is linear if no face crushes: the shares are those of the elastic prediction."""
    corner = specimen("finger", joint=FingerJoint(5))
    found = follow_break(corner, element_size=SIZE["finger"], crushing=False)
    shares = path_shares(found)
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
