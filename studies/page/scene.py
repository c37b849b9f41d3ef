"""The elastic answer as arrays that a page draws: shares of strength, stresses, grain, load and words."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.reuse import Reuse
from glueline.studies.files.display import length_factor, length_unit, stress_factor, stress_unit
from glueline.studies.files.units import Units
from glueline.studies.page.messages import packed
from glueline.studies.page.scene_marks import carried_marks, hold_marks, load_marks, rod_marks
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.said_aloud import OnRig
from glueline.studies.show.body_stresses import STRESSES, body_stresses, limit_of
from glueline.studies.show.grain_lines import grain_in_cells
from glueline.studies.show.strength_field import GRAIN_LINES, StrengthField, strength_field
from glueline.studies.show.view_frames import close_frame, loaded_frame

Array = NDArray[np.float64]
Arrays = dict[str, NDArray[Any]]
Header = dict[str, Any]


def scene_message(
    prediction: Prediction, units: Units, number: int, rig: OnRig | None = None, kept: Reuse | None = None
) -> bytes:
    """The message that answers question ``number``: a corner at its break load.

    ``kept`` keeps between corners of one shape what only follows from the shape.
    """
    header, arrays, _ = scene_parts(prediction, units, rig, kept)
    lines = grain_in_cells(prediction.corner.layout, grain_spacing(prediction.corner))
    return packed({"answer": "scene", "number": number, **header}, {**arrays, "grain": lines})


def grain_spacing(corner: CornerModel) -> float:
    """Distance in mm between lines of grain."""
    boards = corner.layout.boards
    return min(boards.depth_a, boards.depth_b) / GRAIN_LINES


def scene_parts(
    prediction: Prediction, units: Units, rig: OnRig | None = None, kept: Reuse | None = None
) -> tuple[Header, Arrays, StrengthField]:
    """Header and arrays that a scene and a path have in common, at the break load, and the field they show.

    Triangles are those of every piece, so that they lie on each other where pieces overlap, the one in front
    last. There all have the largest share of strength of what lies there, and each has its own stress.
    """
    from glueline.studies.page.headline import headline

    corner, field = prediction.corner, strength_field(prediction, kept)
    boards = corner.layout.boards
    stress = body_stresses(prediction)
    whole, close = loaded_frame(boards), close_frame(boards)
    header = {
        "pieces": [body.name for body in corner.model.bodies],
        "holds": hold_marks(corner, field),
        "rods": rod_marks(prediction, field),
        **load_marks(boards, prediction.specimen.arrangement),
        "whole": {"low": [*whole[0]], "high": [*whole[1]]},
        "close": {"low": [*close[0]], "high": [*close[1]]},
        "depth": field.depth,
        "ring": [*field.point],
        "headline": headline(prediction.answer, units, rig),
        "carried": carried_marks(prediction, field),
        "stress_unit": stress_unit(units),
        "length_unit": length_unit(units),
        "length_factor": length_factor(units),
        "stresses": _stress_words(corner, stress, units),
    }
    return header, {**_wood_arrays(corner, field, stress, units), **_hold_arrays(field)}, field


def _wood_arrays(corner: CornerModel, field: StrengthField, stress: dict[str, Array], units: Units) -> Arrays:
    model = corner.model
    share = np.zeros((len(model.mesh.triangles), 3))
    share[field.cells] = field.share
    cells = np.concatenate([body.cells for body in model.bodies])
    together = stress_factor(units) * np.concatenate([stress[body.name] for body in model.bodies])
    return {
        "places": model.mesh.nodes[model.mesh.triangles[cells, :3]].reshape(-1, 2),
        "share": share[cells].ravel(),
        "piece": np.repeat(np.arange(len(model.bodies)), [len(body.cells) for body in model.bodies]),
        **{_own_name(name): together[..., row].ravel() for name, (row, *_) in STRESSES.items()},
        "edges": field.edges[:, [0, 2]],
    }


def _hold_arrays(field: StrengthField) -> Arrays:
    return {
        "glue": field.lines[:, [0, -1]],
        "glue_share": field.line_share,
        "glue_hold": field.line_hold,
        "splits": field.splits[:, [0, -1]],
        "split_share": field.split_share,
        "spots": field.spots,
        "spot_share": field.spot_share,
        "spot_hold": field.spot_hold,
    }


def _stress_words(corner: CornerModel, stress: dict[str, Array], units: Units) -> Header:
    """What each stress is called, which sign is what, and up to where its scale goes."""
    return {
        _own_name(name): {
            "title": title,
            "low": low,
            "high": high,
            "limit": stress_factor(units) * limit_of(corner, stress, row),
        }
        for name, (row, title, low, high) in STRESSES.items()
    }


def _own_name(stress: str) -> str:
    """``along`` of ``stress_along``: the name of the array."""
    return stress.removeprefix("stress_")
