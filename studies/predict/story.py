"""A path as a short story: what cracks, what holds after it, what splits, what lets go."""

from __future__ import annotations

from msgspec import structs
from scipy.signal import find_peaks

from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.answer import Event, EventKind
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.glue_break import mode_up_to, what_gives

LATER = 0.01  # share of the highest load by which a later peak must stand out to be told


def events_of(break_path: BreakPath) -> tuple[Event, ...]:
    """The story of a followed corner, up to its fibre break, its split or the last that its glue holds."""
    path, wood = break_path.path, break_path.wood
    by_wood = break_path.wood_state
    peaks = [state for state in peaks_to_tell(break_path) if by_wood is None or state < by_wood]
    later: list[EventKind] = ["holds"] * (len(peaks) - 1)
    kinds: list[EventKind] = ["cracks", *later]
    events = [_event(break_path, *each) for each in zip(peaks, kinds, strict=False)]
    if by_wood is not None:
        kind: EventKind = "splits" if WOOD_MODES[wood.mode].family == SPLIT_OR_SHEAR else "lets go"
        end = Event(
            kind=kind,
            load=float(path.load[by_wood]),
            displacement=float(path.displacement[by_wood]),
            where=wood.where,
            mode=wood.mode,
            part=wood.part,
        )
        return (*events, end)
    return (*(events if len(events) > 1 else []), structs.replace(events[-1], kind="lets go"))


def peaks_to_tell(break_path: BreakPath) -> list[int]:
    """States of the first peak of the path, and of all later ones that stand out."""
    path = break_path.path
    first = path.first_peak if path.first_peak is not None else path.highest
    standing_out, _ = find_peaks(path.load, prominence=LATER * float(path.load.max()))
    return [first, *(int(state) for state in standing_out if state > first)]


def _event(break_path: BreakPath, state: int, kind: EventKind) -> Event:
    gives, point, end = what_gives(break_path, state)
    return Event(
        kind=kind,
        load=float(break_path.path.load[state]),
        displacement=float(break_path.path.displacement[state]),
        where=gives.place_at(point),
        mode=mode_up_to(break_path, gives, end),
        part=gives.name,
    )
