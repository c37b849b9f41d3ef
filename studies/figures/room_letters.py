"""Letters that read from the back of a room, on a sheet about as wide as a projected one."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from studies.vocabulary import CAUTIONS

TITLE, LABEL, TICK, CAPTION = 27, 19, 16.5, 12.5  # points on a sheet 13 to 16 inches wide


def caution_lines() -> list[str]:
    """What every picture that leaves the desk carries."""
    return CAUTIONS.split("\n")


def short_labels(labels: Sequence[str], width: int, lines: int) -> list[str]:
    """Labels broken into at most ``lines`` lines of ``width`` letters, long ones cut in their middle.

    Labels that differ stay different: those that the cut makes alike get a number.
    """
    found: list[str] = []
    for label in labels:
        broken = _broken(label, width, lines)
        number = 1
        while broken in found:
            number += 1
            mark = f" ({number})"
            broken = _broken(label, width, lines, mark)
        found.append(broken)
    return found


def _broken(label: str, width: int, lines: int, mark: str = "") -> str:
    """One label in lines, with as much of its two ends as fits."""
    text = label + mark
    keep = len(label)
    while len(broken := textwrap.wrap(text, width, break_on_hyphens=True) or [text]) > lines:
        keep -= 1
        text = f"{label[: keep - keep // 2]}…{label[len(label) - keep // 2 :]}{mark}"
    return "\n".join(broken)
