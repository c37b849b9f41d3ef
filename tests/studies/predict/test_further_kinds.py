"""Half-lap, bridle, mortise and tenon, rebate and dovetail, their paths and what is known from outside."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from glueline.geometries import (
    Boards,
    Bridle,
    Butt,
    Dovetail,
    FingerJoint,
    HalfLap,
    MortiseAndTenon,
    Rebate,
)
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.break_path import LARGEST_TURN
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.predictor import predict_request
from glueline.studies.predict.request import Request
from tests.studies.corners import specimen

BOX, FRAME = Boards(19.0, 90.0, 150.0), Boards(19.0, 60.0, 200.0, "frame")
CLOSED, OPENED = "diagonal compression", "diagonal tension"
KINDS: dict[str, tuple[Any, Boards]] = {
    "half-lap": (HalfLap(), FRAME),
    "bridle": (Bridle(), FRAME),
    "mortise and tenon": (MortiseAndTenon(), FRAME),
    "rebate": (Rebate(), BOX),
    "dovetail": (Dovetail(), BOX),
}


@cache
def answer(
    kind: str, joint: Any, boards: Boards, arrangement: str = CLOSED, crushing: bool = False
) -> Answer:
    corner = specimen(kind, arrangement, boards, joint=joint)
    return predict_request(corner, Request(crushing=crushing, band=False)).answer


@pytest.mark.parametrize(("kind", "joint", "fingers"), [("half-lap", HalfLap(), 2), ("bridle", Bridle(), 3)])
def test_half_lap_and_bridle_hold_as_fingers_do(kind: str, joint: Any, fingers: int) -> None:
    own, other = answer(kind, joint, FRAME), answer("finger", FingerJoint(fingers), FRAME)
    for key in ("break_load", "glue_load", "wood_load", "compliance", "first_damage_load", "break_moment_Nm"):
        assert getattr(own, key) == pytest.approx(getattr(other, key), rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "arrangement", "load", "known", "within"),
    [
        ("half-lap", CLOSED, "break_load", 6.5, 0.05),
        ("bridle", CLOSED, "glue_load", 9.4, 0.05),
        ("mortise and tenon", CLOSED, "break_load", 3.4, 0.10),
        ("mortise and tenon", OPENED, "break_load", 6.0, 0.20),
        ("rebate", CLOSED, "break_load", 1.9, 0.05),
        ("rebate", OPENED, "break_load", 1.13, 0.05),
        ("dovetail", CLOSED, "break_load", 3.4, 0.05),
    ],
)
def test_against_the_glued_butt(kind: str, arrangement: str, load: str, known: float, within: float) -> None:
    """Known from an earlier program of the same method: no proof, but whatever moves it has to be meant.

    Where that one had its tenon is not known, hence the wide bounds for tenons.
    """
    joint, boards = KINDS[kind]
    butt = answer("butt", Butt(), boards, arrangement).break_load
    ratio = getattr(answer(kind, joint, boards, arrangement), load) / butt
    print(f"{kind}, {arrangement}: {ratio:.2f} of the butt; {known} known")
    assert ratio == pytest.approx(known, rel=within)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("arrangement", [OPENED])
def test_a_path_ends_with_its_energy_in_balance(kind: str, arrangement: str) -> None:
    joint, boards = KINDS[kind]
    found = follow_break(specimen(kind, arrangement, boards, joint=joint))
    assert 0.0 < found.break_load <= found.highest_load * (1 + 1e-9)
    assert found.path.audit < 0.005


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["rebate", "dovetail"])
def test_finer_elements_move_the_load_little(kind: str) -> None:
    joint, boards = KINDS[kind]
    corner = specimen(kind, CLOSED, boards, joint=joint)
    usual, finer = (follow_break(corner, element_size=size).break_load for size in (None, 1.5))
    assert usual == pytest.approx(finer, rel=0.04)


def test_deeper_tenons_beat_wider_ones() -> None:
    """Both ways a third more of cheek. Published tests of T joints: depth does more than width.

    Laid out as a T, the tenon in the middle, this model finds 2379 N for 30 x 30 mm, 2774 for 40 wide and
    3045 for 40 deep, closed. So it is in a corner that is opened. In one that is closed more width brings the
    tenon nearer to the outer edge, which opens, and does more than depth; with the cheeks alone too.
    """
    base = MortiseAndTenon(6.0, 30.0, 30.0)
    wider, deeper = MortiseAndTenon(6.0, 40.0, 30.0), MortiseAndTenon(6.0, 30.0, 40.0)
    opened, closed = (
        [answer("mortise and tenon", joint, FRAME, how).glue_load for joint in (base, wider, deeper)]
        for how in (OPENED, CLOSED)
    )
    print(f"30 x 30 mm, 40 wide, 40 deep: opened {opened}, closed {closed} N")
    assert opened[2] > 1.2 * max(opened[:2])
    assert min(closed[1:]) > 1.2 * closed[0]


def test_the_slope_of_tails_matters_little() -> None:
    """1:4 and 1:7, as is found in workshops; within a tenth."""
    for arrangement in (CLOSED, OPENED):
        steep, flat = (
            answer("dovetail", Dovetail(slope=slope), BOX, arrangement).break_load for slope in (1 / 4, 1 / 7)
        )
        assert steep == pytest.approx(flat, rel=0.10)


def test_straight_tails_hold_as_fingers_of_their_widths() -> None:
    """Three tails without slope have six faces as seven fingers do, the end ones of half a pin."""
    straight = answer("dovetail", Dovetail(3, 1e-9, 7.5), BOX)
    fingers = answer("finger", FingerJoint(7), BOX)
    assert straight.break_load == pytest.approx(fingers.break_load, rel=0.06)
    assert straight.compliance == pytest.approx(fingers.compliance, rel=0.03)


def test_tails_on_either_board_are_the_same_corner_in_the_mirror() -> None:
    on_a, on_b = (answer("dovetail", Dovetail(tails_on=board), BOX) for board in ("A", "B"))
    assert on_a.break_load == pytest.approx(on_b.break_load, rel=0.01)
    assert on_a.compliance == pytest.approx(on_b.compliance, rel=0.002)


def test_a_captive_tenon_ends_where_the_corner_has_turned() -> None:
    """A through tenon in its mortise carries again once its glue has gone, more than ever at a large turn."""
    corner = specimen("mortise and tenon", CLOSED, FRAME, joint=MortiseAndTenon(through=True))
    found = follow_break(corner, crushing=False)
    farthest = LARGEST_TURN * corner.moment_per_load
    assert found.path.is_complete
    assert found.path.displacement[-1] == pytest.approx(farthest, rel=2e-3)
    assert found.path.highest == len(found.path.load) - 1
    assert found.breaks_in == "wood"
    assert found.break_load < 0.5 * float(found.path.load[-1])


STRENGTHS = ("bending_strength", "compression_along", "tension_across", "shear_strength")


def test_where_wood_never_breaks_the_limit_is_the_shape() -> None:
    """Invented wood, a hundred times as strong: the last that is told is that the corner holds."""
    plain = specimen("mortise and tenon", CLOSED, FRAME, joint=MortiseAndTenon(through=True))
    corner = plain.with_woods(
        lambda wood: replace(wood, **{name: 100 * getattr(wood, name) for name in STRENGTHS})
    )
    found = predict_request(corner, Request(crushing=False, band=False)).answer
    assert found.events is not None
    assert found.events[0].kind == "cracks"
    assert found.events[-1].kind == "holds"
    assert found.break_load == pytest.approx(found.events[-1].load)
    assert any("the limit was the shape" in note for note in found.warnings + found.notes)


def test_tenons_in_frames_hold_as_much_closed_as_opened() -> None:
    """Within 10 % of each other (Podlena 2017, as recalled)."""
    closed, opened = (
        answer("mortise and tenon", MortiseAndTenon(), FRAME, arrangement, True).break_moment_Nm
        for arrangement in (CLOSED, OPENED)
    )
    print(f"closed {closed:.1f}, opened {opened:.1f} N m")
    assert closed == pytest.approx(opened, rel=0.10)


def test_tenons_tested_as_tees() -> None:
    """Oak, 32 mm deep, 38 wide, 9.5 thick, rail 22.2 x 63.5 mm, PVAc: 353 and 358 N m, coefficient of
    variation 0.14 to 0.17 (Eckelman, Uysal and Haviarova 2016, BioResources 11(3)).

    Those were T joints. A corner is not stronger than they were, nor under half as strong; laid out as a T,
    board A running on and the tenon in the middle, the same model finds 246 N m closed and 206 opened, so
    that the post runs on explains little: the model is about a third low here, beyond its band (157 to 301
    N m) and what can be believed of the glue's rows (up to 286), and why is not known.
    """
    tenon, boards = MortiseAndTenon(9.5, 38.0, 32.0), Boards(22.2, 63.5, 300.0, "frame")
    for arrangement in ("cantilever in", "cantilever out"):
        moment = answer("mortise and tenon", tenon, boards, arrangement, True).break_moment_Nm
        print(f"{arrangement}: {moment:.0f} N m; 353 and 358 measured as a T")
        assert 0.5 * 353.0 < moment < 358.0 * (1 + 0.17)
