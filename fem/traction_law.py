"""Traction-separation laws: how a bond softens and breaks, point by point.

Both laws follow one formulation, isotropic damage of the bond's energy after Turon, Camanho, Costa and
Davila 2006 (Mechanics of Materials 38), written in the energy norm of the jump so that it holds for any
stiffness. With K the stiffness that damage can reach,

    traction = (1 - D) K jump,    stretch = sqrt(jump . K jump),    D = max over the past of d(jump).

On a path of fixed mixture the traction's work is the area under (1 - D) stretch against stretch, so d is
chosen to make that area a given softening curve: it starts at `onset` and encloses the toughness of the
mixture. The energy spent is the integral of stretch^2 / 2 dD, which no path can make fall. Under a changing
mixture onset and toughness are those of the present jump, and the consistent tangent is unsymmetric.

A closing jump of a glue line never damages: the faces bear on each other with the full opening stiffness.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from fem.model import Array

SOFTENINGS = ("linear", "bridging")
MIXINGS = ("linear", "benzeggagh-kenane")

# Bilinear softening with fibre bridging: kink at a third of the strength, 60 % of the energy before it.
KINK_TRACTION, KINK_ENERGY = 1.0 / 3.0, 0.6

_NOTHING = 1e-300


class Drive(NamedTuple):
    """What a jump does to undamaged bond: (p,) values with their derivatives (p, 2) by the jump.

    ``pull`` (p, 2) is the part of the traction that damage reduces, ``pull_tangent`` (p, 2, 2) its
    derivative; ``bearing`` and ``bearing_tangent`` are the part it does not.
    """

    stretch: Array
    stretch_slope: Array
    onset: Array
    onset_slope: Array
    toughness: Array
    toughness_slope: Array
    pull: Array
    pull_tangent: Array
    bearing: Array
    bearing_tangent: Array


class TractionLaw(Protocol):
    """A law over p points: the softening curve's name and what a jump (p, 2) does to undamaged bond."""

    @property
    def softening(self) -> str:
        """One of SOFTENINGS."""
        ...

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at ``jump`` (p, 2)."""
        ...


@dataclass(frozen=True)
class Response:
    """Traction (p, 2) in MPa, tangent (p, 2, 2) in N/mm3, ``damage`` (p,), and where it is growing."""

    traction: Array
    tangent: Array
    damage: Array
    growing: NDArray[np.bool_]


@dataclass(frozen=True)
class LineLaw:
    """Law of a glue line; local jump (slip, opening). Every number is an array (p,) or holds for all points.

    Stiffnesses in N/mm3, strengths in MPa, toughnesses in N/mm. Onset (t_n / f_n)^2 + (t_s / f_s)^2 = 1
    with no part for a closing t_n. ``mixing`` "linear" is G_I / G_Ic + G_II / G_IIc = 1; with
    "benzeggagh-kenane" the toughness is G_Ic + (G_IIc - G_Ic) (G_II / G)^``exponent``.

    The toughness is exact at a fixed mixture. Through the softening zone of a crack the mixture turns unless
    f_s / f_n is the root of G_IIc k_s / (G_Ic k_n) (Turon, Camanho, Costa and Renart 2010, recalled); at 1.8
    times that ratio a crack in mixed-mode bending spent 14 % more than the toughness of its far mixture.
    """

    opening_stiffness: Array
    shear_stiffness: Array
    opening_strength: Array
    shear_strength: Array
    opening_toughness: Array
    shear_toughness: Array
    softening: str = "linear"
    mixing: str = "linear"
    exponent: float = 2.0

    def __post_init__(self) -> None:
        names = [field.name for field in fields(self)][:6]
        for name in names:
            value = np.atleast_1d(np.asarray(getattr(self, name), dtype=float))
            if not (value > 0).all():
                raise ValueError(f"{name} must be above zero")
            object.__setattr__(self, name, value)
        if self.mixing not in MIXINGS:
            raise ValueError(f"mixing must be one of {', '.join(MIXINGS)}, not {self.mixing!r}")
        if not self.exponent >= 1:
            raise ValueError("the Benzeggagh-Kenane exponent must be at least 1")
        for mixture in np.linspace(0, 1, 21):
            onset, _, toughness, _ = self._at_mixture(np.array(mixture))
            _check_curve(self.softening, onset, toughness)

    def _at_mixture(self, mixture: Array) -> tuple[Array, Array, Array, Array]:
        """Onset and toughness at the share ``mixture`` of shear in the energy, each with its slope."""
        opening = self.opening_stiffness / self.opening_strength**2
        shear = self.shear_stiffness / self.shear_strength**2
        onset = (opening + mixture * (shear - opening)) ** -0.5
        onset_slope = -0.5 * onset**3 * (shear - opening)
        first, second = self.opening_toughness, self.shear_toughness
        if self.mixing == "linear":
            toughness = 1.0 / (1.0 / first + mixture * (1.0 / second - 1.0 / first))
            return onset, onset_slope, toughness, -(toughness**2) * (1.0 / second - 1.0 / first)
        toughness = first + (second - first) * mixture**self.exponent
        slope = (second - first) * self.exponent * mixture ** (self.exponent - 1.0)
        return onset, onset_slope, toughness, slope

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at local ``jump`` (p, 2)."""
        slip, opening = jump[:, 0], np.maximum(jump[:, 1], 0.0)
        open_ = jump[:, 1] > 0
        zero = np.zeros(len(jump))
        pull = np.stack([self.shear_stiffness * slip, self.opening_stiffness * opening], axis=1)
        twice_shear = pull[:, 0] * slip
        twice = twice_shear + pull[:, 1] * opening
        safe = np.maximum(twice, _NOTHING)
        stretch = np.sqrt(safe)
        mixture = twice_shear / safe
        mixture_slope = np.stack([(1.0 - mixture) * pull[:, 0], -mixture * pull[:, 1]], axis=1)
        mixture_slope *= (2.0 / safe)[:, None]
        onset, onset_slope, toughness, toughness_slope = self._at_mixture(mixture)
        stiffness = np.zeros((len(jump), 2, 2))
        stiffness[:, 0, 0] = self.shear_stiffness
        stiffness[:, 1, 1] = np.where(open_, self.opening_stiffness, 0.0)
        bearing_tangent = np.zeros_like(stiffness)
        bearing_tangent[:, 1, 1] = np.where(open_, 0.0, self.opening_stiffness)
        return Drive(
            stretch,
            pull / stretch[:, None],
            onset,
            onset_slope[:, None] * mixture_slope,
            toughness,
            toughness_slope[:, None] * mixture_slope,
            pull,
            stiffness,
            np.stack([zero, bearing_tangent[:, 1, 1] * jump[:, 1]], axis=1),
            bearing_tangent,
        )


@dataclass(frozen=True)
class CheekSideLaw:
    """One face of a cheek: grain direction in rad from x, strengths in MPa and toughnesses in N/mm.

    ``shear_`` is along the grain, ``rolling_`` across it.
    """

    grain_angle: float
    shear_strength: float
    rolling_strength: float
    shear_toughness: float
    rolling_toughness: float

    def __post_init__(self) -> None:
        for field in fields(self)[1:]:
            if not getattr(self, field.name) > 0:
                raise ValueError(f"{field.name} must be above zero")

    def reached(self, traction: Array, stiffness: Array) -> tuple[Array, Array, Array, Array]:
        """Index of onset and toughness under undamaged ``traction`` (p, 2), each with its slope by the jump.

        The index is (along / f_s)^2 + (across / f_roll)^2; the toughness goes straight from shear to rolling
        with the share that the second term has of it.
        """
        c, s = np.cos(self.grain_angle), np.sin(self.grain_angle)
        along = traction @ np.array([c, s]) / self.shear_strength
        across = traction @ np.array([-s, c]) / self.rolling_strength
        along_slope = np.array([c, s]) @ stiffness / self.shear_strength
        across_slope = np.array([-s, c]) @ stiffness / self.rolling_strength
        index = along**2 + across**2
        index_slope = 2.0 * (along[:, None] * along_slope + across[:, None] * across_slope)
        safe = np.maximum(index, _NOTHING)
        share = across**2 / safe
        share_slope = (2.0 * across[:, None] * across_slope - share[:, None] * index_slope) / safe[:, None]
        step = self.rolling_toughness - self.shear_toughness
        return index, index_slope, self.shear_toughness + step * share, step * share_slope


@dataclass(frozen=True)
class CheekLaw:
    """Law of a cheek; jump and traction in x and y. ``stiffness`` (p, 2, 2) per face in N/mm3.

    Onset is reached on the weaker side; where the sides also differ in toughness the lesser holds, which
    keeps the law continuous as the traction turns.
    """

    stiffness: Array
    sides: tuple[CheekSideLaw, CheekSideLaw]
    softening: str = "linear"

    def __post_init__(self) -> None:
        for turn in np.linspace(0, np.pi, 37):
            jump = np.tile([np.cos(turn), np.sin(turn)], (len(self.stiffness), 1))
            drive = self.drive(jump)
            _check_curve(self.softening, drive.onset, drive.toughness)

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at ``jump`` (p, 2)."""
        pull = np.einsum("pij,pj->pi", self.stiffness, jump)
        stretch = np.sqrt(np.maximum((pull * jump).sum(axis=1), _NOTHING))
        stretch_slope = pull / stretch[:, None]
        first, second = (side.reached(pull, self.stiffness) for side in self.sides)
        weaker = first[0] >= second[0]
        index = np.where(weaker, first[0], second[0])
        index_slope = np.where(weaker[:, None], first[1], second[1])
        lesser = first[2] <= second[2]
        safe = np.maximum(index, _NOTHING)[:, None]
        nothing = np.zeros_like(pull)
        return Drive(
            stretch,
            stretch_slope,
            stretch / np.sqrt(safe[:, 0]),
            (stretch_slope - 0.5 * stretch[:, None] * index_slope / safe) / np.sqrt(safe),
            np.where(lesser, first[2], second[2]),
            np.where(lesser[:, None], first[3], second[3]),
            pull,
            self.stiffness,
            nothing,
            np.zeros_like(self.stiffness),
        )


def _check_curve(softening: str, onset: Array, toughness: Array) -> None:
    if softening not in SOFTENINGS:
        raise ValueError(f"softening must be one of {', '.join(SOFTENINGS)}, not {softening!r}")
    share = 1.0 if softening == "linear" else KINK_ENERGY
    if not (0.5 * onset**2 < share * toughness).all():
        raise ValueError(
            "the energy stored at the strength exceeds the toughness: raise stiffness or toughness, "
            "or lower strength"
        )


def _branches(softening: str, onset: Array, toughness: Array) -> list[tuple[Array, Array]]:
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


def _branch_slopes(softening: str, onset: Array, toughness: Array) -> list[tuple[Array, Array, Array, Array]]:
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
    height, slope = _branches(softening, onset, toughness)[-1]
    return np.asarray(height / slope)


def _damage(law: TractionLaw, drive: Drive) -> tuple[Array, Array]:
    """Damage d (p,) of undamaged bond stretched straight to the present jump, and its slope (p, 2)."""
    stretch, onset, toughness = drive.stretch, drive.onset, drive.toughness
    branches = _branches(law.softening, onset, toughness)
    slopes = _branch_slopes(law.softening, onset, toughness)
    left = np.zeros_like(stretch)
    slope = np.zeros((len(stretch), 2))
    for (height, fall), (height_onset, height_tough, fall_onset, fall_tough) in zip(
        branches, slopes, strict=True
    ):
        value = height / stretch - fall
        upper = value > left
        left = np.where(upper, value, left)
        own = (-height / stretch**2)[:, None] * drive.stretch_slope
        own += (height_onset / stretch - fall_onset)[:, None] * drive.onset_slope
        own += (height_tough / stretch - fall_tough)[:, None] * drive.toughness_slope
        slope = np.where(upper[:, None], own, slope)
    soft = stretch > onset
    return np.where(soft, 1.0 - left, 0.0), np.where(soft[:, None], -slope, 0.0)


def evaluate(law: TractionLaw, jump: Array, damage_before: Array) -> Response:
    """Traction, consistent tangent and damage at ``jump`` (p, 2) after ``damage_before`` (p,)."""
    drive = law.drive(jump)
    found, slope = _damage(law, drive)
    growing = found > damage_before
    damage = np.where(growing, found, damage_before)
    left = 1.0 - damage
    tangent = left[:, None, None] * drive.pull_tangent + drive.bearing_tangent
    tangent -= drive.pull[:, :, None] * np.where(growing[:, None], slope, 0.0)[:, None, :]
    return Response(left[:, None] * drive.pull + drive.bearing, tangent, damage, growing)


def growth_share(law: TractionLaw, jump: Array, damage: Array) -> Array:
    """Stretch over that at which ``damage`` (p,) grows: linear in the jump, 1 at the limit, 0 if broken."""
    drive = law.drive(jump)
    branches = _branches(law.softening, drive.onset, drive.toughness)
    limit = np.max([height / (1.0 - damage + slope) for height, slope in branches], axis=0)
    return np.asarray(np.where(damage < 1.0, drive.stretch / limit, 0.0))


def final_share(law: TractionLaw, jump: Array) -> Array:
    """Stretch over the stretch at which nothing is left of the bond, (p,)."""
    drive = law.drive(jump)
    return np.asarray(drive.stretch / final_stretch(law.softening, drive.onset, drive.toughness))


def stored_energy(traction: Array, jump: Array) -> Array:
    """Elastic energy (p,) in N/mm held by the bond: it unloads straight to nothing."""
    return np.asarray(0.5 * (traction * jump).sum(axis=1))


def spent_energy(
    law: TractionLaw, jump_before: Array, damage_before: Array, jump: Array, damage: Array
) -> Array:
    """Energy (p,) in N/mm spent by the bond over a step: the integral of stretch^2 / 2 dD, nowhere negative.

    While damage grows, stretch follows from damage and mixture alone, so the integral is exact at a fixed
    mixture; over a change it is the mean of the integrals at both ends' mixtures.
    """
    after, before = law.drive(jump), law.drive(jump_before)
    known = before.stretch > 1e-9 * after.stretch
    total = np.zeros(len(jump))
    for onset, toughness in (
        (after.onset, after.toughness),
        (np.where(known, before.onset, after.onset), np.where(known, before.toughness, after.toughness)),
    ):
        total += _spent_to(law.softening, onset, toughness, damage)
        total -= _spent_to(law.softening, onset, toughness, damage_before)
    return np.maximum(0.5 * total, 0.0)


def _spent_to(softening: str, onset: Array, toughness: Array, damage: Array) -> Array:
    """Integral of stretch^2 / 2 dD from 0 to ``damage`` at fixed onset and toughness.

    On a branch stretch = height / (1 - D + slope), and the curve follows the branch of larger stretch.
    """
    branches = _branches(softening, onset, toughness)
    height, slope = branches[0]
    if len(branches) == 1:
        return np.asarray(0.5 * height**2 * (1.0 / (1.0 - damage + slope) - 1.0 / (1.0 + slope)))
    high, shallow = branches[1]
    kink = (height - high) / (slope - shallow)
    turn = 1.0 - (height - slope * kink) / kink
    first = np.minimum(damage, turn)
    spent = 0.5 * height**2 * (1.0 / (1.0 - first + slope) - 1.0 / (1.0 + slope))
    second = np.maximum(damage, turn)
    spent += 0.5 * high**2 * (1.0 / (1.0 - second + shallow) - 1.0 / (1.0 - turn + shallow))
    return np.asarray(spent)
