"""The slider of weight: its labels from nothing to the break, what is heard, from where to stand clear."""

from __future__ import annotations

from typing import Any

import numpy as np

from glueline.studies.files.display import force_factor, force_unit, weight_size, weight_unit
from glueline.studies.files.units import Units, significant
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.said_aloud import (
    NOTHING_STACKED,
    OnRig,
    first_crack,
    force_down,
    stand_clear_from,
    still_holds,
    weight_down,
)

Data = dict[str, Any]

STOPS = 101


def weight_marks(answer: Answer, units: Units, rig: OnRig | None) -> Data:
    """Labels and marks of the slider; weights stacked where there is a rig, else forces on the joint.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> answer = predict(read_specimen(example_path("butt")), method="elastic").answer
    >>> weight_marks(answer, "metric", None)["stops"][0]
    '0 N'
    """
    highest = answer.break_load
    stops = [load_words(load, units, rig) for load in np.linspace(0.0, highest, STOPS).tolist()]
    least, _ = stand_clear_from(answer)
    return {
        "stops": stops,
        "marks": _marks(answer, units, rig),
        "stand_clear": {"share": min(least / highest, 1.0), "text": _stand_clear(least, units, rig)},
        "force_words": "force on the joint" if rig is None else "stacked weight",
    }


def load_words(force: float, units: Units, rig: OnRig | None) -> str:
    """A load in N to three digits, as weight where there is a rig to stack it on."""
    if rig is None:
        return f"{significant(force * force_factor(units), 3)} {force_unit(units)}"
    return f"{significant(rig.weight(force) / weight_size(units), 3)} {weight_unit(units)}"


def _marks(answer: Answer, units: Units, rig: OnRig | None) -> list[Data]:
    """What is heard: the first crack and the break, one mark where they are one."""
    crack, end = first_crack(answer), answer.break_load
    name = "still holds" if still_holds(answer) else "break"
    marks = [{"share": 1.0, "name": name, "text": load_words(end, units, rig)}]
    if crack is None:
        return marks
    text = load_words(crack, units, rig)
    if text == marks[0]["text"]:
        return [{**marks[0], "name": f"first crack and {name}"}]
    return [{"share": min(crack / end, 1.0), "name": "first crack", "text": text}, *marks]


def _stand_clear(force: float, units: Units, rig: OnRig | None) -> str:
    if rig is None:
        return force_down(force, units)
    weight = rig.cautious_weight(force)
    return weight_down(weight, units) if weight > 0 else NOTHING_STACKED
