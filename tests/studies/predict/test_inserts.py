"""Loose tenons and dowels: their paths, and what is known of them from outside."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from glueline.fem.path_control import PathControl
from glueline.geometries import BOARD_A, Boards, Dowels, LooseTenon
from glueline.materials import embedment_strength, find_wood
from glueline.studies.corner.connections import Bearing
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.measures import moment_share
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.predictor import predict_request
from glueline.studies.predict.request import Request
from tests.studies.corners import BOX, FRAME, specimen

CLOSED, OPENED = "diagonal compression", "diagonal tension"
THROUGH = Dowels(dowels=3, dowel_diameter=10.0, dowel_depth=40.0, through=True)
CORNERS: list[tuple[str, Any, Boards]] = [
    ("loose tenon", LooseTenon("mitre"), BOX),
    ("dowel", Dowels("mitre"), BOX),
    ("dowel", Dowels(), FRAME),
]


def made(kind: str, joint: Any, boards: Boards = BOX, arrangement: str = CLOSED) -> Specimen:
    """White oak throughout, the insert too."""
    plain = specimen("butt", arrangement, boards)
    inserts = {name: plain.woods[BOARD_A] for name in ("tenons", "dowels")}
    return replace(plain, kind=kind, joint=joint, woods={**plain.woods, **inserts})


@cache
def answered(kind: str, joint: Any, boards: Boards = BOX, arrangement: str = CLOSED) -> Prediction:
    return predict_request(made(kind, joint, boards, arrangement), Request(crushing=False, band=False))


@cache
def butt_load(boards: Boards = BOX, arrangement: str = CLOSED) -> float:
    return predict_request(
        specimen("butt", arrangement, boards), Request(crushing=False, band=False)
    ).break_load


@pytest.mark.parametrize(("deep", "known"), [pytest.param(15.0, 2.55, marks=pytest.mark.slow), (10.0, 1.70)])
def test_loose_tenons_against_the_glued_butt(deep: float, known: float) -> None:
    """8 x 50 mm, as deep in A as in B: known from an earlier program of the same method, within 3 %."""
    joint = LooseTenon("butt", 1, 8.0, 50.0, deep, deep, 9.5)
    ratio = answered("loose tenon", joint).break_load / butt_load()
    print(f"{deep:g} mm deep: {ratio:.2f} of the butt; {known} known")
    assert ratio == pytest.approx(known, rel=0.03)


def test_through_dowels_against_the_glued_butt() -> None:
    """Three of 10 mm: 2.7 by an earlier program of the same method, with an unknown bond in A."""
    ratio = answered("dowel", THROUGH).glue_load / butt_load()
    print(f"three through dowels: {ratio:.2f} of the butt")
    assert 2.2 < ratio < 2.9


@pytest.mark.slow
def test_deeper_beats_wider() -> None:
    """Common practice, and published for tenons and dowels (Eckelman and others): a third more depth gains
    more than a third more width or diameter.
    """
    tenon, wider, deeper = (
        answered("loose tenon", LooseTenon("butt", 1, 6.0, width, depth, depth, 9.5)).break_load
        for width, depth in ((36.0, 9.0), (48.0, 9.0), (36.0, 12.0))
    )
    assert deeper > wider > tenon
    rod, thicker, longer = (
        answered("dowel", Dowels("butt", 2, diameter, 30.0, depth), FRAME, OPENED).glue_load
        for diameter, depth in ((6.0, 24.0), (8.0, 24.0), (6.0, 32.0))
    )
    print(f"dowels: {rod:.0f}, a third thicker {thicker:.0f}, a third deeper {longer:.0f} N")
    assert longer > rod
    assert thicker > rod


def test_bond_and_walls_carry_the_whole_moment() -> None:
    """Shares sum to one at any state, and what walls pass counts as the dowels'."""
    found = answered("dowel", THROUGH)
    assert found.broken is not None
    assert found.broken.path.audit < 0.005
    for state in (1, found.broken.state, len(found.broken.path.load) - 1):
        share = moment_share(found.corner, found.broken.tractions(state))
        assert set(share) == {"butt face", "dowels in board A"}
        assert sum(share.values()) == pytest.approx(1.0)
    assert found.moment_share["dowels in board A"] > 0.5


def test_walls_bear_as_the_published_rule_says() -> None:
    """EN 1995-1-1, 8.5.1.1 (from memory): in A the rod is pushed along the grain, in B across it."""
    corner = build_corner(made("dowel", THROUGH))
    oak = find_wood("white oak")
    in_a, in_b = (each for each in corner.bearings if isinstance(each, Bearing))
    assert in_a.strength == pytest.approx(embedment_strength(oak, 10.0, 0.0))
    assert in_b.strength == pytest.approx(embedment_strength(oak, 10.0, np.pi / 2))


def test_a_dowel_that_breaks_is_a_fastener() -> None:
    """Thin and deep: it breaks before its glue; the answer says so in every place."""
    found = answered("dowel", Dowels("butt", 1, 4.0, 40.0, 17.0), BOX, OPENED).answer
    assert found.fastener_load is not None
    assert found.modes[0].kind in ("glue", "fastener")
    weak = [mode for mode in found.modes if mode.kind == "fastener"]
    assert [mode.mode for mode in weak] == ["bending of the dowel"]
    assert weak[0].load == pytest.approx(found.fastener_load)


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "joint", "boards"), CORNERS)
@pytest.mark.parametrize("arrangement", [OPENED])
def test_a_path_ends_with_its_energy_in_balance(
    kind: str, joint: Any, boards: Boards, arrangement: str
) -> None:
    found: BreakPath = follow_break(made(kind, joint, boards, arrangement))
    print(f"{found.break_load:.0f} N, audit {found.path.audit:.1e}")
    assert 0.0 < found.break_load <= found.highest_load * (1 + 1e-9)
    assert found.path.audit < 0.005


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "joint"), [("loose tenon", LooseTenon()), ("dowel", THROUGH)])
def test_half_the_elements_move_the_glue_little(kind: str, joint: Any) -> None:
    corner, past_peak = made(kind, joint), PathControl(stop=0.9)
    size = build_corner(corner).mesh.element_size
    coarse, fine = (
        follow_break(corner, element_size=each, control=past_peak).held_load for each in (size, size / 2)
    )
    print(f"{kind}: {coarse:.0f}, {fine:.0f} N")
    assert fine == pytest.approx(coarse, rel=0.02)
