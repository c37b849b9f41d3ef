"""How a joint was glued: what quality, gap, coverage and sizing do to a bond, as factors and sentences."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any

from glueline.materials.glue import LEAST_SHARE, THINNEST_FILM, Glue

CLOSE_FIT = 0.1
"""Gap in mm up to which a joint counts as close."""

LOOSE_FIT = 0.2
"""Gap in mm from which a bond is down to the glue's ``gap_share``."""

LEAST_GAP = THINNEST_FILM
"""Gap in mm below which a joint has none."""

WIDEST_GAP = 0.5
"""Gap in mm beyond which no factor can be given."""

DAMP = 16.0
"""Moisture of the wood in percent above which a bond is down to the glue's ``moist_share``."""

SIZED_END = 2.0
SIZED_45 = 1.5
"""What sizing does to end grain and to grain at 45 degrees.

A primer more than doubled, and a spread 1.6 times heavier made 2.6 times, the strength of polyurethane
end-grain bonds (Follrich et al., part 2): starvation is the mechanism. 45 degrees: judgement.
"""

END_GRAINS = ("plain", "sized")


@dataclass(frozen=True)
class Workmanship:
    """How a joint was glued.

    ``quality`` multiplies the glue's own (0.01 to 2); ``gap`` in mm, 0 or 0.005 to 0.5; ``coverage`` the
    share of the face that has glue, 0.01 to 1; ``end_grain`` "plain" or "sized". Raises ValueError naming
    every one that is wrong.

    >>> from glueline.materials import find_glue
    >>> loose = Workmanship(gap=0.15)  # mm
    >>> round(factors(loose, find_glue("pva"), 12.0).holding, 2)
    0.8
    """

    quality: float = 1.0
    gap: float = 0.0
    coverage: float = 1.0
    end_grain: str = "plain"

    def __post_init__(self) -> None:
        problems = []
        if not (math.isfinite(self.quality) and LEAST_SHARE <= self.quality <= 2.0):
            problems.append(
                f"quality = {self.quality:g} should be a share of at least {LEAST_SHARE:g} "
                f"({100 * LEAST_SHARE:g} %) and at most 2"
            )
        if 0.0 < self.gap < LEAST_GAP:
            problems.append(
                f"gap = {self.gap:g} mm should be 0 mm, which is a close joint, or at least {LEAST_GAP:g} mm"
            )
        elif not 0.0 <= self.gap <= WIDEST_GAP:
            problems.append(
                f"gap = {self.gap:g} mm should be 0 to {WIDEST_GAP:g} mm: a wider gap is not a glued joint"
            )
        if not LEAST_SHARE <= self.coverage <= 1.0:
            problems.append(
                f"coverage = {self.coverage:g} should be a share of at least {LEAST_SHARE:g} "
                f"({100 * LEAST_SHARE:g} %) and at most 1"
            )
        if self.end_grain not in END_GRAINS:
            problems.append(f"end_grain = {self.end_grain!r} should be one of {', '.join(END_GRAINS)}")
        if problems:
            raise ValueError("; ".join(problems))


@dataclass(frozen=True)
class SurfaceWorkmanship:
    """How one surface was glued where that differs from the rest; None where it does not.

    What is given stands in place of the corner's own value, with the same limits; the quality still
    multiplies that of the glue. Whether end grain is sized belongs to the whole corner. Raises ValueError
    naming every value that is wrong.

    >>> driven = SurfaceWorkmanship(coverage=0.5)  # a tight fit wipes glue away
    >>> cheeks = driven.instead_of(Workmanship(quality=0.9, coverage=0.8))
    >>> cheeks.coverage, cheeks.quality
    (0.5, 0.9)
    """

    quality: float | None = None
    gap: float | None = None
    coverage: float | None = None

    def __post_init__(self) -> None:
        self.instead_of(Workmanship())

    @property
    def given(self) -> dict[str, float]:
        """What it has of its own, by key."""
        return {key: value for key in SURFACE_KEYS if (value := getattr(self, key)) is not None}

    def instead_of(self, general: Workmanship) -> Workmanship:
        """The workmanship of the surface on a corner that otherwise has the ``general`` one."""
        values: dict[str, Any] = dict(self.given)
        return replace(general, **values)


SURFACE_KEYS = tuple(field.name for field in fields(SurfaceWorkmanship))
"""What a surface can have of its own."""


@dataclass(frozen=True)
class Factors:
    """What workmanship and moisture multiply.

    ``holding`` strengths and toughnesses, ``stiffness`` both stiffnesses; ``effects`` says each in a plain
    sentence.
    """

    holding: float
    stiffness: float
    effects: tuple[str, ...]


def gap_share(gap: float, loose_share: float = 0.60) -> float:
    """Strength over that of a close joint at a gap in mm.

    1 up to 0.1 mm, straight down to ``loose_share`` at 0.2 mm and there up to 0.5 mm. 0.6 for PVA: usual
    workshop tests 0.5 to 0.8, from memory.
    """
    share = (gap - CLOSE_FIT) / (LOOSE_FIT - CLOSE_FIT)
    return 1.0 - (1.0 - loose_share) * min(max(share, 0.0), 1.0)


def factors(workmanship: Workmanship, glue: Glue, moisture: float) -> Factors:
    """The factors of one joint; ``moisture`` in percent is that of its wetter side.

    A gap thickens the film, so stiffness falls as film / (film + gap). Coverage takes its share of the face
    away from strength, toughness and stiffness alike: only the glued part carries.
    """
    quality = glue.quality * workmanship.quality
    gapped = gap_share(workmanship.gap, glue.gap_share)
    softer = glue.film_thickness / (glue.film_thickness + workmanship.gap)
    damp = glue.moist_share if moisture > DAMP else 1.0
    effects = []
    if quality != 1.0:
        effects.append(
            f"Glue of {100 * quality:.0f} % quality: the strength and toughness of the bond are multiplied "
            f"by {quality:.2f}."
        )
    if workmanship.gap > 0.0:
        effects.append(
            f"A gap of {workmanship.gap:.3g} mm: the bond keeps "
            f"{100 * gapped:.0f} % of its strength and toughness, and the thicker film "
            f"{100 * softer:.0f} % of its stiffness."
        )
    if workmanship.coverage < 1.0:
        effects.append(
            f"Glue on {100 * workmanship.coverage:.0f} % of the face: strength, toughness and stiffness of "
            "the bond are cut to that share."
        )
    if damp < 1.0:
        effects.append(
            f"Wood at {moisture:g} % moisture, above {DAMP:g} %: the bond keeps {100 * damp:.0f} % of its "
            "strength and toughness."
        )
    return Factors(
        quality * gapped * workmanship.coverage * damp, softer * workmanship.coverage, tuple(effects)
    )
