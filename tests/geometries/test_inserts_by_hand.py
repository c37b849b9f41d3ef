"""Loose tenons and dowels: areas by hand, defaults, what does not fit."""

from __future__ import annotations

from dataclasses import fields, replace
from math import pi, sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import BOARD_A, BOARD_B, JOINTS, Boards, Dowels, HoleBond, Layout, LooseTenon
from glueline.geometries.joint_kind import WIDEST_IN_FRAME
from glueline.geometries.layout import Lay
from glueline.geometries.mesh import mesh_layout
from glueline.geometries.polygons import clipped
from tests.geometries.test_kinds_by_hand import areas, laid
from tests.geometries.test_layouts import polygon_area

BOX = Boards(19.0, 90.0, 150.0)
FRAME = Boards(19.0, 60.0, 200.0, "frame")
DEFAULTS: dict[str, Any] = {"loose tenon": LooseTenon(), "dowel": Dowels()}
WHOLE = LooseTenon("butt", 1, 8.0, 50.0, 15.0, 12.0, 9.5)


def covered(layout: Layout) -> float:
    return sum(polygon_area(cell.polygon) for cell in layout.cells)


def test_a_loose_tenon_in_a_box_by_hand() -> None:
    """8 x 50 mm, 12 deep in A and 15 in B: its broad faces are lines, its edges areas."""
    layout = laid("loose tenon", WHOLE, BOX)
    assert areas(layout) == pytest.approx(
        {
            "butt face": 11 * 90.0 + 8 * 40.0,
            "outer tenon faces in board A": 12 * 50.0,
            "inner tenon faces in board A": 12 * 50.0,
            "tenon edges in board A": 2 * 12 * 8.0,
            "outer tenon faces in board B": 15 * 50.0,
            "inner tenon faces in board B": 15 * 50.0,
            "tenon edges in board B": 2 * 15 * 8.0,
        }
    )
    assert covered(layout) == pytest.approx(2 * 19 * 150.0 - 19 * 19)
    shared = [cell for cell in layout.cells if "tenons" in cell.parts]
    assert [cell.parts["tenons"].across for cell in shared] == [50.0, 50.0]
    assert [min(cell.parts[board].across for board in cell.parts) for cell in shared] == [40.0, 40.0]


def test_in_a_frame_faces_and_edges_change_places() -> None:
    layout = laid("loose tenon", LooseTenon(None, 1, 6.0, 25.0, 20.0, 22.0), FRAME)
    found = areas(layout)
    assert found["tenon faces in board A"] == pytest.approx(2 * 22 * 25.0)
    assert found["outer tenon edges in board B"] == pytest.approx(20 * 6.0)
    assert found["butt face"] == pytest.approx(35 * 19.0 + 25 * 13.0)


@pytest.mark.parametrize("boards", [BOX, FRAME])
@pytest.mark.parametrize("kind", sorted(DEFAULTS))
def test_on_a_mitre_it_lies_square_to_the_joint_and_is_its_own_image(kind: str, boards: Boards) -> None:
    """Grain across the mitre; equal depths leave the corner symmetric, others do not."""
    joint = replace(DEFAULTS[kind], base="mitre")
    layout = laid(kind, joint, boards)
    depth = boards.depth_a
    assert covered(layout) == pytest.approx(2 * depth * boards.leg - depth**2)
    insert = layout.rods[0] if layout.rods else layout.pieces[2]
    assert insert.grain_angle == pytest.approx(-pi / 4)
    assert layout.mirrored
    filled = JOINTS[kind].filled(joint, boards)
    key = "dowel_depth" if kind == "dowel" else "tenon_depth"
    assert not laid(kind, replace(filled, **{key: 0.8 * getattr(filled, key)}), boards).mirrored
    mesh = mesh_layout(layout, 4.0)
    for joining in layout.joinings:
        for start, end in joining.edges:
            mesh.edges_on(start, end)


def test_dowels_by_hand() -> None:
    """Three of 10 mm right through A: rims, and the mean that holes leave of the face and the boards."""
    layout = laid("dowel", Dowels("butt", 3, 10.0, 30.0, through=True), BOX)
    bonds = [each for each in layout.joinings if isinstance(each, HoleBond)]
    assert [(each.minus, each.length) for each in bonds] == [(BOARD_A, 19.0), (BOARD_B, 30.0)]
    assert all(each.spacing == 30.0 and each.to_free_faces == (9.5, 9.5) for each in bonds)
    (face,) = (each for each in layout.joinings if not isinstance(each, HoleBond))
    area = sum(
        width * (end - start)
        for (start, width), end in zip(face.widths, [*(s for s, _ in face.widths[1:]), 19.0], strict=True)
    )
    assert area == pytest.approx(19 * 90.0 - 3 * pi * 25.0)
    bored = [cell for cell in layout.cells if min(part.across for part in cell.parts.values()) < 90.0]
    assert sum(polygon_area(cell.polygon) for cell in bored) == pytest.approx(10 * 49.0)
    assert bored[0].parts[BOARD_A].across == pytest.approx(90 - 3 * pi / 4 * 10)


def test_dowels_in_a_frame_stand_beside_each_other() -> None:
    layout = laid("dowel", Dowels(dowels=3, dowel_diameter=8.0), FRAME)
    assert [rod.start[0] for rod in layout.rods] == pytest.approx([10.0, 30.0, 50.0])
    assert [rod.number for rod in layout.rods] == [1, 1, 1]
    assert len({each.name for each in layout.joinings}) == 7


@pytest.mark.parametrize(
    ("kind", "joint", "boards", "key", "words"),
    [
        ("loose tenon", LooseTenon(tenons=0), BOX, "joint.tenons", "at least 1"),
        ("loose tenon", LooseTenon(tenon_thickness=18.0), BOX, "joint.tenon_thickness", "either side"),
        ("loose tenon", LooseTenon(tenon_width=89.0), BOX, "joint.tenon_width", "at most 87"),
        ("loose tenon", LooseTenon(tenons=30, tenon_width=1.5), BOX, "joint.tenons", "do not fit"),
        ("loose tenon", LooseTenon(tenon_depth_in_a=18.0), BOX, "joint.tenon_depth_in_a", "at most 17.5"),
        ("loose tenon", LooseTenon(from_inside=2.0), BOX, "joint.from_inside", "through it"),
        ("loose tenon", LooseTenon(tenon_depth=1.0), BOX, "joint.tenon_depth", "at least"),
        ("loose tenon", LooseTenon("mitre"), replace(BOX, thickness_b=12.0), "boards.thickness_b", "mitre"),
        ("dowel", Dowels(dowels=0), BOX, "joint.dowels", "at least 1"),
        ("dowel", Dowels(dowel_diameter=18.0), BOX, "joint.dowel_diameter", "at most"),
        ("dowel", Dowels(dowels=12, dowel_diameter=8.0), BOX, "joint.dowel_diameter", "at most"),
        ("dowel", Dowels(dowels=4, dowel_diameter=14.0), FRAME, "joint.dowels", "between the dowels"),
        ("dowel", Dowels(dowels=7), FRAME, "joint.dowels", "at most 6"),
        ("dowel", Dowels(dowel_depth_in_a=18.0), BOX, "joint.dowel_depth_in_a", "far face of board A"),
        ("dowel", Dowels("mitre", through=True), BOX, "joint.through", "slant"),
        ("dowel", Dowels(through=True, dowel_depth_in_a=9.0), BOX, "joint.dowel_depth_in_a", "beside"),
        ("dowel", Dowels(from_inside=3.0), BOX, "joint.from_inside", "through it"),
    ],
)
def test_what_does_not_fit_is_said(kind: str, joint: Any, boards: Boards, key: str, words: str) -> None:
    found = JOINTS[kind].problems(joint, boards)
    assert [problem.key for problem in found] == [key]
    assert words in found[0].text.format(**{name: f"{mm:g}" for name, mm in found[0].lengths.items()})


@given(
    st.sampled_from(sorted(DEFAULTS)),
    st.sampled_from(["butt", "mitre"]),
    st.sampled_from(["box", "frame"]),
    st.floats(6.0, 60.0),
    st.floats(1.0, 12.0),
    st.floats(3.0, 12.0),
)
@settings(max_examples=300, deadline=None)
def test_every_default_fits(
    kind: str, base: str, lay: Lay, thickness: float, wide: float, ratio: float
) -> None:
    """Boards of 6 to 60 mm, as wide as thick or wider, in a frame up to what one takes, of any length."""
    width = wide * thickness if lay == "box" else min(wide * thickness, WIDEST_IN_FRAME)
    boards = Boards(thickness, width, ratio * (thickness if lay == "box" else width), lay)
    joint = replace(DEFAULTS[kind], base=base)
    found = [problem for problem in JOINTS[kind].problems(joint, boards) if problem.key != "boards.leg"]
    for problem in found:
        text = problem.text.format(**{name: f"{mm:g} mm" for name, mm in problem.lengths.items()})
        assert base == "mitre", (problem.key, text)
        assert thickness < 10.0, (problem.key, text)
    filled = JOINTS[kind].filled(joint, boards)
    left = {each.name for each in fields(filled) if getattr(filled, each.name) is None}
    assert left <= {"tenon_wood", "dowel_wood"}
    if not found:
        assert JOINTS[kind].filled(filled, boards) == filled or filled.through is not None


def test_a_clipped_polygon_keeps_what_lies_ahead() -> None:
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    half = clipped(square, (1 / sqrt(2), 1 / sqrt(2)), 1 / sqrt(2))
    assert polygon_area(half) == pytest.approx(0.5)
    assert clipped(square, (1.0, 0.0), 2.0) == ()
    assert clipped(square, (1.0, 0.0), -1.0) == square
