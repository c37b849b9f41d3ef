"""Pictures of a prediction. Drawing stands apart from computing; matplotlib is loaded only here."""

from __future__ import annotations

from collections.abc import Iterator

from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction

PICTURES = (
    "parts.png",
    "face.png",
    "stress_along.png",
    "stress_across.png",
    "stress_shear.png",
    "share_of_strength.png",
    "tractions.png",
    "load_displacement.png",
    "damage.png",
    "broken_halves.png",
    "moment_along_path.png",
)
"""Every picture that a prediction may have; the last three only one that was followed until it broke."""

ENGINEERS = (
    "stress_along.png",
    "stress_across.png",
    "stress_shear.png",
    "tractions.png",
    "moment_along_path.png",
)
"""Those of them that are drawn only when all are asked for."""


def pictures(
    prediction: Prediction, units: Units = "metric", every: bool = False
) -> Iterator[tuple[str, bytes]]:
    """Name and PNG bytes of a prediction's pictures, one by one: those for a room, or ``every`` one."""
    from glueline.studies.show.canvas import drawn
    from glueline.studies.show.face_view import draw_face_view
    from glueline.studies.show.load_curve import draw_load_curve
    from glueline.studies.show.parts import draw_parts
    from glueline.studies.show.path_pictures import path_pictures
    from glueline.studies.show.share_of_strength_map import draw_share_of_strength
    from glueline.studies.show.stress_map import STRESSES, body_stresses, draw_stress
    from glueline.studies.show.traction_plots import draw_tractions

    yield "parts.png", drawn(draw_parts, prediction, units)
    yield "face.png", drawn(draw_face_view, prediction.corner, units)
    stresses = body_stresses(prediction) if every else {}
    for which in STRESSES if every else ():
        yield f"{which}.png", drawn(draw_stress, prediction, which, units, stresses)
    yield "share_of_strength.png", drawn(draw_share_of_strength, prediction, units)
    if every:
        yield "tractions.png", drawn(draw_tractions, prediction, units)
    if prediction.broken is None:
        yield "load_displacement.png", drawn(draw_load_curve, prediction, units)
        return
    yield from path_pictures(prediction.broken, units, every)
