"""The places on a path that every picture of it names."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from studies.break_path import BreakPath

Array = NDArray[np.float64]

# A state just past the peak that looks like the one just before it shows nothing: so far the load has fallen.
JUST_PAST = 0.95


@dataclass(frozen=True)
class PathMarks:
    """States by number. ``first_crack`` is the first local peak, else the first glue point gone.

    It is None where neither comes before the break. ``highest`` is the peak of the glue; ``broken`` the
    state of the break load; ``wood`` the first at which the wood criterion is met, None where it never is.
    """

    first_damage: int
    first_crack: int | None
    highest: int
    broken: int
    wood: int | None
    last: int


def marks_of(found: BreakPath) -> PathMarks:
    """The marks of a followed corner."""
    path = found.path
    crack = path.first_separation if path.first_peak is None else path.first_peak
    if crack is not None and crack > found.state:
        crack = None
    return PathMarks(
        path.first_damage, crack, path.highest, found.state, _wood_state(found), len(path.load) - 1
    )


def _wood_state(found: BreakPath) -> int | None:
    """Where the path has the wood load; a wood load no lower than the glue's peak was not met on it.

    Unless the wood is what breaks: then it was met at the peak itself.
    """
    load = found.path.load
    there = np.flatnonzero(load == found.wood_load)
    if not len(there) or (there[0] == found.path.highest and found.breaks_in != "wood"):
        return None
    return int(there[0])


def way_along(found: BreakPath) -> Array:
    """Share (s,) of the load-displacement curve's length that lies behind a state, both axes at full scale.

    It grows where load and displacement turn back, so it can serve as an axis.
    """
    path = found.path
    steps = np.hypot(
        np.diff(path.displacement) / np.ptp(path.displacement), np.diff(path.load) / np.ptp(path.load)
    )
    behind = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(behind / behind[-1])


def just_past(found: BreakPath) -> int:
    """First state after the highest load at which the load has fallen by a twentieth."""
    load, highest = found.path.load, found.path.highest
    fallen = np.flatnonzero(load[highest:] <= JUST_PAST * load[highest])
    return highest + int(fallen[0]) if len(fallen) else len(load) - 1
