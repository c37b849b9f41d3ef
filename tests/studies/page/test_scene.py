"""The elastic answer of every kind as arrays: they agree with each other and with what was computed."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.files.units import MPA_PER_PSI
from glueline.studies.page.scene import scene_message
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.predictor import predict
from glueline.studies.show.body_stresses import body_stresses
from glueline.studies.show.strength_field import strength_field
from tests.studies.page.scenes import HEADLINE, Scene, check_wood_and_holds, made_up_headline


@pytest.fixture(autouse=True)
def _told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, HEADLINE, made_up_headline())


def elastic(kind: str) -> Prediction:
    return predict(read_specimen(example_path(kind)), method="elastic", element_size=5.0)


@pytest.fixture(scope="module")
def finger() -> Prediction:
    return elastic("finger")


@pytest.mark.parametrize("kind", EXAMPLES)
def test_scenes_of_every_kind_agree_with_themselves(kind: str) -> None:
    """Also: something is at all of its strength, the ring lies by it, and shares of the bending sum to 1."""
    found = elastic(kind)
    scene = Scene(scene_message(found, "metric", 7))
    assert (scene["answer"], scene["number"]) == ("scene", 7)
    assert scene["headline"] == {"load": found.break_load, "units": "metric", "on_rig": False}
    check_wood_and_holds(scene)
    assert sum(each["share"] for each in scene["carried"]) == pytest.approx(1.0)
    assert [each["name"] for each in scene["holds"]] == [hold.name for hold in found.corner.holds]
    assert len(scene["rods"]) == len(found.corner.layout.inserts)
    near = strength_field(found).share_near(tuple(scene["ring"]), 3.0)
    # A limit is a mean over a length: at its worst place the share is all of it.
    assert near == pytest.approx(1.0, abs=0.02)
    assert len(scene["arrows"]) == len(scene["supports"]) == 1


def test_numbers_are_those_of_the_pictures(finger: Prediction) -> None:
    scene, field = Scene(scene_message(finger, "imperial", 1)), strength_field(finger)
    assert scene["share"].max() == pytest.approx(field.share.max())
    np.testing.assert_allclose(scene["glue_share"], field.line_share, rtol=1e-6)
    board = next(body for body in finger.corner.model.bodies if body.name == scene["pieces"][1])
    stress = body_stresses(finger)[board.name][..., 1].ravel()
    own = np.repeat(scene["piece"], 3) == 1
    np.testing.assert_allclose(scene["across"][own] * MPA_PER_PSI, stress, rtol=1e-5, atol=1e-6)
    assert scene["stress_unit"] == "psi"
    assert 0.0 < scene["stresses"]["across"]["limit"] <= np.abs(scene["across"]).max()


def test_where_pieces_overlap_all_show_the_most_that_is_used(finger: Prediction) -> None:
    scene = Scene(scene_message(finger, "metric", 1))
    places, shares = scene["places"].reshape(-1, 3, 2), scene["share"].reshape(-1, 3)
    (first, last) = (scene["piece"] == piece for piece in (0, 1))
    twins = [np.flatnonzero((places[first] == cell).all(axis=(1, 2))) for cell in places[last]]
    shared = [(own, twin[0]) for own, twin in enumerate(twins) if len(twin)]
    assert len(shared) > 20
    own, other = np.array(shared).T
    assert (shares[last][own] == shares[first][other]).all()


def test_what_is_kept_between_corners_changes_nothing(finger: Prediction) -> None:
    kept = Reuse()
    messages = [scene_message(finger, "metric", 1, kept=kept) for _ in range(2)]
    assert messages[0] == messages[1] == scene_message(finger, "metric", 1)


def test_no_drawing_library_is_loaded() -> None:
    """The first colours must stand soon after the command."""
    code = (
        "import sys, glueline.studies.page.scene, glueline.studies.page.scene_path;"
        "sys.exit('matplotlib' in sys.modules or 'PIL' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
