"""The curve of load against displacement as data, in the units shown."""

from __future__ import annotations

from typing import Any

from glueline.studies.files.display import force_factor, force_unit, length_factor, length_unit
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.curve_marks import AFTER, curve_marks, mark_place, under_weight
from glueline.studies.show.path_marks import marks_of, what_holds

Data = dict[str, Any]


def curve_data(found: BreakPath, units: Units) -> Data:
    """The whole path state by state, what stacked weights can follow of it, and its marks.

    ``under_weight`` are the states that weights come to; what lies past ``break_at`` only a machine can
    follow, and ``after`` says so.
    """
    marks, path = marks_of(found), found.path
    load, displacement = path.load * force_factor(units), path.displacement * length_factor(units)
    told = []
    for state, text, kind in curve_marks(found, marks, units):
        at, height = mark_place(found, state, kind)
        place = {"displacement": at * length_factor(units), "load": height * force_factor(units)}
        told.append({**place, "name": kind, "text": text})
    return {
        "displacement": displacement.tolist(),
        "load": load.tolist(),
        "x_label": f"give at the load, {length_unit(units)}",
        "y_label": f"load P, {force_unit(units)}",
        "break_at": marks.broken,
        "break_load": found.break_load * force_factor(units),
        "under_weight": under_weight(path.load[: marks.broken + 1]).tolist(),
        "marks": told,
        "after": None if found.ends_held else AFTER[found.breaks_in].format(glue=what_holds(found.corner)),
    }
