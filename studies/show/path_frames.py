"""States of a path that pictures show, and how large their displacements are drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.fem.loads import settle
from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.deformed import standing_still
from glueline.studies.show.view_frames import CLOSE

Array = NDArray[np.float64]

RISING, FALLING = 18, 8  # moving pictures up to the break and after it
MOST_MOVED = 0.35  # of the depth: how far the magnified corner may move


@dataclass(frozen=True)
class Frame:
    """One place on the path: words, state, displacements (unknowns,) in mm with the joint standing still."""

    words: str
    state: int
    u: Array


def frame_at(break_path: BreakPath, words: str, state: int) -> Frame:
    """A state with what is said of it."""
    corner = break_path.corner
    u = settle(corner.model, corner.loading, break_path.path.displacements(state))
    return Frame(words, state, standing_still(corner, u))


def one_magnification(corner: CornerModel, frames: Sequence[Frame]) -> float:
    """One round factor for all frames, so that openings can be compared between them."""
    depth = max(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    most = max(most_moved(corner, shown.u) for shown in frames)
    wanted = MOST_MOVED * depth / most if most > 0 else 1.0
    power = 10.0 ** np.floor(np.log10(wanted))
    return float(power * max(step for step in (1, 2, 5) if step * power <= wanted))


def most_moved(corner: CornerModel, u: Array) -> float:
    """By how many mm the wood near the joint moves at most, along x or y."""
    boards = corner.layout.boards
    near = (corner.model.positions <= CLOSE * max(boards.depth_a, boards.depth_b)).all(axis=1)
    return float(np.abs(u[: corner.model.body_unknowns].reshape(-1, 2)[near]).max())


def states_to_show(found: BreakPath) -> list[int]:
    """States by rising load up to the break, then on to the end of the path, each once.

    >>> from glueline import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> from glueline.studies.predict.corner_follower import follow_break
    >>> found = follow_break(read_specimen(example_path("butt")))
    >>> states = states_to_show(found)
    >>> states[0], found.state in states, states == sorted(states)
    (0, True, True)
    """
    rising, last = rising_states(found, RISING), len(found.path.load) - 1
    after = np.linspace(found.state, last, FALLING + 1) if not found.ends_held else np.array([found.state])
    return sorted({*rising, *(round(state) for state in after.tolist())})


def rising_states(found: BreakPath, count: int) -> list[int]:
    """The first states at evenly rising loads, up to the break; at most ``count``."""
    highest_yet = np.maximum.accumulate(found.path.load[: found.state + 1])
    rising = np.searchsorted(highest_yet, np.linspace(0.0, highest_yet[-1], count))
    return sorted({min(int(state), found.state) for state in rising})
