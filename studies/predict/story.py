"""A path as a short story: what cracks, what holds after it, what splits, what lets go."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from scipy.signal import find_peaks

from glueline.studies.corner.connections import Connection
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.glue_break import mode_up_to, what_gives

LATER = 0.01  # share of the highest load by which a later peak must stand out to be told

Kind = Literal["cracks", "holds", "splits", "lets go"]


@dataclass(frozen=True)
class Event:
    """What happens at a load (N) and a displacement of the load (mm), where and in which mode.

    ``part`` is the surface or piece. "holds" is a load that is carried after a crack by a machine that drives
    the displacement; whether dead weight is held is another matter (``BreakPath.holds_after_crack``).
    """

    kind: Kind
    load: float
    displacement: float
    where: str
    mode: str
    part: str


def events_of(break_path: BreakPath) -> tuple[Event, ...]:
    """The story of a followed corner, up to its fibre break, its split or the last that its glue holds."""
    path, wood = break_path.path, break_path.wood
    by_wood = break_path.wood_state
    peaks = [state for state in peaks_to_tell(break_path) if by_wood is None or state < by_wood]
    later: list[Kind] = ["holds"] * (len(peaks) - 1)
    kinds: list[Kind] = ["cracks", *later]
    if by_wood is not None:
        events = [_event(break_path, *each) for each in zip(peaks, kinds, strict=False)]
        kind: Kind = "splits" if WOOD_MODES[wood.mode].family == SPLIT_OR_SHEAR else "lets go"
        load, displacement = float(path.load[by_wood]), float(path.displacement[by_wood])
        return (*events, Event(kind, load, displacement, wood.where, wood.mode, wood.part))
    if len(peaks) == 1:
        return (_event(break_path, peaks[0], "lets go"),)
    events = [_event(break_path, *each) for each in zip(peaks, kinds, strict=True)]
    return (*events, replace(events[-1], kind="lets go"))


def peaks_to_tell(break_path: BreakPath) -> list[int]:
    """States of the first peak of the path, and of all later ones that stand out."""
    path = break_path.path
    first = path.first_peak if path.first_peak is not None else path.highest
    standing_out, _ = find_peaks(path.load, prominence=LATER * float(path.load.max()))
    return [first, *(int(state) for state in standing_out if state > first)]


def _event(break_path: BreakPath, state: int, kind: Kind) -> Event:
    path = break_path.path
    gives: Connection
    gives, point, end = what_gives(break_path, state)
    return Event(
        kind,
        float(path.load[state]),
        float(path.displacement[state]),
        gives.place_at(point),
        mode_up_to(break_path, gives, end),
        gives.name,
    )
