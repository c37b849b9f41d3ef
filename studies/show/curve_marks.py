"""What is marked on the curve of load against displacement, in words."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.story import peaks_to_tell
from glueline.studies.show.path_marks import PathMarks, what_holds

Array = NDArray[np.float64]

MarkKind = Literal["first damage", "first crack", "wood gives", "break", "highest load", "holds later"]

AFTER = {
    "glue": "it lets go; only a vice or jack that backs off could follow this",
    "wood": "what the {glue} alone would do, had the wood held",
    "fastener": "what a vice or jack finds that drives it on",
}
"""What the path past the break is, by what breaks; ``glue`` is what holds but for the wood."""


def under_weight(load: Array) -> NDArray[np.int64]:
    """The states that stacked weights come to: each carries as much as any before it; and the last."""
    carried = load >= np.maximum.accumulate(load)
    carried[-1] = True
    return np.flatnonzero(carried)


def mark_place(break_path: BreakPath, state: int, kind: MarkKind) -> tuple[float, float]:
    """Displacement in mm and load in N at which a mark stands: those that all answers name.

    First damage, the break and where wood gives lie between two states of the path.
    """
    path = break_path.path
    if kind == "break":
        return break_path.displacement, break_path.break_load
    if kind == "first damage" and break_path.first_damage_load is not None:
        height, start = break_path.first_damage_load, state
    elif kind == "wood gives" and state > 0:
        height, start = break_path.wood_share.load, state - 1
    else:
        return float(path.displacement[state]), float(path.load[state])
    span = slice(start, start + 2)
    order = np.argsort(path.load[span])
    return float(np.interp(height, path.load[span][order], path.displacement[span][order])), height


def curve_marks(break_path: BreakPath, marks: PathMarks, units: Units) -> list[tuple[int, str, MarkKind]]:
    """State, words and kind of every mark, in order of the path; two at one state are one mark."""

    def force(state: int, kind: MarkKind) -> str:
        return format_force(mark_place(break_path, state, kind)[1], units)

    labels: list[tuple[int, str, MarkKind]] = []
    if (damage := break_path.first_damage_load) is not None:
        labels.append((marks.first_damage, f"first damage: {format_force(damage, units)}", "first damage"))
    crack, broken, highest, wood = marks.first_crack, marks.broken, marks.highest, marks.wood
    if crack is not None and crack != broken:
        labels.append((crack, f"first crack: {force(crack, 'first crack')}", "first crack"))
    if wood is not None and wood != broken:
        words = f"wood gives, {break_path.wood.mode}: {force(wood, 'wood gives')}"
        labels.append((wood, words, "wood gives"))
    text = f"break in the {break_path.breaks_in}"
    if break_path.ends_held:
        text = "still held where the path ends, at the largest turn"
    if wood == broken:
        text += f" ({break_path.wood.mode})"
    if highest == broken:
        text += ", highest load"
    if crack == broken:
        text += ", first crack"
    labels.append((broken, f"{text}: {force(broken, 'break')}", "break"))
    if highest != broken:
        by_wood = f"the {what_holds(break_path.corner)} alone would hold"
        what = by_wood if break_path.breaks_in == "wood" else "if a vice or jack drives it"
        labels.append((highest, f"highest load {what}: {force(highest, 'highest load')}", "highest load"))
    later = [
        state for state in peaks_to_tell(break_path)[1:] if wood is None and state not in (broken, highest)
    ]
    labels += [
        (state, f"what holds after the crack: {force(state, 'holds later')}", "holds later")
        for state in later
    ]
    return sorted(labels)
