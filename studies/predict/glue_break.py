"""Where and how the glue gives on a path that was followed past its peak."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.crushing import borne_jump, crushing_work
from glueline.fem.traction_law import spent_energy
from glueline.studies.corner.connections import Bearing, Grip, Hold
from glueline.studies.corner.limit import Limit, as_point

if TYPE_CHECKING:
    from glueline.studies.predict.break_path import BreakPath

Array = NDArray[np.float64]

ALIKE = 0.999  # share of the most energy that counts as the most: of a mirrored pair the first is named
PAST = 0.9  # share of the highest load at which the fall tells which surface lets go


def glue_break(break_path: BreakPath) -> Limit:
    """The surface that lets go at the break, the place where its glue goes first, and the mode."""
    return _given(break_path, round(break_path.drops[-1].peak), break_path.held_load)


def other_life(break_path: BreakPath) -> tuple[Limit, ...]:
    """Where fasteners outlive the glue: what lets go in the life without the break, at its highest load."""
    corner, path = break_path.corner, break_path.path
    if not corner.glued or not any(isinstance(each, Grip) for each in corner.bearings):
        return ()
    load, begins, peak = path.load, path.second_from, round(break_path.drops[-1].peak)
    if begins is not None:
        top = int(load[:begins].argmax()) if peak >= begins else begins + int(load[begins:].argmax())
    elif break_path.lets_go.breaks_in == "glue":
        top = path.highest if path.highest > peak else len(load) - 1
    else:
        top = peak if path.first_peak is None else path.first_peak
    return () if top == peak else (_given(break_path, top, float(load[top])),)


def _given(break_path: BreakPath, peak: int, load: float) -> Limit:
    worst, at, end = what_gives(break_path, peak)
    return Limit(
        kind=worst.breaks_in,
        part=worst.part,
        mode=mode_up_to(break_path, worst, end),
        where=worst.place_at(at),
        load=load,
        point=as_point(worst.surface.points[at]),
        length=0.0,
        note="followed past the highest load: no mean over a length was needed",
    )


def what_gives(break_path: BreakPath, top: int) -> tuple[Hold, int, int]:
    """What lets go at a peak: the connection, its point where glue goes first, the state by which it shows.

    The connection is the one that spends most energy from the peak until the load has fallen by a tenth, or
    rises again: that is what brings the load down. The place is where its glue had gone furthest by then.
    """
    path = break_path.path
    ends = break_path.first_life if top < break_path.first_life else len(path.load)
    after = path.load[top:ends]
    fallen = np.flatnonzero(after < PAST * after[0])
    end = top + (int(fallen[0]) if len(fallen) else len(after) - 1)
    rising = np.flatnonzero(after > after[0])
    if len(rising) and top + rising[0] < end:
        end = top + int(after[: rising[0]].argmin())
    if top == end:  # carried to the largest turn: what has given on the way there
        top = 0 if break_path.first_life > top else break_path.first_life
    holds = [each for each in break_path.corner.holds if each not in break_path.corner.connections]
    if end < break_path.first_life or not any(isinstance(each, Grip) for each in holds):
        holds = list(break_path.corner.holds)
    spent = {each.name: _taken(break_path, each, top, end) for each in holds}
    takes = [float(each.surface.weight @ spent[each.name].sum(axis=0)) for each in holds]
    worst = next(each for each, taken in zip(holds, takes, strict=True) if taken >= ALIKE * max(takes))
    return worst, first_gone(break_path, worst.name, end), end


def first_gone(break_path: BreakPath, name: str, state: int) -> int:
    """The point of a surface where its glue has gone furthest by a state; of several the first damaged."""
    gone = break_path.gone(state)[name]
    early = break_path.path.damage[name][: state + 1].sum(axis=0)
    return int(np.argmax(np.where(gone >= 0.99 * gone.max(), early, -1.0)))


def _spent(break_path: BreakPath, surface: BondedSurface, start: int, end: int) -> Array:
    """Energy (steps, p) in N/mm that the points of a surface spend in every step from start to end."""
    path, law = break_path.path, break_path.laws[surface.name]
    damage, crushed = path.damage[surface.name], path.crushed[surface.name]
    steps = np.zeros((max(end - start, 0), len(surface.weight)))
    before: Array | None = None
    for row, state in enumerate(range(start + 1, end + 1)):
        if (damage[state] == damage[state - 1]).all():  # nothing is spent
            before = None
            continue
        if before is None:
            before = surface.jumps(path.at_surfaces(state - 1))
        jump = surface.jumps(path.at_surfaces(state))
        steps[row] = spent_energy(
            law,
            borne_jump(before, crushed[state - 1]),
            damage[state - 1],
            borne_jump(jump, crushed[state]),
            damage[state],
        )
        before = jump
    return steps


def _taken(break_path: BreakPath, hold: Hold, start: int, end: int) -> Array:
    """Energy (steps, p) in N/mm that a hold takes up: what bears spends it on crushing."""
    spent = _spent(break_path, hold.surface, start, end)
    law = break_path.laws[hold.name]
    if not isinstance(hold, Bearing) or law.closing is None:
        return spent
    crushed = break_path.path.crushed[hold.name]
    _, strength, hardening, *_ = law.closing
    work = [
        crushing_work(strength, crushed[state - 1], crushed[state], hardening)
        for state in range(start + 1, end + 1)
    ]
    return np.asarray(spent + np.array(work).reshape(spent.shape))


def mode_up_to(break_path: BreakPath, connection: Hold, end: int) -> str:
    """Name of the mode in which most of the energy of a connection was spent up to a state."""
    path, surface = break_path.path, connection.surface
    spent = _spent(break_path, surface, 0, end) * surface.weight
    second = 0.0
    for state in (np.flatnonzero(spent.any(axis=1)) + 1).tolist():
        jump = borne_jump(surface.jumps(path.at_surfaces(state)), path.crushed[surface.name][state])
        traction = np.einsum("pij,pj->pi", surface.stiffness, jump)
        second += float(spent[state - 1] @ connection.second_part(traction))
    return connection.mode_of(second / max(float(spent.sum()), 1e-300))
