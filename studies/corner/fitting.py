"""Between which values a measure fits, by halving: a joint says only whether one value does."""

from __future__ import annotations

from collections.abc import Callable, Iterable

APART = 1.25
"""By what factor the first values that are tried lie apart."""


def fitting_ends(fits: Callable[[int], bool], most: int, near: Iterable[int] = ()) -> tuple[int, int] | None:
    """The least and the greatest whole number from 1 to ``most`` that fit, None where none is found.

    What fits is taken as one run of numbers, or as runs of which the outermost hold one of those that are
    tried first: those ``near`` which one may, and some up to ``most``, each a quarter more than the last.

    >>> fitting_ends(lambda number: 57 <= number <= 1140, 5000)
    (57, 1140)
    """
    tried = sorted({1, most, *_apart(most), *(each for each in near if 1 <= each <= most)})
    found = [each for each in tried if fits(each)]
    if not found:
        return None
    below, above = tried.index(found[0]) - 1, tried.index(found[-1]) + 1
    least = found[0] if below < 0 else _end(fits, found[0], tried[below])
    greatest = found[-1] if above == len(tried) else _end(fits, found[-1], tried[above])
    return least, greatest


def _end(fits: Callable[[int], bool], inside: int, outside: int) -> int:
    """The last that fits on the way from one that does to one that does not."""
    while abs(outside - inside) > 1:
        middle = (inside + outside) // 2
        if fits(middle):
            inside = middle
        else:
            outside = middle
    return inside


def _apart(most: int) -> list[int]:
    numbers = [1]
    while numbers[-1] < most:
        numbers.append(max(numbers[-1] + 1, round(APART * numbers[-1])))
    return numbers[:-1]
