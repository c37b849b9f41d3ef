"""Followed corners as arrays: from rest to the break and apart, with what of the glue is spent on the way."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from glueline.geometries import BOARD_B
from glueline.studies.bench_day.rig.on_rig import WeightsOnRig
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import bench_day_path, example_path
from glueline.studies.page import scene_path
from glueline.studies.page.scene_frames import MOST_FRAMES
from glueline.studies.page.scene_path import path_message
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.predictor import predict
from glueline.studies.predict.wood_limits import sample_wood
from glueline.studies.show.glue_places import cell_corners
from tests.studies.page.scenes import HEADLINE, Scene, area, check_wood_and_holds, made_up_headline

CORNERS = ("butt", "finger", "dry screws", "split butt", "bridle")
MOVING = ("body", "body_edges", "line", "cheek", "rod", "grain")


@pytest.fixture(autouse=True, scope="module")
def _told() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, HEADLINE, made_up_headline())
        yield


def followed(kind: str, *changes: tuple[str, str]) -> Prediction:
    return predict(read_specimen(example_path(kind), list(changes)), band=False, element_size=5.0)


def split(found: Prediction) -> Prediction:
    """The same corner with a line on which board B may split."""
    corner = build_corner(found.specimen, 5.0, splits=[(BOARD_B, (9.0, 60.0))])
    samples = sample_wood(corner)
    path = CornerFollower(corner).broken(samples)
    u, tractions = path.displacements(path.state), path.tractions(path.state)
    return replace(
        found, corner=corner, samples=samples, broken=path, u_at_break=u, tractions_at_break=tractions
    )


@pytest.fixture(scope="module")
def found() -> dict[str, Prediction]:
    butt = followed("butt")
    return {
        "butt": butt,
        "finger": followed("finger"),
        "dry screws": followed("pocket_screw", ("glue.kind", "none")),
        "split butt": split(butt),
        "bridle": followed("bridle"),
    }


@pytest.fixture(scope="module")
def scenes(found: dict[str, Prediction]) -> dict[str, Scene]:
    return {name: Scene(path_message(each, "metric", 3)) for name, each in found.items()}


@pytest.fixture(params=CORNERS)
def name(request: pytest.FixtureRequest) -> Any:
    return request.param


def test_a_path_has_all_of_a_scene(name: str, scenes: dict[str, Scene], found: dict[str, Prediction]) -> None:
    scene = scenes[name]
    assert (scene["answer"], scene["number"]) == ("path", 3)
    check_wood_and_holds(scene)
    assert sum(each["share"] for each in scene["carried"]) == pytest.approx(1.0)
    assert len(scene["splits"]) == 3 * sum(len(each.edges) for each in found[name].corner.splits)
    assert (len(scene["splits"]) > 0) == (name == "split butt")


def test_everything_moves_from_rest(name: str, scenes: dict[str, Scene]) -> None:
    scene = scenes[name]
    frames = scene["frames"]
    assert 10 <= frames <= MOST_FRAMES
    assert all(len(scene[each]) == frames for each in ("load", "load_text", "displacement"))
    for each in MOVING:
        assert scene[f"{each}_moved"].shape == (frames, *scene[each].shape)
        assert np.abs(scene[f"{each}_moved"][0]).max(initial=0.0) == 0.0
    assert scene["body"].shape == (3 * len(scene["body_piece"]), 2)
    assert scene["spot_moved"].shape == (frames, *scene["spots"].shape)
    assert len(scene["line"]) == len(scene["glue"])
    assert len(scene["cheek"]) == 3 * len(scene["cheek_hold"])
    np.testing.assert_allclose(scene["line"], scene["glue"], atol=1e-4)


def test_the_load_rises_to_the_break(
    name: str, scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    scene, end = scenes[name], scenes[name]["break_at"]
    load = scene["load"]
    assert load[0] == scene["displacement"][0] == 0.0
    assert (np.diff(load[: end + 1]) >= 0.0).all()
    path = found[name].broken
    assert path is not None
    assert load[end] == path.break_load
    assert 0 < scene["crack_at"] <= end
    assert scene["load_text"][end] != scene["load_text"][-1] or end == scene["frames"] - 1


def test_what_is_spent_is_what_the_path_says(
    name: str, scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    scene, end = scenes[name], scenes[name]["break_at"]
    path, corner = found[name].broken, found[name].corner
    assert path is not None
    gone = path.gone(path.state)
    for each in ("line_gone", "cheek_gone", "spot_gone"):
        assert (scene[each][0] == 0.0).all()
        assert (np.diff(scene[each][: end + 1], axis=0) >= -1e-6).all()
        assert scene[each].max(initial=0.0) <= 1.0
    for number in np.unique(scene["glue_hold"]):
        hold = corner.holds[number]
        own = scene["line_gone"][end, scene["glue_hold"] == number]
        np.testing.assert_allclose(own, gone[hold.name][: len(own)], rtol=1e-5, atol=1e-6)
    for number in np.unique(scene["cheek_hold"]):
        hold = corner.holds[number]
        own = scene["cheek_gone"][end].reshape(-1, 3)[scene["cheek_hold"] == number]
        wanted = cell_corners(gone[hold.name], len(hold.cells))
        np.testing.assert_allclose(own, wanted, rtol=1e-5, atol=1e-6)


def test_the_wood_moves_as_it_was_solved(scenes: dict[str, Scene], found: dict[str, Prediction]) -> None:
    """Pictures differ from it by a rigid motion: how far two corners go apart by pulling does not."""
    scene, answer = scenes["butt"], found["butt"]
    end, model = scene["break_at"], answer.corner.model
    places = model.positions + answer.u_at_break[: model.body_unknowns].reshape(-1, 2)
    numbers = np.concatenate(
        [model.numbers[body.name][model.nodes_of(body)[:, :3]].ravel() for body in model.bodies]
    )
    solved = places[numbers] - places[numbers[0]]
    moved = scene["body"] + scene["body_moved"][end]
    shown = moved - moved[0]
    # In small displacements lengths differ by the square of the turn.
    difference = np.linalg.norm(shown, axis=1) - np.linalg.norm(solved, axis=1)
    assert np.abs(difference).max() < 1e-2


def test_a_split_opens_its_board(scenes: dict[str, Scene]) -> None:
    """Its two sides are edges of the board, which a whole board does not have."""
    split_edges, edges = (scenes[name]["body_edges"].mean(axis=1) for name in ("split butt", "butt"))
    on_line = [np.isclose(each[:, 0], 9.0, atol=1e-3) & (each[:, 1] > 20.0) for each in (split_edges, edges)]
    assert on_line[0].sum() > 10
    assert on_line[1].sum() <= 1


def test_pieces_have_the_area_of_the_corner(
    name: str, scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    """Teeth of a crack take from one half what they give to the other."""
    layout = found[name].corner.layout
    clusters = scenes[name]["broken"]
    fills = [fill for cluster in clusters for fill in cluster["fills"]]
    for piece in layout.pieces:
        whole = sum(area(cell.polygon) for cell in layout.cells if piece.name in cell.parts)
        own = sum(area(fill["outline"]) for fill in fills if fill["piece"] == piece.name)
        assert own == pytest.approx(whole, rel=1e-6)
    assert clusters[0]["move"] == [0.0, 0.0]
    assert {each.name for each in layout.hardware} <= {fill["piece"] for fill in fills}
    assert all("line" in face or "area" in face for cluster in clusters for face in cluster["faces"])
    assert all(cluster["lines"] for cluster in clusters)


def test_wood_that_breaks_shows_nothing_of_what_had_it_held(
    scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    assert found["bridle"].answer.breaks_in == "wood"
    assert scenes["bridle"]["break_at"] == scenes["bridle"]["frames"] - 1
    assert scenes["finger"]["break_at"] < scenes["finger"]["frames"] - 1


def test_stops_are_forces_or_weights_from_nothing_to_the_break(
    scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    scene = scenes["butt"]
    assert len(scene["stops"]) == 101
    assert scene["stops"][0] == "0 N"
    assert float(scene["stops"][-1].split()[0]) == pytest.approx(found["butt"].break_load, rel=0.005)
    assert scene["force_words"] == "force on the joint"
    rig = WeightsOnRig(read_rig(bench_day_path("bench_rig.toml")))
    rigged = Scene(path_message(found["butt"], "imperial", 3, rig))
    pounds = [float(stop.removesuffix(" lb")) for stop in rigged["stops"]]
    assert pounds == sorted(pounds)
    assert pounds[-1] == pytest.approx(rig.weight(found["butt"].break_load) / 0.45359237, rel=0.005)
    assert rigged["force_words"] == "stacked weight"
    assert rigged["headline"]["on_rig"]
    assert rigged["stand_clear"]["text"].endswith(" lb")


def test_marks_lie_where_their_loads_do(
    name: str, scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    scene, answer = scenes[name], found[name].answer
    assert scene["marks"][-1]["share"] == 1.0
    assert "break" in scene["marks"][-1]["name"]
    assert answer.first_crack_load is not None
    assert scene["marks"][0]["share"] <= answer.first_crack_load / answer.break_load + 0.01
    assert answer.said_aloud is not None
    stand_clear = answer.said_aloud.stand_clear / answer.break_load
    assert scene["stand_clear"]["share"] == pytest.approx(stand_clear)


def test_the_curve_is_that_of_the_path(scenes: dict[str, Scene], found: dict[str, Prediction]) -> None:
    curve, path = scenes["finger"]["curve"], found["finger"].broken
    assert path is not None
    np.testing.assert_allclose(curve["load"], path.path.load)
    assert curve["break_at"] == path.state == curve["under_weight"][-1]
    assert curve["x_label"] == "give at the load, mm"
    kinds = [mark["name"] for mark in curve["marks"]]
    assert kinds[0] == "first damage"
    assert "break" in kinds


def test_a_corner_of_many_cells_has_fewer_frames(
    monkeypatch: pytest.MonkeyPatch, scenes: dict[str, Scene], found: dict[str, Prediction]
) -> None:
    whole = path_message(found["butt"], "metric", 3)
    monkeypatch.setattr(scene_path, "MOST_BYTES", int(0.3 * len(whole)))
    less = path_message(found["butt"], "metric", 3)
    assert len(less) < 0.8 * len(whole)
    assert Scene(less)["load"][Scene(less)["break_at"]] == scenes["butt"]["load"][scenes["butt"]["break_at"]]


def test_an_elastic_answer_has_no_path(found: dict[str, Prediction]) -> None:
    with pytest.raises(ValueError, match="has no path"):
        path_message(replace(found["butt"], broken=None), "metric", 1)
