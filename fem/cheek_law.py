"""Traction-separation law of a cheek: two faces sliding on each other, the grain of each in the face."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields

import numpy as np

from glueline.fem.model import Array
from glueline.fem.softening import check_curve
from glueline.fem.traction_law import NOTHING, Drive, Measure


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

    def forms(self, stiffness: Array) -> Array:
        """What a jump makes of the strengths along and across the grain: (p, 2, 2), rows by jump.

        With ``stiffness`` (p, 2, 2) undamaged; row 0 along / f_s, row 1 across / f_roll.
        """
        return np.asarray(self._strengths() @ stiffness)

    def shares(self, traction: Array) -> Array:
        """Shares of strength (p, 2) along and across the grain, signed, of a ``traction`` (p, 2) in x, y."""
        return np.asarray(traction @ self._strengths().T)

    def _strengths(self) -> Array:
        """Rows along / f_s and across / f_roll, by which a traction in x and y becomes shares of strength."""
        c, s = np.cos(self.grain_angle), np.sin(self.grain_angle)
        return np.asarray([[c, s], [-s, c]] / np.array([[self.shear_strength], [self.rolling_strength]]))


@dataclass(frozen=True)
class CheekLaw:
    """Law of a cheek; jump and traction in x and y. ``stiffness`` (p, 2, 2) per face in N/mm3.

    Onset is reached on the weaker side, at (along / f_s)^2 + (across / f_roll)^2 = 1; a side's toughness goes
    straight from shear to rolling with the share that the second term has. Where the sides also differ in
    toughness the lesser holds, which keeps the law continuous as the traction turns.
    """

    stiffness: Array
    sides: tuple[CheekSideLaw, CheekSideLaw]
    softening: str = "linear"
    points: CheekPoints = field(init=False, repr=False)

    def __post_init__(self) -> None:
        count = len(self.stiffness)
        points = CheekPoints(
            self.stiffness,
            np.stack([side.forms(self.stiffness) for side in self.sides], axis=1),
            np.tile([side.shear_toughness for side in self.sides], (count, 1)),
            np.tile([side.rolling_toughness for side in self.sides], (count, 1)),
            self.softening,
        )
        object.__setattr__(self, "points", points)
        for turn in np.linspace(0, np.pi, 37):
            measure = self.measure(np.tile([np.cos(turn), np.sin(turn)], (count, 1)))
            check_curve(self.softening, measure.onset, measure.toughness)

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at ``jump`` (p, 2)."""
        return self.points.measure(jump)

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at ``jump`` (p, 2)."""
        return self.points.drive(jump)


@dataclass(frozen=True)
class CheekPoints:
    """Points of one cheek or several: ``stiffness`` (p, 2, 2), ``forms`` (p, side, along or across, jump).

    ``shear_toughness`` and ``rolling_toughness`` (p, side).
    """

    stiffness: Array
    forms: Array
    shear_toughness: Array
    rolling_toughness: Array
    softening: str

    @classmethod
    def joined(cls, parts: Sequence[CheekPoints]) -> CheekPoints:
        """The points of all ``parts``, which soften alike, in one list."""
        return cls(
            np.concatenate([part.stiffness for part in parts]),
            np.concatenate([part.forms for part in parts]),
            np.concatenate([part.shear_toughness for part in parts]),
            np.concatenate([part.rolling_toughness for part in parts]),
            parts[0].softening,
        )

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at ``jump`` (p, 2)."""
        stretch = _stretch(self._pull(jump), jump)
        squares = self._shares(jump) ** 2
        both = np.maximum(squares[..., 0] + squares[..., 1], NOTHING)
        toughness = self._toughnesses(squares[..., 1] / both).min(axis=1)
        return Measure(stretch, stretch / np.sqrt(both.max(axis=1)), toughness)

    def drive(self, jump: Array) -> Drive:
        """Stretch, onset, toughness and tractions at ``jump`` (p, 2)."""
        pull = self._pull(jump)
        stretch = _stretch(pull, jump)
        stretch_slope = pull / stretch[:, None]
        shares = self._shares(jump)
        squares = shares**2
        both = np.maximum(squares[..., 0] + squares[..., 1], NOTHING)
        index, index_slope = self._index(shares, both)
        toughness, toughness_slope = self._toughness(shares, squares, both)
        root = np.sqrt(index)
        nothing = np.zeros_like(pull)
        return Drive(
            stretch,
            stretch_slope,
            stretch / root,
            (stretch_slope - (0.5 * stretch / index)[:, None] * index_slope) / root[:, None],
            toughness,
            toughness_slope,
            pull,
            self.stiffness,
            nothing,
            np.zeros_like(self.stiffness),
        )

    def _pull(self, jump: Array) -> Array:
        return np.asarray(self.stiffness[:, :, 0] * jump[:, :1] + self.stiffness[:, :, 1] * jump[:, 1:])

    def _shares(self, jump: Array) -> Array:
        """Shares of strength (p, side, along or across)."""
        return np.asarray(self.forms[..., 0] * jump[:, None, :1] + self.forms[..., 1] * jump[:, None, 1:])

    def _toughnesses(self, part: Array) -> Array:
        """Toughness (p, side) where rolling has the share ``part`` (p, side) of the index."""
        return np.asarray(self.shear_toughness + (self.rolling_toughness - self.shear_toughness) * part)

    def _index(self, shares: Array, both: Array) -> tuple[Array, Array]:
        """Index of onset of the weaker side (p,) and its slope (p, 2)."""
        point = np.arange(len(both))
        weaker = (both[:, 1] > both[:, 0]).astype(np.intp)
        form, share = self.forms[point, weaker], shares[point, weaker]
        return both[point, weaker], 2.0 * (share[:, :1] * form[:, 0] + share[:, 1:] * form[:, 1])

    def _toughness(self, shares: Array, squares: Array, both: Array) -> tuple[Array, Array]:
        """The lesser toughness of both sides (p,) and its slope (p, 2)."""
        point = np.arange(len(both))
        part = squares[..., 1] / both
        values = self._toughnesses(part)
        lesser = (values[:, 1] < values[:, 0]).astype(np.intp)
        form, share, part = self.forms[point, lesser], shares[point, lesser], part[point, lesser]
        slope = (1.0 - part)[:, None] * share[:, 1:] * form[:, 1] - part[:, None] * share[:, :1] * form[:, 0]
        step = (self.rolling_toughness - self.shear_toughness)[point, lesser]
        return values[point, lesser], slope * (2.0 * step / both[point, lesser])[:, None]


def _stretch(pull: Array, jump: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(pull[:, 0] * jump[:, 0] + pull[:, 1] * jump[:, 1], NOTHING)))
