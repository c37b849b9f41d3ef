"""The predicted pieces small and light, for a sheet on which the real ones are laid beside them."""

from __future__ import annotations

import io

from matplotlib.figure import Figure
from PIL import Image

from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.broken_pieces import BrokenPieces, broken_pieces
from glueline.studies.show.broken_halves import draw_before_and_after, extent_of, heading
from glueline.studies.show.canvas import drawn, new_sheet

WIDE, TALLEST = 7.0, 5.0  # inches of the panels; on paper about a third of it
LETTERS = 24
HEAD, ROW = 0.9, 0.5  # inches that the titles take, and a line of the legend
COLOURS = 64
DOTS_ACROSS = 720


def small_pieces(found: BreakPath) -> tuple[bytes, str] | None:
    """PNG bytes and what lets go in words; None where the corner is not predicted to come apart.

    The same bytes for the same path.
    """
    pieces = broken_pieces(found)
    if pieces is None:
        return None
    return _light(drawn(_draw, found, pieces)), heading(found, pieces)


def _draw(found: BreakPath, pieces: BrokenPieces) -> Figure:
    extent = extent_of(found, pieces)
    across = extent.before + extent.after
    scale = min(TALLEST / extent.tall, WIDE / across)
    sheet = new_sheet(WIDE + 0.2, 1.0)
    columns = sheet.subplots(1, 2, width_ratios=(extent.before, extent.after))
    handles = draw_before_and_after(columns, found, pieces, extent, LETTERS)
    sheet.set_layout_engine("constrained", h_pad=0.1)  # titles stay off the edge
    sheet.set_size_inches(WIDE + 0.2, extent.tall * scale + HEAD + ROW * len(handles))
    if handles:
        sheet.legend(
            list(handles.values()),
            list(handles),
            loc="outside lower center",
            fontsize=LETTERS,
            frameon=False,
        )
    return sheet


def _light(png: bytes) -> bytes:
    """A picture of few colours and not too many dots."""
    with Image.open(io.BytesIO(png)) as whole:
        height = round(whole.height * DOTS_ACROSS / whole.width)
        small = whole.convert("RGB").resize((DOTS_ACROSS, height), Image.Resampling.LANCZOS)
    few = small.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    buffer = io.BytesIO()
    few.save(buffer, format="png", optimize=True)
    return buffer.getvalue()
