"""Cuts through a corner: bands fill them, tails slope as asked, glue and fasteners lie where they should.

Areas of what is round are closed forms: a cylinder seen at a slant covers its rectangle and one ellipse.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import cos, hypot, pi, sin
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import (
    BOARD_A,
    BOARD_B,
    JOINTS,
    Boards,
    Cheek,
    Dovetail,
    Dowels,
    FingerJoint,
    GlueLine,
    Layout,
    PocketScrew,
    SlotFitting,
    with_splits,
)
from glueline.geometries.across import glued_across, strips_across, whole_width
from glueline.geometries.choice_of_cut import best_cut, furthest
from glueline.geometries.polygons import holds
from glueline.geometries.section import Band, Cut, Place, bands, edges
from glueline.geometries.section_glue import glue_seen
from glueline.geometries.silhouettes import ROUND, cylinder, silhouettes
from tests.geometries.test_across import BOARDS, corners, laid_out

ON_BOARDS = pytest.mark.parametrize("board", [BOARD_A, BOARD_B])
ELLIPSE = (
    ROUND / pi * sin(pi / ROUND)
)  # area of the polygon drawn over that of the ellipse that it stands for


def crossed(outline: tuple[Place, ...], along: float) -> tuple[float, float] | None:
    """From and to where across a line at ``along`` runs through a convex outline."""
    found = []
    for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (x0 > along) != (x1 > along):
            found.append(y0 + (y1 - y0) * (along - x0) / (x1 - x0))
    return (min(found), max(found)) if len(found) == 2 else None


def area(outline: tuple[Place, ...]) -> float:
    return Band("any", outline).area


def row_at(found: Iterable[Band], along: float) -> list[tuple[float, float, str]]:
    """What stands across the width there, in turn."""
    stretches = [(crossed(band.outline, along), band.piece) for band in found]
    return sorted((*ends, piece) for ends, piece in stretches if ends)


def depths_of(layout: Layout, board: str) -> list[float]:
    """Three places in a board, none of them on the sides of a cell, and the one that is drawn."""
    depth = Cut(board, 0.0).leg(layout).depth
    return [*(share * depth for share in (0.0731, 0.4173, 0.9377)), best_cut(layout, board).depth]


@ON_BOARDS
@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_bands_fill_a_cut_and_do_not_overlap(kind: str, joint: Any, boards: Boards, board: str) -> None:
    layout = laid_out(kind, joint, boards)
    for depth in depths_of(layout, board):
        found = bands(layout, Cut(board, depth))
        assert all(band.area > 0 for band in found)
        assert sum(band.area for band in found) == pytest.approx(whole_width(layout) * boards.leg, rel=1e-9)
        for along in (0.013, 1.7, 8.9, 18.3, 33.1, 57.7, 61.9, 0.97 * boards.leg):
            row = row_at(found, along)
            assert row[0][0] == pytest.approx(0.0, abs=1e-9)
            assert row[-1][1] == pytest.approx(whole_width(layout), rel=1e-9)
            for one, other in pairwise(row):
                assert one[1] == pytest.approx(other[0], abs=1e-9)


@ON_BOARDS
@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_a_band_is_the_strip_of_its_cell(kind: str, joint: Any, boards: Boards, board: str) -> None:
    """Cell by cell; a tail is so only in the middles of its cells, and pockets are left out."""
    layout = laid_out(kind, joint, boards)
    tailed = kind == "dovetail"
    for depth in depths_of(layout, board):
        cut = Cut(board, depth)
        leg, found = cut.leg(layout), bands(layout, cut)
        for cell in layout.cells:
            reach = [
                along
                for along in (0.05 + 0.1 * n for n in range(2000))
                if holds(cell.polygon, leg.at(along, depth))
            ]
            if len(reach) < 2 or kind == "pocket screw":
                continue
            middle = (reach[0] + reach[-1]) / 2
            strips = [(each.start, each.end, each.piece) for each in strips_across(layout, cell)]
            for along in (middle,) if tailed else (reach[0], middle, reach[-1]):
                row = row_at(found, along)
                assert [piece for *_, piece in row] == [piece for *_, piece in strips]
                for one, other in zip(row, strips, strict=True):
                    assert one[:2] == pytest.approx(other[:2], abs=1e-6 if not tailed else 0.02)


@ON_BOARDS
@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_an_edge_has_another_piece_on_its_other_side(
    kind: str, joint: Any, boards: Boards, board: str
) -> None:
    """Beside the middle of every edge; and along the cut every change of piece has its edge."""
    layout = laid_out(kind, joint, boards)
    cut = best_cut(layout, board)
    found, seen = bands(layout, cut), edges(layout, cut)
    for edge in seen:
        (x0, y0), (x1, y1) = edge[0], edge[-1]
        middle, length = ((x0 + x1) / 2, (y0 + y1) / 2), hypot(x1 - x0, y1 - y0)
        off = (-(y1 - y0) / length * 1e-3, (x1 - x0) / length * 1e-3)
        beside = [piece_at(found, middle[0] + s * off[0], middle[1] + s * off[1]) for s in (-1.0, 1.0)]
        assert beside[0] != beside[1], edge
    upright = sum(abs(edge[1][1] - edge[0][1]) for edge in seen if edge[0][0] == edge[-1][0])
    across = [whole_width(layout) * (place + 0.5) / 997 for place in range(997)]
    steps = sum(changes_along(found, boards.leg, each) for each in across)
    assert upright == pytest.approx(steps * whole_width(layout) / 997, rel=0.02)


def piece_at(found: Iterable[Band], along: float, across: float) -> str | None:
    for low, high, piece in row_at(found, along):
        if low <= across <= high:
            return piece
    return None


def changes_along(found: Iterable[Band], leg: float, across: float) -> int:
    """How often the piece changes along a cut at one place across, both ends too; not at sloping sides."""
    stretches = []
    for band in found:
        turned = tuple((y, x) for x, y in band.outline)
        ends = crossed(turned, across)
        if ends and ends[1] - ends[0] > 1e-6:
            stretches.append((*ends, band))
    stretches.sort(key=lambda each: each[0])
    places = {0.0, leg}
    for one, other in pairwise(stretches):
        upright = any(abs(x - one[1]) < 1e-6 for x, _ in one[2].outline)
        if one[2].piece != other[2].piece and upright:
            places.add(one[1])
    return len(places)


def test_fingers_alternate_with_the_widths_asked() -> None:
    layout = laid_out("finger", FingerJoint(finger_width=40.0), BOARDS["box"])
    for board in (BOARD_A, BOARD_B):
        row = row_at(bands(layout, best_cut(layout, board)), 9.0)
        assert row == [(0.0, 40.0, BOARD_A), (40.0, 80.0, BOARD_B), (80.0, 90.0, BOARD_A)]


@settings(max_examples=40, deadline=None)
@given(
    st.integers(1, 4),
    st.floats(0.05, 1 / 4),
    st.floats(1.5, 3.0),
    st.sampled_from(["A", "B"]),
    st.booleans(),
)
def test_tails_taper_by_their_slope(
    tails: int, slope: float, half_pin: float, on: str, is_split: bool
) -> None:
    """From w = share - 2 half_pin at their ends by 2 slope for each mm, as the maker draws them on the face.

    A split that cuts through the corner along the grain of the other board changes nothing.
    """
    boards = Boards(19.0, 90.0, 150.0)
    layout = laid_out("dovetail", Dovetail(tails, slope, half_pin, on), boards)  # type: ignore[arg-type]
    board, other = (BOARD_A, BOARD_B) if on == "A" else (BOARD_B, BOARD_A)
    if is_split:
        layout = with_splits(layout, [(other, (6.1, 40.0) if on == "A" else (40.0, 6.1))])
    found = bands(layout, best_cut(layout, board))
    share = 90.0 / tails
    for along in (0.01, 3.3, 9.5, 12.2, 18.99):
        row = row_at(found, along)
        assert [piece for *_, piece in row] == [other, *[board, other] * tails]
        for number, (low, high, _) in enumerate(row[1::2]):
            assert high - low == pytest.approx(share - 2 * half_pin - 2 * slope * along, rel=1e-6)
            assert (low + high) / 2 == pytest.approx((number + 0.5) * share, rel=1e-6)


@ON_BOARDS
@pytest.mark.parametrize(("kind", "joint", "boards"), corners())
def test_glue_is_seen_as_wide_as_it_is(kind: str, joint: Any, boards: Boards, board: str) -> None:
    """Lines as wide as what is glued there; areas parallel to the cut as large; a border for every cheek."""
    layout = laid_out(kind, joint, boards)
    cut = best_cut(layout, board)
    leg = cut.leg(layout)
    for joining, seen in zip(layout.joinings, glue_seen(layout, cut), strict=True):
        assert seen.joining == joining.name
        if isinstance(joining, GlueLine):
            inward = [x * leg.inward[0] + y * leg.inward[1] for x, y in (joining.start, joining.end)]
            shown = sum(area(outline) for outline in (*seen.before, *seen.behind))
            steps = [(place + 0.5) / 400 * joining.length for place in range(400)]
            if abs(inward[0] - inward[1]) < 1e-6:
                widths = [
                    sum(b - a for a, b in glued_across(layout, joining, at, bored=False)) for at in steps
                ]
                assert shown == pytest.approx(sum(widths) / 400 * joining.length, rel=5e-3)
                assert bool(seen.before) == (inward[0] < cut.depth)
                assert not seen.lines
            elif min(inward) < cut.depth < max(inward):
                at = (cut.depth - inward[0]) / (inward[1] - inward[0]) * joining.length
                width = sum(b - a for a, b in glued_across(layout, joining, at))
                assert sum(line[1][1] - line[0][1] for line in seen.lines) == pytest.approx(width, rel=1e-9)
            else:
                assert not seen.lines
                assert not shown
        if isinstance(joining, Cheek):
            met = {index for index in joining.cells if is_met(layout, cut, index)}
            assert len(seen.lines) == len(joining.faces) * bool(met)


def is_met(layout: Layout, cut: Cut, index: int) -> bool:
    leg = cut.leg(layout)
    places = (leg.at(0.01 + 0.1 * step, cut.depth) for step in range(2000))
    return any(holds(layout.cells[index].polygon, place) for place in places)


@given(st.floats(-80.0, 80.0), st.floats(-80.0, 80.0), st.floats(-80.0, 80.0), st.floats(0.5, 12.0))
def test_a_cylinder_covers_its_rectangle_and_one_ellipse(x: float, y: float, z: float, radius: float) -> None:
    length = (x * x + y * y + z * z) ** 0.5
    if hypot(x, y) < 1e-3:
        return
    outline = cylinder((3.0, 5.0, 7.0), (3.0 + x, 5.0 + y, 7.0 + z), radius)
    slant = abs(z) / length
    expected = 2 * radius * hypot(x, y) + ELLIPSE * pi * radius**2 * slant
    assert area(outline) == pytest.approx(expected, rel=1e-4)


def test_a_cylinder_seen_along_its_axis_is_round() -> None:
    outline = cylinder((3.0, 5.0, 7.0), (3.0, 5.0, 11.0), 4.0)
    assert all(hypot(x - 3.0, y - 5.0) == pytest.approx(4.0) for x, y in outline)
    assert area(outline) == pytest.approx(ELLIPSE * 16 * pi)


@pytest.mark.parametrize("board", [BOARD_A, BOARD_B])
def test_dowels_on_a_mitre_lie_square_to_it(board: str) -> None:
    """Seen at 45 deg: as long as their length times cos 45, with the ends of both boards' holes."""
    dowels = Dowels("mitre", 2, 6.0, 6.0, 6.0)
    layout = laid_out("dowel", dowels, BOARDS["box"])
    found = silhouettes(layout, best_cut(layout, board))
    assert [each.is_cut for each in found] == [True, True]
    middles = []
    for each in found:
        along, across = zip(*each.outline, strict=True)
        assert max(along) - min(along) == pytest.approx((12.0 + 6.0) * cos(pi / 4), rel=1e-9)
        assert (max(along) + min(along)) / 2 == pytest.approx(9.5, rel=1e-9)
        assert max(across) - min(across) == pytest.approx(6.0, rel=1e-9)
        middles.append((max(across) + min(across)) / 2)
    assert middles == pytest.approx([22.5, 67.5])


def test_screws_and_their_pockets_are_cut_where_they_are_shown() -> None:
    """Side by side in a box; in a frame they rise by their angle to the face in which their pockets are."""
    box = laid_out("pocket screw", PocketScrew(2), BOARDS["box"])
    found = silhouettes(box, best_cut(box, BOARD_B))
    assert [each.what for each in found] == ["pocket"] * 2 + ["shank"] * 2 + ["head"] * 2
    assert all(each.is_cut for each in found)
    frame = laid_out("pocket screw", PocketScrew(2), BOARDS["frame"])
    pocket, shank, head = silhouettes(frame, best_cut(frame, BOARD_B))
    across = [z for _, z in pocket.outline]
    assert max(across) == pytest.approx(19.0)
    assert min(across) > 19.0 / 2 - 1.0
    (x0, z0), (x1, z1) = shank.outline[0], shank.outline[-1]
    assert abs(z1 - z0) / abs(x1 - x0) == pytest.approx(sin(pi / 12) / cos(pi / 12), rel=1e-6)
    assert furthest(frame, Cut(BOARD_B, 15.0)) > 60.0
    assert head.is_cut


def test_a_fitting_fills_its_slot_in_both_boards() -> None:
    """Lengths along either board as deep as its slot, across as long as the fitting (SlotFitting's keys)."""
    layout = laid_out("slot fitting", SlotFitting(fittings=1, fitting_depth=9.0), BOARDS["box"])
    (fitting,) = layout.hardware
    slots = [band for band in bands(layout, best_cut(layout, BOARD_B)) if band.piece == "fittings"]
    assert len(slots) == 2  # in either board
    assert sum(band.area for band in slots) == pytest.approx(18.0 * fitting.across)  # type: ignore[union-attr]


def test_what_is_drawn_shows_what_the_maker_asks_after() -> None:
    """A blind tenon, a rebate's tongue and a blind dowel lie in the cut through board A."""
    for kind, lay, inner in (("mortise and tenon", "frame", BOARD_B), ("rebate", "box", BOARD_B)):
        joint = JOINTS[kind].parameters()
        layout = laid_out(kind, joint, BOARDS[lay])
        assert inner in {band.piece for band in bands(layout, best_cut(layout, BOARD_A))}
    dowelled = laid_out("dowel", Dowels(dowels=3), BOARDS["box"])
    assert [each.is_cut for each in silhouettes(dowelled, best_cut(dowelled, BOARD_A))] == [True] * 3
