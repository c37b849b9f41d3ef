"""One glue: the film it makes and how well it holds on white oak at three angles of grain."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from glueline.materials.provenance import Provenance

SOFTENINGS = ("linear", "bridging")
"""Shapes of the falling branch: straight to nothing, or with a tail of fibres that bridge the crack."""

NO_GLUE_NAME = "none"

BOND_NUMBERS = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness")
"""The numbers of a row that the wood and the angle of the grain move."""

LEAST_SHARE = 0.01
"""A quality, coverage or share of strength below which nothing is left that could be called glued."""

THINNEST_FILM = 0.005
"""Film in mm below which a surface has none."""

Problem = tuple[str, object, str]
"""What is wrong with one key of a glue file: the key, its value (None where missing), what would be right."""


class GlueTableError(ValueError):
    """A glue file that cannot be used; ``problems`` lists all of it as (key, value, message).

    >>> from glueline.materials import glue_from_tables
    >>> try:
    ...     glue_from_tables({"name": "mine", "softening": "hard"})
    ... except GlueTableError as error:
    ...     print(error.problems[0])
    ('softening', 'hard', 'one of linear, bridging')
    """

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        super().__init__(
            "; ".join(
                f"{key}: {message}" if value is None else f"{key} = {value!r}: {message}"
                for key, value, message in problems
            )
        )

    def __reduce__(self) -> tuple[type[GlueTableError], tuple[list[Problem]]]:
        return GlueTableError, (self.problems,)


@dataclass(frozen=True)
class BondRow:
    """What a bond holds at one angle between grain and glued face: strengths in MPa, toughnesses in N/mm.

    ``cov`` is the coefficient of variation of the strength, a share. ``credible_low`` and ``credible_high``
    are the factors on all four numbers at the ends of what can be believed of the row: 1 where it is not
    doubted.
    """

    opening_strength: float
    shear_strength: float
    opening_toughness: float
    shear_toughness: float
    cov: float
    credible_low: float = 1.0
    credible_high: float = 1.0


@dataclass(frozen=True)
class Crossed:
    """Bonds face to face whose shear runs across the grain of a side: all shares.

    ``rolling_share``: strength across over strength along the grain; ``broad_rayed_share`` the same for oaks
    and beeches; ``toughness_share``: toughness across over along. ``low`` and ``high``, and the others of
    that ending, are the ends of what can be believed.

    0.25 lies in the 0.18 to 0.28 of the Wood Handbook, ch. 5 (recalled); 0.33 is the older rule for glued
    shear (FPL Report 1522, 1945); 0.40 to 0.47 follows from 5.6 MPa in European beech (Aicher et al. 2016)
    over 12 to 14. The toughness share is a judgement: no test was found.
    """

    rolling_share: float = 0.25
    broad_rayed_share: float = 0.40
    toughness_share: float = 0.5
    low: float = 0.18
    high: float = 0.33
    broad_rayed_low: float = 0.28
    broad_rayed_high: float = 0.47
    toughness_low: float = 0.3
    toughness_high: float = 0.7

    def share(self, broad_rayed: bool) -> float:
        """Strength across over strength along the grain, the value to use."""
        return self.broad_rayed_share if broad_rayed else self.rolling_share

    def credible(self, broad_rayed: bool) -> tuple[float, float]:
        """The lowest and highest share that can be believed."""
        if broad_rayed:
            return self.broad_rayed_low, self.broad_rayed_high
        return self.low, self.high


@dataclass(frozen=True)
class Glue:
    """A glue by its film and by its bond on white oak at 12 % moisture.

    ``film_thickness`` in mm; ``opening_stiffness`` and ``shear_stiffness`` of the film in N/mm3;
    ``softening`` one of ``SOFTENINGS``; ``quality`` a share that multiplies strength and toughness.
    ``side_grain``, ``grain_45`` and ``end_grain`` hold for 0, 45 and 90 degrees between grain and glued face.
    The film's own strengths (MPa) and toughnesses (N/mm, may be infinite) cap the bond on woods stronger than
    white oak. ``moist_share`` is what the bond keeps in wood above 16 % moisture, ``gap_share`` what it keeps
    at gaps of 0.2 to 0.5 mm. Toughness under opening and sliding together mixes linearly, or with a
    ``mixing_exponent`` as Benzeggagh and Kenane 1996 have it. ``calibrated`` says from which breaks
    ``quality`` was set, empty where it was not. Then ``model_error`` is the standard deviation of the
    logarithm by which predicted loads err from joint to joint, and ``load_factor`` by what factor, either
    way, the mean load of a joint may miss its prediction at 95 %; None where nobody says. ``sources`` by key.

    >>> from glueline.materials import find_glue
    >>> pva = find_glue("pva")
    >>> pva.film_thickness, pva.side_grain.shear_strength, pva.end_grain.shear_strength  # mm, MPa, MPa
    (0.1, 14.0, 7.0)
    """

    name: str
    film_thickness: float
    opening_stiffness: float
    shear_stiffness: float
    softening: str
    quality: float
    side_grain: BondRow
    grain_45: BondRow
    end_grain: BondRow
    film_opening_strength: float
    film_shear_strength: float
    film_opening_toughness: float = math.inf
    film_shear_toughness: float = math.inf
    moist_share: float = 0.60
    gap_share: float = 0.60
    mixing_exponent: float | None = None
    crossed: Crossed = field(default_factory=Crossed)
    calibrated: str = ""
    model_error: float | None = None
    load_factor: float | None = None
    sources: Mapping[str, Provenance] = field(default_factory=dict, hash=False)

    @property
    def holds(self) -> bool:
        """False for a dry joint only."""
        return self.name != NO_GLUE_NAME


_NOTHING = BondRow(0.0, 0.0, 0.0, 0.0, 0.0)

NO_GLUE = Glue(
    name=NO_GLUE_NAME,
    film_thickness=0.0,
    opening_stiffness=0.0,
    shear_stiffness=0.0,
    softening="linear",
    quality=1.0,
    side_grain=_NOTHING,
    grain_45=_NOTHING,
    end_grain=_NOTHING,
    film_opening_strength=0.0,
    film_shear_strength=0.0,
    film_opening_toughness=0.0,
    film_shear_toughness=0.0,
)
"""A dry joint: every stiffness, strength and toughness is nought; faces still bear, which is the solver's."""
