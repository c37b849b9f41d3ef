"""Pictures of a prediction. Drawing stands apart from computing; matplotlib is loaded only here."""

from __future__ import annotations

from collections.abc import Iterator

from studies.prediction import Prediction
from studies.units import Units

PICTURES = (
    "parts.png",
    "stress_along.png",
    "stress_across.png",
    "stress_shear.png",
    "utilisation.png",
    "tractions.png",
    "load_displacement.png",
    "damage.png",
    "moment_along_path.png",
)
"""Every picture that a prediction may have; the last two only one that was followed until it broke."""


def pictures(prediction: Prediction, units: Units = "metric") -> Iterator[tuple[str, bytes]]:
    """Name and PNG bytes of every picture of a prediction, one by one."""
    from studies.figures.canvas import as_png
    from studies.figures.load_curve import draw_load_curve
    from studies.figures.parts import draw_parts
    from studies.figures.path_pictures import path_pictures
    from studies.figures.stress_map import STRESSES, body_stresses, draw_stress
    from studies.figures.traction_plots import draw_tractions
    from studies.figures.utilisation_map import draw_utilisation

    yield "parts.png", as_png(draw_parts(prediction, units))
    stresses = body_stresses(prediction)
    for which in STRESSES:
        yield f"{which}.png", as_png(draw_stress(prediction, which, units, stresses))
    yield "utilisation.png", as_png(draw_utilisation(prediction, units))
    yield "tractions.png", as_png(draw_tractions(prediction, units))
    if prediction.broken is None:
        yield "load_displacement.png", as_png(draw_load_curve(prediction, units))
        return
    yield from path_pictures(prediction.broken, units)
