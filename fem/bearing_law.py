"""Law of faces and walls that bear without a bond: pressure up to a plateau, no pull, never damage.

Dry faces, unglued floors and heads bear one way, traction = k min(normal jump + crushed, 0); the walls of a
hole bear both ways, and so does a rod that bends for good. Both crush as ``fem.crushing`` says. What follows
a path never finds them damaged, so they neither make a first damage nor end a path.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from glueline.fem.model import Array, Integers
from glueline.fem.traction_law import Closing, Drive, Measure, Undamaged

PER_POINT = ("stiffness", "strength", "hardening", "reach")


@dataclass(frozen=True)
class BearingLaw:
    """Law of points that bear; local jump (slip, normal), no traction along the face.

    Arrays (p,), or (1,) for all points: ``stiffness`` in N/mm3, ``strength`` in MPa at which they crush,
    infinite where they never do, ``hardening`` in N/mm3 by which that rises with what is crushed, and
    ``reach`` in mm, the change of jump that counts as a whole one in the length of a path's steps.
    ``both_ways`` bears an opening jump as well as a closing one. Raises ValueError for a stiffness, strength
    or reach not above zero, and for hardening below zero.

    A bit of crushing hardens every wood; without any, a structure whose last support is a plateau has no
    stiffness left and its path ends there.

    >>> from glueline.fem.traction_law import evaluate
    >>> dry = BearingLaw(np.array([800.0]), np.array([8.0]))
    >>> evaluate(dry, np.array([[0.3, 0.1], [0.3, -0.005]]), np.zeros(2)).traction.tolist()
    [[0.0, 0.0], [0.0, -4.0]]
    """

    stiffness: Array
    strength: Array
    hardening: Array | float = 0.0
    both_ways: bool = False
    reach: Array | float = 1.0

    def __post_init__(self) -> None:
        for name in PER_POINT:
            value = np.atleast_1d(np.asarray(getattr(self, name), dtype=float))
            if not ((value >= 0) if name == "hardening" else (value > 0)).all():
                raise ValueError(f"{name} must be {'not below' if name == 'hardening' else 'above'} zero")
            if name in ("stiffness", "hardening") and not np.isfinite(value).all():
                raise ValueError(f"{name} must be finite")
            object.__setattr__(self, name, value)

    @property
    def softening(self) -> str:
        """None: the name of a curve that no point ever comes to."""
        return "linear"

    @property
    def alike(self) -> Hashable:
        """One way or both."""
        return BearingLaw, self.both_ways

    @property
    def closing(self) -> Closing:
        """All that the law is."""
        return Closing(
            np.asarray(self.stiffness),
            np.asarray(self.strength),
            np.asarray(self.hardening),
            np.array([self.both_ways]),
            np.asarray(self.reach),
        )

    @classmethod
    def joined(cls, laws: Sequence[BearingLaw], counts: Sequence[int]) -> BearingLaw:
        """One law for the points of all ``laws``, which are alike and for ``counts`` points each."""
        over_points: dict[str, Any] = {
            name: np.concatenate(
                [np.broadcast_to(getattr(law, name), count) for law, count in zip(laws, counts, strict=True)]
            )
            for name in PER_POINT
        }
        return replace(laws[0], **over_points)

    def at(self, points: Integers) -> BearingLaw:
        """The law of ``points`` (k,) among those of this one."""
        varying: dict[str, Any] = {name: np.asarray(getattr(self, name)) for name in PER_POINT}
        return replace(self, **{name: value[points] for name, value in varying.items() if len(value) > 1})

    def measure(self, jump: Array) -> Measure:
        """No stretch at any ``jump`` (p, 2): nothing brings it nearer to damage."""
        return Measure(np.zeros(len(jump)), np.ones(len(jump)), np.ones(len(jump)))

    def undamaged(self, jump: Array) -> Undamaged:
        """Bearing only, at ``jump`` (p, 2) from the crushed faces."""
        one, bearing = np.ones(len(jump)), np.zeros(jump.shape)
        bearing[:, 1] = self.stiffness * (jump[:, 1] if self.both_ways else np.minimum(jump[:, 1], 0.0))
        # A stretch below the onset, and not zero because damage divides by it.
        return Undamaged(Measure(0.5 * one, one, one), np.zeros(jump.shape), bearing)

    def secant(self, jump: Array, left: Array) -> Array:
        """Stiffness (p, 2, 2) in N/mm3 of bearing; ``left`` (p,) has no part in it."""
        stiffness = np.zeros((len(jump), 2, 2))
        bears = self.both_ways | (jump[:, 1] <= 0)
        stiffness[:, 1, 1] = np.where(bears, self.stiffness, 0.0)
        return stiffness

    def drive(self, jump: Array, points: Integers) -> Drive:
        """Never at its onset, whatever the ``jump`` (k, 2) of its ``points`` (k,)."""
        one, nothing = np.ones(len(points)), np.zeros((len(points), 2))
        return Drive(0.5 * one, nothing, one, nothing, one, nothing)
