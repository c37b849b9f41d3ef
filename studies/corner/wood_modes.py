"""How wood gives: every mode with what breaks, what it draws on and how it is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class WoodMode:
    """A mode of wood. ``beginning`` opens a sentence that says it; ``strength`` is the one that governs.

    ``breaks`` is False for yielding, which is shown and ends nothing; ``in_fibres`` for stress along the
    grain and for pressure, which are not averaged with shear. Modes of one ``family`` are two names of one
    criterion, and which of them leads may change along a path; together they are smooth.
    """

    name: str
    beginning: str
    strength: str
    family: str
    breaks: bool = True
    in_fibres: bool = False


SPLIT_OR_SHEAR = "splitting or shear along the grain"

WOOD_MODES: Mapping[str, WoodMode] = {
    mode.name: mode
    for mode in (
        WoodMode(
            "fibre tension",
            "The wood's fibres tear",
            "bending_strength",
            "fibre tension",
            in_fibres=True,
        ),
        WoodMode(
            "fibre bending on the pressed side",
            "The wood breaks in bending, first on its pressed side",
            "bending_strength",
            "fibre bending on the pressed side",
            in_fibres=True,
        ),
        WoodMode(
            "fibre compression",
            "The wood's fibres yield in compression",
            "compression_along",
            "fibre compression",
            breaks=False,
            in_fibres=True,
        ),
        WoodMode(
            "crushing across the grain",
            "The wood is crushed across its grain",
            "compression_across",
            "crushing across the grain",
            breaks=False,
            in_fibres=True,
        ),
        WoodMode("splitting", "The wood splits along its grain", "tension_across", SPLIT_OR_SHEAR),
        WoodMode(
            "shear along the grain", "The wood shears along its grain", "shear_strength", SPLIT_OR_SHEAR
        ),
        WoodMode(
            "rolling shear", "The wood shears across its grain", "rolling_shear_strength", "rolling shear"
        ),
        WoodMode(
            "bending of the dowel",
            "Bent and pulled, the wood of the dowels breaks",
            "bending_strength",
            "bending of the dowel",
            in_fibres=True,
        ),
        WoodMode(
            "plug before the head",
            "The wood before the heads shears out",
            "shear_strength",
            "plug before the head",
            in_fibres=True,
        ),
    )
}
"""Every mode of wood by name."""
