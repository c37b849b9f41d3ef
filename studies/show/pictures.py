"""Pictures of a prediction. Drawing stands apart from computing; matplotlib is loaded only here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from glueline.studies.files.copies import shared_out
from glueline.studies.files.units import Units
from glueline.studies.predict.prediction import Prediction
from glueline.studies.show.path_pictures import PathDrawing, path_drawings

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
) -> list[tuple[str, bytes]]:
    """Name and bytes of a prediction's pictures: those for a room, and what else is ``wanted``.

    ``progress`` is told of the pictures that this process draws as each is begun, and of those of the
    animation; what copies of it draw nobody is told of. Only a path that was followed can be animated.
    """

    def draw(drawing: PathDrawing) -> bytes | None:
        name, made = drawing
        progress(name)
        return made()

    drawings = _drawings(prediction, units, wanted, progress)
    contents = zip(drawings, shared_out(draw, drawings), strict=True)
    return [(name, content) for (name, _), content in contents if content is not None]


def _drawings(
    prediction: Prediction, units: Units, wanted: Wanted, progress: Callable[[str], None]
) -> list[PathDrawing]:
    """The pictures in their order and how they are drawn, each by itself."""
    from glueline.studies.show.body_stresses import STRESSES, body_stresses
    from glueline.studies.show.canvas import drawn
    from glueline.studies.show.face_view import draw_face_view
    from glueline.studies.show.load_curve import draw_load_curve
    from glueline.studies.show.parts import draw_parts
    from glueline.studies.show.share_of_strength_map import draw_share_of_strength
    from glueline.studies.show.stress_map import draw_stress
    from glueline.studies.show.traction_plots import draw_tractions

    every = wanted.every
    drawings: list[PathDrawing] = [
        ("parts.png", partial(drawn, draw_parts, prediction, units)),
        ("face.png", partial(drawn, draw_face_view, prediction.corner, units)),
    ]
    stresses = body_stresses(prediction) if every else {}
    for which in STRESSES if every else ():
        drawings.append((f"{which}.png", partial(drawn, draw_stress, prediction, which, units, stresses)))
    drawings.append(("share_of_strength.png", partial(drawn, draw_share_of_strength, prediction, units)))
    if every:
        drawings.append(("tractions.png", partial(drawn, draw_tractions, prediction, units)))
    if prediction.broken is None:
        drawings.append(("load_displacement.png", partial(drawn, draw_load_curve, prediction, units)))
    else:
        drawings += path_drawings(prediction.broken, units, every)
    return drawings + _besides(prediction, units, wanted, progress)


def _besides(
    prediction: Prediction, units: Units, wanted: Wanted, progress: Callable[[str], None]
) -> list[PathDrawing]:
    """The slide and the animation, where they are asked for."""
    drawings: list[PathDrawing] = []
    if wanted.slide:
        from glueline.studies.show.canvas import drawn
        from glueline.studies.show.slide import draw_slide

        drawings.append((SLIDE, partial(drawn, draw_slide, prediction, units)))
    if wanted.animated and prediction.broken is not None:
        from glueline.studies.show.path_animation import path_gif

        drawings.append((ANIMATION, partial(path_gif, prediction.broken, units, progress)))
    return drawings
