"""Laws of neighbouring surfaces joined into one, so that all their points are worked out in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any

import numpy as np

from glueline.fem.cheek_law import CheekLaw, CheekPoints
from glueline.fem.traction_law import LINE_NUMBERS, LineLaw, TractionLaw


def joined_laws(laws: Sequence[TractionLaw], counts: Sequence[int]) -> list[tuple[TractionLaw, slice]]:
    """Laws and the points that each is for: those of neighbours that soften alike become one.

    ``counts`` gives the number of points of every law. The joined law does point by point what each would.
    """
    found: list[tuple[TractionLaw, slice]] = []
    start = 0
    for kind, together in groupby(zip(laws, counts, strict=True), key=lambda pair: _kind(pair[0])):
        group = list(together)
        count = sum(points for _, points in group)
        whole = slice(start, start + count)
        if len(group) == 1 or kind == (type(group[0][0]),):
            places = np.cumsum([start, *(points for _, points in group)])
            found += [
                (law, slice(int(a), int(b)))
                for (law, _), a, b in zip(group, places[:-1], places[1:], strict=True)
            ]
        else:
            found.append((_joined(group), whole))
        start += count
    return found


def _kind(law: TractionLaw) -> tuple[object, ...]:
    """What must be the same for laws to be joined; of laws of another making only the type."""
    if isinstance(law, LineLaw):
        return LineLaw, law.softening, law.mixing, law.exponent
    if isinstance(law, CheekLaw):
        return CheekLaw, law.softening
    return (type(law),)


def _joined(group: Sequence[tuple[TractionLaw, int]]) -> TractionLaw:
    cheeks = [law.points for law, _ in group if isinstance(law, CheekLaw)]
    if cheeks:
        return CheekPoints.joined(cheeks)
    lines = [(law, count) for law, count in group if isinstance(law, LineLaw)]

    def over_points(name: str) -> Any:
        return np.concatenate([np.broadcast_to(getattr(law, name), count) for law, count in lines])

    return replace(lines[0][0], **{name: over_points(name) for name in LINE_NUMBERS})
