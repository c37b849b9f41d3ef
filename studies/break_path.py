"""The glue followed past its peak, and the wood judged along the way.

Groundwork for the progressive method: the path and the wood check stand, the scatter, the crushing plateau
and the pictures do not, so ``predict`` does not offer it yet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.bond import BondedSurface
from fem.bulk import bulk_stiffness
from fem.cheek_law import CheekLaw, CheekSideLaw
from fem.follower import PathControl
from fem.loads import equilibrated, pinned_unknowns, settle
from fem.path import PathFailure, PathResult, follow_path
from fem.traction_law import LineLaw, TractionLaw, evaluate
from materials import Bond, CheekBond
from studies.corner_model import CornerModel, build_corner
from studies.failures import ComputationError
from studies.glue_limits import Limit, cheek_angles
from studies.specimen import Specimen
from studies.wood_limits import WoodSample, sample_wood, wood_limits

Array = NDArray[np.float64]

LOOKS = 16  # states of the path at which wood is judged before the first failing stretch is narrowed down


@dataclass(frozen=True)
class BreakPath:
    """A corner followed to half its highest load. Loads in N.

    ``glue_load`` is the highest load of the path; ``wood`` what in the wood gives first and ``wood_load`` the
    load at which it does: on the path where it is met there, otherwise as if the glue had held.
    ``break_load`` is the highest load before the wood gives, ``state`` its place on the path.
    """

    corner: CornerModel
    path: PathResult
    glue_load: float
    wood: Limit
    wood_load: float
    break_load: float
    breaks_in: str
    state: int


def law_of(corner: CornerModel, surface: BondedSurface) -> TractionLaw:
    """The traction-separation law of a surface with the bond that its glue and woods make."""
    bond = corner.bonds[surface.name]
    if isinstance(bond, Bond):
        return LineLaw(
            np.array([bond.opening_stiffness]),
            np.array([bond.shear_stiffness]),
            np.array([bond.opening_strength]),
            np.array([bond.shear_strength]),
            np.array([bond.opening_toughness]),
            np.array([bond.shear_toughness]),
            softening=bond.softening,
        )
    return _cheek_law(corner, surface, bond)


def _cheek_law(corner: CornerModel, surface: BondedSurface, bond: CheekBond) -> CheekLaw:
    first, second = (
        CheekSideLaw(
            angle, side.shear_strength, side.rolling_strength, side.shear_toughness, side.rolling_toughness
        )
        for angle, side in zip(cheek_angles(corner, surface), bond.sides, strict=True)
    )
    return CheekLaw(surface.stiffness, (first, second), softening=bond.softening)


def follow_break(
    specimen: Specimen, *, element_size: float | None = None, control: PathControl | None = None
) -> BreakPath:
    """Follow a specimen past its peak and judge its wood. Raises ComputationError where the path ends."""
    corner = build_corner(specimen, element_size)
    arrangement = corner.arrangements[specimen.arrangement]
    try:
        path = follow_path(
            bulk_stiffness(corner.model),
            corner.surfaces,
            [law_of(corner, surface) for surface in corner.surfaces],
            equilibrated(corner.model, arrangement),
            pinned_unknowns(corner.model),
            control,
        )
    except PathFailure as error:
        raise ComputationError("following the path", str(error), "try another element size") from error
    samples = sample_wood(corner)
    met = _first_wood_break(corner, samples, path)
    intact = _wood_at(corner, samples, path, path.first_damage)
    glue_load = float(path.load.max())
    if met is None:
        wood = intact
        return BreakPath(
            corner, path, glue_load, wood, max(wood.load, glue_load), glue_load, "glue", path.highest
        )
    state, wood = met
    before = path.load[: state + 1]
    top = int(before.argmax())
    in_wood = bool(path.load[path.highest] > before[top]) or top == state
    return BreakPath(
        corner,
        path,
        glue_load,
        wood,
        float(path.load[state]),
        float(before[top]),
        "wood" if in_wood else "glue",
        top,
    )


def _wood_at(corner: CornerModel, samples: tuple[WoodSample, ...], path: PathResult, state: int) -> Limit:
    """What in the wood is nearest to giving at a state; its ``load`` is that at which it would, held so."""
    arrangement = corner.arrangements[corner.specimen.arrangement]
    load = path.load[state]
    u = settle(corner.model, arrangement, path.displacements(state))
    tractions = {
        surface.name: evaluate(
            law_of(corner, surface), surface.jumps(u), path.damage[surface.name][state]
        ).traction
        / load
        for surface in corner.surfaces
    }
    limits = wood_limits(corner, samples, u / load, tractions)
    return min((limit for limit in limits if limit.breaks), key=lambda limit: limit.load)


def _first_wood_break(
    corner: CornerModel, samples: tuple[WoodSample, ...], path: PathResult
) -> tuple[int, Limit] | None:
    """First state at which a wood criterion is met: looks along the path, then halving before the first."""
    last = len(path.load) - 1
    looks = np.unique(np.linspace(path.first_damage, last, LOOKS).astype(int))
    looks = np.unique(np.append(looks, path.highest))
    good = path.first_damage
    for state in looks:
        limit = _wood_at(corner, samples, path, int(state))
        if limit.load > path.load[state]:
            good = int(state)
            continue
        low, high = good, int(state)
        while high - low > 1:
            middle = (low + high) // 2
            tried = _wood_at(corner, samples, path, middle)
            if tried.load <= path.load[middle]:
                high, limit = middle, tried
            else:
                low = middle
        return high, limit
    return None
