"""Layouts of the first four corners: areas, glue, faces, what does not fit; of all, that no wood is lost."""

from __future__ import annotations

from math import cos, isclose, pi, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import (
    JOINTS,
    Boards,
    Bridle,
    Butt,
    Cheek,
    Dovetail,
    Dowels,
    FingerJoint,
    Fitting,
    GlueLine,
    HalfLap,
    Layout,
    LooseTenon,
    Mitre,
    MortiseAndTenon,
    PocketScrew,
    Rebate,
    SlotFitting,
    SplinedMitre,
)
from glueline.geometries.finger import finger_widths
from glueline.geometries.mesh import mesh_layout

BOARDS = Boards(19.0, 90.0, 150.0)
CORNERS: list[tuple[str, Any]] = [
    ("butt", Butt()),
    ("mitre", Mitre()),
    ("finger", FingerJoint(9)),
    ("splined mitre", SplinedMitre(3, 3.2, 21.0)),
]


def lines_of(layout: Layout) -> list[GlueLine]:
    return [joining for joining in layout.joinings if isinstance(joining, GlueLine)]


def cheeks_of(layout: Layout) -> list[Cheek]:
    return [joining for joining in layout.joinings if isinstance(joining, Cheek)]


def polygon_area(polygon: tuple[tuple[float, float], ...]) -> float:
    """Shoelace formula."""
    return 0.5 * sum(
        polygon[i - 1][0] * polygon[i][1] - polygon[i][0] * polygon[i - 1][1] for i in range(len(polygon))
    )


def volume(layout: Layout) -> float:
    """All pieces and rods, and fittings in their slots."""
    pieces = sum(
        polygon_area(cell.polygon) * sum(part.across for part in cell.parts.values()) for cell in layout.cells
    )
    fittings = sum(
        each.number * each.across * each.thickness * sum(reach.length for reach in each.reaches)
        for each in layout.hardware
        if isinstance(each, Fitting)
    )
    rods = sum(rod.number * pi / 4 * rod.diameter**2 * rod.length for rod in layout.rods)
    return pieces + rods + fittings


def full_volume(boards: Boards) -> float:
    """The L as one solid body: two legs and the corner, for boards of one thickness."""
    t, leg = boards.depth_a, boards.leg
    return (2 * leg * t - t * t) * boards.across_a


def pockets(kind: str, joint: Any, boards: Boards) -> float:
    """The most that pockets take: round ones from the head to where their axis leaves the face, in a frame on
    to where all of them has.
    """
    if kind != "pocket screw":
        return 0.0
    full = JOINTS[kind].filled(joint, boards)
    head, angle, thick = full.head_diameter, full.screw_angle, boards.thickness
    length = (thick / 2 - 5 / 6 * thick * sin(angle)) / sin(angle)
    if boards.lay == "frame":
        length = head / tan(angle) / cos(angle)
    return float(full.screws * pi / 4 * head**2 * length)


def test_pockets_by_hand() -> None:
    """Two pockets of 9.4 mm, their axes 4.3 mm below the face at the heads, at 15 degrees."""
    boards = Boards(19.0, 90.0, 150.0)
    lost = full_volume(boards) - volume(JOINTS["pocket screw"].layout(PocketScrew(), boards))
    below = 9.5 - 5 / 6 * 19 * sin(pi / 12)
    assert isclose(lost, 2 * pi / 4 * (2.25 * 0.22 * 19) ** 2 * below / sin(pi / 12), rel_tol=1e-9)


def left_out_or(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


OWN_MEASURES: dict[str, st.SearchStrategy[Any]] = {
    "butt": st.just(Butt()),
    "mitre": st.just(Mitre()),
    "half-lap": st.just(HalfLap()),
    "bridle": st.builds(Bridle, left_out_or(st.floats(2.0, 20.0))),
    "mortise and tenon": st.builds(
        MortiseAndTenon,
        left_out_or(st.floats(2.0, 20.0)),
        left_out_or(st.floats(2.0, 100.0)),
        left_out_or(st.floats(2.0, 100.0)),
        st.booleans(),
        st.booleans(),
    ),
    "rebate": st.builds(Rebate, left_out_or(st.floats(2.0, 40.0)), left_out_or(st.floats(2.0, 40.0))),
    "loose tenon": st.builds(
        LooseTenon,
        left_out_or(st.sampled_from(["butt", "mitre"])),
        left_out_or(st.integers(1, 4)),
        left_out_or(st.floats(2.0, 15.0)),
        left_out_or(st.floats(2.0, 60.0)),
        left_out_or(st.floats(2.0, 60.0)),
        left_out_or(st.floats(2.0, 60.0)),
        left_out_or(st.floats(2.0, 60.0)),
    ),
    "dowel": st.builds(
        Dowels,
        left_out_or(st.sampled_from(["butt", "mitre"])),
        left_out_or(st.integers(1, 6)),
        left_out_or(st.floats(2.0, 15.0)),
        left_out_or(st.floats(2.0, 60.0)),
        left_out_or(st.floats(2.0, 60.0)),
        st.none() | st.booleans(),
    ),
    "pocket screw": st.builds(
        PocketScrew,
        left_out_or(st.integers(1, 6)),
        left_out_or(st.floats(2.0, 7.0)),
        left_out_or(st.floats(15.0, 90.0)),
        left_out_or(st.floats(0.1, 0.5)),
        left_out_or(st.floats(4.0, 15.0)),
        left_out_or(st.sampled_from(["inside", "outside"])),
    ),
    "slot fitting": st.builds(
        SlotFitting,
        left_out_or(st.sampled_from(["butt", "mitre"])),
        left_out_or(st.integers(1, 4)),
        left_out_or(st.floats(5.0, 80.0)),
        left_out_or(st.floats(2.0, 30.0)),
        left_out_or(st.floats(1.0, 10.0)),
    ),
    "dovetail": st.builds(
        Dovetail,
        left_out_or(st.integers(1, 8)),
        left_out_or(st.floats(0.05, 0.33)),
        left_out_or(st.floats(1.0, 8.0)),
        left_out_or(st.sampled_from(["A", "B"])),
    ),
}


@st.composite
def corners_that_fit(draw: st.DrawFn) -> tuple[str, Any, Boards]:
    kind = draw(st.sampled_from(sorted(JOINTS)))
    thickness, width = draw(st.floats(6.0, 60.0)), draw(st.floats(20.0, 200.0))
    lay = draw(st.sampled_from(JOINTS[kind].lays))
    boards = Boards(
        thickness, width, draw(st.floats(3.5, 12.0)) * (thickness if lay == "box" else width), lay
    )
    joint: Any
    if kind == "finger":
        if draw(st.booleans()):
            joint = FingerJoint(fingers=draw(st.integers(2, int(boards.across_a / 2))))
        else:
            joint = FingerJoint(finger_width=draw(st.floats(2.0, boards.across_a - 2.0)))
    elif kind == "splined mitre":
        thick = draw(st.floats(1.0, 4.0))
        most = int((boards.across_a - 2) / (thick + 2))
        depth = draw(st.floats(3.0, sqrt(2) * boards.depth_a - 1.0))
        joint = SplinedMitre(draw(st.integers(1, most)) if most >= 1 else 1, thick, depth)
    else:
        joint = draw(OWN_MEASURES[kind])
    return kind, joint, boards


@given(corners_that_fit())
@settings(max_examples=300, deadline=None)
def test_wood_is_neither_lost_nor_doubled(corner: tuple[str, Any, Boards]) -> None:
    kind, joint, boards = corner
    if JOINTS[kind].problems(joint, boards):
        return
    layout = JOINTS[kind].layout(joint, boards)
    lost = full_volume(boards) - volume(layout)
    assert -1e-9 * full_volume(boards) <= lost <= pockets(kind, joint, boards) + 1e-9 * full_volume(boards)
    for cell in layout.cells:
        assert polygon_area(cell.polygon) > 0
        assert all(part.across > 0 and part.single > 0 for part in cell.parts.values())
    for cheek in cheeks_of(layout):
        for face in cheek.faces:
            assert 0 < face.to_no_shear_minus <= layout.boards.depth_a
            assert 0 < face.to_no_shear_plus <= layout.boards.depth_b


@given(corners_that_fit())
@settings(max_examples=40, deadline=None)
def test_every_glue_line_and_cell_is_meshed(corner: tuple[str, Any, Boards]) -> None:
    kind, joint, boards = corner
    if JOINTS[kind].problems(joint, boards):
        return
    layout = JOINTS[kind].layout(joint, boards)
    mesh = mesh_layout(layout, min(boards.depth_a / 4, 6.0))
    a, b, c = (mesh.nodes[mesh.triangles[:, i]] for i in range(3))
    area = 0.5 * ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    assert area.min() > 0
    for index, cell in enumerate(layout.cells):
        assert isclose(area[mesh.cell_of == index].sum(), polygon_area(cell.polygon), rel_tol=1e-9)
    for line in lines_of(layout):
        edges = mesh.edges_on(line.start, line.end)
        length = np.linalg.norm(mesh.nodes[edges[:, 1]] - mesh.nodes[edges[:, 0]], axis=1)
        assert isclose(length.sum(), line.length, rel_tol=1e-9)


@pytest.mark.parametrize(("kind", "joint"), CORNERS)
def test_the_same_input_gives_the_same_mesh(kind: str, joint: Any) -> None:
    layout = JOINTS[kind].layout(joint, BOARDS)
    first, second = mesh_layout(layout), mesh_layout(layout)
    assert np.array_equal(first.nodes, second.nodes)
    assert np.array_equal(first.triangles, second.triangles)


@pytest.mark.parametrize(("kind", "joint"), CORNERS[1:])
def test_symmetric_corners_have_mirror_meshes(kind: str, joint: Any) -> None:
    mesh = mesh_layout(JOINTS[kind].layout(joint, BOARDS))

    def sorted_rows(points: np.ndarray) -> np.ndarray:
        rounded = np.round(points, 8)
        return rounded[np.lexsort(rounded.T)]

    assert np.array_equal(sorted_rows(mesh.nodes), sorted_rows(mesh.nodes[:, ::-1]))
    middles = mesh.nodes[mesh.triangles[:, :3]].mean(axis=1)
    assert np.array_equal(sorted_rows(middles), sorted_rows(middles[:, ::-1]))


def test_elements_are_smallest_where_stress_is_sharpest() -> None:
    layout = JOINTS["butt"].layout(Butt(), BOARDS)
    mesh = mesh_layout(layout)
    edges = mesh.edges_on((0.0, 19.0), (19.0, 19.0))
    length = np.linalg.norm(mesh.nodes[edges[:, 1]] - mesh.nodes[edges[:, 0]], axis=1)
    assert length[0] < 0.6 * mesh.element_size
    assert length[-1] < 0.6 * mesh.element_size
    assert length.max() < 1.3 * mesh.element_size
    finer = mesh_layout(layout, mesh.element_size / 2)
    assert len(finer.triangles) > 1.8 * len(mesh.triangles)


def test_fingers_by_count_and_by_width() -> None:
    assert finger_widths(FingerJoint(fingers=4), 90.0) == (22.5,) * 4
    assert finger_widths(FingerJoint(finger_width=20.0), 90.0) == (20.0, 20.0, 20.0, 20.0, 10.0)
    # A remainder under 2 mm joins its neighbour.
    assert finger_widths(FingerJoint(finger_width=11.1), 90.0)[-1] == pytest.approx(11.1 + 1.2)
    assert finger_widths(FingerJoint(finger_width=10.0), 90.0) == (10.0,) * 9
    layout = JOINTS["finger"].layout(FingerJoint(9), BOARDS)
    assert len(cheeks_of(layout)[0].faces) == 8
    # The first finger belongs to board A, so nine fingers give it five.
    corner = layout.cells[2].parts
    assert corner["board A"].across == pytest.approx(50.0)
    assert corner["board B"].across == pytest.approx(40.0)
    # A-fingers rest on board B's end grain, B-fingers on board A's.
    assert [line.widths[0][1] for line in lines_of(layout)] == pytest.approx([50.0, 40.0])


def test_many_fingers_are_upper_values() -> None:
    """From five on, by count or by width; published tests found falling returns."""
    joints = [FingerJoint(4), FingerJoint(5), FingerJoint(finger_width=30.0), FingerJoint(finger_width=20.0)]
    notes = [JOINTS["finger"].layout(joint, BOARDS).notes for joint in joints]
    many = [[note for note in each if "Demirci" in note] for each in notes]
    assert [len(each) for each in many] == [0, 1, 0, 1]
    assert "Demirci et al. 2020" in notes[1][0]
    assert "upper values" in notes[1][0]


def test_wide_fingers_say_what_is_left_of_the_error_of_their_cheeks() -> None:
    """Wider than the boards are thick, 19 mm."""
    joints = [FingerJoint(3), FingerJoint(4), FingerJoint(5), FingerJoint(finger_width=19.5)]
    notes = [JOINTS["finger"].layout(joint, BOARDS).notes for joint in joints]
    assert [sum("49 to 64 %" in note for note in each) for each in notes] == [1, 1, 0, 1]


def test_end_fingers_are_sheared_over_their_whole_width() -> None:
    faces = cheeks_of(JOINTS["finger"].layout(FingerJoint(9), BOARDS))[0].faces
    assert (faces[0].to_no_shear_minus, faces[0].to_no_shear_plus) == pytest.approx((10.0, 5.0))
    assert (faces[3].to_no_shear_minus, faces[3].to_no_shear_plus) == pytest.approx((5.0, 5.0))
    wide = cheeks_of(JOINTS["finger"].layout(FingerJoint(2), BOARDS))[0].faces
    assert wide[0].to_no_shear_minus == 19.0  # capped at the thickness


def test_splines_take_their_width_from_the_mitre() -> None:
    layout = JOINTS["splined mitre"].layout(SplinedMitre(3, 3.2, 21.0), BOARDS)
    line = lines_of(layout)[0]
    assert line.width_at(0.0) == pytest.approx(90 - 9.6)
    assert line.width_at(20.9) == pytest.approx(90 - 9.6)
    assert line.width_at(21.1) == pytest.approx(90.0)
    # Two faces a spline, against board A and against board B.
    assert [len(cheek.faces) for cheek in cheeks_of(layout)] == [6, 6]
    floor = lines_of(layout)[1]
    assert floor.length == pytest.approx(21.0)
    along = np.array(floor.end) - np.array(floor.start)
    assert along @ np.array([1.0, 1.0]) == pytest.approx(0.0, abs=1e-12)  # square to the diagonal


@pytest.mark.parametrize(
    ("kind", "joint", "boards", "key", "words"),
    [
        ("finger", FingerJoint(1), BOARDS, "joint.fingers", "at least 2"),
        ("finger", FingerJoint(60), BOARDS, "joint.fingers", "under"),
        ("finger", FingerJoint(finger_width=1.0), BOARDS, "joint.finger_width", "at least"),
        ("finger", FingerJoint(finger_width=89.0), BOARDS, "joint.finger_width", "no second finger"),
        ("splined mitre", SplinedMitre(0, 3.0, 20.0), BOARDS, "joint.splines", "at least 1"),
        ("splined mitre", SplinedMitre(30, 3.2, 20.0), BOARDS, "joint.splines", "do not fit"),
        ("splined mitre", SplinedMitre(1, 95.0, 20.0), BOARDS, "joint.splines", "do not fit"),
        ("splined mitre", SplinedMitre(1, 95.0, 20.0), BOARDS, "joint.splines", "thinner splines"),
        ("splined mitre", SplinedMitre(2, 3.2, 27.0), BOARDS, "joint.spline_depth", "past the inner corner"),
        ("splined mitre", SplinedMitre(2, 3.2, 1.0), BOARDS, "joint.spline_depth", "at least"),
        ("butt", Butt(), Boards(19.0, 90.0, 40.0), "boards.leg", "too short"),
        ("butt", Butt(), Boards(1.0, 90.0, 40.0), "boards.thickness", "between"),
        ("finger", FingerJoint(4), Boards(19.0, 90.0, 400.0, "frame", 12.0), "boards.thickness_b", "frame"),
    ],
)
def test_what_does_not_fit_is_said(kind: str, joint: Any, boards: Boards, key: str, words: str) -> None:
    found = JOINTS[kind].problems(joint, boards)
    assert any(problem.key == key and words in problem.text for problem in found)
    for problem in found:
        problem.text.format(**{name: f"{value:g} mm" for name, value in problem.lengths.items()})


def test_legs_of_unequal_boards_by_hand() -> None:
    """A 19 mm and B 12 mm deep, legs of 150 mm: tips, corners and the patches of an apex load."""
    boards = Boards(19.0, 90.0, 150.0, thickness_b=12.0)
    leg_a, leg_b = boards.legs
    assert (leg_a.board, leg_b.board) == ("board A", "board B")
    assert leg_a.tip == ((150.0, 0.0), (150.0, 19.0))
    assert leg_b.tip == ((0.0, 150.0), (12.0, 150.0))
    assert (leg_a.tip_centre, leg_b.tip_centre) == ((150.0, 9.5), (6.0, 150.0))
    assert (leg_a.clear_from, leg_b.clear_from) == boards.inner_corner == (12.0, 19.0)
    assert boards.corner_centre == (6.0, 9.5)
    assert boards.apex_patches == (((0.0, 0.0), (3.0, 0.0)), ((0.0, 0.0), (0.0, 4.75)))
