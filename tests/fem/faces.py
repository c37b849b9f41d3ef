"""Faces that bear on each other with nothing between them, as the crushing of a bond's faces makes them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glueline.fem.crushing import crushed_to, crushing_tangent
from glueline.fem.model import Array
from glueline.fem.traction_law import Closing


@dataclass(frozen=True)
class Pressed:
    """What pressed faces answer, each (p,): ``traction`` in MPa, its ``tangent`` by the normal jump in N/mm3,
    ``crushed`` in mm, and ``growing`` where it grew."""

    traction: Array
    tangent: Array
    crushed: Array
    growing: NDArray[np.bool_]


def faces(stiffness: ArrayLike, strength: ArrayLike, hardening: ArrayLike = 0.0) -> Closing:
    """How faces bear that part when they are pulled; numbers for all points, or (p,)."""
    return Closing(
        *(np.atleast_1d(np.asarray(each, dtype=float)) for each in (stiffness, strength, hardening))
    )


def press(closing: Closing, normal_jump: Array, crushed_before: Array) -> Pressed:
    """The faces at ``normal_jump`` (p,) mm after ``crushed_before`` (p,) mm."""
    crushed, growing = crushed_to(closing, normal_jump, crushed_before)
    borne = normal_jump + crushed
    bears = closing.both_ways | (borne <= 0.0)
    tangent = np.where(growing, crushing_tangent(closing), np.where(bears, closing.stiffness, 0.0))
    return Pressed(np.where(bears, closing.stiffness * borne, 0.0), tangent, crushed, growing)
