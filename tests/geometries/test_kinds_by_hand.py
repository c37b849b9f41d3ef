"""Half-lap, bridle, mortise and tenon, rebate and dovetail: areas by hand, defaults, what does not fit."""

from __future__ import annotations

from dataclasses import fields
from math import floor
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import (
    BOARD_A,
    BOARD_B,
    JOINTS,
    Boards,
    Bridle,
    Butt,
    Cheek,
    Dovetail,
    FingerJoint,
    GlueLine,
    HalfLap,
    Layout,
    LooseTenon,
    MortiseAndTenon,
    Rebate,
)
from glueline.geometries.layout import Lay
from glueline.geometries.mesh import default_element_size
from tests.geometries.test_layouts import polygon_area

BOX = Boards(19.0, 90.0, 150.0)
FRAME = Boards(18.0, 60.0, 200.0, "frame")
DEFAULTS: dict[str, Any] = {
    "half-lap": HalfLap(),
    "bridle": Bridle(),
    "mortise and tenon": MortiseAndTenon(),
    "rebate": Rebate(),
    "dovetail": Dovetail(),
}


def laid(kind: str, joint: Any, boards: Boards) -> Layout:
    assert JOINTS[kind].problems(joint, boards) == []
    return JOINTS[kind].layout(joint, boards)


def areas(layout: Layout) -> dict[str, float]:
    """Glued area in mm2 of every surface."""
    found = {}
    for each in layout.joinings:
        if isinstance(each, Cheek):
            cells = sum(polygon_area(layout.cells[cell].polygon) for cell in each.cells)
            found[each.name] = len(each.faces) * cells
        elif isinstance(each, GlueLine):
            starts = [start for start, _ in each.widths]
            ends = [*starts[1:], each.length]
            widths = [width for _, width in each.widths]
            found[each.name] = sum(
                width * (end - start) for width, start, end in zip(widths, starts, ends, strict=True)
            )
    return found


def unlike_names(layout: Layout) -> tuple[Any, ...]:
    """All that a layout is made of but its names and notes."""
    return (
        layout.boards,
        [(cell.polygon, dict(cell.parts)) for cell in layout.cells],
        [(piece.member, piece.grain_angle) for piece in layout.pieces],
        [
            (
                each.minus,
                each.plus,
                each.cells,
                each.edges,
                getattr(each, "widths", getattr(each, "faces", None)),
            )
            for each in layout.joinings
        ],
        layout.fine_points,
        layout.mirrored,
    )


@pytest.mark.parametrize(("kind", "joint", "fingers"), [("half-lap", HalfLap(), 2), ("bridle", Bridle(), 3)])
def test_half_lap_and_bridle_are_fingers_in_a_frame(kind: str, joint: Any, fingers: int) -> None:
    own, other = laid(kind, joint, FRAME), laid("finger", FingerJoint(fingers), FRAME)
    assert unlike_names(own) == unlike_names(other)


def test_a_half_lap_by_hand() -> None:
    """Halves of 9 mm over 60 x 60 mm."""
    layout = laid("half-lap", HalfLap(), FRAME)
    assert areas(layout) == pytest.approx(
        {"lap shoulder of board B": 540.0, "lap shoulder of board A": 540.0, "lap cheek": 3600.0}
    )
    assert any("7 % too stiff" in note for note in layout.notes)


def test_a_bridle_by_hand() -> None:
    """A tenon of 8 mm on board B between sides of 5 mm on board A, each sheared over all its thickness."""
    layout = laid("bridle", Bridle(8.0), FRAME)
    assert areas(layout) == pytest.approx(
        {"tenon shoulders of board B": 600.0, "slot floor in board A": 480.0, "tenon cheeks": 7200.0}
    )
    parts = layout.cells[2].parts
    assert (parts[BOARD_A].across, parts[BOARD_A].single) == (10.0, 5.0)
    assert (parts[BOARD_B].across, parts[BOARD_B].single) == (8.0, 8.0)
    (cheek,) = (each for each in layout.joinings if isinstance(each, Cheek))
    assert [(face.to_no_shear_minus, face.to_no_shear_plus) for face in cheek.faces] == [(5.0, 4.0)] * 2


def test_a_blind_mortise_and_tenon_by_hand() -> None:
    """6 x 40 mm, 35 deep, flush inside: 20 mm of full shoulder, 40 of 12 mm beside the tenon."""
    layout = laid("mortise and tenon", MortiseAndTenon(6.0, 40.0, 35.0), FRAME)
    assert areas(layout) == pytest.approx(
        {
            "tenon shoulders of board B": 20 * 18.0 + 40 * 12.0,
            "outer edge of the tenon": 35 * 6.0,
            "inner edge of the tenon": 35 * 6.0,
            "tenon cheeks": 2 * 40 * 35.0,
        }
    )
    assert any("floor" in note for note in layout.notes)
    both = [cell for cell in layout.cells if len(cell.parts) == 2]
    assert [polygon_area(cell.polygon) for cell in both] == [pytest.approx(1400.0)]
    assert both[0].parts[BOARD_B].across == 6.0
    assert both[0].parts[BOARD_A].across == pytest.approx(12.0)


def test_a_through_tenon_has_no_floor_and_a_haunch_fills_the_rest() -> None:
    through = laid("mortise and tenon", MortiseAndTenon(6.0, 40.0, through=True), FRAME)
    assert areas(through)["tenon cheeks"] == pytest.approx(2 * 40 * 60.0)
    assert through.notes == ()
    haunched = laid("mortise and tenon", MortiseAndTenon(6.0, 40.0, 35.0, haunch=True), FRAME)
    assert areas(haunched) == pytest.approx(
        {
            "tenon shoulders of board B": 60 * 12.0,
            "outer edge of the tenon": 29 * 6.0,
            "inner edge of the tenon": 35 * 6.0,
            "tenon cheeks": 2 * (40 * 35.0 + 20 * 6.0),
        }
    )


def test_a_rebate_by_hand() -> None:
    """Half the depth; board B as thick as the rebate is wide, or with a tongue."""
    assert areas(laid("rebate", Rebate(), BOX)) == pytest.approx(
        {"rebate floor": 19 * 90.0, "rebate shoulder": 9.5 * 90.0}
    )
    assert areas(laid("rebate", Rebate(12.0, 7.0), BOX)) == pytest.approx(
        {"rebate floor": 7 * 90.0, "rebate shoulder": 12 * 90.0, "tongue shoulder of board B": 12 * 90.0}
    )
    thin = Boards(19.0, 90.0, 150.0, thickness_b=12.0)
    assert areas(laid("rebate", Rebate(), thin))["rebate floor"] == pytest.approx(12 * 90.0)


@pytest.mark.parametrize("tails_on", ["A", "B"])
def test_a_dovetail_by_hand(tails_on: str) -> None:
    """Three tails at 1:5 on 90 mm: pins of 10 mm outside and 10 + 2 x 19 / 5 = 17.6 mm at the tails' root.

    Tails are 20 mm at their ends and 12.4 mm at their root, 16.2 mm in the middle.
    """
    joint = Dovetail(3, 1 / 5, 5.0, "A" if tails_on == "A" else "B")
    layout = laid("dovetail", joint, BOX)
    ends, roots = ("board B", "board A") if tails_on == "A" else ("board A", "board B")
    found = areas(layout)
    assert found == pytest.approx(
        {
            f"notch floors of {ends}": 3 * 16.2 * 19,
            f"notch floors of {roots}": 3 * 17.6 * 19,
            "dovetail cheeks": 6 * 19 * 19.0,
        }
    )
    of_tails = [cell.parts[f"board {tails_on}"].across for cell in layout.cells[2:]]
    step = 2 * 3 * 19 / 4 / 5
    first = 3 * (20 - 2 * 19 / 8 / 5)
    assert of_tails == pytest.approx([first, first - step, first - 2 * step, first - 3 * step])
    (cheek,) = (each for each in layout.joinings if isinstance(each, Cheek))
    tail, pin = (16.2 / 2, 13.8 / 2)
    expected = (tail, pin) if tails_on == "A" else (pin, tail)
    assert [(face.to_no_shear_minus, face.to_no_shear_plus) for face in cheek.faces] == [
        pytest.approx(expected)
    ] * 6
    assert any("wedge" in note for note in layout.notes)


def test_straight_tails_are_fingers() -> None:
    """With next to no slope, tails and pins of 15 mm and half pins are fingers cut so."""
    layout = laid("dovetail", Dovetail(3, 1e-12, 7.5), BOX)
    found = areas(layout)
    assert found["notch floors of board B"] == pytest.approx(45 * 19.0)
    assert found["notch floors of board A"] == pytest.approx(45 * 19.0)


@pytest.mark.parametrize(
    ("kind", "joint", "boards", "key", "words"),
    [
        ("half-lap", HalfLap(), BOX, "boards.lay", '"frame"'),
        ("half-lap", HalfLap(), Boards(3.5, 60.0, 200.0, "frame"), "boards.thickness", "halves under"),
        ("bridle", Bridle(), BOX, "boards.lay", '"frame"'),
        ("bridle", Bridle(15.0), FRAME, "joint.tenon_thickness", "too little wood"),
        ("bridle", Bridle(1.0), FRAME, "joint.tenon_thickness", "at least"),
        ("bridle", Bridle(), Boards(5.0, 60.0, 200.0, "frame"), "boards.thickness", "too little for a tenon"),
        ("mortise and tenon", MortiseAndTenon(), BOX, "boards.lay", '"frame"'),
        ("mortise and tenon", MortiseAndTenon(15.0), FRAME, "joint.tenon_thickness", "too little wood"),
        ("mortise and tenon", MortiseAndTenon(6.0, 59.0), FRAME, "joint.tenon_width", "bridle"),
        ("mortise and tenon", MortiseAndTenon(6.0, 1.0), FRAME, "joint.tenon_width", "at least"),
        (
            "mortise and tenon",
            MortiseAndTenon(tenon_depth=59.0),
            FRAME,
            "joint.tenon_depth",
            "through = true",
        ),
        ("mortise and tenon", MortiseAndTenon(tenon_depth=1.0), FRAME, "joint.tenon_depth", "at least"),
        (
            "mortise and tenon",
            MortiseAndTenon(tenon_depth=30.0, through=True),
            FRAME,
            "joint.tenon_depth",
            "cannot stand beside",
        ),
        (
            "mortise and tenon",
            MortiseAndTenon(6.0, 40.0, 7.0, haunch=True),
            FRAME,
            "joint.tenon_depth",
            "hardly deeper than the haunch",
        ),
        ("rebate", Rebate(), Boards(19.0, 60.0, 200.0, "frame"), "boards.lay", '"box"'),
        ("rebate", Rebate(18.0), BOX, "joint.rebate_depth", "too little of board A"),
        ("rebate", Rebate(1.0), BOX, "joint.rebate_depth", "at least"),
        ("rebate", Rebate(9.0, 20.0), BOX, "joint.rebate_width", "wider than board B"),
        ("rebate", Rebate(9.0, 18.0), BOX, "joint.rebate_width", "leaves a shoulder"),
        ("rebate", Rebate(9.0, 1.0), BOX, "joint.rebate_width", "at least"),
        ("dovetail", Dovetail(), Boards(19.0, 60.0, 200.0, "frame"), "boards.lay", '"box"'),
        ("dovetail", Dovetail(0), BOX, "joint.tails", "at least 1"),
        ("dovetail", Dovetail(12), BOX, "joint.tails", "does not leave enough"),
        ("dovetail", Dovetail(40), BOX, "joint.tails", "too many"),
        ("dovetail", Dovetail(slope=0.5), BOX, "joint.slope", "1:3"),
        ("dovetail", Dovetail(half_pin_width=12.0), BOX, "joint.half_pin_width", "does not leave enough"),
        ("dovetail", Dovetail(half_pin_width=0.5), BOX, "joint.half_pin_width", "at least"),
    ],
)
def test_what_does_not_fit_is_said(kind: str, joint: Any, boards: Boards, key: str, words: str) -> None:
    found = JOINTS[kind].problems(joint, boards)
    assert [problem.key for problem in found] == [key]
    assert words in found[0].text.format(**{name: f"{mm:g} mm" for name, mm in found[0].lengths.items()})


BOUNDS_SAID = [
    ("bridle", Bridle(15.0), FRAME, "tenon_thickness"),
    ("mortise and tenon", MortiseAndTenon(6.0, 59.0), FRAME, "tenon_width"),
    ("mortise and tenon", MortiseAndTenon(tenon_depth=59.0), FRAME, "tenon_depth"),
    ("rebate", Rebate(18.0), BOX, "rebate_depth"),
    ("rebate", Rebate(9.0, 20.0), BOX, "rebate_width"),
]


@pytest.mark.parametrize(("kind", "joint", "boards", "key"), BOUNDS_SAID)
def test_the_most_that_is_said_fits(kind: str, joint: Any, boards: Boards, key: str) -> None:
    (problem,) = JOINTS[kind].problems(joint, boards)
    measures = {each.name: getattr(joint, each.name) for each in fields(joint)}
    assert JOINTS[kind].problems(type(joint)(**{**measures, key: problem.lengths["most"]}), boards) == []
    beyond = floor(problem.lengths["most"] * 10 + 1.5) / 10
    assert JOINTS[kind].problems(type(joint)(**{**measures, key: beyond}), boards) != []


@given(
    st.sampled_from(sorted(DEFAULTS)),
    st.floats(6.0, 60.0),
    st.floats(6.0, 300.0),
    st.floats(3.0, 12.0),
)
@settings(max_examples=300, deadline=None)
def test_every_default_fits_or_says_why(kind: str, thickness: float, width: float, ratio: float) -> None:
    """Boards of 6 to 60 mm; where boards are about as wide as thick or wider, all but tails always fit."""
    lay: Lay = JOINTS[kind].lays[0]
    boards = Boards(thickness, width, ratio * (thickness if lay == "box" else width), lay)
    joint = DEFAULTS[kind]
    found = [problem for problem in JOINTS[kind].problems(joint, boards) if problem.key != "boards.leg"]
    for problem in found:
        problem.text.format(**{name: f"{mm:g} mm" for name, mm in problem.lengths.items()})
    if found:
        assert kind == "dovetail"
        assert width < 1.5 * thickness
        return
    filled = JOINTS[kind].filled(joint, boards)
    assert all(getattr(filled, each.name) is not None for each in fields(filled))
    assert JOINTS[kind].filled(filled, boards) == filled
    assert JOINTS[kind].layout(filled, boards) == JOINTS[kind].layout(joint, boards)


@pytest.mark.parametrize("kind", sorted(DEFAULTS))
def test_a_kind_with_one_lay_says_so(kind: str) -> None:
    (lay,) = JOINTS[kind].lays
    assert lay == ("box" if kind in ("rebate", "dovetail") else "frame")


def test_defaults_that_are_sizes_name_where_they_come_from() -> None:
    for kind in DEFAULTS:
        for each in fields(JOINTS[kind].parameters):
            assert each.default is None
            assert not each.metadata["required"]
            if each.metadata["quantity"] in ("length", "count", "slope"):
                assert "common practice, no source" in each.metadata["default"]


def test_a_panel_is_no_board_of_a_frame() -> None:
    for lay, width in (("frame", 601.0), ("box", 601.0), ("frame", 600.0)):
        found = JOINTS["butt"].problems(Butt(), Boards(19.0, width, 2000.0, lay))  # type: ignore[arg-type]
        texts = [problem.text for problem in found if problem.key == "boards.width"]
        if (lay, width) == ("frame", 601.0):
            assert "panel" in texts[0]
            assert found[0].lengths["most"] == 600.0
        else:
            assert not texts


def test_elements_of_corners_large_and_small() -> None:
    """A tenth of the depth; at most 4 mm, or a fortieth of it; with cheeks 12 mm, or a twentieth."""
    sizes = {
        kind: [
            default_element_size(JOINTS[kind].layout(joint, Boards(19.0, width, 3 * width, "frame")))
            for width in (20.0, 60.0, 200.0, 600.0)
        ]
        for kind, joint in (("butt", Butt()), ("half-lap", HalfLap()), ("loose tenon", LooseTenon()))
    }
    assert sizes["butt"] == pytest.approx([2.0, 4.0, 5.0, 15.0])
    assert sizes["half-lap"] == pytest.approx([2.0, 6.0, 12.0, 30.0])
    assert sizes["loose tenon"] == pytest.approx([20 / 7, 4.0, 5.0, 15.0])
