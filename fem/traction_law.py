"""Traction-separation laws: how a bond softens and breaks, point by point.

All laws follow one formulation, isotropic damage of the bond's energy after Turon, Camanho, Costa and
Davila 2006 (Mechanics of Materials 38), written in the energy norm of the jump so that it holds for any
stiffness. With K the stiffness that damage can reach,

    traction = (1 - D) K jump,    stretch = sqrt(jump . K jump),    D = max over the past of d(jump).

On a path of fixed mixture the traction's work is the area under (1 - D) stretch against stretch, so d is
chosen to make that area a given softening curve: it starts at ``onset`` and encloses the toughness of the
mixture. The energy spent is the integral of stretch^2 / 2 dD, which no path can make fall. Under a changing
mixture onset and toughness are those of the present jump, and the consistent tangent is unsymmetric.

A law is a class that follows ``TractionLaw``: it knows itself, and nothing here or in what follows a path
asks what kind it is.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple, Protocol, Self

import numpy as np
from numpy.typing import NDArray

from glueline.fem.model import Array, Integers
from glueline.fem.softening import branch_slopes, branches, final_stretch, spent_to

NOTHING = 1e-300


def side_by_side(first: Array, second: Array) -> Array:
    """Two columns (p,) as one array (p, 2), each whole in memory: numpy is slow along rows of two."""
    columns = np.empty((2, len(first)))
    columns[0], columns[1] = first, second
    return columns.T


class Drive(NamedTuple):
    """How what drives damage grows with the jump: (k,) values with their derivatives (k, 2).

    ``stretch`` and ``onset`` are roots of an energy, (N/mm)^(1/2), ``toughness`` in N/mm. As stretch^2 is
    jump . K jump, stretch times its derivative is the traction K jump that damage reduces.
    """

    stretch: Array
    stretch_slope: Array
    onset: Array
    onset_slope: Array
    toughness: Array
    toughness_slope: Array


class Measure(NamedTuple):
    """How far a jump goes, (p,) each: its stretch, and the onset and toughness of its mixture.

    ``stretch`` and ``onset`` in (N/mm)^(1/2), ``toughness`` in N/mm.
    """

    stretch: Array
    onset: Array
    toughness: Array


class Undamaged(NamedTuple):
    """What a jump does to undamaged bond: a ``Measure`` and the traction in its parts.

    ``pull`` (p, 2) in MPa is the part that damage reduces, ``bearing`` (p, 2) the part that it does not, None
    where there is none.
    """

    measure: Measure
    pull: Array
    bearing: Array | None


class Closing(NamedTuple):
    """How faces bear on each other, arrays (p,) or (1,) for all points.

    ``stiffness`` in N/mm3 of a closing jump; ``crushing_strength`` in MPa ends the bearing, infinite where
    faces do not crush, and ``crushing_hardening`` in N/mm3 lifts it with what is crushed: ``fem.crushing``.
    ``both_ways`` tells where an opening jump is borne and crushes as a closing one does, as by the walls of a
    hole. ``reach`` in mm is the change of normal jump that counts as a whole one in the length of a step;
    infinite where only damage counts.
    """

    stiffness: Array
    crushing_strength: Array
    crushing_hardening: Array
    both_ways: NDArray[np.bool_] = np.zeros(1, dtype=bool)
    reach: Array = np.full(1, np.inf)

    def of(self, points: Integers) -> Closing:
        """Those of some ``points`` (k,), where all arrays are (p,)."""
        stiffness, strength, hardening, both_ways, reach = self
        return Closing(
            stiffness[points], strength[points], hardening[points], both_ways[points], reach[points]
        )


class TractionLaw(Protocol):
    """A law over p points. Jumps (p, 2) in mm in a surface's own axes, tractions in MPa.

    What follows a path (``fem.equilibrium``) keeps account of crushing by ``closing``; ``drive`` knows
    bearing only.
    """

    @property
    def softening(self) -> str:
        """One of SOFTENINGS."""
        ...

    @property
    def alike(self) -> Hashable:
        """What laws must have in common to be ``joined``; a law that never is may give ``id(self)``."""
        ...

    @property
    def closing(self) -> Closing | None:
        """Bearing of faces whose second jump is below zero; None for a law under which none close."""
        ...

    @classmethod
    def joined(cls, laws: Sequence[Self], counts: Sequence[int]) -> Self:
        """One law that does point by point what ``laws``, alike and for ``counts`` points each, would."""
        ...

    def at(self, points: Integers) -> Self:
        """The law of ``points`` (k,) among those of this one."""
        ...

    def measure(self, jump: Array) -> Measure:
        """Stretch, onset and toughness at ``jump`` (p, 2)."""
        ...

    def undamaged(self, jump: Array) -> Undamaged:
        """Measure and tractions at ``jump`` (p, 2)."""
        ...

    def secant(self, jump: Array, left: Array) -> Array:
        """Stiffness (p, 2, 2) in N/mm3 at ``jump`` (p, 2) of a bond whose share ``left`` (p,) pulls."""
        ...

    def drive(self, jump: Array, points: Integers) -> Drive:
        """What drives the damage of some ``points`` (k,) of the law at their own ``jump`` (k, 2)."""
        ...


def joined_laws(laws: Sequence[TractionLaw], counts: Sequence[int]) -> list[tuple[TractionLaw, slice]]:
    """Laws and the points that each is for: neighbours that are alike become one, worked out in one go.

    ``counts`` gives the number of points of every law.
    """
    groups: list[tuple[TractionLaw, slice]] = []
    start = 0
    for _, together in groupby(zip(laws, counts, strict=True), key=lambda pair: pair[0].alike):
        own, points = zip(*together, strict=True)
        law = own[0] if len(own) == 1 else own[0].joined(own, points)
        groups.append((law, slice(start, start + sum(points))))
        start += sum(points)
    return groups


class Pulled(NamedTuple):
    """Traction (p, 2) in MPa, ``damage`` (p,), and where it is growing."""

    traction: Array
    damage: Array
    growing: NDArray[np.bool_]


def pulled(law: TractionLaw, jump: Array, damage_before: Array) -> Pulled:
    """Traction and damage at ``jump`` (p, 2) after ``damage_before`` (p,)."""
    whole = law.undamaged(jump)
    damage, growing = _damage(law, whole.measure, damage_before)
    traction = (1.0 - damage)[:, None] * whole.pull
    return Pulled(traction if whole.bearing is None else traction + whole.bearing, damage, growing)


def consistent_tangent(law: TractionLaw, jump: Array, damage: Array, growing: NDArray[np.bool_]) -> Array:
    """Derivative (p, 2, 2) in N/mm3 by the ``jump`` (p, 2) of the traction of ``pulled``.

    ``damage`` (p,) and where it is ``growing`` are what that found.
    """
    tangent = law.secant(jump, 1.0 - damage)
    points = np.flatnonzero(growing)
    if len(points):
        drive = law.drive(jump[points], points)
        pull = drive.stretch[:, None] * drive.stretch_slope
        tangent[points] -= pull[:, :, None] * _damage_slope(law.softening, drive)[:, None, :]
    return tangent


@dataclass(frozen=True)
class Response:
    """Traction (p, 2) in MPa, tangent (p, 2, 2) in N/mm3, ``damage`` (p,), and where it is growing."""

    traction: Array
    tangent: Array
    damage: Array
    growing: NDArray[np.bool_]


def evaluate(law: TractionLaw, jump: Array, damage_before: Array) -> Response:
    """Traction, consistent tangent and damage at ``jump`` (p, 2) after ``damage_before`` (p,)."""
    traction, damage, growing = pulled(law, jump, damage_before)
    return Response(traction, consistent_tangent(law, jump, damage, growing), damage, growing)


def _damage(law: TractionLaw, measure: Measure, damage_before: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Damage (p,) of a bond stretched straight to the present jump if that is more than before, and where."""
    stretch, onset, toughness = measure
    pieces = [height / stretch - fall for height, fall in branches(law.softening, onset, toughness)]
    left = np.maximum(pieces[0] if len(pieces) == 1 else np.maximum(*pieces), 0.0)
    fresh = 1.0 - left
    growing = (fresh > damage_before) & (stretch > onset)
    return np.where(growing, fresh, damage_before), growing


def _damage_slope(softening: str, drive: Drive) -> Array:
    """Derivative (k, 2) by the jump of damage that grows."""
    stretch, onset, toughness = drive.stretch, drive.onset, drive.toughness
    curve = branches(softening, onset, toughness)
    slopes = branch_slopes(softening, onset, toughness)
    left, slope = None, np.empty(0)
    for (height, fall), (height_onset, height_tough, fall_onset, fall_tough) in zip(
        curve, slopes, strict=True
    ):
        value = height / stretch - fall
        own = (height / stretch**2)[:, None] * drive.stretch_slope
        own -= (height_onset / stretch - fall_onset)[:, None] * drive.onset_slope
        own -= (height_tough / stretch - fall_tough)[:, None] * drive.toughness_slope
        if left is None:
            left, slope = value, own
            continue
        upper = value > left
        left, slope = np.where(upper, value, left), np.where(upper[:, None], own, slope)
    if left is not None:
        slope[left <= 0.0] = 0.0
    return slope


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
