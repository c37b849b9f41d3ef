"""How pieces stand across the width: strips fill it, keep each piece's size, and meet at glue."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi
from typing import Any

import pytest

from glueline.geometries import JOINTS, Boards, Cheek, Dovetail, Dowels, FingerJoint, GlueLine, Layout
from glueline.geometries.across import (
    glued_across,
    rods_in,
    strips_across,
    strips_with_rods,
    whole_width,
)
from glueline.geometries.dovetail import FLOORS_A, FLOORS_B, STRIPS

BOARDS = {"box": Boards(19.0, 90.0, 150.0), "frame": Boards(19.0, 60.0, 200.0, "frame")}


def corners() -> list[Any]:
    """Every kind in every lay that it has, with what is usual or left out; and measures of uneven sizes."""
    found = []
    for kind in JOINTS.values():
        for lay in kind.lays:
            joint = kind.parameters() if kind.usual is None else kind.usual(BOARDS[lay])
            found.append(pytest.param(kind.kind, joint, BOARDS[lay], id=f"{kind.kind} {lay}"))
    uneven = FingerJoint(finger_width=40.0)
    found.append(pytest.param("finger", uneven, BOARDS["box"], id="fingers of 40, 40 and 10"))
    found.append(pytest.param("dovetail", Dovetail(tails_on="B"), BOARDS["box"], id="tails on B"))
    found.append(pytest.param("dowel", Dowels("mitre"), BOARDS["box"], id="dowels on a mitre"))
    return found


def laid_out(kind: str, joint: Any, boards: Boards) -> Layout:
    assert not JOINTS[kind].problems(joint, boards)
    return JOINTS[kind].layout(joint, boards)


@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_strips_fill_the_width_and_keep_each_piece_s_size(kind: str, joint: Any, boards: Boards) -> None:
    layout = laid_out(kind, joint, boards)
    for cell in layout.cells:
        strips = strips_with_rods(layout, cell)
        assert strips[0].start == pytest.approx(0.0, abs=1e-9)
        assert strips[-1].end == pytest.approx(whole_width(layout), rel=1e-12)
        for one, other in pairwise(strips):
            assert one.end == pytest.approx(other.start, abs=1e-9)
        # A round hole leaves more than its diameter does: a mean of pi/4 of it is gone (circle over square).
        around = sum((1 - pi / 4) * rod.diameter * rod.number for rod in rods_in(layout, cell))
        for name, part in cell.parts.items():
            own = sum(strip.width for strip in strips if strip.piece == name)
            assert own + around == pytest.approx(part.across, rel=1e-12), name


@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_pieces_meet_across_the_width_where_they_are_glued(kind: str, joint: Any, boards: Boards) -> None:
    layout = laid_out(kind, joint, boards)
    for joining in layout.joinings:
        if isinstance(joining, Cheek):
            for index in joining.cells:
                pairs = pairwise(strips_across(layout, layout.cells[index]))
                met = [{one.piece, other.piece} == {joining.minus, joining.plus} for one, other in pairs]
                assert sum(met) == len(joining.faces)
        if isinstance(joining, GlueLine):
            for share in (0.0625, 0.3125, 0.5625, 0.9375):
                assert_glued(kind, joint, boards, layout, joining, share * joining.length)


def assert_glued(
    kind: str, joint: Any, boards: Boards, layout: Layout, line: GlueLine, distance: float
) -> None:
    found = sum(end - start for start, end in glued_across(layout, line, distance))
    expected = line.width_at(distance)
    if kind == "dovetail":
        # The floors behind the pins lie at the tails' narrow ends, half a strip past the last strip's middle.
        full = JOINTS[kind].filled(joint, boards)
        if line.words == (FLOORS_A if full.tails_on == "A" else FLOORS_B):
            expected -= full.tails * full.slope * boards.thickness / STRIPS
    place = [s + (e - s) * distance / line.length for s, e in zip(line.start, line.end, strict=True)]
    for rod in layout.rods:
        mouth = min(hypot(place[0] - x, place[1] - y) for x, y in hole_mouths(layout, rod.name))
        if mouth < rod.diameter / 2:
            expected -= rod.number * (1 - pi / 4) * rod.diameter
    assert found == pytest.approx(expected, rel=1e-9), line.name


def hole_mouths(layout: Layout, rod: str) -> list[tuple[float, float]]:
    """Where a rod passes from board A into board B."""
    return [joining.end for joining in layout.joinings if joining.plus == rod and joining.minus == "board A"]
