"""Means over stretches of rows: against integrals of the same straight pieces, and what they must keep to."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sparse
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import trapezoid

from glueline.fem.model import Array
from glueline.fem.stress import GrainRows
from glueline.fem.stretches import Stretches

SPACING = 0.8
MICRON = 1e-3  # mm: over shorter stretches a difference of two sums keeps too few digits


def rows_of(inside: Array) -> GrainRows:
    """Rows with nothing but their places."""
    count = int(inside.sum())
    row, column = np.nonzero(inside)
    points = SPACING * np.stack([column, row], axis=1)
    return GrainRows("strip", inside, points, sparse.csr_matrix((3 * count, 1)), SPACING, np.ones(count))


@st.composite
def cases(draw: st.DrawFn) -> tuple[GrainRows, Array, Array, float, float]:
    shape = (draw(st.integers(1, 4)), draw(st.integers(1, 30)))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    inside = random.random(shape) < draw(st.sampled_from([0.5, 0.9, 1.0]))
    inside[0, 0] = True
    count = int(inside.sum())
    usable = random.random(count) < draw(st.sampled_from([0.4, 0.8, 1.0]))
    length = draw(st.floats(0.1, 40.0))
    at_least = draw(st.just(0.0) | st.floats(MICRON, 10.0))
    return rows_of(inside), random.normal(size=count), usable, length, at_least


def run_about(open_: Array, place: int) -> tuple[int, int]:
    first = last = place
    while first > 0 and open_[first - 1]:
        first -= 1
    while last + 1 < len(open_) and open_[last + 1]:
        last += 1
    return first, last


@given(cases())
def test_means_are_those_of_the_stretches(case: tuple[GrainRows, Array, Array, float, float]) -> None:
    """Trapezoids over a fine division of the stretch itself (numpy); stretches keep to their runs.

    A stretch has the length asked for where its run has room, else all of the run; a short run may be left by
    as much as is needed, but never the body.
    """
    rows, values, usable, length, at_least = case
    stretches = Stretches.of(rows, usable, length, at_least)
    mean = stretches.mean(values)
    grid, open_ = rows.on_grid(values), rows.on_grid(usable.astype(float)) > 0
    width = grid.shape[1]
    assert np.array_equal(np.isnan(mean), ~usable)
    for place, (row, column) in enumerate(np.argwhere(rows.inside)):
        if not usable[place]:
            continue
        begin, end = stretches.begin[place] - row * width, stretches.end[place] - row * width
        first, last = run_about(open_[row], column)
        start, stop = run_about(rows.inside[row], column)
        long, least = length / SPACING, min(length, at_least) / SPACING
        if last - first >= long:
            assert end - begin == pytest.approx(long)
            assert first - 1e-9 <= begin <= column <= end <= last + 1e-9
        elif last - first >= least:
            assert (begin, end) == (first, last)
        else:
            assert end - begin == pytest.approx(min(least, stop - start))
            assert start - 1e-9 <= begin <= first
            assert last <= end <= stop + 1e-9
        if end - begin < 1e-6:
            # Over so short a stretch the values themselves move by no more than that share of their steps.
            assert mean[place] == pytest.approx(grid[row, column], rel=1e-6, abs=1e-5)
            continue
        at = np.unique(
            np.concatenate([[begin, end], np.arange(np.ceil(begin), np.floor(end) + 1)]).clip(begin, end)
        )
        expected = trapezoid(np.interp(at, np.arange(width), grid[row]), at) / (end - begin)
        assert mean[place] == pytest.approx(expected, rel=1e-6, abs=1e-9)


@given(cases())
def test_mirrored_rows_have_mirrored_means(case: tuple[GrainRows, Array, Array, float, float]) -> None:
    rows, values, usable, length, at_least = case
    mirrored = rows_of(rows.inside[:, ::-1])

    def turned(numbers: Array) -> Array:
        return rows.on_grid(numbers)[:, ::-1][mirrored.inside]

    mean = Stretches.of(rows, usable, length, at_least).mean(values)
    other = Stretches.of(mirrored, turned(usable.astype(float)) > 0, length, at_least).mean(turned(values))
    assert turned(np.nan_to_num(mean)) == pytest.approx(np.nan_to_num(other), rel=1e-6, abs=1e-9)


def test_a_stretch_of_next_to_nothing_is_its_own_place() -> None:
    """Even where rounding puts its beginning a hair before the place."""
    rows = rows_of(np.ones((1, 6), dtype=bool))
    values, usable = np.arange(6.0), np.array([False, False, False, False, True, False])
    mean = Stretches.of(rows, usable, 1.0, 2.3e-16).mean(values)
    assert mean[4] == pytest.approx(4.0)
