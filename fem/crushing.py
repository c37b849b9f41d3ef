"""Faces that bear on each other and crush: the closing side of a glue line, point by point.

The jump across a glue line is split in two, normal jump = borne jump - crushed. The crushed part only grows;
on the borne part the bond acts as ever: below zero the faces bear on each other with the closing stiffness k,

    traction = k (normal jump + crushed) >= -(strength + H crushed),

and above zero the bond opens. So crushed faces part at normal jump = -crushed, and from there on a bond that
still holds is pulled and a broken one carries nothing. Evaluate the bond's law, its spent and its stored
energy at ``borne_jump``: were opening measured from the faces as they stood before crushing, a bond that
holds would hang loose over the crushed part, without stiffness and for no reason. Slip and crushing know
nothing of each other: there is no friction, and under pressure damage comes from slip alone. So the tangent
of a bond with crushing is that of its law at the borne jump, with the normal entry replaced by
``crushing_tangent`` where crushing grows.

H is the hardening, in MPa of pressure for a mm crushed. It is a property of what is crushed and no help to
the solver: beside a film of 8000 N/mm3, 8 N/mm3 already lift the moment of a 19 mm face pressed to 0.8 of its
strength by 4 % at a turn of 1 mrad and by 12 % at 3 mrad. Zero is a flat plateau, the strength that was given
whatever the stiffness of the film; its tangent of zero is harmless where softening brings tangents below zero
anyway. The structure is singular only where no point bears, holds or leans on its neighbours' bulk any more,
which is its collapse.

The energy spent is the integral of the pressure over the crushing (``crushing_work``): crushed wood gives
nothing back, so what hardening takes is spent as well. The elastic energy of bearing faces is t^2 / (2 k).

Where points bear ``both_ways``, as a rod does in its hole, the crushed part has a sign: closing past the
limit makes it grow, opening past it makes it shrink, and the limits of both move with it,

    traction = k (normal jump + crushed),    |traction + H crushed| <= strength

(kinematic hardening). A hole that was crushed on one side bears again as soon as its rod comes back: the
slack that it has in truth is left out, which matters only where the load turns round for good.

One-dimensional plasticity with linear hardening, returned in one step (Simo and Hughes 1998, Computational
Inelasticity, ch. 1, recalled).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glueline.fem.model import Array
from glueline.fem.traction_law import Closing, side_by_side


def crushing_tangent(closing: Closing) -> Array:
    """N/mm3 of normal jump, by which the pressure grows where crushing goes on."""
    stiffness, modulus = closing.stiffness, closing.crushing_hardening
    return stiffness * modulus / (stiffness + modulus)


def crushed_to(
    closing: Closing, normal_jump: Array, crushed_before: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """``crushed`` (p,) in mm and where it grew, at a ``normal_jump`` (p,) in mm, below zero where it closes.

    >>> oak = Closing(*(np.array([number]) for number in (8000.0, 8.0, 80.0)))
    >>> crushed, growing = crushed_to(oak, np.array([-0.101]), np.zeros(1))
    >>> crushed.round(3).tolist(), growing.tolist()  # mm
    ([0.099], [True])
    """
    stiffness, strength, modulus, both_ways, _ = closing
    pressed = -stiffness * (normal_jump + crushed_before) - modulus * crushed_before
    beyond = pressed - strength
    growing = beyond > 0.0
    more = np.where(growing, beyond, 0.0)
    if both_ways.any():
        beyond = np.abs(pressed) - strength
        growing = np.where(both_ways, beyond > 0.0, growing)
        more = np.where(both_ways, np.sign(pressed) * np.maximum(beyond, 0.0), more)
    return crushed_before + more / (stiffness + modulus), growing


def crushing_work(
    crushing_strength: ArrayLike, crushed_before: Array, crushed: Array, hardening: ArrayLike = 0.0
) -> Array:
    """Energy (p,) in N/mm spent on crushing from ``crushed_before`` to ``crushed`` (p,) mm, exactly."""
    strength, modulus = np.asarray(crushing_strength, float), np.asarray(hardening, float)
    more = crushed - crushed_before
    pressure = np.where(more != 0.0, strength, 0.0)
    pressure = pressure + 0.5 * modulus * (crushed_before + crushed) * np.sign(more)
    return np.asarray(pressure * np.abs(more))


def borne_jump(jump: Array, crushed: Array) -> Array:
    """The jump (p, 2), slip and opening, that is left for the bond when ``crushed`` (p,) mm are taken off."""
    return side_by_side(jump[:, 0], jump[:, 1] + crushed)


def crushing_share(closing: Closing, normal_jump: Array, crushed: Array) -> Array:
    """Pressure over the pressure at which crushing goes on, (p,): 1 at the limit, 0 where faces are apart.

    Linear in the jump before any crushing, so its inverse at P = 1 N is the load at which crushing starts.
    """
    stiffness, strength, modulus, both_ways, _ = closing
    traction = stiffness * (normal_jump + crushed)
    share = np.maximum(-traction, 0.0) / (strength + modulus * crushed)
    if both_ways.any():
        share = np.where(both_ways, np.abs(traction + modulus * crushed) / strength, share)
    return np.asarray(share)


def eased(closing: Closing, borne: Array, crushed: Array, by: float = 1e-12) -> Array:
    """``crushed`` (p,) as if faces under pressure had crushed ``by`` mm more: those at their limit unload.

    Only of faces that bear, at a normal jump ``borne`` (p,) mm: on open ones more crushing would open the
    bond further.
    """
    more = np.where(borne < 0.0, by, 0.0)
    if closing.both_ways.any():
        pressed = closing.stiffness * borne + closing.crushing_hardening * crushed
        more = np.where(closing.both_ways, -by * np.sign(pressed), more)
    return np.asarray(crushed + more)
