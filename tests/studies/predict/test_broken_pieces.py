"""What a corner is predicted to fall into, and how its pieces are drawn."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from glueline import read_specimen
from glueline.geometries import BOARD_A, BOARD_B
from glueline.studies.examples import EXAMPLES, example_path
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.broken_pieces import Crack, Fragment, broken_pieces
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.show.broken_halves import broken_halves_png, draw_broken_halves
from glueline.studies.show.piece_outlines import left_of_crack


def followed(kind: str, *changes: tuple[str, str]) -> BreakPath:
    return follow_break(read_specimen(example_path(kind), list(changes)))


@pytest.mark.parametrize("kind", EXAMPLES)
def test_the_boards_of_every_kind_come_apart(kind: str) -> None:
    """Every piece lies in one cluster, and the boards in two."""
    found = followed(kind)
    pieces = broken_pieces(found)
    assert pieces is not None
    fragments = [one for cluster in pieces.clusters for one in cluster.fragments]
    assert len(fragments) == len(set(fragments))
    assert {one.piece for one in fragments} == set(found.corner.pieces)
    homes = [{one.piece for one in cluster.fragments} for cluster in pieces.clusters[:2]]
    assert BOARD_A in homes[0]
    assert BOARD_B in homes[1]
    assert pieces.clusters[0].move == (0.0, 0.0)
    assert np.linalg.norm(pieces.clusters[1].move) > 5.0
    assert {face.name for face in pieces.faces} <= {each.name for each in found.corner.glued}
    assert pieces.faces


def test_cheeks_tear_fibres_and_end_grain_comes_off_bare() -> None:
    """Rolled fibres stay on glued cheeks, end grain parts clean (common practice, no source)."""
    finger, butt = broken_pieces(followed("finger")), broken_pieces(followed("butt"))
    assert finger is not None
    assert butt is not None
    torn = {face.name: face.is_torn for face in finger.faces}
    assert torn.pop("finger cheeks")
    assert not any(torn.values())
    assert [face.is_torn for face in butt.faces] == [False]
    assert finger.crack is butt.crack is None


def test_wood_that_breaks_is_cut_and_its_end_stays_with_the_other_board() -> None:
    pieces = broken_pieces(followed("bridle"))
    assert pieces is not None
    assert pieces.crack is not None
    assert pieces.crack.piece == BOARD_B
    assert not pieces.crack.with_grain
    assert {(one.piece, abs(one.side)) for one in pieces.clusters[0].fragments} == {
        (BOARD_A, 0),
        (BOARD_B, 1),
    }
    assert [one.piece for one in pieces.clusters[1].fragments] == [BOARD_B]


def test_nothing_comes_apart_that_is_held_to_the_end() -> None:
    found = followed("butt")
    held = replace(found, drops=(replace(found.drops[-1], peak=len(found.path.load) - 1),), wood_state=None)
    assert held.ends_held
    assert broken_pieces(held) is None
    assert broken_halves_png(held) is None


@pytest.mark.parametrize("slope", [(1.0, 0.0), (0.6, 0.8)])
def test_both_sides_of_a_crack_fit_together(slope: tuple[float, float]) -> None:
    """Their areas add up to that of what was cracked, teeth and all."""
    corner = followed("butt").corner
    square = np.array([[0.0, 0.0], [19.0, 0.0], [19.0, 19.0], [0.0, 19.0]])
    crack = Crack(BOARD_A, (9.0, 8.0), slope, with_grain=False)
    halves = [left_of_crack(square, Fragment(BOARD_A, side), crack, corner) for side in (1, -1)]
    assert sum(area(half) for half in halves) == pytest.approx(19.0**2, rel=1e-9)
    assert all(area(half) > 50.0 for half in halves)
    assert all(len(half) > 8 for half in halves)


def area(outline: Any) -> float:
    x, y = outline.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def drawn_polygons(sheet: Figure) -> list[Polygon]:
    return [patch for patch in sheet.axes[1].patches if isinstance(patch, Polygon)]


def test_the_picture_shows_both_states_at_one_scale_and_says_what_goes() -> None:
    found = followed("finger")
    pieces = broken_pieces(found)
    assert pieces is not None
    sheet = draw_broken_halves(found, pieces)
    before, after = sheet.axes
    assert [axes.get_title() for axes in sheet.axes] == ["whole", "predicted pieces"]
    assert before.get_ylim() == after.get_ylim()
    assert "finger cheeks let go" in sheet.get_suptitle()
    names = [text.get_text() for text in sheet.legends[0].get_texts()]
    assert sorted(names) == ["bare glued face", "glued face with torn fibres"]
    hatched = [patch for patch in drawn_polygons(sheet) if patch.get_hatch()]
    assert len(hatched) == 2  # the fingers of either board
    assert {to_hex(patch.get_edgecolor()) for patch in hatched} == {"#7a3b10"}
    high = max(patch.get_xy()[:, 1].max() for patch in drawn_polygons(sheet))
    assert high > max(patch.get_xy()[:, 1].max() for patch in before.patches if isinstance(patch, Polygon))
