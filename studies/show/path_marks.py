"""The places on a path that every picture of it names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.model import CornerModel
from glueline.studies.predict.break_path import BreakPath

Array = NDArray[np.float64]

# A state just past the peak that looks like the one just before it shows nothing: so far the load has fallen.
JUST_PAST = 0.95


@dataclass(frozen=True)
class PathMarks:
    """States by number. ``first_crack`` is the first local peak.

    It is None where the wood goes before. ``highest`` is the peak of the glue; ``broken`` the
    state of the break load; ``wood`` the first at which the wood criterion is met, None where it never is.
    """

    first_damage: int
    first_crack: int | None
    highest: int
    broken: int
    wood: int | None
    last: int


def marks_of(break_path: BreakPath) -> PathMarks:
    """The marks of a followed corner."""
    path = break_path.path
    return PathMarks(
        path.first_damage,
        break_path.first_crack,
        path.highest,
        break_path.state,
        break_path.wood_state,
        len(path.load) - 1,
    )


def is_damaged(break_path: BreakPath) -> bool:
    """Whether anything softens on the path at all; what only crushes and bends does not."""
    return any(bool((damage > 0.0).any()) for damage in break_path.path.damage.values())


def what_holds(corner: CornerModel) -> str:
    """What holds a corner together besides its wood, in a word: fasteners alone where there is no glue."""
    return "glue" if corner.glued else "fasteners"


def way_along(break_path: BreakPath) -> Array:
    """Share (s,) of the load-displacement curve's length that lies behind a state, both axes at full scale.

    It grows where load and displacement turn back, so it can serve as an axis.
    """
    path = break_path.path
    steps = np.hypot(
        np.diff(path.displacement) / np.ptp(path.displacement), np.diff(path.load) / np.ptp(path.load)
    )
    behind = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(behind / behind[-1])


def just_past(break_path: BreakPath) -> int:
    """First state after the highest load at which the load has fallen by a twentieth."""
    load, highest = break_path.path.load, break_path.path.highest
    fallen = np.flatnonzero(load[highest:] <= JUST_PAST * load[highest])
    return highest + int(fallen[0]) if len(fallen) else len(load) - 1
