"""Where each number of a glue comes from."""

from __future__ import annotations

from collections.abc import Mapping

from glueline.materials.glue import Glue
from glueline.materials.glue_keys import CREDIBLE_NUMBERS
from glueline.materials.provenance import MARKS, Provenance

WHOLE = Provenance("100 %: the rows as they stand, nothing taken off", "derived")
CREDIBLE_AS_PVA = Provenance("as pva, which is taken where a glue file gives no credible range", "judgement")
FILM_STRENGTHS = ("film_opening_strength", "film_shear_strength")

# Where a number of a glue has no source of its own, the sources it may rest on, tried in turn; all of a group
# must speak for it together.
GLUE_SOURCES: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "film_thickness": (("film_thickness",), ("thickness",)),
    "opening_stiffness": (("stiffness",), ("modulus", "poisson", "thickness")),
    "shear_stiffness": (("stiffness",), ("modulus", "poisson", "thickness")),
    "film_opening_strength": (("film_limits",),),
    "film_shear_strength": (("film_limits",),),
    "film_opening_toughness": (("opening_toughness",), ("film_limits",)),
    "film_shear_toughness": (("shear_toughness",), ("film_limits",)),
}


def glue_source(glue: Glue, key: str) -> Provenance | None:
    """The source of one number of a glue, dotted inside a row; None where none is stated.

    Its own, else that of its row, else those it is worked out from, marked as the least known of them. A
    toughness of a row that the film caps rests on the film's.

    >>> from glueline.materials import find_glue
    >>> glue_source(find_glue("pva"), "shear_stiffness").mark
    'judgement'
    """
    sources = glue.sources
    if key in sources:
        return sources[key]
    row, dot, number = key.partition(".")
    if dot and number in CREDIBLE_NUMBERS:
        return sources.get("credible", CREDIBLE_AS_PVA)
    if dot:
        capped = number.endswith("toughness") and getattr(glue, f"film_{number}") == getattr(
            getattr(glue, row), number
        )
        if capped and number in sources:
            return sources[number]
        return sources.get(row, sources.get("rows"))
    for group in GLUE_SOURCES.get(key, ()):
        if all(name in sources for name in group):
            parts = [sources[name] for name in group]
            if len(parts) == 1:
                return parts[0]
            words = "; ".join(f"{name}: {part.source}" for name, part in zip(group, parts, strict=True))
            least = max((part.mark for part in parts), key=MARKS.index)
            return Provenance(f"worked out from {words}", least)
    if key == "quality" and glue.quality == 1.0:
        return WHOLE
    if key in FILM_STRENGTHS and "modulus" in sources:
        shear = sources.get("block_shear")
        ratio = "no block shear was found: as PVA" if shear is None else f"block shear: {shear.source}"
        return Provenance(f"that of PVA's film in the ratio of block shear; {ratio}", "judgement")
    return None
