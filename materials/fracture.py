"""Stiffness and length that go with a crack running along the grain."""

from __future__ import annotations

import math


def mode_moduli(
    modulus_along: float, modulus_across: float, shear_modulus: float, poisson: float
) -> tuple[float, float]:
    """E_I and E_II in MPa, so that G = K^2 / E in opening and in sliding, crack along the grain.

    1/E_I = sqrt(1 / (2 E1 E2)) sqrt(b), 1/E_II = sqrt(b) / (E1 sqrt 2), b = sqrt(E1/E2) + E1/(2 G12) - nu12
    (Sih, Paris and Irwin 1965, plane stress). E1 along the grain, E2 across it in the plane of the crack's
    opening, nu12 the strain across over the strain along under stress along. Raises ValueError where a
    modulus is not above zero or the bracket is not.

    >>> opening, sliding = mode_moduli(13900.0, 1800.0, 1500.0, 0.4)  # MPa, MPa, MPa
    >>> round(opening), round(sliding)  # MPa
    (2671, 7423)
    """
    if not (modulus_along > 0 and modulus_across > 0 and shear_modulus > 0):
        raise ValueError("moduli must be above zero")
    bracket = math.sqrt(modulus_along / modulus_across) + modulus_along / (2.0 * shear_modulus) - poisson
    if not bracket > 0:
        raise ValueError("these constants give a crack no energy to release")
    opening = math.sqrt(2.0 * modulus_along * modulus_across / bracket)
    sliding = modulus_along * math.sqrt(2.0 / bracket)
    return opening, sliding


def critical_length(mode_modulus: float, toughness: float, strength: float) -> float:
    """Length in mm ahead of a sharp corner over which stress is averaged before it is held against strength.

    (2/pi) E* G / f^2 (Landelius 1989, Gustafsson: mean stress equal to strength at the load where a crack of
    toughness G would run). E* in MPa from ``mode_moduli``, G in N/mm, f in MPa. Raises ValueError where one
    is not above zero.

    >>> round(critical_length(2671.0, 0.45, 5.5), 1)  # of MPa, N/mm and MPa; mm
    25.3
    """
    if not (mode_modulus > 0 and toughness > 0 and strength > 0):
        raise ValueError("modulus, toughness and strength must be above zero")
    return 2.0 / math.pi * mode_modulus * toughness / strength**2
