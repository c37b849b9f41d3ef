"""At what pressure wood crushes under a face that bears on it."""

from __future__ import annotations

from math import pi

from glueline.materials.grain_angle import hankinson
from glueline.materials.wood import Wood

CRUSHING_EXPONENT = 2.0
"""Hankinson 1921, crushing of spruce; the same formula is EN 1995-1-1, eq. (6.16).

The Wood Handbook's range for compression is 2 to 2.5 (FPL-GTR-190, ch. 5, recalled); 2 is its lower end, and
2.5 would give 19 % more at 45 degrees."""


def crushing_strength(wood: Wood, angle_to_face: float) -> float:
    """Pressure in MPa at which ``wood`` crushes under a face; angle in rad between grain and face, 0 to pi/2.

    Pressure acts square to the face, so side grain (0) crushes across the grain and end grain (pi/2) along
    it, with Hankinson's formula between. The two ends do not mean the same: along the grain the handbook
    gives the highest stress, across it the stress at the proportional limit, because there wood goes on
    hardening and has no highest one. On side grain this is where lasting dents begin, not the most it bears.
    Raises ValueError for an angle outside 0 to 90 degrees.

    >>> from glueline.materials import find_wood
    >>> maple = find_wood("hard maple")
    >>> [round(crushing_strength(maple, angle), 1) for angle in (0.0, pi / 4, pi / 2)]  # MPa
    [10.1, 17.0, 54.0]
    """
    if not -1e-9 <= angle_to_face <= pi / 2 + 1e-9:
        raise ValueError(
            f"angle = {angle_to_face:g} rad between grain and face should lie between 0 and pi/2"
        )
    angle_to_pressure = pi / 2 - min(max(angle_to_face, 0.0), pi / 2)
    return float(
        hankinson(wood.compression_along, wood.compression_across, angle_to_pressure, CRUSHING_EXPONENT)
    )
