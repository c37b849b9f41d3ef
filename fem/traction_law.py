"""Traction-separation laws: how a bond softens and breaks, point by point.

Both laws follow one formulation, isotropic damage of the bond's energy after Turon, Camanho, Costa and
Davila 2006 (Mechanics of Materials 38), written in the energy norm of the jump so that it holds for any
stiffness. With K the stiffness that damage can reach,

    traction = (1 - D) K jump,    stretch = sqrt(jump . K jump),    D = max over the past of d(jump).

On a path of fixed mixture the traction's work is the area under (1 - D) stretch against stretch, so d is
chosen to make that area a given softening curve: it starts at ``onset`` and encloses the toughness of the
mixture. The energy spent is the integral of stretch^2 / 2 dD, which no path can make fall. Under a changing
mixture onset and toughness are those of the present jump, and the consistent tangent is unsymmetric.

A closing jump of a glue line never damages: the faces bear on each other with the full opening stiffness.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from glueline.fem.model import Array
from glueline.fem.softening import branch_slopes, branches, check_curve, final_stretch, spent_to

MIXINGS = ("linear", "benzeggagh-kenane")

LINE_NUMBERS = (
    "opening_stiffness",
    "shear_stiffness",
    "opening_strength",
    "shear_strength",
    "opening_toughness",
    "shear_toughness",
)
"""What may vary from point to point of a line."""

NOTHING = 1e-300


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


class Measure(NamedTuple):
    """How far a jump goes, (p,) each: its stretch, and the onset and toughness of its mixture."""

    stretch: Array
    onset: Array
    toughness: Array


class TractionLaw(Protocol):
    """A law over p points: the softening curve's name and what a jump (p, 2) does to undamaged bond."""

    @property
    def softening(self) -> str:
        """One of SOFTENINGS."""
        ...

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at ``jump`` (p, 2)."""
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
    ``crushing_strength`` in MPa ends the bearing of closing faces, see ``fem.crushing``; what follows a path
    (``fem.equilibrium``) keeps account of it, the functions of this module know bearing only.
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
    crushing_strength: float = np.inf

    def __post_init__(self) -> None:
        for name in LINE_NUMBERS:
            value = np.atleast_1d(np.asarray(getattr(self, name), dtype=float))
            if not (value > 0).all():
                raise ValueError(f"{name} must be above zero")
            object.__setattr__(self, name, value)
        if self.mixing not in MIXINGS:
            raise ValueError(f"mixing must be one of {', '.join(MIXINGS)}, not {self.mixing!r}")
        if not self.crushing_strength > 0:
            raise ValueError("crushing_strength must be above zero")
        if not self.exponent >= 1:
            raise ValueError("the Benzeggagh-Kenane exponent must be at least 1")
        for mixture in np.linspace(0, 1, 21):
            onset, _, toughness, _ = self._at_mixture(np.array(mixture))
            check_curve(self.softening, onset, toughness)

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

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at local ``jump`` (p, 2)."""
        twice_shear = self.shear_stiffness * jump[:, 0] ** 2
        twice = np.maximum(twice_shear + self.opening_stiffness * np.maximum(jump[:, 1], 0.0) ** 2, NOTHING)
        onset, _, toughness, _ = self._at_mixture(twice_shear / twice)
        return Measure(np.sqrt(twice), onset, toughness)

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at local ``jump`` (p, 2)."""
        slip, opening = jump[:, 0], np.maximum(jump[:, 1], 0.0)
        open_ = jump[:, 1] > 0
        zero = np.zeros(len(jump))
        pull = np.stack([self.shear_stiffness * slip, self.opening_stiffness * opening], axis=1)
        twice_shear = pull[:, 0] * slip
        twice = twice_shear + pull[:, 1] * opening
        safe = np.maximum(twice, NOTHING)
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


def _damage(law: TractionLaw, drive: Drive) -> tuple[Array, Array]:
    """Damage d (p,) of undamaged bond stretched straight to the present jump, and its slope (p, 2)."""
    stretch, onset, toughness = drive.stretch, drive.onset, drive.toughness
    curve = branches(law.softening, onset, toughness)
    slopes = branch_slopes(law.softening, onset, toughness)
    left = np.zeros_like(stretch)
    slope = np.zeros((len(stretch), 2))
    for (height, fall), (height_onset, height_tough, fall_onset, fall_tough) in zip(
        curve, slopes, strict=True
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
    measure = law.measure(jump)
    curve = branches(law.softening, measure.onset, measure.toughness)
    limit = np.max([height / (1.0 - damage + slope) for height, slope in curve], axis=0)
    return np.asarray(np.where(damage < 1.0, measure.stretch / limit, 0.0))


def final_share(law: TractionLaw, jump: Array) -> Array:
    """Stretch over the stretch at which nothing is left of the bond, (p,)."""
    measure = law.measure(jump)
    return np.asarray(measure.stretch / final_stretch(law.softening, measure.onset, measure.toughness))


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
    after, before = law.measure(jump), law.measure(jump_before)
    known = before.stretch > 1e-9 * after.stretch
    total = np.zeros(len(jump))
    for onset, toughness in (
        (after.onset, after.toughness),
        (np.where(known, before.onset, after.onset), np.where(known, before.toughness, after.toughness)),
    ):
        total += spent_to(law.softening, onset, toughness, damage)
        total -= spent_to(law.softening, onset, toughness, damage_before)
    return np.maximum(0.5 * total, 0.0)


def spent_share(law: TractionLaw, jump: Array, damage: Array) -> Array:
    """Energy spent over the toughness at the mixture of ``jump``, (p,): 0 whole, 1 gone.

    Damage of a stiff bond is near 1 long before it is; this tells how much of the glue has gone.
    """
    measure = law.measure(jump)
    spent = spent_to(law.softening, measure.onset, measure.toughness, damage)
    return np.asarray(np.clip(spent / measure.toughness, 0.0, 1.0))
