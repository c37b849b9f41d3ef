"""Softening curves: what is left of a bond's traction as it is stretched, linear or with fibre bridging."""

from __future__ import annotations

import numpy as np

from glueline.fem.model import Array

SOFTENINGS = ("linear", "bridging")

# Softening in two lines with fibre bridging: kink at a third of the strength, 60 % of the energy before it.
# A judgement: fibre bridging in wood carries a long tail of low traction.
KINK_TRACTION, KINK_ENERGY = 1.0 / 3.0, 0.6


def share_before_kink(softening: str) -> float:
    """Share of the toughness that a softening spends on its first straight piece."""
    return 1.0 if softening == "linear" else KINK_ENERGY


def check_curve(softening: str, onset: Array, toughness: Array) -> None:
    """Raises ValueError for an unknown softening, or where the strength stores more than the toughness."""
    if softening not in SOFTENINGS:
        raise ValueError(f"softening must be one of {', '.join(SOFTENINGS)}, not {softening!r}")
    if not (0.5 * onset**2 < share_before_kink(softening) * toughness).all():
        raise ValueError(
            "the energy stored at the strength exceeds the toughness: raise stiffness or toughness, "
            "or lower strength"
        )


def branches(softening: str, onset: Array, toughness: Array) -> list[tuple[Array, Array]]:
    """Straight pieces of the softening curve as (height, slope): (1 - d) stretch = height - slope stretch.

    The curve is the upper of them, and 0 where all are below it.
    """
    if softening == "linear":
        slope = onset**2 / (2.0 * toughness - onset**2)
        return [(onset * (1.0 + slope), slope)]
    low = KINK_TRACTION * onset
    fall = 2.0 * (KINK_ENERGY * toughness - 0.5 * onset**2) / (onset + low)
    steep = (onset - low) / fall
    tail = 2.0 * (1.0 - KINK_ENERGY) * toughness / low
    shallow = low / tail
    return [(onset * (1.0 + steep), steep), (low + shallow * (onset + fall), shallow)]


def branch_slopes(softening: str, onset: Array, toughness: Array) -> list[tuple[Array, Array, Array, Array]]:
    """Derivatives of every branch's height and slope: height by onset and toughness, slope by the same."""
    if softening == "linear":
        rest = 2.0 * toughness - onset**2
        slope = onset**2 / rest
        by_onset = 4.0 * onset * toughness / rest**2
        by_toughness = -2.0 * onset**2 / rest**2
        return [(1.0 + slope + onset * by_onset, onset * by_toughness, by_onset, by_toughness)]
    low = KINK_TRACTION * onset
    fall = 2.0 * (KINK_ENERGY * toughness - 0.5 * onset**2) / (onset + low)
    fall_onset = (-2.0 * onset - fall * (1.0 + KINK_TRACTION)) / (onset + low)
    fall_toughness = 2.0 * KINK_ENERGY / (onset + low)
    steep = (onset - low) / fall
    steep_onset = (1.0 - KINK_TRACTION) / fall - steep * fall_onset / fall
    steep_toughness = -steep * fall_toughness / fall
    shallow = low**2 / (2.0 * (1.0 - KINK_ENERGY) * toughness)
    shallow_onset, shallow_toughness = 2.0 * shallow / onset, -shallow / toughness
    kink = onset + fall
    return [
        (1.0 + steep + onset * steep_onset, onset * steep_toughness, steep_onset, steep_toughness),
        (
            KINK_TRACTION + shallow_onset * kink + shallow * (1.0 + fall_onset),
            shallow_toughness * kink + shallow * fall_toughness,
            shallow_onset,
            shallow_toughness,
        ),
    ]


def final_stretch(softening: str, onset: Array, toughness: Array) -> Array:
    """Stretch at which nothing is left, (p,)."""
    height, slope = branches(softening, onset, toughness)[-1]
    return np.asarray(height / slope)


def spent_to(softening: str, onset: Array, toughness: Array, damage: Array) -> Array:
    """Integral of stretch^2 / 2 dD from 0 to ``damage`` at fixed onset and toughness.

    On a branch stretch = height / (1 - D + slope), and the curve follows the branch of larger stretch.
    """
    curve = branches(softening, onset, toughness)
    height, slope = curve[0]
    if len(curve) == 1:
        return np.asarray(0.5 * height**2 * (1.0 / (1.0 - damage + slope) - 1.0 / (1.0 + slope)))
    high, shallow = curve[1]
    kink = (height - high) / (slope - shallow)
    turn = 1.0 - (height - slope * kink) / kink
    first = np.minimum(damage, turn)
    spent = 0.5 * height**2 * (1.0 / (1.0 - first + slope) - 1.0 / (1.0 + slope))
    second = np.maximum(damage, turn)
    spent += 0.5 * high**2 * (1.0 / (1.0 - second + shallow) - 1.0 / (1.0 - turn + shallow))
    return np.asarray(spent)
