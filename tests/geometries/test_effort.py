"""What kinds take where nothing is said, and what they count as cuts, by hand."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import (
    JOINTS,
    Boards,
    Bridle,
    Butt,
    Dovetail,
    Dowels,
    FingerJoint,
    HalfLap,
    LooseTenon,
    Mitre,
    MortiseAndTenon,
    Rebate,
    SplinedMitre,
)
from glueline.studies.files.key_changes import joint_fields

BOX, FRAME = Boards(19.0, 90.0, 150.0), Boards(19.0, 60.0, 200.0, "frame")
BY_HAND: list[tuple[str, Any, Boards, int]] = [
    ("butt", Butt(), BOX, 2),
    ("mitre", Mitre(), FRAME, 2),
    # Five fingers: two ends; four faces between them, sawn in either board; five floors.
    ("finger", FingerJoint(5), BOX, 2 + 8 + 5),
    ("finger", FingerJoint(finger_width=40.0), BOX, 2 + 4 + 3),
    # Half-lap: either board its end, its cheek, its shoulder.
    ("half-lap", HalfLap(), FRAME, 6),
    # Bridle: a slot is two sides and a floor, a tenon two cheeks and two shoulders.
    ("bridle", Bridle(), FRAME, 2 + 3 + 4),
    # Two tails: two sides each; between and beside them one socket and two half ones. Three pins: four
    # sides, two sockets.
    ("dovetail", Dovetail(tails=2), BOX, 2 + 4 + 3 + 4 + 2),
    ("rebate", Rebate(), BOX, 4),
    ("rebate", Rebate(rebate_width=9.0), BOX, 6),
    ("splined mitre", SplinedMitre(3, 3.2, 21.0), BOX, 2 + 3),
    ("mortise and tenon", MortiseAndTenon(), FRAME, 2 + 3 + 3 + 1),
    ("mortise and tenon", MortiseAndTenon(haunch=True), FRAME, 2 + 3 + 3 + 1 + 1),
    ("loose tenon", LooseTenon(tenons=2), BOX, 2 + 4),
    ("dowel", Dowels(dowels=3), BOX, 2 + 6),
    ("dowel", Dowels(dowels=3, through=True), BOX, 2 + 3),
]


@pytest.mark.parametrize(("kind", "joint", "boards", "number"), BY_HAND)
def test_cuts_are_those_counted_by_hand(kind: str, joint: Any, boards: Boards, number: int) -> None:
    count = JOINTS[kind].cuts
    assert count is not None
    assert sum(count(joint, boards).values()) == number


def test_every_kind_counts_its_cuts_and_says_what_is_usual() -> None:
    for kind in JOINTS.values():
        assert kind.cuts is not None, kind.kind
        must = [about["required"] for about in joint_fields(kind).values()]
        assert (kind.usual is not None) == any(must), kind.kind


def test_usual_counts_on_the_boards_of_the_examples() -> None:
    finger, splined = JOINTS["finger"].usual, JOINTS["splined mitre"].usual
    assert finger is not None
    assert splined is not None
    assert finger(BOX) == FingerJoint(5)  # 18 mm each on 19 mm
    assert finger(FRAME) == FingerJoint(3)
    splines = splined(BOX)
    assert (splines.splines, splines.spline_thickness) == (3, 3.0)
    assert splines.spline_depth == pytest.approx(17.913, abs=0.001)  # 2/3 of 19 sqrt(2)


@settings(deadline=None)
@given(st.floats(6.0, 60.0), st.floats(1.5, 12.0), st.sampled_from(["box", "frame"]))
def test_what_is_usual_fits_or_is_refused_with_why(thickness: float, share: float, lay: Any) -> None:
    boards = Boards(thickness, share * thickness, 40 * thickness if lay == "frame" else 5 * thickness, lay)
    for kind in JOINTS.values():
        if kind.usual is None:
            continue
        joint = kind.usual(boards)
        problems = kind.problems(joint, boards)
        assert all(problem.text for problem in problems)
        if not problems:
            assert kind.layout(joint, boards).joinings
            assert kind.cuts is not None
            assert min(kind.cuts(joint, boards).values()) >= 1
        elif lay == "box" and boards.width >= 9.0:
            # Fingers about as wide as the boards are thick, and a spline for 30 mm, fit any box.
            raise AssertionError((kind.kind, problems))
