"""A path as a short story: what cracks, what holds after it, what splits, what lets go."""

from __future__ import annotations

from msgspec import structs

from glueline.studies.corner.limit import Limit
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES
from glueline.studies.predict.answer import Event, EventKind
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.curve_peaks import peaks_that_stand_out
from glueline.studies.predict.glue_break import mode_up_to, what_gives

LATER = 0.01  # share of the highest load by which a later peak must stand out to be told


def events_of(break_path: BreakPath) -> tuple[Event, ...]:
    """The story of a followed corner, up to its fibre break, its split or the last that its glue holds."""
    wood = break_path.wood
    by_wood = break_path.wood_state
    peaks = [state for state in peaks_to_tell(break_path) if by_wood is None or state < by_wood]
    told = {
        state: _event(break_path, state, "holds" if place else "cracks") for place, state in enumerate(peaks)
    }
    ending = (
        _by_criterion(break_path, wood)
        if by_wood is not None
        else structs.replace(told[peaks[-1]], kind="lets go")
    )
    if break_path.ends_held:
        end, shown = len(break_path.path.load) - 1, told[peaks[-1]]
        load, displacement = (
            float(each[end]) for each in (break_path.path.load, break_path.path.displacement)
        )
        ending = structs.replace(shown, kind="holds", load=load, displacement=displacement)
        told.pop(end, None)  # nothing cracks there
        if break_path.path.second_from is not None or not told:
            ending = _at_largest_turn(break_path)
    elif by_wood is None and break_path.path.second_from is not None and break_path.comes_to_largest_turn:
        return (*(told[state] for state in sorted(told)), _at_largest_turn(break_path))
    elif by_wood is None and len(peaks) == 1:
        told = {}
    last = by_wood or peaks[-1]
    splits = _splits(break_path, {event.part for event in (*told.values(), ending)}, last)
    told = {**splits, **told}
    return (*(told[state] for state in sorted(told)), ending)


def _at_largest_turn(break_path: BreakPath) -> Event:
    """What a machine still finds there, when dead weight has brought the corner down before."""
    path, end = break_path.path, len(break_path.path.load) - 1
    return structs.replace(
        _event(break_path, end, "holds"),
        kind="holds",
        load=float(path.load[end]),
        displacement=float(path.displacement[end]),
    )


def _by_criterion(break_path: BreakPath, wood: Limit) -> Event:
    """The end that a criterion of the wood sets."""
    return Event(
        kind="splits" if WOOD_MODES[wood.mode].family == SPLIT_OR_SHEAR else "lets go",
        load=break_path.break_load,
        displacement=break_path.displacement,
        where=wood.where,
        mode=wood.mode,
        part=wood.part,
    )


def _splits(break_path: BreakPath, told: set[str], last: int) -> dict[int, Event]:
    """By state: where pieces part before the state ``last`` without a peak that has been ``told`` of."""
    corner, path = break_path.corner, break_path.path
    events = {}
    for split in corner.splits:
        state = break_path.partings.get(split.name, last)
        if state >= last or split.part in told:
            continue
        point = int(path.damage[split.name][state].argmax())
        events[state] = Event(
            kind="splits",
            load=float(path.load[state]),
            displacement=float(path.displacement[state]),
            where=split.place_at(point),
            mode=mode_up_to(break_path, split, state),
            part=split.part,
        )
    return events


def peaks_to_tell(break_path: BreakPath) -> list[int]:
    """States of the first peak of the path, and of all later ones that stand out."""
    path = break_path.path
    first = path.first_peak if path.first_peak is not None else path.highest
    standing_out = peaks_that_stand_out(path.load, LATER * float(path.load.max()))
    return [first, *(state for state in standing_out if state > first)]


def _event(break_path: BreakPath, state: int, kind: EventKind) -> Event:
    gives, point, end = what_gives(break_path, state)
    return Event(
        kind="splits" if gives.breaks_in == "wood" else kind,
        load=float(break_path.path.load[state]),
        displacement=float(break_path.path.displacement[state]),
        where=gives.place_at(point),
        mode=mode_up_to(break_path, gives, end),
        part=gives.part,
    )
