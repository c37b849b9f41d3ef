"""Which states of a path a page shows, and how the corner stands in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.deformed import all_standing_still
from glueline.studies.show.path_frames import Frame, most_moved, one_magnification, rising_states

Array = NDArray[np.float64]

MOST_FRAMES, AFTER = 30, 6
MOST_MOVED_AFTER = 0.7
"""Of the depth: how far the magnified corner may move past its break, twice as far as up to it."""


@dataclass(frozen=True)
class Frames:
    """States of a path in their order, the unloaded one first.

    ``states`` (f,) by number; ``u`` (f, unknowns) in mm with the joint standing still; by surface the share
    (f, p) of its toughness that every point has spent; ``load`` (f,) in N, ``displacement`` (f,) of it in mm;
    ``break_at`` and ``crack_at`` are frames, the latter None where nothing is heard.
    """

    states: tuple[int, ...]
    u: Array
    gone: dict[str, Array]
    load: Array
    displacement: Array
    break_at: int
    crack_at: int | None
    magnification: float


def frames_of(found: BreakPath, most: int = MOST_FRAMES) -> Frames:
    """At ``most`` so many frames: by rising load, the first crack, the break, a few after it.

    Magnified so that the rise to the break is seen, what comes after soon leaves the picture: only what stays
    near is shown of it, and nothing where wood breaks first, since the path then goes on as if it had not.
    """
    corner, path, crack = found.corner, found.path, crack_state(found)
    rising = rising_states(found, most - AFTER - 2)
    states = sorted({0, *rising, found.state, *([] if crack is None else [crack])})
    u = _standing_at(found, states)
    magnification = one_magnification(corner, [Frame("", 0, each) for each in u])
    break_at = states.index(found.state)
    after = _after(found, MOST_MOVED_AFTER / magnification)
    states = [*states, *after]
    u = np.concatenate([u, _standing_at(found, after)]) if after else u
    gone = [found.gone(state) for state in states]
    load, displacement = path.load[states], path.displacement[states]
    # The break lies between two states: the corner stands at the nearest as it does, held to the break load.
    u[break_at] *= found.break_load / load[break_at]
    load[: break_at + 1] = np.minimum(load[: break_at + 1], found.break_load)
    load[break_at], displacement[break_at] = found.break_load, found.displacement
    return Frames(
        states=tuple(states),
        u=u,
        gone={name: np.stack([each[name] for each in gone]) for name in gone[0]},
        load=load,
        displacement=displacement,
        break_at=break_at,
        crack_at=None if crack is None else states.index(crack),
        magnification=magnification,
    )


def _standing_at(found: BreakPath, states: list[int]) -> Array:
    """Displacements (s, unknowns) in mm at some states, the joint standing still."""
    return all_standing_still(found.corner, np.stack([found.path.displacements(state) for state in states]))


def _after(found: BreakPath, reach: float) -> list[int]:
    """A few states past the break, as far as wood near the joint moves ``reach`` depths or less."""
    corner, last = found.corner, len(found.path.load) - 1
    if found.ends_held or found.wood_state is not None:
        return []
    depth = max(corner.layout.boards.depth_a, corner.layout.boards.depth_b)
    low, high = found.state, last + 1
    while high - low > 1:
        middle = (low + high) // 2
        near = most_moved(corner, _standing_at(found, [middle])[0]) <= reach * depth
        low, high = (middle, high) if near else (low, middle)
    after = np.linspace(found.state, low, AFTER + 1).round().astype(int)
    return sorted({int(state) for state in after} - {found.state})


def crack_state(found: BreakPath) -> int | None:
    """The first state up to the break at which something is heard; None where it holds and nothing cracks.

    Glue cracks or wood splits; else it is the break itself that is heard first.

    >>> from glueline import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> from glueline.studies.predict.corner_follower import follow_break
    >>> found = follow_break(read_specimen(example_path("butt")))
    >>> crack_state(found) == found.state
    True
    """
    heard = [*([] if found.first_crack is None else [found.first_crack]), *found.partings.values()]
    quiet = None if found.ends_held and not found.corner.glued else found.state
    return min((state for state in heard if state <= found.state), default=quiet)
