"""The drawing of a rig: the maker's own distances, and nothing in it that overlaps or is cut off."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from glueline.geometries import Boards
from glueline.studies.bench_day.rig.new_rig import rig_file_text
from glueline.studies.bench_day.rig.rig import KINDS, Lever, Rig, direct_line, lever_line
from glueline.studies.bench_day.rig.rig_drawing import drawn_to_scale, places_of, rig_drawing
from glueline.studies.bench_day.rig.rig_file import read_rig
from glueline.studies.bench_day.rig.rig_report import rig_text
from glueline.studies.bench_day.rig.standing_corner import standing_corner
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.examples import bench_day_path
from glueline.studies.files.units import Units

FACE = ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"), 12)
"""A wide plain face, with which matplotlib comes."""

BOARDS = Boards(19.0, 90.0, leg=150.0)  # mm
Box = tuple[float, float, float, float]

lengths = st.floats(min_value=1.0, max_value=20_000.0)
corners = st.builds(
    Boards,
    thickness=st.floats(min_value=6.0, max_value=60.0),
    width=st.just(90.0),
    leg=st.floats(min_value=130.0, max_value=600.0),
    thickness_b=st.floats(min_value=6.0, max_value=60.0),
)


def rig_of(kind: str, arrangement: str, lever: Lever) -> Rig:
    line = lever_line(lever, 50.0, 0.1, 0.0) if kind == KINDS[0] else direct_line(50.0, 0.0)
    of_lever = lever if kind == KINDS[0] else None
    return Rig(kind, ARRANGEMENTS[arrangement], line, line, lever=of_lever)


def read(drawing: str) -> tuple[Box, dict[str, Box], list[Box]]:
    """The view box, the words with the boxes that they fill, and the boxes of every shape."""
    found = ET.fromstring(drawing)
    view = tuple(float(each) for each in found.attrib["viewBox"].split())
    texts, shapes = {}, []
    for each in found:
        at = each.attrib
        if each.tag == "text":
            wide, x, base = FACE.getlength(each.text or ""), float(at["x"]), float(at["y"])
            left = x - (wide / 2 if at["text-anchor"] == "middle" else wide)
            assert each.text not in texts
            texts[each.text or ""] = (left, base - 9.5, left + wide, base + 2.5)
        elif each.tag == "rect":
            x, y, wide, tall = (float(at[key]) for key in ("x", "y", "width", "height"))
            assert min(wide, tall) > 0
            shapes.append((x, y, x + wide, y + tall))
        elif each.tag == "line":
            x1, y1, x2, y2 = (float(at[key]) for key in ("x1", "y1", "x2", "y2"))
            shapes.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
        elif each.tag == "polygon":
            places = [[float(number) for number in pair.split(",")] for pair in at["points"].split()]
            xs, ys = zip(*places, strict=True)
            shapes.append((min(xs), min(ys), max(xs), max(ys)))
    assert len(view) == 4
    return (view[0], view[1], view[2], view[3]), texts, shapes


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    kind=st.sampled_from(KINDS),
    arrangement=st.sampled_from(sorted(ARRANGEMENTS)),
    lever=st.builds(Lever, lengths, lengths, lengths),
    boards=corners,
    drop=st.floats(min_value=1.0, max_value=500.0),
    units=st.sampled_from(["metric", "imperial"]),
)
def test_nothing_overlaps_and_nothing_is_cut_off(
    kind: str, arrangement: str, lever: Lever, boards: Boards, drop: float, units: Units
) -> None:
    view, texts, shapes = read(rig_drawing(rig_of(kind, arrangement, lever), boards, drop, units))
    assert view[2] <= 360
    for each in (*texts.values(), *shapes):
        assert min(each[:2]) >= 0
        assert each[2] <= view[2]
        assert each[3] <= view[3]
    for (one, where), (other, there) in combinations(texts.items(), 2):
        assert not overlap(where, there), (one, other)
    for text, where in texts.items():
        for shape in shapes:
            upright = shape[2] - shape[0] < 1  # the faint lines down to the distances, broken by the words
            assert upright or not overlap(where, shape), (text, shape)


@settings(max_examples=150, deadline=None)
@given(lever=st.builds(Lever, lengths, lengths, lengths), room=st.floats(min_value=30.0, max_value=80.0))
def test_places_keep_their_order_and_their_room(lever: Lever, room: float) -> None:
    places, to_scale = places_of(lever, room)
    mm = {"specimen_at": lever.specimen_at, "weights_at": lever.weights_at, "centre_at": lever.centre_at}
    assert [mm[name] for name in places] == sorted(mm.values())
    drawn = list(places.values())
    for (one, x), (other, y) in combinations(places.items(), 2):
        assert y - x >= 15.99 or mm[other] <= mm[one] * (1 + 1e-6)
    assert 46 < drawn[0] <= drawn[-1] <= 308.01
    assert places["specimen_at"] >= 46 + room - 1e-9
    if to_scale:
        farthest = max(mm.values())
        assert drawn == pytest.approx([46 + 262 * mm[name] / farthest for name in places], abs=0.51)


def test_the_example_is_drawn_to_scale_with_its_distances() -> None:
    """300, 480 and 900 mm: 1/3 and 8/15 of the longest."""
    rig = read_rig(bench_day_path("bench_rig.toml"))
    assert rig.lever == Lever(300.0, 900.0, 480.0)
    drawing = rig_drawing(rig, BOARDS, 25.0, "metric")
    _, texts, _ = read(drawing)
    assert set(texts) == {
        "hinge",
        "specimen",
        "weights",
        "specimen_at 300 mm",
        "centre_at 480 mm (own weight)",
        "weights_at 900 mm",
        "catch block, 25 mm clear",
    }
    assert drawn_to_scale(rig, BOARDS)
    places, _ = places_of(rig.lever, 30.0)
    assert (places["specimen_at"] - 46) / (places["weights_at"] - 46) == pytest.approx(1 / 3)
    assert (places["centre_at"] - 46) / (places["weights_at"] - 46) == pytest.approx(8 / 15)
    for name in ("specimen_at", "weights_at", "centre_at", "hinge", "specimen"):
        assert name in rig_file_text("metric"), "the sketch in a new rig file has the same names"


def test_a_rig_in_inches_is_drawn_in_inches(tmp_path: Path) -> None:
    (tmp_path / "rig.toml").write_text(rig_file_text("imperial"))
    rig = read_rig(tmp_path / "rig.toml")
    _, texts, _ = read(rig_drawing(rig, BOARDS, 25.4, rig.units))
    assert {"specimen_at 12 in", "weights_at 36 in", "centre_at 19 in (own weight)"} <= set(texts)
    assert "catch block, 1 in clear" in texts


def test_distances_without_room_are_not_said_to_be_to_scale() -> None:
    near = rig_of(KINDS[0], "apex press", Lever(20.0, 3000.0, 1500.0))
    assert not drawn_to_scale(near, BOARDS)
    assert "not to scale" in rig_drawing(near, BOARDS, 25.0, "metric")


@pytest.mark.parametrize("name", ARRANGEMENTS)
@pytest.mark.parametrize("to_left", [False, True])
def test_a_corner_stands_as_its_load_asks(name: str, to_left: bool) -> None:
    """Only diagonal tension and cantilever out pull on what is held above; a roof stands on both tips."""
    corner = standing_corner(BOARDS, ARRANGEMENTS[name], to_left)
    assert corner.hangs == (name in ("diagonal tension", "cantilever out"))
    assert len(corner.held) == (2 if name == "apex press" else 1)
    assert [each.clamps for each in corner.held] == [name.startswith("cantilever")] * len(corner.held)
    if name != "apex press":
        assert (-corner.left > corner.right) == to_left
    for each in corner.held:
        assert (each.place[1] < 0) == corner.hangs
    if name.startswith("diagonal"):
        assert corner.held[0].place[0] == pytest.approx(0.0, abs=1e-9), "the load line is upright"


def test_the_drawing_loads_and_runs_nothing() -> None:
    drawing = rig_drawing(rig_of("press", "apex press", Lever(1.0, 1.0, 1.0)), BOARDS, 25.0, "metric")
    assert not re.search(r"script|href|url|http|\son\w+=|style=", drawing)


def test_the_text_of_a_rig_has_the_distances_by_the_same_names() -> None:
    rig = read_rig(bench_day_path("bench_rig.toml"))
    said = "specimen_at 300 mm, centre_at 480 mm, weights_at 900 mm"
    assert said in rig_text(rig, np.array([0.0, 10.0]), "metric")
    assert "_at" not in rig_text(
        rig_of("press", "apex press", Lever(1, 1, 1)), np.array([0.0, 10.0]), "metric"
    )
