"""Where and how the glue gives on a path that was followed past its peak."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.fem.crushing import borne_jump
from glueline.fem.traction_law import spent_energy
from glueline.materials import Bond
from glueline.studies.corner.glue_limits import Limit, cheek_angles, line_mode
from glueline.studies.corner.places import place_on_cheek, place_on_line
from glueline.studies.predict.break_path import BreakPath

Array = NDArray[np.float64]

PAST = 0.9  # share of the highest load at which the fall tells which surface lets go


def glue_break(found: BreakPath) -> Limit:
    """The surface that lets go at the highest load, the place where its glue goes first, and the mode.

    The surface is the one that spends most energy from the highest load until it has fallen by a tenth: that
    is what brings the load down. The place is where this surface's glue had gone furthest by then, and the
    mode that in which its energy was spent.
    """
    path = found.path
    top = path.highest
    fallen = np.flatnonzero(path.load[top:] < PAST * path.load[top])
    end = top + int(fallen[0]) if len(fallen) else len(path.load) - 1
    spent = {surface.name: _spent(found, surface, top, end) for surface in found.corner.surfaces}
    worst = max(
        found.corner.surfaces, key=lambda surface: float(surface.weight @ spent[surface.name].sum(axis=0))
    )
    gone = found.gone(end)[worst.name]
    # Where several points have gone, the first that was damaged tells where it started.
    early = found.path.damage[worst.name][: end + 1].sum(axis=0)
    at = int(np.argmax(np.where(gone >= 0.99 * gone.max(), early, -1.0)))
    point = worst.points[at]
    return Limit(
        kind="glue",
        part=worst.name,
        mode=_mode(found, worst, end),
        where=_place(found, worst, at),
        load=found.glue_load,
        point=(float(point[0]), float(point[1])),
        length=0.0,
        note="followed past the highest load: no mean over a length was needed",
    )


def _spent(found: BreakPath, surface: BondedSurface, start: int, end: int) -> Array:
    """Energy (steps, p) in N/mm that the points of a surface spend in every step from start to end."""
    path, law = found.path, found.laws[surface.name]
    damage, crushed = path.damage[surface.name], path.crushed[surface.name]
    steps = []
    before = surface.jumps(path.displacements(start))
    for state in range(start + 1, end + 1):
        jump = surface.jumps(path.displacements(state))
        steps.append(
            spent_energy(
                law,
                borne_jump(before, crushed[state - 1]),
                damage[state - 1],
                borne_jump(jump, crushed[state]),
                damage[state],
            )
        )
        before = jump
    return np.array(steps).reshape(-1, len(surface.weight))


def _mode(found: BreakPath, surface: BondedSurface, end: int) -> str:
    """Name of the mode in which most of the energy of a surface was spent up to a state."""
    path, bond = found.path, found.corner.bonds[surface.name]
    spent = _spent(found, surface, 0, end) * surface.weight
    total = max(float(spent.sum()), 1e-300)
    shear = across = 0.0
    for state in range(1, end + 1):
        jump = borne_jump(surface.jumps(path.displacements(state)), path.crushed[surface.name][state])
        traction = np.einsum("pij,pj->pi", surface.stiffness, jump)
        if isinstance(bond, Bond):
            sliding = (traction[:, 0] / bond.shear_strength) ** 2
            opening = (np.maximum(traction[:, 1], 0.0) / bond.opening_strength) ** 2
            shear += float(spent[state - 1] @ (sliding / np.maximum(sliding + opening, 1e-300)))
        else:
            across += float(spent[state - 1] @ _across_share(found, surface, traction))
    if isinstance(bond, Bond):
        return line_mode(shear / total)
    return "rolling shear beside the glue" if across >= 0.5 * total else "glue shear"


def _across_share(found: BreakPath, surface: BondedSurface, traction: Array) -> Array:
    """Part (p,) of shear across the grain in the index of the weaker side of a cheek."""
    bond = found.corner.bonds[surface.name]
    if isinstance(bond, Bond):
        raise TypeError(f"{surface.name} is not a cheek")
    sides = []
    for side, angle in zip(bond.sides, cheek_angles(found.corner, surface), strict=True):
        along = (traction @ np.array([np.cos(angle), np.sin(angle)]) / side.shear_strength) ** 2
        across = (traction @ np.array([-np.sin(angle), np.cos(angle)]) / side.rolling_strength) ** 2
        sides.append((along + across, across))
    weaker = sides[1][0] > sides[0][0]
    index = np.where(weaker, sides[1][0], sides[0][0])
    across = np.where(weaker, sides[1][1], sides[0][1])
    return np.asarray(across / np.maximum(index, 1e-300))


def _place(found: BreakPath, surface: BondedSurface, at: int) -> str:
    layout = found.corner.layout
    if surface.is_line:
        line = next(line for line in layout.glue_lines if line.name == surface.name)
        return place_on_line(line, float(surface.distance[at]))
    return place_on_cheek(layout, surface.name, surface.points[at])
