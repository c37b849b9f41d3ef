"""Names and counts in words."""

from __future__ import annotations

from collections.abc import Sequence


def one_of(names: Sequence[str]) -> str:
    """Names as a choice: ``glue, wood or both``."""
    return _joined(names, "or")


def all_of(names: Sequence[str]) -> str:
    """Names as a list: ``butt, mitre and finger``."""
    return _joined(names, "and")


def counted(number: int, noun: str) -> str:
    """A number with its noun: ``1 joint``, ``2 joints``."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _joined(names: Sequence[str], word: str) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"
