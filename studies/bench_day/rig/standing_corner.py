"""A corner as it stands in a rig, or hangs from it: turned so that its load comes straight down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import Boards
from glueline.studies.corner.arrangements import LoadArrangement

Array = NDArray[np.float64]

ROOM = 84.0  # most width and height of the drawn corner
FOOT, CLAMP = 6.0, 16.0  # half the width of what bears it, and of what clamps it


@dataclass(frozen=True)
class Held:
    """Where the rig holds a corner, x right and y down from where it is loaded; ``clamps`` it or bears it."""

    place: tuple[float, float]
    clamps: bool

    @property
    def half_width(self) -> float:
        """Half the width of what bears or clamps it."""
        return CLAMP if self.clamps else FOOT


@dataclass(frozen=True)
class StandingCorner:
    """Outlines (4, 2) of boards A and B, x right and y down from where the load acts.

    One that ``hangs`` is held above and pulled down, else it stands and is pressed down.
    """

    boards: tuple[Array, Array]
    held: tuple[Held, ...]
    hangs: bool

    @property
    def left(self) -> float:
        """How far it, what holds it and what presses on it reach to the left of the load, below zero."""
        feet = [each.place[0] - each.half_width for each in self.held]
        return float(min(-FOOT, *self._places[:, 0], *feet))

    @property
    def right(self) -> float:
        """How far they reach to the right of the load."""
        feet = [each.place[0] + each.half_width for each in self.held]
        return float(max(FOOT, *self._places[:, 0], *feet))

    @property
    def top(self) -> float:
        """Its highest place, below zero as it lies above the load."""
        return float(self._places[:, 1].min())

    @property
    def bottom(self) -> float:
        """Its lowest place."""
        return float(self._places[:, 1].max())

    @property
    def _places(self) -> Array:
        return np.concatenate(self.boards)


def standing_corner(boards: Boards, arrangement: LoadArrangement, to_left: bool) -> StandingCorner:
    """The corner at the size of the drawing; most of it lies to the left of its load if ``to_left``.

    >>> from glueline.studies.corner.arrangements import ARRANGEMENTS
    >>> roof = standing_corner(Boards(19.0, 90.0, leg=150.0), ARRANGEMENTS["apex press"], to_left=False)
    >>> roof.hangs, len(roof.held), round(roof.bottom - roof.top) < 84
    (False, 2, True)
    """
    sketch = arrangement.sketch(boards)
    arrow = sketch.arrows[0]
    down = np.array(arrow.toward)
    right = np.array([down[1], -down[0]])
    leg, depth_a, depth_b = boards.leg, boards.depth_a, boards.depth_b
    board_a = np.array([(0, 0), (leg, 0), (leg, depth_a), (0, depth_a)])
    board_b = np.array([(0, 0), (depth_b, 0), (depth_b, leg), (0, leg)])

    def turned(points: Array) -> Array:
        away = points - np.array(arrow.at)
        return np.stack([away @ right, away @ down], axis=-1)

    both = turned(np.concatenate([board_a, board_b]))
    low, high = both.min(axis=0), both.max(axis=0)
    scale = ROOM / float((high - low).max())
    side = -1.0 if (high[0] > -low[0]) == to_left else 1.0
    size = scale * np.array([side, 1.0])
    places = [turned(np.array(each.at)) * size for each in sketch.supports]
    outward = [np.array(each.outward) @ down for each in sketch.supports]
    return StandingCorner(
        (turned(board_a) * size, turned(board_b) * size),
        tuple(
            Held((float(place[0]), float(place[1])), each.clamps)
            for place, each in zip(places, sketch.supports, strict=True)
        ),
        hangs=bool(sum(outward) < 0),
    )
