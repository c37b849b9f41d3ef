"""Means of stress over stretches of grain-aligned rows, all lengths that are tried at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray

from glueline.fem.model import Array, Integers
from glueline.fem.stress import GrainRows

NO_SPAN = 1e-9  # places; a stretch of one place only


@dataclass(frozen=True)
class Stretches:
    """Stretches of rows over which stresses are averaged, one for every place where they count.

    ``counted`` (p,) marks those places; ``begin`` and ``end`` (p,) are where a stretch starts and stops, in
    places of all rows laid end to end, with fractions.
    """

    rows: GrainRows
    counted: NDArray[np.bool_]
    begin: Array
    end: Array

    @classmethod
    def of(
        cls,
        rows: GrainRows,
        usable: NDArray[np.bool_],
        length: float,
        at_least: float = 0.0,
        into: NDArray[np.bool_] | None = None,
    ) -> Stretches:
        """Stretches of ``length`` mm, as nearly about their place as the row allows.

        They keep to the places marked in ``usable`` (p,) bool; where an unbroken run of those is shorter than
        ``length`` the stretch is all of it. A run that is shorter than ``at_least`` mm too is widened to that
        on both sides, as far as the places marked in ``into`` (p,) go, all of the body by default.
        """
        return cls.of_each(rows, usable, [length], at_least, into)[0]

    @classmethod
    def of_each(
        cls,
        rows: GrainRows,
        usable: NDArray[np.bool_],
        lengths: Sequence[float],
        at_least: float = 0.0,
        into: NDArray[np.bool_] | None = None,
    ) -> tuple[Stretches, ...]:
        """The same for each of several ``lengths``."""
        inside = rows.inside
        open_ = _marked(rows, usable)
        room = inside if into is None else open_ | _marked(rows, into)
        counted = open_[inside]
        first, last, start, stop = (runs[inside] for runs in (*_runs(open_), *_runs(room)))
        row, column = np.nonzero(inside)
        row_start = row * inside.shape[1]
        made = []
        for length in lengths:
            long, least = length / rows.spacing, min(length, at_least) / rows.spacing
            begin = np.clip(column - 0.5 * long, first, np.maximum(first, last - long))
            end = np.minimum(begin + long, last)
            short = counted & (last - first < least)
            wide = _widened(first, last, start, stop, least)
            begin, end = np.where(short, wide[0], begin), np.where(short, wide[1], end)
            made.append(cls(rows, counted, row_start + begin, row_start + end))
        return tuple(made)

    def mean(self, values: Array) -> Array:
        """Mean of ``values`` (p,), straight between places, over every place's stretch; NaN elsewhere."""
        mean = np.full(len(values), np.nan)
        mean[self.counted] = StretchMeans.over([self]).of(values[:, None])[0, 0]
        return mean


@dataclass(frozen=True)
class StretchMeans:
    """Means over several stretches of every counted place: one sparse product.

    ``integral`` (lengths k, 2 grid places) gives the integrals over the stretches of the k counted places,
    length by length, from the integrals up to every place of the grid and its values there; ``span``
    (lengths, k) is what they are divided by.
    """

    rows: GrainRows
    integral: sparse.csr_matrix
    span: Array

    @classmethod
    def over(cls, stretches: Sequence[Stretches]) -> StretchMeans:
        """Those of stretches that count at the same places of the same rows."""
        rows, counted = stretches[0].rows, stretches[0].counted
        begin, end = (
            np.stack([getattr(each, side)[counted] for each in stretches]) for side in ("begin", "end")
        )
        span = end - begin
        alone = span <= NO_SPAN
        size = rows.inside.size
        columns, factors = np.empty((begin.size, 6), dtype=np.int32), np.empty((begin.size, 6))
        for at, sign, part in ((end, 1.0, slice(0, 3)), (begin, -1.0, slice(3, 6))):
            _integral_to(at.ravel(), sign, size, columns[:, part], factors[:, part])
        lone = alone.ravel()
        columns[lone] = size + np.rint(begin.ravel()[lone]).astype(np.int32)[:, None]
        factors[lone] = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]
        ends = np.arange(0, columns.size + 1, 6, dtype=np.int32)
        integral = sparse.csr_matrix((factors.ravel(), columns.ravel(), ends), shape=(begin.size, 2 * size))
        return cls(rows, integral, np.where(alone, 1.0, span))

    def of(self, values: Array) -> Array:
        """Means (v, lengths, k) of ``values`` (p, v), straight between places."""
        height, width = self.rows.inside.shape
        grid = np.zeros((height, width, values.shape[1]))
        grid[self.rows.inside] = values
        sums = np.zeros_like(grid)
        np.cumsum(0.5 * (grid[:, 1:] + grid[:, :-1]), axis=1, out=sums[:, 1:])
        both = np.concatenate([sums, grid]).reshape(2 * height * width, values.shape[1])
        means = np.ascontiguousarray((self.integral @ both).T).reshape(values.shape[1], *self.span.shape)
        means /= self.span
        return means


def _integral_to(at: Array, sign: float, size: int, columns: NDArray[np.int32], factors: Array) -> None:
    """Fill in what makes the integral from the start of its row to ``at``, times ``sign``.

    ``columns`` and ``factors`` (n, 3) are of the integral up to the place before, of the value there and of
    the value after, of the ``size`` places of all rows.
    """
    place = at.astype(np.int32)
    part = at - place
    half = 0.5 * sign * part**2
    columns[:, 0], columns[:, 1] = place, size + place
    columns[:, 2] = size + np.minimum(place + 1, size - 1)
    factors[:, 0], factors[:, 1], factors[:, 2] = sign, sign * part - half, half


def _marked(rows: GrainRows, places: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which places of the grid are marked in ``places`` (p,)."""
    grid = np.zeros(rows.inside.shape, dtype=bool)
    grid[rows.inside] = places
    return grid


def _widened(
    first: Integers, last: Integers, start: Integers, stop: Integers, long: float
) -> tuple[Array, Array]:
    """Stretches ``long`` places long around those from ``first`` to ``last``, within ``start`` to ``stop``.

    As far on one side as on the other while both have room, then on the side that has.
    """
    more = np.maximum(0.5 * (long - (last - first)), 0.0)
    begin, end = np.maximum(first - more, start), np.minimum(last + more, stop)
    return (
        np.maximum(start, np.minimum(begin, end - long)),
        np.minimum(stop, np.maximum(end, begin + long)),
    )


def _runs(open_: NDArray[np.bool_]) -> tuple[Integers, Integers]:
    """First and last place of the unbroken run that holds each open place of every row."""
    height, width = open_.shape
    columns = np.broadcast_to(np.arange(width), (height, width))
    before = np.where(~open_, columns + 1, 0)
    start = np.maximum.accumulate(before, axis=1)
    after = np.where(~open_, columns, width)
    end = np.minimum.accumulate(after[:, ::-1], axis=1)[:, ::-1]
    start = np.minimum(start, width - 1)
    return start, np.maximum(end - 1, start)
