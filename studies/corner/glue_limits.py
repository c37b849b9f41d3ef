"""At what load a glue line or cheek gives, from elastic tractions: first damage and the mean-stress limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import BondedSurface
from glueline.materials import Bond, CheekBond, CheekSide, mode_moduli
from glueline.studies.corner.critical_length import CriticalLengths, line_lengths
from glueline.studies.corner.model import CornerModel, grain_to_face
from glueline.studies.corner.places import place_on_cheek, place_on_line

Array = NDArray[np.float64]
NOTHING = 1e-12
# A line in bending pulls over about half of itself, and a mean over more than half of that side has little
# peak left in it. For butts and mitres these loads are 0.88 to 1.15 times those of the path past the peak.
MOST_OF_LINE = 0.25


@dataclass(frozen=True)
class Limit:
    """A load at which a named mode is met.

    ``part`` is the surface or piece, ``point`` x, y in mm, ``length`` the mm over which stress was averaged,
    ``breaks`` False for what is shown but does not end the joint (yielding along the grain), ``shear_share``
    the part of shear in the square of the index where wood splits or shears along its grain.
    """

    kind: Literal["glue", "wood"]
    part: str
    mode: str
    where: str
    load: float
    point: tuple[float, float]
    length: float
    breaks: bool = True
    note: str = ""
    shear_share: float = 0.0


def onset_index(bond: Bond, tractions: Array) -> Array:
    """Quadratic onset index (p,) of a glue line: 1 where the strength is reached; pressing does no harm."""
    opening = np.maximum(tractions[:, 1], 0) / bond.opening_strength
    return np.hypot(opening, tractions[:, 0] / bond.shear_strength)


def cheek_index(sides: tuple[CheekSide, CheekSide], angles: tuple[float, float], tractions: Array) -> Array:
    """Index (2, p) of the wood beside a cheek on either side, along and across each side's own grain."""
    found = []
    for side, angle in zip(sides, angles, strict=True):
        along = tractions @ np.array([np.cos(angle), np.sin(angle)])
        across = tractions @ np.array([-np.sin(angle), np.cos(angle)])
        found.append(np.hypot(along / side.shear_strength, across / side.rolling_strength))
    return np.array(found)


def cheek_angles(corner: CornerModel, surface: BondedSurface) -> tuple[float, float]:
    """Grain angles in rad of a cheek's two sides."""
    return (
        corner.layout.piece(surface.minus).grain_angle,
        corner.layout.piece(surface.plus).grain_angle,
    )


def first_damage_load(corner: CornerModel, u: Array) -> float:
    """Load in N at which the first glue point reaches its strength, from displacements for P = 1 N."""
    worst = NOTHING
    for surface in corner.surfaces:
        bond = corner.bonds[surface.name]
        traction = surface.tractions(u)
        if isinstance(bond, Bond):
            worst = max(worst, float(onset_index(bond, traction).max()))
        else:
            worst = max(worst, float(cheek_index(bond.sides, cheek_angles(corner, surface), traction).max()))
    return 1 / worst


def glue_limits(corner: CornerModel, u: Array) -> tuple[Limit, ...]:
    """The mean-stress limit of every glue line and cheek, from displacements for P = 1 N."""
    limits = []
    for surface in corner.surfaces:
        bond = corner.bonds[surface.name]
        if isinstance(bond, Bond):
            limits.append(_line_limit(corner, surface, bond, u))
        else:
            limits.append(cheek_limit(corner, surface, bond, bond.sides, u))
    return tuple(limits)


def bond_lengths(corner: CornerModel, surface: BondedSurface, bond: Bond) -> CriticalLengths:
    """Critical lengths of a glue line with its own strength and toughness and its two woods."""
    line = next(line for line in corner.layout.glue_lines if line.name == surface.name)
    sides = [
        (corner.constants[name], grain_to_face(corner.layout, line, name)) for name in (line.minus, line.plus)
    ]
    return line_lengths(
        sides[0],
        sides[1],
        (bond.opening_strength, bond.opening_toughness),
        (bond.shear_strength, bond.shear_toughness),
    )


def _line_limit(corner: CornerModel, surface: BondedSurface, bond: Bond, u: Array) -> Limit:
    """Largest index of the mean traction over any stretch of critical length, at most MOST_OF_LINE of it."""
    line = next(line for line in corner.layout.glue_lines if line.name == surface.name)
    lengths = bond_lengths(corner, surface, bond)
    order = np.argsort(surface.distance)
    distance, weight = surface.distance[order], surface.weight[order]
    traction = surface.tractions(u)[order]
    most = MOST_OF_LINE * line.length
    best: tuple[float, float, float, float] = (NOTHING, 0.0, 0.0, 0.0)
    for length in np.unique(np.minimum(np.geomspace(lengths.opening, lengths.shear, 9), most)):
        start, mean = _sliding_mean(distance, weight, traction, line.length, float(length))
        opening = np.maximum(mean[:, 1], 0) / bond.opening_strength
        shear = np.abs(mean[:, 0]) / bond.shear_strength
        index = np.hypot(opening, shear)
        share = shear**2 / np.maximum(index**2, NOTHING**2)
        wanted = np.minimum(lengths.between(share), most)
        # A stretch counts where it is at least as long as its own mixture of modes asks for.
        index = np.where(length >= wanted * 0.93, index, 0.0)
        at = int(index.argmax())
        if index[at] > best[0]:
            best = (float(index[at]), float(start[at]), float(length), float(share[at]))
    index_found, start_found, length_found, share_found = best
    inside = (distance >= start_found - 1e-9) & (distance <= start_found + length_found + 1e-9)
    worst = np.flatnonzero(inside)[onset_index(bond, traction[inside]).argmax()] if inside.any() else 0
    capped = length_found >= most - 1e-9
    return Limit(
        kind="glue",
        part=surface.name,
        mode=line_mode(share_found),
        where=place_on_line(line, float(distance[worst])),
        load=1 / index_found,
        point=_point(surface.points[order][worst]),
        length=length_found,
        note=(
            "the critical length is longer than a quarter of the glue line: the mean over a quarter was taken"
            if capped
            else ""
        ),
    )


def _sliding_mean(
    distance: Array, weight: Array, traction: Array, whole: float, length: float
) -> tuple[Array, Array]:
    """Area mean of ``traction`` over [s, s + length] for every start s on the line; (n,), (n, 2)."""
    edges = np.concatenate([[0.0], 0.5 * (distance[1:] + distance[:-1]), [whole]])
    area = np.concatenate([[0.0], np.cumsum(weight)])
    force = np.concatenate([np.zeros((1, 2)), np.cumsum(weight[:, None] * traction, axis=0)])
    start = np.unique(np.append(edges[edges <= whole - length + 1e-9], max(whole - length, 0.0)))
    end = np.minimum(start + length, whole)
    covered = np.interp(end, edges, area) - np.interp(start, edges, area)
    mean = [
        (np.interp(end, edges, force[:, i]) - np.interp(start, edges, force[:, i])) / covered
        for i in range(2)
    ]
    return start, np.stack(mean, axis=1)


def line_mode(shear_share: float) -> str:
    """Name of the mode of a glue line by the share of shear in its index."""
    if shear_share < 0.25:
        return "glue opening"
    return "glue shear" if shear_share > 0.75 else "glue opening with shear"


def cheek_limit(
    corner: CornerModel,
    surface: BondedSurface,
    bond: CheekBond,
    sides: tuple[CheekSide, CheekSide],
    u: Array,
) -> Limit:
    """Largest mean index over a patch as long as the critical length; over the whole cheek where it is less.

    The index, not the traction, is averaged: a cheek in torsion has no mean traction.
    """
    angles = cheek_angles(corner, surface)
    traction = surface.tractions(u)
    index = cheek_index(sides, angles, traction)
    worst = int(index.mean(axis=1).argmax())
    weaker, constants = sides[worst], corner.constants[(surface.minus, surface.plus)[worst]]
    solid = constants.solid
    # Rolling shear runs in the plane of the two directions across the grain.
    _, rolling = mode_moduli(
        solid.modulus_2, solid.modulus_3, constants.shear_transverse_across, solid.poisson_23
    )
    length = 2 / np.pi * rolling * weaker.rolling_toughness / weaker.rolling_strength**2
    mean = _patch_mean(surface, index[worst], float(length))
    at = int(mean.argmax())
    angle = angles[worst]
    along = traction[at] @ np.array([np.cos(angle), np.sin(angle)]) / weaker.shear_strength
    across = traction[at] @ np.array([-np.sin(angle), np.cos(angle)]) / weaker.rolling_strength
    peak = int(index[worst].argmax())
    return Limit(
        kind="glue",
        part=surface.name,
        mode="rolling shear beside the glue" if abs(across) >= abs(along) else "glue shear",
        where=place_on_cheek(corner.layout, surface.name, surface.points[peak]),
        load=1 / max(float(mean[at]), NOTHING),
        point=_point(surface.points[peak]),
        length=float(length),
    )


def _patch_mean(surface: BondedSurface, values: Array, across: float) -> Array:
    """Area mean of ``values`` over discs ``across`` mm wide round the points of a cheek."""
    span = surface.points.max(axis=0) - surface.points.min(axis=0)
    if across >= float(np.hypot(*span)):
        return np.full(len(values), float(np.average(values, weights=surface.weight)))
    from scipy.spatial import cKDTree

    tree = cKDTree(surface.points)
    centres = np.arange(0, len(values), 6)
    mean = np.full(len(values), -np.inf)
    for centre, near in zip(centres, tree.query_ball_point(surface.points[centres], across / 2), strict=True):
        mean[centre] = np.average(values[near], weights=surface.weight[near])
    return mean


def _point(place: Array) -> tuple[float, float]:
    return float(place[0]), float(place[1])
