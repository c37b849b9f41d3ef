"""What corners that are computed one after the other share: a mesh, factors, condensed legs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Made = TypeVar("Made")


class Reuse:
    """Keeps what was made last under every name, for as long as it is made from the same things.

    Whoever computes many corners holds one. What comes out is the same to the last digit with or without it.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[object, Any]] = {}

    def shared(self, name: str, made_from: object, make: Callable[[], Made]) -> Made:
        """What is kept under ``name`` if it was made from something equal, else what ``make`` makes."""
        kept = self._kept.get(name)
        if kept is not None and kept[0] == made_from:
            value: Made = kept[1]
            return value
        made = make()
        self._kept[name] = (made_from, made)
        return made
