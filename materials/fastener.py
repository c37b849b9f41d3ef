"""Dowels and screws: the rod itself, how it holds along its axis, how wood bears on it across.

Every number is a row of ``fasteners.csv`` with its source and mark. Angles are in rad, between the axis, or a
force, and the grain: 0 along it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import cos, pi, radians, sin, sqrt

from glueline.materials.fastener_table import fastener_figure
from glueline.materials.wood import Wood
from glueline.materials.wood_table import find_wood

SHEAR_AREA = 0.9
"""Share of a round section that bears shear (Timoshenko's 6 (1 + nu) / (7 + 6 nu), 0.89 for steel)."""

FULL_HOLD_FROM = radians(30.0)
"""From this angle between axis and grain a screw holds as in side grain (Huebner 2013, recalled)."""

SCREW_SLIP_WOOD = "hard maple"
"""The wood in which the stiffness of screws is judged."""


@dataclass(frozen=True)
class Rod:
    """What a round fastener is made of: moduli and strength in bending in MPa.

    ``yields`` tells steel, which bends on at its plastic moment, from wood, which breaks.

    >>> screw = steel_rod()
    >>> round(screw.bending_moment(4.0))  # N mm
    6613
    """

    modulus: float
    shear_modulus: float
    bending_strength: float
    yields: bool

    def axial_stiffness(self, diameter: float) -> float:
        """E A in N of a round section of ``diameter`` mm."""
        return self.modulus * pi * diameter**2 / 4

    def bending_stiffness(self, diameter: float) -> float:
        """E I in N mm2."""
        return self.modulus * pi * diameter**4 / 64

    def shear_stiffness(self, diameter: float) -> float:
        """G A_s in N."""
        return SHEAR_AREA * self.shear_modulus * pi * diameter**2 / 4

    def bending_moment(self, diameter: float) -> float:
        """The most it bears in bending, N mm: f d^3 / 6 plastic, or f pi d^3 / 32 at the rim of wood."""
        section = diameter**3 / 6 if self.yields else pi * diameter**3 / 32
        return self.bending_strength * section


def steel_rod() -> Rod:
    """The steel of wood screws; its diameter is that of the core under a thread.

    >>> steel_rod().yields
    True
    """
    return Rod(
        fastener_figure("steel_modulus").value,
        fastener_figure("steel_shear_modulus").value,
        fastener_figure("screw_yield_strength").value,
        True,
    )


def wooden_rod(wood: Wood) -> Rod:
    """A dowel of ``wood``, its grain along it.

    >>> from glueline.materials import find_wood
    >>> round(wooden_rod(find_wood("beech")).bending_moment(10.0))  # N mm
    10112
    """
    shear = sqrt(wood.shear_modulus_lr * wood.shear_modulus_lt)
    return Rod(wood.modulus_along, shear, wood.bending_strength, False)


def withdrawal_strength(wood: Wood, diameter: float, angle: float = pi / 2) -> float:
    """Force in N that pulls out one mm of thread of a screw of ``diameter`` mm (shank): 108.25 G^2 D.

    Wood Handbook ch. 8 (recalled) in side grain. With the axis along the grain 0.70 of it, from 30 degrees
    on all (Huebner 2013, recalled); straight between, a judgement. Raises ValueError for an angle outside
    0 to 90 degrees.

    >>> from glueline.materials import find_wood
    >>> oak = find_wood("white oak")
    >>> [round(withdrawal_strength(oak, 4.8, angle)) for angle in (0.0, pi / 2)]  # N/mm
    [168, 240]
    """
    _check_angle(angle)
    exponent = fastener_figure("withdrawal_gravity_exponent").value
    side = fastener_figure("withdrawal_factor").value * pow(wood.specific_gravity, exponent) * diameter
    least = fastener_figure("end_grain_share").value
    return float(side) * (least + (1.0 - least) * min(angle / FULL_HOLD_FROM, 1.0))


def holding_length(length: float, diameter: float) -> float:
    """The part of ``length`` mm of thread in the wood that holds: less the point, never below zero.

    >>> round(holding_length(25.0, 4.0), 1), holding_length(3.0, 4.0)  # mm
    (20.6, 0.0)
    """
    return max(length - fastener_figure("point_diameters").value * diameter, 0.0)


def thread_shear_strength(wood: Wood, diameter: float, angle: float = pi / 2) -> float:
    """The withdrawal strength over the rim of the thread, MPa.

    >>> round(thread_shear_strength(find_wood("white oak"), 4.8), 1)
    15.9
    """
    return withdrawal_strength(wood, diameter, angle) / (pi * diameter)


def thread_toughness(wood: Wood, diameter: float, angle: float = pi / 2) -> float:
    """Work in N/mm to pull out a mm2 of rim: strength falls straight to nothing over the softening slip.

    >>> round(thread_toughness(find_wood("white oak"), 4.8), 1)
    11.9
    """
    slip = fastener_figure("screw_softening_slip").value
    return 0.5 * thread_shear_strength(wood, diameter, angle) * slip


def thread_slip_stiffness(wood: Wood) -> float:
    """Traction on the rim of a thread a mm of slip, N/mm3, straight with specific gravity from hard maple.

    >>> round(thread_slip_stiffness(find_wood("hard maple")), 1)
    21.0
    """
    reference = find_wood(SCREW_SLIP_WOOD).specific_gravity
    return fastener_figure("screw_slip_stiffness").value * wood.specific_gravity / reference


def embedment_strength(wood: Wood, diameter: float, angle: float) -> float:
    """Pressure in MPa on a rod's projected width at which its hole gives, force at ``angle`` to the grain.

    0.082 (1 - 0.01 d) rho along the grain; at an angle over k_90 sin^2 + cos^2 with k_90 = 0.90 + 0.015 d in
    hardwoods and 1.35 + 0.015 d in softwoods (EN 1995-1-1, 8.5.1.1, recalled). Across the grain of hardwoods
    that is a little more than along it for thin rods: k_90 is held at 1 or more. Raises ValueError for an
    angle outside 0 to 90 degrees.

    >>> from glueline.materials import find_wood
    >>> [round(embedment_strength(find_wood("white oak"), 10.0, angle), 1) for angle in (0.0, pi / 2)]  # MPa
    [56.2, 53.6]
    """
    _check_angle(angle)
    along = fastener_figure("embedment_factor").value * wood.density
    along *= 1.0 - fastener_figure("embedment_diameter_factor").value * diameter
    kind = "hardwood" if wood.hardwood else "softwood"
    across = fastener_figure(f"embedment_across_{kind}").value
    across = max(across + fastener_figure("embedment_across_diameter").value * diameter, 1.0)
    return along / (across * sin(angle) ** 2 + cos(angle) ** 2)


def wall_stiffness(wood: Wood, diameter: float) -> float:
    """Pressure on the projected width of a rod per mm that it moves across, N/mm3, whatever the grain.

    Derived from the slip modulus K = rho^1.5 d / 23 of a steel dowel (EN 1995-1-1, Table 7.1, recalled): two
    long beams on beds of b N/mm2, pushed apart at the joint, slip by 4 L / b a newton with
    L = (b / (4 E I))^(1/4) (Hetenyi), so b = (4 K)^(4/3) / (4 E I)^(1/3), which no diameter enters; the
    pressure is b / d.

    >>> from glueline.materials import find_wood
    >>> round(wall_stiffness(find_wood("white oak"), 4.0))  # N/mm3
    408
    """
    slip_modulus = wood.density**1.5 * diameter / fastener_figure("slip_modulus_divisor").value
    bed = pow(4.0 * slip_modulus, 4 / 3) / pow(4.0 * steel_rod().bending_stiffness(diameter), 1 / 3)
    return float(bed / diameter)


def embedment_hardening(strength: float) -> float:
    """Rise of the pressure, MPa for a mm crushed, from a ``strength`` in MPa on.

    >>> embedment_hardening(50.0)
    1.0
    """
    return fastener_figure("embedment_hardening").value * strength


def head_area(head_diameter: float, shank_diameter: float) -> float:
    """Area in mm2 on which a round head bears. Raises ValueError where it is no wider than the shank.

    >>> round(head_area(8.0, 4.0), 1)
    37.7
    """
    if not head_diameter > shank_diameter > 0:
        raise ValueError("a head must be wider than its shank")
    return pi * (head_diameter**2 - shank_diameter**2) / 4


def plug_shear_out(wood: Wood, head_diameter: float, depth: float) -> float:
    """Force in N that shears out the plug before a head, ``depth`` mm long, its grain along the axis.

    >>> round(plug_shear_out(find_wood("hard maple"), 8.0, 10.0))
    4046
    """
    return wood.shear_strength * pi * head_diameter * depth


def johansen_modes(
    first: float, second: float, one: float, two: float, diameter: float, moment: float
) -> Mapping[str, float]:
    """Load in N of a rod across one joint by each of the six modes of single shear, without code factors.

    Members of ``one`` and ``two`` mm with embedment strengths ``first`` and ``second`` in MPa, ``moment`` the
    plastic one in N mm. Modes "a" and "b" crush the walls of one member, "c" of both with the rod straight,
    "d" has a hinge in member two, "e" in member one, "f" in both; the least governs. K. W. Johansen 1949, as
    EN 1995-1-1 eq. (8.6) prints it (recalled) less its factors 1.05 and 1.15 and without the rope effect.

    >>> modes = johansen_modes(30.0, 30.0, 20.0, 20.0, 6.0, 1e6)
    >>> min(modes, key=modes.get), round(min(modes.values()))
    ('c', 1491)
    """
    ratio, thicker = second / first, two / one
    push, other = first * one * diameter, first * two * diameter
    spread = ratio + 2 * ratio**2 * (1 + thicker + thicker**2) + ratio**3 * thicker**2
    hinge_two = 2 * ratio * (1 + ratio) + 4 * ratio * (2 + ratio) * moment / (push * one)
    hinge_one = 2 * ratio**2 * (1 + ratio) + 4 * ratio * (1 + 2 * ratio) * moment / (other * two)
    return {
        "a": push,
        "b": second * two * diameter,
        "c": push / (1 + ratio) * (sqrt(spread) - ratio * (1 + thicker)),
        "d": push / (2 + ratio) * (sqrt(hinge_two) - ratio),
        "e": other / (1 + 2 * ratio) * (sqrt(hinge_one) - ratio),
        "f": sqrt(2 * ratio / (1 + ratio) * 2 * moment * first * diameter),
    }


def _check_angle(angle: float) -> None:
    if not -1e-9 <= angle <= pi / 2 + 1e-9:
        raise ValueError(f"angle = {angle:g} rad to the grain should lie between 0 and pi/2")
