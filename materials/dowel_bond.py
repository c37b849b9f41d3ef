"""What a glued dowel holds in its hole: the bond of a rim whose grain is another one all round.

A hole along the grain has side grain all round, sheared along it. Square to the grain the rim passes from
side grain that is rolled to end grain and back. The rod slips alike all round, so strengths add up: the mean
over the rim, point by point the lesser of the hole and of the dowel's side grain.

No clamp presses the film in a hole: the rows of a glue table are not reached there. Glued dowels were read to
hold 3.0 to 8.6 MPa over their surface, whatever the grain; ``hole_shear_strength`` of ``fasteners.csv`` ends
what a point of the rim holds, at the strength of the glue's and the wood's side grain relative to pva on
white oak, and the toughness comes down in the same ratio.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, sin

import numpy as np

from glueline.materials.bond import REFERENCE_WOOD, row_at, rows_on
from glueline.materials.fastener_table import fastener_figure
from glueline.materials.glue import BondRow, Glue
from glueline.materials.glue_table import find_glue
from glueline.materials.wood import Wood
from glueline.materials.wood_table import find_wood
from glueline.materials.workmanship import Workmanship, factors

RIM_POINTS = 36


@dataclass(frozen=True)
class DowelBond:
    """The bond of a dowel in its hole, over its surface: slip along the axis.

    ``shear_stiffness`` in N/mm3 of the film, ``shear_strength`` in MPa and ``shear_toughness`` in N/mm as
    means over the rim; ``cov`` and ``credible`` as a ``Bond`` has them; ``effects`` in plain sentences.
    """

    shear_stiffness: float
    shear_strength: float
    shear_toughness: float
    cov: float
    credible: tuple[float, float]
    softening: str
    effects: tuple[str, ...] = ()


def dowel_bond(
    glue: Glue, wood: Wood, angle: float, dowel_wood: Wood, workmanship: Workmanship | None = None
) -> DowelBond:
    """A dowel of ``dowel_wood`` in a hole of ``wood``, its axis at ``angle`` (rad, 0 to pi/2) to the grain.

    Raises ValueError for an angle outside 0 to 90 degrees.

    >>> from glueline.materials import find_glue, find_wood
    >>> oak, beech = find_wood("white oak"), find_wood("beech")
    >>> [round(dowel_bond(find_glue("pva"), oak, a, beech).shear_strength, 1) for a in (0.0, pi / 2)]  # MPa
    [7.8, 6.3]
    """
    if not -1e-9 <= angle <= pi / 2 + 1e-9:
        raise ValueError(f"angle = {angle:g} rad between axis and grain should lie between 0 and pi/2")
    if not glue.holds:
        return DowelBond(0.0, 0.0, 0.0, 0.0, (1.0, 1.0), glue.softening)
    workmanship = workmanship or Workmanship()
    made = factors(workmanship, glue, max(wood.moisture, dowel_wood.moisture))
    rows = rows_on(glue, wood, workmanship.end_grain)
    dowel = rows_on(glue, dowel_wood)[0]
    limit = _film_limit(rows[0], dowel)
    strengths, toughnesses = [], []
    for turn in 2 * pi * (np.arange(RIM_POINTS) + 0.5) / RIM_POINTS:
        strength, toughness = _at_rim(glue, wood, rows, min(max(angle, 0.0), pi / 2), float(turn))
        strength, toughness = min(strength, dowel.shear_strength), min(toughness, dowel.shear_toughness)
        reached = min(1.0, limit / strength)
        strengths.append(strength * reached)
        toughnesses.append(toughness * reached)
    figure = fastener_figure("hole_shear_strength")
    return DowelBond(
        shear_stiffness=glue.shear_stiffness * made.stiffness,
        shear_strength=float(np.mean(strengths)) * made.holding,
        shear_toughness=float(np.mean(toughnesses)) * made.holding,
        cov=max(row.cov for row in rows),
        credible=(figure.low / figure.value, figure.high / figure.value),
        softening=glue.softening,
        effects=made.effects,
    )


def _film_limit(hole: BondRow, dowel: BondRow) -> float:
    """What a film without a clamp reaches at most, MPa."""
    reference = rows_on(find_glue("pva"), find_wood(REFERENCE_WOOD))[0].shear_strength
    side = min(hole.shear_strength, dowel.shear_strength)
    return fastener_figure("hole_shear_strength").value * side / reference


def _at_rim(
    glue: Glue, wood: Wood, rows: tuple[BondRow, BondRow, BondRow], angle: float, turn: float
) -> tuple[float, float]:
    """Shear strength and toughness of the hole at ``turn`` round its axis, for slip along the axis.

    Grain is at ``angle`` to the axis; a face meets it at asin(sin(angle) cos(turn)). Along the grain that
    lies in the face the row at that angle holds; across it rolling on side grain and the row on end grain,
    between them by the square of the sine. Shares of both add up by their squares, as on a cheek.
    """
    to_face = asin(min(1.0, abs(sin(angle) * cos(turn))))
    along = row_at(rows, to_face)
    side, end = rows[0], rows[2]
    share, toughness_share = glue.crossed.share(wood.broad_rayed), glue.crossed.toughness_share
    ends = sin(to_face) ** 2
    rolling = side.shear_strength * share * (1 - ends) + end.shear_strength * ends
    rolling_toughness = side.shear_toughness * toughness_share * (1 - ends) + end.shear_toughness * ends
    in_face = cos(to_face)
    with_grain = (cos(angle) / in_face) ** 2 if in_face > 1e-9 else 0.0
    with_grain = min(with_grain, 1.0)
    strength = (with_grain / along.shear_strength**2 + (1 - with_grain) / rolling**2) ** -0.5
    across = (1 - with_grain) * (strength / rolling) ** 2
    toughness = along.shear_toughness + (rolling_toughness - along.shear_toughness) * across
    return strength, toughness
