"""Layouts cut along the grain of a piece: nothing is lost, and what was glued still is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glueline.geometries import (
    JOINTS,
    Boards,
    Butt,
    Cheek,
    FingerJoint,
    Layout,
    Mitre,
    SplinedMitre,
    mirrored_place,
    with_splits,
)
from glueline.geometries.mesh import mesh_layout

BOARDS = Boards(thickness=19.0, width=90.0, leg=150.0)
CORNERS: list[tuple[str, Any]] = [
    ("butt", Butt()),
    ("mitre", Mitre()),
    ("finger", FingerJoint(5)),
    ("splined mitre", SplinedMitre(splines=3, spline_thickness=3.2, spline_depth=21.0)),
]


def area(layout: Layout, piece: str) -> float:
    """Area in mm2 of a piece in the plane, by the shoelace formula."""
    total = 0.0
    for cell in layout.cells:
        if piece in cell.parts:
            x, y = np.array(cell.polygon).T
            total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return total


def glued(layout: Layout) -> dict[str, float]:
    """Area in mm2 of the cells of every cheek."""
    return {
        each.name: sum(area_of(layout.cells[cell].polygon) for cell in each.cells)
        for each in layout.joinings
        if isinstance(each, Cheek)
    }


def area_of(polygon: tuple[tuple[float, float], ...]) -> float:
    x, y = np.array(polygon).T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


@settings(max_examples=60, deadline=None)
@given(
    corner=st.sampled_from(CORNERS),
    piece=st.integers(0, 2),
    along=st.floats(0.0, 1.0),
    across=st.floats(0.0, 1.0),
)
def test_a_split_takes_nothing_away(corner: tuple[str, Any], piece: int, along: float, across: float) -> None:
    kind, joint = corner
    layout = JOINTS[kind].layout(joint, BOARDS)
    chosen = layout.pieces[piece % len(layout.pieces)]
    corners = np.array([p for cell in layout.cells if chosen.name in cell.parts for p in cell.polygon])
    place = corners.min(axis=0) + np.array([along, across]) * np.ptp(corners, axis=0)
    cut = with_splits(layout, [(chosen.name, (float(place[0]), float(place[1])))])
    for each in layout.pieces:
        assert area(cut, each.name) == pytest.approx(area(layout, each.name), rel=1e-9)
    assert glued(cut) == pytest.approx(glued(layout), rel=1e-9)
    assert all(area_of(cell.polygon) > 0 for cell in cut.cells), "every cell is still anticlockwise"
    (line,) = cut.splits
    run = np.array(line.end) - np.array(line.start)
    grain = np.array([np.cos(chosen.grain_angle), np.sin(chosen.grain_angle)])
    assert run @ grain == pytest.approx(float(np.hypot(*run)), rel=1e-9), "along the grain, start first"
    mesh = mesh_layout(cut, 4.0)
    edges = mesh.edges_on(line.start, line.end)
    assert len(edges) >= 1


def test_a_line_runs_over_all_of_the_piece() -> None:
    layout = JOINTS["splined mitre"].layout(CORNERS[3][1], BOARDS)
    cut = with_splits(layout, [("board A", (16.0, 10.0))])
    (line,) = cut.splits
    assert np.allclose(line.start, (10.0, 10.0), atol=1e-6), "it begins at the mitre"
    assert np.allclose(line.end, (150.0, 10.0), atol=1e-6), "and ends at the tip"
    assert not cut.mirrored


def test_images_keep_the_mirror() -> None:
    layout = JOINTS["mitre"].layout(Mitre(), BOARDS)
    here = ("board A", (30.0, 7.0))
    image = mirrored_place(layout, *here)
    assert image == ("board B", (7.0, 30.0))
    assert with_splits(layout, [here, image]).mirrored
    assert not with_splits(layout, [here]).mirrored
    splined = JOINTS["splined mitre"].layout(CORNERS[3][1], BOARDS)
    assert mirrored_place(splined, "splines", (10.0, 10.0)) is None
    assert with_splits(splined, [("splines", (9.0, 9.0))]).mirrored, (
        "a line across the diagonal is its own image"
    )


def test_a_line_keeps_off_the_corners_of_cells() -> None:
    layout = JOINTS["butt"].layout(Butt(), BOARDS)
    for y in (0.0, 0.05, 18.99, 19.0):
        (line,) = with_splits(layout, [("board A", (60.0, y))]).splits
        assert 0.019 * 19.0 < line.start[1] < 19.0 - 0.019 * 19.0
