"""Traction-separation law of a glue line: slip and opening.

A closing jump never damages: the faces bear on each other with the full opening stiffness.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from glueline.fem.model import Array, Integers
from glueline.fem.softening import check_curve
from glueline.fem.traction_law import NOTHING, Closing, Drive, Measure, Undamaged, side_by_side

MIXINGS = ("linear", "benzeggagh-kenane")

NUMBERS = ("opening_strength", "shear_strength", "opening_toughness", "shear_toughness", "crushing_strength")
PER_POINT = ("stiffness", *NUMBERS, "crushing_hardening")
"""What may vary from point to point of a line."""


@dataclass(frozen=True)
class LineLaw:
    """Law of a glue line; local jump (slip, opening). Every array is (p, ...) or (1, ...) for all points.

    ``stiffness`` (p, 2, 2) in N/mm3 is that of the line's surface: shear, then opening, on the diagonal;
    strengths (p,) in MPa, toughnesses (p,) in N/mm. Onset (t_n / f_n)^2 + (t_s / f_s)^2 = 1 with no part for
    a closing t_n. ``mixing`` "linear" is G_I / G_Ic + G_II / G_IIc = 1; with "benzeggagh-kenane" the
    toughness is G_Ic + (G_IIc - G_Ic) (G_II / G)^``exponent``. ``crushing_strength`` (p,) in MPa ends the
    bearing of closing faces and ``crushing_hardening`` (p,) in N/mm3, which may be zero, lifts it with what
    is crushed. Raises ValueError for numbers not above zero, a stiffness that is not diagonal, or a strength
    that stores more energy than the toughness.

    The toughness is exact at a fixed mixture. Through the softening zone of a crack the mixture turns unless
    f_s / f_n is the root of G_IIc k_s / (G_Ic k_n) (Turon, Camanho, Costa and Renart 2010, recalled); at 1.8
    times that ratio a crack in mixed-mode bending spent 14 % more than the toughness of its far mixture.

    >>> from glueline.fem.traction_law import evaluate
    >>> strengths_and_toughnesses = (np.array([number]) for number in (5.0, 9.0, 0.3, 0.8))
    >>> law = LineLaw(np.array([np.diag([2200.0, 8000.0])]), *strengths_and_toughnesses)
    >>> response = evaluate(law, np.array([[0.0, 0.0005], [0.0, 0.06], [0.0, 0.2]]), np.zeros(3))
    >>> response.traction[:, 1].round(3).tolist()
    [4.0, 2.513, 0.0]
    """

    stiffness: Array
    opening_strength: Array
    shear_strength: Array
    opening_toughness: Array
    shear_toughness: Array
    softening: str = "linear"
    mixing: str = "linear"
    exponent: float = 2.0
    crushing_strength: Array = field(default_factory=lambda: np.array([np.inf]))
    crushing_hardening: Array = field(default_factory=lambda: np.zeros(1))
    shear_stiffness: Array = field(init=False, repr=False)
    opening_stiffness: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        for name in NUMBERS:
            value = np.atleast_1d(np.asarray(getattr(self, name), dtype=float))
            if not (value > 0).all():
                raise ValueError(f"{name} must be above zero")
            object.__setattr__(self, name, value)
        hardening = np.atleast_1d(np.asarray(self.crushing_hardening, dtype=float))
        if not (np.isfinite(hardening) & (hardening >= 0)).all():
            raise ValueError("crushing_hardening must be finite and not below zero")
        object.__setattr__(self, "crushing_hardening", hardening)
        if np.any(self.stiffness[:, [0, 1], [1, 0]] != 0.0):
            raise ValueError("stiffness must not couple slip and opening")
        for row, name in enumerate(("shear_stiffness", "opening_stiffness")):
            value = _held_once(self.stiffness[:, row, row])
            if not (value > 0).all():
                raise ValueError(f"{name} must be above zero")
            object.__setattr__(self, name, value)
        if self.mixing not in MIXINGS:
            raise ValueError(f"mixing must be one of {', '.join(MIXINGS)}, not {self.mixing!r}")
        if not self.exponent >= 1:
            raise ValueError("the Benzeggagh-Kenane exponent must be at least 1")
        check_curve(self.softening, *self._at_mixture(np.linspace(0, 1, 21)[:, None]))

    @property
    def alike(self) -> Hashable:
        """Softening and mixing."""
        return LineLaw, self.softening, self.mixing, self.exponent

    @property
    def closing(self) -> Closing:
        """The film bears with the stiffness that it opens with."""
        return Closing(self.opening_stiffness, self.crushing_strength, self.crushing_hardening)

    @classmethod
    def joined(cls, laws: Sequence[LineLaw], counts: Sequence[int]) -> LineLaw:
        """One law for the points of all ``laws``, which are alike and for ``counts`` points each."""

        def over_points(name: str) -> Any:
            values = [getattr(law, name) for law in laws]
            return np.concatenate(
                [
                    np.broadcast_to(value, (count, *value.shape[1:]))
                    for value, count in zip(values, counts, strict=True)
                ]
            )

        return replace(laws[0], **{name: over_points(name) for name in PER_POINT})

    def at(self, points: Integers) -> LineLaw:
        """The law of ``points`` (k,) among those of this one."""
        varying = {name: getattr(self, name) for name in PER_POINT}
        return replace(self, **{name: value[points] for name, value in varying.items() if len(value) > 1})

    @cached_property
    def _inverse_onset(self) -> tuple[Array, Array]:
        """1 / onset^2 in opening, and by how much it is more in shear, (p,) or (1,)."""
        opening = self.opening_stiffness / self.opening_strength**2
        return opening, self.shear_stiffness / self.shear_strength**2 - opening

    @cached_property
    def _inverse_toughness(self) -> tuple[Array, Array]:
        """1 / toughness in opening, and by how much it is more in shear, (p,) or (1,)."""
        return 1.0 / self.opening_toughness, 1.0 / self.shear_toughness - 1.0 / self.opening_toughness

    def _at_mixture(self, mixture: Array) -> tuple[Array, Array]:
        """Onset and toughness at the share ``mixture`` of shear in the energy."""
        opening, more = self._inverse_onset
        onset = 1.0 / np.sqrt(opening + mixture * more)
        if self.mixing == "linear":
            opening, more = self._inverse_toughness
            return onset, 1.0 / (opening + mixture * more)
        first, second = self.opening_toughness, self.shear_toughness
        return onset, first + (second - first) * mixture**self.exponent

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at local ``jump`` (p, 2)."""
        slip, opening = jump[:, 0], np.maximum(jump[:, 1], 0.0)
        return self._measured(self.shear_stiffness * slip * slip, self.opening_stiffness * opening * opening)

    def _measured(self, twice_shear: Array, twice_opening: Array) -> Measure:
        """The same from twice the energies (p,) of slip and of opening, in N/mm."""
        twice = np.maximum(twice_shear + twice_opening, NOTHING)
        return Measure(np.sqrt(twice), *self._at_mixture(twice_shear / twice))

    def undamaged(self, jump: Array) -> Undamaged:
        """Measure and tractions at local ``jump`` (p, 2)."""
        slip, opening = jump[:, 0], np.maximum(jump[:, 1], 0.0)
        shear_pull, opening_pull = self.shear_stiffness * slip, self.opening_stiffness * opening
        bearing = np.zeros((2, len(jump))).T
        np.multiply(self.opening_stiffness, np.minimum(jump[:, 1], 0.0), out=bearing[:, 1])
        measure = self._measured(shear_pull * slip, opening_pull * opening)
        return Undamaged(measure, side_by_side(shear_pull, opening_pull), bearing)

    def secant(self, jump: Array, left: Array) -> Array:
        """Stiffness (p, 2, 2) in N/mm3 at ``jump`` (p, 2) with the share ``left`` (p,), closing with all."""
        stiffness = np.zeros((len(jump), 2, 2))
        stiffness[:, 0, 0] = left * self.shear_stiffness
        stiffness[:, 1, 1] = np.where(jump[:, 1] > 0, left, 1.0) * self.opening_stiffness
        return stiffness

    def drive(self, jump: Array, points: Integers) -> Drive:
        """Stretch, onset and toughness with their slopes, at the ``jump`` (k, 2) of some ``points`` (k,)."""
        slip, opening = jump[:, 0], np.maximum(jump[:, 1], 0.0)
        shear_pull = _of(self.shear_stiffness, points) * slip
        opening_pull = _of(self.opening_stiffness, points) * opening
        twice = np.maximum(shear_pull * slip + opening_pull * opening, NOTHING)
        mixture = shear_pull * slip / twice
        mixture_slope = side_by_side((1.0 - mixture) * shear_pull, -mixture * opening_pull)
        mixture_slope *= (2.0 / twice)[:, None]
        stretch = np.sqrt(twice)
        onset, onset_slope, toughness, toughness_slope = self._with_slopes(mixture, points)
        return Drive(
            stretch,
            side_by_side(shear_pull, opening_pull) / stretch[:, None],
            onset,
            onset_slope[:, None] * mixture_slope,
            toughness,
            toughness_slope[:, None] * mixture_slope,
        )

    def _with_slopes(self, mixture: Array, points: Integers) -> tuple[Array, Array, Array, Array]:
        """Onset and toughness of ``points`` (k,) at a ``mixture`` (k,), each with its slope."""
        opening, more = (_of(each, points) for each in self._inverse_onset)
        onset = 1.0 / np.sqrt(opening + mixture * more)
        onset_slope = -0.5 * onset**3 * more
        if self.mixing == "linear":
            opening, more = (_of(each, points) for each in self._inverse_toughness)
            toughness = 1.0 / (opening + mixture * more)
            return onset, onset_slope, toughness, -(toughness**2) * more
        first = _of(self.opening_toughness, points)
        more = _of(self.shear_toughness, points) - first
        grown = self.exponent * mixture ** (self.exponent - 1.0)
        return onset, onset_slope, first + more * mixture**self.exponent, more * grown


def _of(values: Array, points: Integers) -> Array:
    """The values (k,) of ``points``, or the one (1,) that holds for all."""
    return values if len(values) == 1 else values[points]


def _held_once(values: Array) -> Array:
    """``values`` (p,), or the first alone (1,) where all are the same: less to work out at every jump."""
    return values[:1] if (values == values[0]).all() else values
