"""At what pressure wood crushes under a face that bears on it, and how it hardens from there.

Along the grain the handbook's figure is the highest stress: a flat plateau. Across the grain it is the
proportional limit, and wood goes on hardening: a block 50 mm high under a plate as long carries about
``HARDENED`` times that at 1 mm of crush (Bendtsen and Galligan 1979, Forest Products Journal 29(2), recalled;
red oak at 2.5 % of even strain is much the same, Youngs 1957, FPL Report 2079, recalled). Between the two
Hankinson's formula holds for the hardened strength as it does for the limit, with the hardened strength
across the grain in it: it adds reciprocal strengths, so only the part across the grain hardens, and end grain
comes out flat.

The millimetre is taken whole as crush, though 0.3 to 0.5 mm of it are elastic and bodies have them already;
against that, the wood beyond the plate of a test helps to carry. Straight hardening up to the block's strain
is what the data give; nothing is known to hold it to far beyond.

What crushes is as deep as the pressure reaches. A block as high as its plate is long shows its crush over
that length, and the same picture, smaller, has a crush smaller in proportion: what counts is the length that
presses (``PressedFace.depth``), or the depth of the wood behind it where that is less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from glueline.materials.grain_angle import hankinson
from glueline.materials.wood import Wood

CRUSHING_EXPONENT = 2.0
"""Hankinson 1921, crushing of spruce; the same formula is EN 1995-1-1, eq. (6.16).

The Wood Handbook's range for compression is 2 to 2.5 (FPL-GTR-190, ch. 5, recalled); 2 is its lower end, and
2.5 would give 19 % more at 45 degrees."""


HARDENED = 1.6
"""Pressure across the grain at ``HARDENED_STRAIN`` over that at the proportional limit."""

HARDENED_STRAIN = 0.02


def crushing_strength(wood: Wood, angle_to_face: float) -> float:
    """Pressure in MPa at which ``wood`` crushes under a face; angle in rad between grain and face, 0 to pi/2.

    Pressure acts square to the face, so side grain (0) crushes across the grain and end grain (pi/2) along
    it, with Hankinson's formula between. The two ends do not mean the same: along the grain the handbook
    gives the highest stress, across it the stress at the proportional limit, because there wood goes on
    hardening and has no highest one. On side grain this is where lasting dents begin, not the most it bears:
    ``hardened_strength``.
    Raises ValueError for an angle outside 0 to 90 degrees.

    >>> from glueline.materials import find_wood
    >>> maple = find_wood("hard maple")
    >>> [round(crushing_strength(maple, angle), 1) for angle in (0.0, pi / 4, pi / 2)]  # MPa
    [10.1, 17.0, 54.0]
    """
    return _pressed(wood, angle_to_face, wood.compression_across)


def hardened_strength(wood: Wood, angle_to_face: float) -> float:
    """Pressure in MPa that ``wood`` bears at ``HARDENED_STRAIN``; angle as in ``crushing_strength``.

    >>> from glueline.materials import find_wood
    >>> maple = find_wood("hard maple")
    >>> [round(hardened_strength(maple, angle), 1) for angle in (0.0, pi / 4, pi / 2)]  # MPa
    [16.2, 24.9, 54.0]
    """
    return _pressed(wood, angle_to_face, min(HARDENED * wood.compression_across, wood.compression_along))


def _pressed(wood: Wood, angle_to_face: float, across: float) -> float:
    """Hankinson's formula between the strength along the grain and ``across``, MPa."""
    if not -1e-9 <= angle_to_face <= pi / 2 + 1e-9:
        raise ValueError(
            f"angle = {angle_to_face:g} rad between grain and face should lie between 0 and pi/2"
        )
    angle_to_pressure = pi / 2 - min(max(angle_to_face, 0.0), pi / 2)
    return float(hankinson(wood.compression_along, across, angle_to_pressure, CRUSHING_EXPONENT))


@dataclass(frozen=True)
class PressedFace:
    """One of two faces that press: its wood, the angle (rad) of its grain to it, the depth (mm) to crush."""

    wood: Wood
    angle_to_face: float
    depth: float


def crushing_hardening(faces: Sequence[PressedFace]) -> float:
    """Rise of pressure, MPa for a mm crushed, as two faces on each other crush on from the weaker's limit.

    Both bear the same pressure and their crushes add up: the weaker face crushes alone up to the limit of the
    other, both from there on. The straight line runs from the weaker's limit to the lower of their hardened
    strengths; at two like faces it is half as steep as for one, and a flat face that is the weaker leaves it
    flat. Raises ValueError for an angle outside 0 to 90 degrees or a depth not above zero.

    >>> from glueline.materials import find_wood
    >>> oak = find_wood("white oak")
    >>> side, end = PressedFace(oak, 0.0, 9.5), PressedFace(oak, pi / 2, 9.5)
    >>> [round(crushing_hardening(pair), 1) for pair in ([side, end], [side, side], [end, end])]  # N/mm3
    [23.4, 11.7, 0.0]
    """
    if not all(face.depth > 0 for face in faces):
        raise ValueError("the depth that crushes must be above zero")
    limits = [crushing_strength(face.wood, face.angle_to_face) for face in faces]
    hardened = [hardened_strength(face.wood, face.angle_to_face) for face in faces]
    first, last = min(limits), min(hardened)
    crushed = sum(
        HARDENED_STRAIN * face.depth * (last - limit) / (most - limit)
        for face, limit, most in zip(faces, limits, hardened, strict=True)
        if limit < last
    )
    return (last - first) / crushed if crushed > 0 else 0.0
