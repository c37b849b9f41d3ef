"""What stands side by side across the width of a joint: how many, how wide, how far apart."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from glueline.geometries import BOARD_A, BOARD_B, Layout
from glueline.geometries.across import whole_width
from glueline.geometries.section import Cut, bands
from glueline.geometries.silhouettes import silhouettes
from glueline.studies.files.units import Units, format_cut

ALIKE = 0.06  # mm: sizes that differ by less are one size
LET_IN = ("rod", "shank")


@dataclass(frozen=True)
class Standing:
    """Parts called ``name``, each from one place to another across the width, in mm and in turn."""

    name: str
    places: tuple[tuple[float, float], ...]

    @property
    def middles(self) -> tuple[float, ...]:
        """The middle of each."""
        return tuple((low + high) / 2 for low, high in self.places)

    def words(self, units: Units) -> str:
        """Number and size, and how far it is from the middle of one to that of the next.

        >>> Standing("splines", ((20.0, 23.2), (43.4, 46.6), (66.8, 70.0))).words("metric")
        'splines: 3 × 3.2 mm, every 23.4 mm'
        """
        sizes = _span([high - low for low, high in self.places], units)
        if len(self.places) == 1:
            return f"{self.name}: {sizes}"
        steps = [second - first for first, second in zip(self.middles, self.middles[1:], strict=False)]
        return f"{self.name}: {len(self.places)} × {sizes}, every {_span(steps, units)}"


def standing_across(layout: Layout, cut: Cut) -> tuple[Standing, ...]:
    """What does not reach over the whole width of a cut: inserts and fasteners, else the boards."""
    found: dict[str, set[tuple[float, float]]] = {}
    for name, low, high in _extents(layout, cut):
        found.setdefault(name, set()).add((round(low, 4), round(high, 4)))
    narrow = {
        name: tuple(sorted(places))
        for name, places in found.items()
        if all(high - low < whole_width(layout) - ALIKE for low, high in places) or name not in _boards()
    }
    if any(name not in _boards() for name in narrow):
        narrow = {name: places for name, places in narrow.items() if name not in _boards()}
    return tuple(Standing(name, _apart(places)) for name, places in narrow.items())


def _extents(layout: Layout, cut: Cut) -> Iterator[tuple[str, float, float]]:
    whole = whole_width(layout)
    for band in bands(layout, cut):
        across = [place[1] for place in band.outline]
        if band.piece not in _boards() or max(across) - min(across) < whole - ALIKE:
            yield band.piece, min(across), max(across)
    for each in silhouettes(layout, cut):
        if each.what in LET_IN:
            across = [place[1] for place in each.outline]
            yield each.name, min(across), max(across)


def _apart(places: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Those that overlap are one, the wider."""
    kept: list[tuple[float, float]] = []
    for low, high in places:
        if kept and low < kept[-1][1] - ALIKE:
            kept[-1] = (min(low, kept[-1][0]), max(high, kept[-1][1]))
        else:
            kept.append((low, high))
    return tuple(kept)


def _span(sizes: list[float], units: Units) -> str:
    """One size, or the least and the most of them."""
    low, high = (
        format_cut(round(end, 1) if units == "metric" else end, units) for end in (min(sizes), max(sizes))
    )
    return low if max(sizes) - min(sizes) < ALIKE else f"{low} to {high}"


def _boards() -> tuple[str, str]:
    return BOARD_A, BOARD_B
