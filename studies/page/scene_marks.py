"""What stands beside and on a drawn corner, as plain data: load, supports, names, what each part carries."""

from __future__ import annotations

from typing import Any

from glueline.geometries import Boards
from glueline.studies.corner.arrangements import LoadArrangement
from glueline.studies.corner.model import CornerModel
from glueline.studies.files.display import percent
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.said_aloud import with_article
from glueline.studies.show.strength_field import StrengthField

Data = dict[str, Any]

NOTHING = 0.005  # share of the bending below which none is spoken of


def load_marks(boards: Boards, arrangement: LoadArrangement) -> Data:
    """Arrows and supports of an arrangement, places in mm and unit directions.

    >>> from glueline.studies.corner.arrangements import ARRANGEMENTS
    >>> marks = load_marks(Boards(19.0, 90.0, 150.0), ARRANGEMENTS["diagonal compression"])
    >>> marks["arrows"][0]["at"], len(marks["supports"])  # mm
    ([150.0, 9.5], 1)
    """
    sketch = arrangement.sketch(boards)
    return {
        "arrows": [
            {"at": [*each.at], "toward": [*each.toward], "pulls": each.pulls} for each in sketch.arrows
        ],
        "supports": [
            {"at": [*each.at], "outward": [*each.outward], "clamps": each.clamps} for each in sketch.supports
        ],
    }


def hold_marks(corner: CornerModel, field: StrengthField) -> list[Data]:
    """What holds, in the corner's order: its name, its name in a sentence, the largest share of strength."""
    return [
        {
            "name": hold.name,
            "said": f"{with_article(hold.name)} ({hold.kind})",
            "part": hold.part,
            "most": most,
        }
        for hold, most in zip(corner.holds, field.most, strict=True)
    ]


def rod_marks(prediction: Prediction, field: StrengthField) -> list[Data]:
    """Rods and bought fasteners with their outlines, one side from start to end and the other back, in mm.

    ``share`` is the largest of their own strength, ``shares`` that along one side; ``carries`` is their part
    of the bending at the corner.
    """
    corner, moments = prediction.corner, prediction.moment_share
    marks = []
    for each, (outline, share) in zip(corner.layout.inserts, field.rods, strict=True):
        parts = {hold.part for hold in corner.holds if hold.surface.plus == each.name}
        marks.append(
            {
                "name": each.name,
                "said": with_article(each.name),
                "outline": outline.tolist(),
                "share": float(share.max(initial=0.0)),
                "shares": share.tolist(),
                "carries": sum(moments.get(part, 0.0) for part in parts),
            }
        )
    return marks


def carried_marks(prediction: Prediction, field: StrengthField) -> list[Data]:
    """What each glue line, cheek and fastener carries of the bending at the corner, with words.

    A part that works against the others has a share below zero; all shares together are 1.
    """
    holds = list(zip(prediction.corner.holds, field.most, strict=True))
    carried = []
    for name, share in prediction.moment_share.items():
        most = max((used for hold, used in holds if name in (hold.part, hold.name)), default=0.0)
        carried.append({"name": name, "share": share, "text": _carried_text(share, most)})
    return carried


def _carried_text(share: float, most: float) -> str:
    if abs(share) < NOTHING:
        bending = "hardly any of the bending at the corner"
    elif share < 0:
        bending = f"works against the others by {percent(-share)} of the bending at the corner"
    else:
        bending = f"{percent(share)} of the bending at the corner"
    return f"{bending}; where most, {percent(most)} of its strength" if most else bending
