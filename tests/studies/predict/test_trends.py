"""Trends on which published tests of case corners agree, on the highest loads of followed paths.

A mitre beats a butt, and more teeth in a box joint help with falling return (tests of case and drawer corners
in the forest-products journals; the directions recalled, no figures taken). Nothing here is measured.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from glueline.geometries import Boards, FingerJoint
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from tests.studies.corners import BOX, specimen

NARROW = Boards(19.0, 60.0, 120.0)
COUNTS = (3, 5, 7, 9, 13, 17)


@cache
def fingers(count: int, arrangement: str) -> BreakPath:
    """A box joint of white oak followed once for all tests."""
    return follow_break(specimen("finger", arrangement, joint=FingerJoint(count)))


@pytest.mark.parametrize(
    ("arrangement", "boards", "wood"),
    [
        ("diagonal compression", BOX, "white oak"),
        ("diagonal tension", BOX, "white oak"),
        ("cantilever in", NARROW, "eastern white pine"),
        pytest.param("diagonal compression", NARROW, "eastern white pine", marks=pytest.mark.slow),
        pytest.param("diagonal tension", NARROW, "eastern white pine", marks=pytest.mark.slow),
        pytest.param("apex press", BOX, "sugar maple", marks=pytest.mark.slow),
        pytest.param("cantilever in", BOX, "yellow-poplar", marks=pytest.mark.slow),
        pytest.param("cantilever out", BOX, "sugar maple", marks=pytest.mark.slow),
    ],
)
def test_mitre_beats_butt(arrangement: str, boards: Boards, wood: str) -> None:
    """By a tenth at least, whichever way it is loaded."""
    butt, mitre = (
        follow_break(specimen(kind, arrangement, boards, wood)).break_load for kind in ("butt", "mitre")
    )
    print(f"{arrangement}, {wood}: butt {butt:.0f} N, mitre {mitre:.0f} N, {mitre / butt:.2f} times")
    assert mitre > 1.1 * butt


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arrangement", "falls_from"), [("diagonal compression", 5), ("diagonal tension", 7)]
)
def test_more_fingers_help_with_falling_return(arrangement: str, falls_from: int) -> None:
    """Every count holds more than the last; what one more finger adds falls.

    Closing, it falls from 5 fingers on (from 3 to 5 one adds 199 N, from 5 to 7 204 N). Opening, the notch
    floors, about half the board wide whatever the count, carry most of the moment up to the peak while cheeks
    are few (81 % with 5 fingers), so the return first grows; from 7 fingers on it falls.
    """
    load = np.array([fingers(count, arrangement).break_load for count in COUNTS])
    gain = np.diff(load) / np.diff(COUNTS)
    print(f"{arrangement}: {np.round(load).astype(int)} N for {COUNTS}; one more adds {np.round(gain)} N")
    assert (gain > 0).all()
    falling = gain[COUNTS.index(falls_from) :]
    assert len(falling) >= 3
    assert (np.diff(falling) < 0).all()


@pytest.mark.slow
def test_at_last_the_wood_breaks_first() -> None:
    """With thin enough fingers the glue outlasts the wood, and a finger more adds nothing."""
    thin, thinner = (fingers(count, "diagonal compression") for count in (21, 25))
    print(f"21: {thin.break_load:.0f} N, 25: {thinner.break_load:.0f} N, glue {thinner.glue_load:.0f} N")
    assert fingers(9, "diagonal compression").breaks_in == "glue"
    assert thinner.breaks_in == "wood"
    assert thinner.glue_load > 1.2 * thinner.break_load
    assert thinner.break_load < 1.02 * thin.break_load
