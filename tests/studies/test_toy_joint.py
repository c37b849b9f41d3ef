"""A joint that nobody outside its file knows goes through every room, from its file to its pictures."""

from __future__ import annotations

import ast
import io
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import glueline.studies
from glueline import predict, read_specimen
from glueline.geometries import BOARD_A, BOARD_B, JOINTS
from glueline.studies.commands import main
from glueline.studies.corner.materials_used import materials_used
from glueline.studies.corner.specimen import Specimen
from glueline.studies.examples import example_path
from glueline.studies.predict.measures import moments_on_a
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.pictures import pictures
from glueline.studies.sweeps.sweep_words import key_words
from tests.studies.toy_joint import PADS, STRAPPED_BUTT, STRAPS

FILE = """
[joint]
kind = "strapped butt"
straps = 2
strap_thickness = "6 mm"
strap_wood = "black cherry"
pad_wood = "walnut"

[boards]
thickness = "19 mm"
width = "90 mm"
leg = "150 mm"
wood = "hard maple"
wood_b = "white oak"
"""


@pytest.fixture(scope="module", autouse=True)
def _registered() -> Iterator[None]:
    """The toy joint in the table of joints, for this module."""
    JOINTS[STRAPPED_BUTT.kind] = STRAPPED_BUTT
    yield
    del JOINTS[STRAPPED_BUTT.kind]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("toy") / "strapped.toml"
    path.write_text(FILE)
    return path


@pytest.fixture(scope="module")
def specimen(file: Path) -> Specimen:
    return read_specimen(file)


@pytest.fixture(scope="module")
def prediction(specimen: Specimen) -> Prediction:
    return predict(specimen)


def test_every_member_has_its_wood(specimen: Specimen) -> None:
    names = {name: wood.name for name, wood in specimen.woods.items()}
    assert names == {
        BOARD_A: "Sugar (hard) maple",
        BOARD_B: "White oak",
        STRAPS: "Black cherry",
        PADS: "Black walnut",
    }


def test_answers_name_only_what_list_joints_offers(
    prediction: Prediction, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["list", "joints", "--json"]) == 0
    listed = {each["kind"]: each for each in json.loads(capsys.readouterr().out)["joints"]}
    own = listed[STRAPPED_BUTT.kind]
    assert {limit.where for limit in prediction.limits} <= set(own["where"])
    assert {"heel of board A", "straps", "pads", "back of the end face"} <= set(own["where"])
    assert [each.name for each in prediction.corner.connections] == own["surfaces"]
    place = prediction.critical.where
    assert f" {prediction.corner.layout.spoken(place)}" in prediction.why


def test_every_surface_on_board_a_has_its_share(prediction: Prediction) -> None:
    shares = prediction.moment_share
    assert set(shares) == {"end face", "strap faces on board A", "pad face"}
    assert sum(shares.values()) == pytest.approx(1.0, abs=1e-12)
    assert abs(shares["pad face"]) < 0.02


@pytest.mark.parametrize("about", [(9.5, 9.5), (19.0, 3.0), (-40.0, 70.0)])
def test_moments_on_board_a_about_any_place_are_those_of_statics(
    prediction: Prediction, about: tuple[float, float]
) -> None:
    """All that holds board A, which is the plus side, turns it as the load at its tip does the other way."""
    corner, boards = prediction.corner, prediction.specimen.boards
    tractions = {each.name: each.surface.tractions(prediction.u) for each in corner.connections}
    tip = np.array([boards.leg, boards.depth_a / 2])
    other = np.array([boards.depth_b / 2, boards.leg])
    arm, force = tip - np.array(about), other - tip
    force = force / np.linalg.norm(force)
    turning = float(arm[0] * force[1] - arm[1] * force[0])
    found = moments_on_a(corner, tractions, np.array(about))
    assert sum(found.values()) == pytest.approx(-turning, rel=1e-6)


def test_the_record_calls_members_by_their_names(prediction: Prediction) -> None:
    entries = materials_used(prediction.corner)
    used = {entry.name: entry.used_for for entry in entries if entry.kind == "wood"}
    assert used["Black cherry"] == (STRAPS,)
    assert used["Black walnut"] == (PADS,)
    assert "pad face" in [entry.name for entry in entries if entry.kind == "bond"]


def test_a_sweep_calls_keys_as_the_joint_does() -> None:
    assert key_words("joint.straps") == "count of straps"
    assert key_words("joint.pad_wood") == "pad wood"


def test_the_cut_list_has_every_member(specimen: Specimen) -> None:
    from glueline.studies.bench_day.plan.cut_list import blanks_of

    blanks = {blank.part: blank for blank in blanks_of("toy", specimen, 3.0, 1.0)}
    assert set(blanks) == {BOARD_A, BOARD_B, "strap", "pad"}
    assert blanks["strap"].each == 2
    assert blanks["strap"].thickness == pytest.approx(6.0)
    assert blanks["pad"].wood == "Black walnut"


def test_every_picture_is_drawn(prediction: Prediction) -> None:
    for name, content in pictures(prediction):
        image = np.asarray(Image.open(io.BytesIO(content)).convert("L"))
        assert image.std() > 5, name


def test_it_is_ranked_and_written(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    elastic = ["--method", "elastic"]
    assert main(["predict", str(file), *elastic, "--out", str(out)]) == 0
    assert main(["rank", str(file), *elastic, "--out", str(tmp_path / "rank")]) == 0
    assert main(["report", str(out), "--out", str(tmp_path / "page.html")]) == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "strap faces on board A" in page
    capsys.readouterr()


EXAMPLES = example_path("butt").parent


def source_files() -> list[Path]:
    """Product files above geometries."""
    return sorted(Path(next(iter(glueline.studies.__path__))).rglob("*.py"))


def test_nothing_above_geometries_knows_splines_or_asks_for_kinds() -> None:
    """No file of studies/ but the examples spells the splined mitre's parts, and none asks what holds two
    pieces for its type: the table of kinds is the one place where they are told apart."""
    asked = ("Bond", "CheekBond", "LineLaw", "CheekLaw", "GluedLine", "GluedCheek", "GlueLine", "Cheek")
    for path in source_files():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "isinstance":
                kinds = {each.id for each in ast.walk(node.args[1]) if isinstance(each, ast.Name)}
                assert not kinds & set(asked), f"{path.name}:{node.lineno} asks for a kind"
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and path.parent.name != "examples"
            ):
                doc = node.value.strip()
                assert "spline" not in doc or "\n" in doc or doc.count(" ") > 3, f"{path.name}:{node.lineno}"
