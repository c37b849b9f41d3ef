"""Traction-separation law of a cheek: two faces sliding on each other, the grain of each in the face."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from glueline.fem.model import Array, Integers
from glueline.fem.softening import check_curve
from glueline.fem.traction_law import NOTHING, Drive, Measure, Undamaged

PER_POINT = ("stiffness", "forms", "shear_toughness", "rolling_toughness")
"""What varies from point to point of a cheek."""


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
        for item in fields(self)[1:]:
            if not getattr(self, item.name) > 0:
                raise ValueError(f"{item.name} must be above zero")

    def shares(self, traction: Array) -> Array:
        """Shares (p, 2) of strength along and across the grain from a ``traction`` (p, 2) in MPa in x, y.

        Signed; onset is where their squares sum to 1.
        """
        return np.asarray(traction @ self._by_traction.T)

    def forms(self, stiffness: Array) -> Array:
        """The same by undamaged jump: (p, 2, 2) in 1/mm, from ``stiffness`` (p, 2, 2) in N/mm3 in x, y."""
        return np.asarray(self._by_traction @ stiffness)

    def toughness(self, shares: Array) -> Array:
        """Toughness (p,) in N/mm at ``shares`` (p, 2): straight from shear to rolling by the index.

        Rolling counts with the part that the square of the second share has in the sum of both.
        """
        return _toughness(onset_index(shares)[1], self.shear_toughness, self.rolling_toughness)

    @property
    def _by_traction(self) -> Array:
        """Shares from a traction in x, y: row 0 along / f_s, row 1 across / f_roll."""
        c, s = np.cos(self.grain_angle), np.sin(self.grain_angle)
        return np.array(
            [
                [c / self.shear_strength, s / self.shear_strength],
                [-s / self.rolling_strength, c / self.rolling_strength],
            ]
        )


class _BySlip(NamedTuple):
    """What a cheek's law needs at every slip, its points last: they follow each other in memory.

    ``stiffness`` (2, 2, p), ``forms`` (side, along or across, 2, p); ``tougher`` (side, p) is by how much
    rolling takes more than shear.
    """

    stiffness: Array
    forms: Array
    shear_toughness: Array
    tougher: Array


@dataclass(frozen=True)
class CheekLaw:
    """Law of the points of one cheek, or of several joined; jump and traction in x and y. ``of`` makes it.

    ``stiffness`` (p, 2, 2) per face in N/mm3; ``forms`` (p, side, along or across, jump) in 1/mm are the
    shares of strength by undamaged jump; ``shear_toughness`` and ``rolling_toughness`` (p, side) in N/mm.

    Onset is reached on the weaker side, at (along / f_s)^2 + (across / f_roll)^2 = 1; a side's toughness goes
    straight from shear to rolling with the share that the second term has. Where the sides also differ in
    toughness the lesser holds, which keeps the law continuous as the traction turns. Cheeks only slide.

    >>> from glueline.fem.traction_law import evaluate
    >>> sides = CheekSideLaw(0.0, 9.0, 2.5, 0.8, 0.4), CheekSideLaw(np.pi / 2, 9.0, 2.5, 0.8, 0.4)
    >>> law = CheekLaw.of(np.array([np.diag([300.0, 300.0])]), sides)
    >>> response = evaluate(law, np.array([[0.01, 0.0]]), np.zeros(1))  # rolls the wood of the second side
    >>> response.traction.round(3).tolist(), response.growing.tolist()
    ([[2.487, 0.0]], [True])
    """

    stiffness: Array
    forms: Array
    shear_toughness: Array
    rolling_toughness: Array
    softening: str

    @classmethod
    def of(
        cls, stiffness: Array, sides: tuple[CheekSideLaw, CheekSideLaw], softening: str = "linear"
    ) -> CheekLaw:
        """The law of one cheek between two ``sides``, with the ``stiffness`` (p, 2, 2) of its surface.

        Raises ValueError for an unknown softening, or strengths that store more energy than the toughness.
        """
        count = len(stiffness)
        law = cls(
            stiffness,
            np.stack([side.forms(stiffness) for side in sides], axis=1),
            np.tile([side.shear_toughness for side in sides], (count, 1)),
            np.tile([side.rolling_toughness for side in sides], (count, 1)),
            softening,
        )
        turns = np.linspace(0, np.pi, 37)
        slips = np.stack([np.cos(turns), np.sin(turns)], axis=1)
        # Most cheeks are as stiff everywhere: one point then stands for all.
        differ = 1 if count and (stiffness == stiffness[0]).all() else count
        each = law.at(np.repeat(np.arange(differ), len(turns)))
        measure = each.measure(np.tile(slips, (differ, 1)))
        check_curve(softening, measure.onset, measure.toughness)
        return law

    @property
    def alike(self) -> Hashable:
        """Softening."""
        return CheekLaw, self.softening

    @property
    def closing(self) -> None:
        """Faces that slide on each other do not close."""
        return None

    @classmethod
    def joined(cls, laws: Sequence[CheekLaw], counts: Sequence[int]) -> CheekLaw:
        """One law for the points of all ``laws``, which are alike."""
        every: dict[str, Any] = {
            name: np.concatenate([getattr(law, name) for law in laws]) for name in PER_POINT
        }
        return replace(laws[0], **every)

    def at(self, points: Integers) -> CheekLaw:
        """The law of ``points`` (k,) among those of this one."""
        return replace(self, **{name: getattr(self, name)[points] for name in PER_POINT})

    @cached_property
    def _by_slip(self) -> _BySlip:
        def first(values: Array) -> Array:
            return np.ascontiguousarray(np.moveaxis(values, 0, -1))

        tougher = self.rolling_toughness - self.shear_toughness
        return _BySlip(first(self.stiffness), first(self.forms), first(self.shear_toughness), first(tougher))

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at ``jump`` (p, 2)."""
        return self.undamaged(jump).measure

    def undamaged(self, jump: Array) -> Undamaged:
        """Measure and tractions at ``jump`` (p, 2); nothing bears."""
        own, (x, y) = self._by_slip, np.ascontiguousarray(jump.T)
        pull = own.stiffness[:, 0] * x + own.stiffness[:, 1] * y
        stretch = np.sqrt(np.maximum(pull[0] * x + pull[1] * y, NOTHING))
        squares = (own.forms[:, :, 0] * x + own.forms[:, :, 1] * y) ** 2
        index = np.maximum(squares[:, 0] + squares[:, 1], NOTHING)
        toughness = own.shear_toughness + own.tougher * (squares[:, 1] / index)
        onset = stretch / np.sqrt(np.maximum(index[0], index[1]))
        return Undamaged(Measure(stretch, onset, np.minimum(toughness[0], toughness[1])), pull.T, None)

    def secant(self, jump: Array, left: Array) -> Array:
        """Stiffness (p, 2, 2) in N/mm3 of which the share ``left`` (p,) holds."""
        return np.asarray(left[:, None, None] * self.stiffness)

    def drive(self, jump: Array, points: Integers) -> Drive:
        """Stretch, onset and toughness with their slopes, at the ``jump`` (k, 2) of some ``points`` (k,)."""
        stiffness, forms = self.stiffness[points], self.forms[points]
        pull = stiffness[:, :, 0] * jump[:, :1] + stiffness[:, :, 1] * jump[:, 1:]
        stretch = np.sqrt(np.maximum((pull * jump).sum(axis=1), NOTHING))
        stretch_slope = pull / stretch[:, None]
        shares = forms[..., 0] * jump[:, None, :1] + forms[..., 1] * jump[:, None, 1:]
        both, rolling = onset_index(shares)
        index, index_slope = _weaker(forms, shares, both)
        tougher = (self.rolling_toughness - self.shear_toughness)[points]
        toughness = self.shear_toughness[points] + tougher * rolling
        root = np.sqrt(index)
        return Drive(
            stretch,
            stretch_slope,
            stretch / root,
            (stretch_slope - (0.5 * stretch / index)[:, None] * index_slope) / root[:, None],
            *_lesser(forms, shares, both, rolling, toughness, tougher),
        )


def _weaker(forms: Array, shares: Array, both: Array) -> tuple[Array, Array]:
    """Index of onset (k,) of the weaker side and its slope (k, 2), from the index (k, side) of ``both``."""
    point = np.arange(len(both))
    weaker = (both[:, 1] > both[:, 0]).astype(np.intp)
    form, share = forms[point, weaker], shares[point, weaker]
    return both[point, weaker], 2.0 * (share[:, :1] * form[:, 0] + share[:, 1:] * form[:, 1])


def _lesser(
    forms: Array, shares: Array, both: Array, rolling: Array, toughness: Array, tougher: Array
) -> tuple[Array, Array]:
    """The lesser ``toughness`` (k, side) of both sides (k,) and its slope (k, 2)."""
    point = np.arange(len(both))
    lesser = (toughness[:, 1] < toughness[:, 0]).astype(np.intp)
    form, share, part = forms[point, lesser], shares[point, lesser], rolling[point, lesser]
    slope = (1.0 - part)[:, None] * share[:, 1:] * form[:, 1] - part[:, None] * share[:, :1] * form[:, 0]
    factor = 2.0 * tougher[point, lesser] / both[point, lesser]
    return toughness[point, lesser], slope * factor[:, None]


def onset_index(shares: Array) -> tuple[Array, Array]:
    """Index of onset (...) from ``shares`` (..., 2) of strength, 1 at onset, and the part of rolling."""
    squares = shares**2
    index = np.maximum(squares[..., 0] + squares[..., 1], NOTHING)
    return index, squares[..., 1] / index


def _toughness(rolling: Array, shear_toughness: Array | float, rolling_toughness: Array | float) -> Array:
    """Toughness where ``rolling`` is the part of rolling in the index."""
    return np.asarray(shear_toughness + (rolling_toughness - shear_toughness) * rolling)
