"""Rows of text in columns."""

from __future__ import annotations

from collections.abc import Collection, Sequence


def aligned(rows: Sequence[Sequence[str]], head: int = 1, right: Collection[int] = ()) -> str:
    """Rows as text in columns, a rule under the first ``head`` rows; columns in ``right`` end alike."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = [
        "  ".join(
            cell.rjust(width) if index in right else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
    if head:
        lines.insert(head, "  ".join("-" * width for width in widths))
    return "\n".join(lines)
