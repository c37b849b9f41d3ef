"""Letters that read from the back of a room, on a sheet about as wide as a projected one."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from functools import cache

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from glueline.studies.corner.vocabulary import CAUTIONS

TITLE, LABEL, TICK, CAPTION = 27, 19, 16.5, 12.5  # points on a sheet 13 to 16 inches wide
BREAK_AFTER = " -_/,"
POINTS_PER_INCH = 72.0
MEASURED_SIZE = 100.0  # points


def caution_lines() -> list[str]:
    """What every picture that leaves the desk carries."""
    return CAUTIONS.split("\n")


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Width in inches of one line of letters ``size`` points high, their kerning left out."""
    return size / POINTS_PER_INCH * sum(_letter_width(letter, bold) for letter in text)


def plain_text(text: str) -> str:
    """``text`` as a picture shows it letter by letter: a dollar sign starts no formula."""
    return text.replace("$", r"\$")


def shortened(text: str, size: float, width: float) -> str:
    """``text`` on one line of ``width`` inches, its end cut off where it is too long."""
    if text_width(text, size) <= width:
        return text
    keep = len(text)
    while keep and text_width(text[:keep].rstrip() + "…", size) > width:
        keep -= 1
    return text[:keep].rstrip() + "…"


def short_labels(
    labels: Sequence[str], size: float, width: float, lines: int, bold: bool = False
) -> list[str]:
    """Labels broken into at most ``lines`` lines of ``width`` inches, long ones cut in their middle.

    Labels that differ stay different: those that the cut makes alike get a number.
    """
    broken_labels: list[str] = []
    for label in labels:
        broken = _broken(label, "", size, width, lines, bold)
        number = 1
        while broken in broken_labels:
            number += 1
            broken = _broken(label, f" ({number})", size, width, lines, bold)
        broken_labels.append(broken)
    return [plain_text(label) for label in broken_labels]


def _broken(label: str, mark: str, size: float, width: float, lines: int, bold: bool) -> str:
    """One label in lines, with as much of its two ends as fits, and the mark behind it."""
    text = label + mark
    keep = min(len(label), 200)
    while True:
        if keep < len(label):
            text = f"{label[: keep - keep // 2]}…{label[len(label) - keep // 2 :]}{mark}"
        broken = wrapped(text, size, width, bold)
        if len(broken) <= lines:
            return "\n".join(broken)
        keep -= 1


def wrapped(text: str, size: float, width: float, bold: bool) -> list[str]:
    """Lines of at most ``width`` inches, broken at spaces and hyphens where there are any."""
    lines = []
    rest = text.strip()
    while rest and text_width(rest, size, bold) > width:
        fits = 1
        while fits < len(rest) and text_width(rest[: fits + 1].rstrip(), size, bold) <= width:
            fits += 1
        places = [at + 1 for at in range(fits) if rest[at] in BREAK_AFTER]
        cut = places[-1] if places and places[-1] > fits // 3 else fits
        lines.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    return [*lines, rest] if rest or not lines else lines


def balanced(text: str, size: float, width: float, bold: bool = True) -> str:
    """``text`` in as few lines as ``width`` inches allow, about equally long: no word alone on the last."""
    lines = wrapped(text, size, width, bold)
    narrower = width
    while len(lines) > 1 and len(shorter := wrapped(text, size, narrower, bold)) == len(lines):
        lines, narrower = shorter, narrower - 0.3
    return "\n".join(lines)


@cache
def _letter_width(letter: str, bold: bool) -> float:
    """Width of a letter over the size of its kind; one that the font lacks is drawn as a box."""
    font = FontProperties(size=MEASURED_SIZE, weight="bold" if bold else "normal")
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        width, _, _ = TextToPath().get_text_width_height_descent(letter, font, ismath=False)
    return float(width) / MEASURED_SIZE
