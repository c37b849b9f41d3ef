"""Pictures of a prediction. Drawing stands apart from computing; matplotlib is loaded only here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

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

SLIDE, ANIMATION = "slide.png", "path.gif"
"""What is drawn besides, each when it is asked for."""


@dataclass(frozen=True)
class Wanted:
    """Pictures besides those for a room: ``every`` one for engineers, a ``slide``, the path ``animated``.

    >>> Wanted(slide=True).every
    False
    """

    every: bool = False
    slide: bool = False
    animated: bool = False


NOTHING_MORE = Wanted()
"""The pictures for a room alone."""


def pictures(
    prediction: Prediction,
    units: Units = "metric",
    wanted: Wanted = NOTHING_MORE,
    progress: Callable[[str], None] = lambda _: None,
) -> Iterator[tuple[str, bytes]]:
    """Name and bytes of a prediction's pictures, one by one: those for a room, and what else is ``wanted``.

    ``progress`` is told of every picture of the animation. Only a path that was followed can be animated.
    """
    every = wanted.every
    yield from _pictures(prediction, units, every)
    if wanted.slide:
        from glueline.studies.show.canvas import drawn
        from glueline.studies.show.slide import draw_slide

        yield SLIDE, drawn(draw_slide, prediction, units)
    if wanted.animated and prediction.broken is not None:
        from glueline.studies.show.path_animation import path_gif

        yield ANIMATION, path_gif(prediction.broken, units, progress)


def _pictures(prediction: Prediction, units: Units, every: bool) -> Iterator[tuple[str, bytes]]:
    from glueline.studies.show.body_stresses import STRESSES, body_stresses
    from glueline.studies.show.canvas import drawn
    from glueline.studies.show.face_view import draw_face_view
    from glueline.studies.show.load_curve import draw_load_curve
    from glueline.studies.show.parts import draw_parts
    from glueline.studies.show.path_pictures import path_pictures
    from glueline.studies.show.share_of_strength_map import draw_share_of_strength
    from glueline.studies.show.stress_map import draw_stress
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
