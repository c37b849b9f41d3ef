"""What an answer says in words: where it starts, what lets go last, and what an opened corner needs."""

from __future__ import annotations

from functools import cache

import pytest

from glueline import Prediction, predict
from glueline.geometries import Boards
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.predict.glue_break import first_gone
from tests.studies.corners import specimen


@cache
def found(kind: str, arrangement: str) -> Prediction:
    return predict(specimen(kind, arrangement), band=False)


@pytest.mark.parametrize(
    ("kind", "arrangement", "words"),
    [
        (
            "finger",
            "diagonal compression",
            "It starts at the outside end of the notch floors of board B, of which 43 % are gone by the "
            "break; the finger cheeks let go last.",
        ),
        (
            "splined mitre",
            "diagonal tension",
            "It starts at the inside end of the mitre, of which 63 % is gone by the break; "
            "the spline cheeks in board A let go last.",
        ),
    ],
)
def test_where_it_starts_and_what_lets_go_last(kind: str, arrangement: str, words: str) -> None:
    """The surface that has spent most of its toughness, from the place that went first, was damaged well
    before the one that brings the load down."""
    answer = found(kind, arrangement)
    assert answer.why.endswith(f". {words}")
    broken = answer.broken
    assert broken is not None
    gone = broken.glue_gone
    first, last = max(gone, key=gone.__getitem__), answer.critical.part
    assert gone[first] > gone[last] + 0.05
    damaged = {name: (values > 0).any(axis=1).argmax() for name, values in broken.path.damage.items()}
    assert damaged[first] < damaged[last]
    at = first_gone(broken, first, broken.state)
    share = broken.gone(broken.state)[first]
    assert share[at] >= 0.99 * share.max()


@pytest.mark.parametrize("kind", ["mitre", "splined mitre"])
def test_what_starts_and_ends_on_one_surface_is_said_once(kind: str) -> None:
    """A lone mitre, and a closed mitre whose splines still hold when it lets go."""
    assert "It starts" not in found(kind, "diagonal compression").why


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("method", ["elastic", "progressive"])
def test_opened_corners_are_compared_within_one_arrangement(arrangement: str, method: str) -> None:
    answer = predict(specimen("mitre", arrangement), method=method, band=False)
    said = [warning for warning in answer.warnings if "notch" in warning]
    assert len(said) == (ARRANGEMENTS[arrangement].sense == "opens")
    assert all("within one arrangement only" in warning for warning in said)


def test_a_large_corner_says_what_its_elements_do() -> None:
    """Boards 240 mm deep in the plane: elements of 6 mm, over the 4 that the glue would have."""
    wide = specimen("butt", boards=Boards(20.0, 240.0, 800.0, "frame"))
    said = "its elements along the glue are larger than usual"
    found = predict(wide, band=False)
    assert found.corner.mesh.element_size == pytest.approx(6.0)
    assert any(said in note for note in found.warnings)
    assert not any(said in note for note in predict(wide, band=False, element_size=5.0).warnings)
    assert not any(said in note for note in predict(specimen("butt"), band=False).warnings)
