"""Weight rising on a corner and its glue letting go, as moving picture."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from PIL import Image

from glueline.studies.files.display import format_force
from glueline.studies.files.units import Units
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.show.canvas import INK, as_image, frame, new_sheet, own_style
from glueline.studies.show.load_sketch import draw_load_beside
from glueline.studies.show.path_frames import Frame, frame_at, one_magnification, states_to_show
from glueline.studies.show.path_strip import draw_state
from glueline.studies.show.strength_colours import GONE_WORDS, draw_scale, strength_colours

EACH, LAST = 160, 2500  # ms that a picture stands, and the last one
SIZE = (9.6, 7.2)  # inches
COLOURS = 256  # as many as a moving picture can have
TITLE, WORDS = 24, 18  # points


def path_gif(found: BreakPath, units: Units, progress: Callable[[str], None] = lambda _: None) -> bytes:
    """The path as the bytes of a GIF that plays over and over; the same path gives the same bytes.

    Up to the break the load rises by even steps; what follows no rig of weights can hold, and is shown
    without a load. ``progress`` is told of every picture before it is drawn.
    """
    states = states_to_show(found)
    shown = [frame_at(found, _words(found, state, units), state) for state in states]
    factor = one_magnification(found.corner, shown)
    pictures = []
    for number, each in enumerate(shown, 1):
        progress(f"path.gif, {number} of {len(shown)}")
        with own_style():
            pictures.append(_picture(draw_moment(found, each, factor)))
    buffer = io.BytesIO()
    times = [EACH] * (len(pictures) - 1) + [LAST]
    first, *rest = pictures
    first.save(buffer, format="GIF", save_all=True, append_images=rest, duration=times, loop=0)
    return buffer.getvalue()


def draw_moment(found: BreakPath, shown: Frame, factor: float) -> Figure:
    """One picture: the corner as it stands at a state, its glue coloured by what is spent, its load."""
    corner = found.corner
    sheet = new_sheet(*SIZE)
    axes: Any = sheet.subplots()
    draw_state(axes, found, shown, factor)
    frame(axes, corner, close=True)
    draw_load_beside(axes, corner.layout, corner.specimen.arrangement, WORDS)
    if corner.glued:
        colours = ScalarMappable(Normalize(0.0, 1.0), strength_colours())
        draw_scale(sheet, colours, [axes], WORDS - 2, GONE_WORDS, shrink=0.9, pad=0.01)
    axes.set_title(shown.words, fontsize=WORDS + 4, color=INK)
    title = f"{corner.specimen.kind.capitalize()} corner, predicted"
    sheet.suptitle(title, fontsize=TITLE, fontweight="bold", color=INK)
    return sheet


def _words(found: BreakPath, state: int, units: Units) -> str:
    if state > found.state:
        return "it has let go"
    force = format_force(float(found.path.load[state]), units)
    return f"it breaks at {force}" if state == found.state and not found.ends_held else f"P = {force}"


def _picture(sheet: Figure) -> Image.Image:
    return as_image(sheet).quantize(COLOURS, method=Image.Quantize.MEDIANCUT)
