"""A followed corner as arrays that a page draws: the scene at its break, and how it comes to it and apart."""

from __future__ import annotations

from itertools import repeat
from typing import Any

from glueline.studies.files.units import Units
from glueline.studies.page.messages import packed
from glueline.studies.page.scene import grain_spacing, scene_parts
from glueline.studies.page.scene_broken import broken_marks
from glueline.studies.page.scene_curve import curve_data
from glueline.studies.page.scene_frames import MOST_FRAMES, Frames, frames_of
from glueline.studies.page.scene_moves import moving_arrays
from glueline.studies.page.scene_weight import load_words, weight_marks
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.said_aloud import OnRig

MOST_BYTES = 6_000_000
FEWEST_FRAMES = 12
GONE = "it has let go"


def path_message(prediction: Prediction, units: Units, number: int, rig: OnRig | None = None) -> bytes:
    """The message that answers question ``number``: a corner from no load to its break and past it.

    A corner of many cells has fewer frames. Raises ValueError for an answer that was not followed.
    """
    message = _with_frames(prediction, units, number, rig, MOST_FRAMES)
    if len(message) > MOST_BYTES:
        fewer = max(FEWEST_FRAMES, int(MOST_FRAMES * MOST_BYTES / len(message)))
        message = _with_frames(prediction, units, number, rig, fewer)
    return message


def _with_frames(prediction: Prediction, units: Units, number: int, rig: OnRig | None, most: int) -> bytes:
    found = prediction.broken
    if found is None:
        raise ValueError("an elastic answer has no path: ask for a scene")
    header, arrays, field = scene_parts(prediction, units, rig)
    frames = frames_of(found, most)
    moving = moving_arrays(prediction.corner, frames, field, grain_spacing(prediction.corner))
    return packed(
        {
            "answer": "path",
            "number": number,
            **header,
            **_frame_words(frames, units, rig),
            **weight_marks(prediction.answer, units, rig),
            "broken": broken_marks(found),
            "curve": curve_data(found, units),
        },
        {**arrays, **moving},
    )


def _frame_words(frames: Frames, units: Units, rig: OnRig | None) -> dict[str, Any]:
    """What is known of every frame; past the break no rig of weights can hold a load."""
    rising = frames.load[: frames.break_at + 1].tolist()
    return {
        "frames": len(frames.load),
        "load": frames.load.tolist(),
        "load_text": [
            *(load_words(load, units, rig) for load in rising),
            *repeat(GONE, len(frames.load) - len(rising)),
        ],
        "displacement": frames.displacement.tolist(),
        "break_at": frames.break_at,
        "crack_at": frames.crack_at,
        "magnification": frames.magnification,
    }
