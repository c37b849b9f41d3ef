"""Shapes and letters of the drawing of a rig, as SVG; sizes in the drawing's own units, x right, y down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

WIDE = 360.0  # about what a telephone shows across, so that letters keep their size there
LETTERS = 12.0
PER_LETTER = 0.66 * LETTERS  # more than a letter of a plain face takes on an average
EDGE = 3.0

INK, STEEL, WOOD, BLOCK, FAINT = "#000", "#8d8d8d", "#efdcb4", "#d5d5d5", "#777"


def box(left: float, top: float, width: float, height: float, fill: str) -> str:
    """A box with an outline."""
    return (
        f"<rect x='{left:.1f}' y='{top:.1f}' width='{width:.1f}' height='{height:.1f}' fill='{fill}' "
        f"stroke='{INK}'/>"
    )


def line(
    start: tuple[float, float], end: tuple[float, float], width: float = 1.0, dashed: bool = False
) -> str:
    """A line in ink; a ``dashed`` one is faint."""
    look = f"stroke='{FAINT}' stroke-dasharray='3 3'" if dashed else f"stroke='{INK}'"
    return (
        f"<line x1='{start[0]:.1f}' y1='{start[1]:.1f}' x2='{end[0]:.1f}' y2='{end[1]:.1f}' {look} "
        f"stroke-width='{width:g}'/>"
    )


def circle(x: float, y: float, radius: float, fill: str = "#fff") -> str:
    """A circle with an outline."""
    return f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{radius:g}' fill='{fill}' stroke='{INK}'/>"


def polygon(points: Iterable[Sequence[float]], fill: str) -> str:
    """A filled outline through places (n, 2)."""
    places = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f"<polygon points='{places}' fill='{fill}' stroke='{INK}' stroke-linejoin='round'/>"


def words(text: str, x: float, baseline: float) -> str:
    """Words about ``x``, moved so far that they stay inside the drawing."""
    half = PER_LETTER * len(text) / 2
    middle = min(max(x, half + EDGE), WIDE - half - EDGE)
    return f"<text x='{middle:.1f}' y='{baseline:.1f}' text-anchor='middle'>{escape(text)}</text>"


def words_ending(text: str, end: float, baseline: float) -> str:
    """Words that end at a place."""
    return f"<text x='{end:.1f}' y='{baseline:.1f}' text-anchor='end'>{escape(text)}</text>"


def distance(start: float, end: float, height: float) -> list[str]:
    """A line from place to place with a stroke across each end."""
    ends = [line((x - 3, height + 3), (x + 3, height - 3), 1.2) for x in (start, end)]
    return [line((start, height), (end, height)), *ends]


def ground(left: float, right: float, height: float) -> str:
    """What stands still: a thick line."""
    return line((left, height), (right, height), 2.5)


def svg(shapes: Iterable[str], height: float, title: str) -> str:
    """The drawing as one element, to stand in a page."""
    return "\n".join(
        (
            f"<svg class='rig' viewBox='0 0 {WIDE:g} {height:.0f}' role='img'>",
            f"<title>{escape(title)}</title>",
            *shapes,
            "</svg>",
        )
    )
