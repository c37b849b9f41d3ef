"""How much of its own strength every fastener uses along its axis: dowels, screws and fittings."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from glueline.geometries import Rod
from glueline.studies.corner.model import CornerModel

Array = NDArray[np.float64]


def share_in_rod(corner: CornerModel, rod: Rod, u: Array) -> Array:
    """Share (m, 2) of its wood's bending strength that a rod uses at both ends of each of its m members.

    Pull over the section and bending at its rim add up, as in a board; ``u`` (unknowns,) in mm.
    """
    beam = corner.model.beam(rod.name)
    forces = beam.member_forces(u[corner.model.beam_unknowns(rod.name)]) / rod.number
    section, rim = np.pi * rod.diameter**2 / 4, np.pi * rod.diameter**3 / 32
    pull = np.maximum(forces[:, 0], 0.0) / section
    bent = np.abs(forces[:, 2:]) / rim
    return np.asarray((pull[:, None] + bent) / corner.pieces[rod.name].wood.bending_strength)


def shares_along(corner: CornerModel, u: Array, used: Mapping[str, Array]) -> dict[str, Array]:
    """Share (n,) of its own strength that each fastener uses at every node of its axis, 1 where it gives.

    ``u`` (unknowns,) in mm; ``used`` (p,) by the name of what holds is the share of a fastener that it uses
    (``Hold.share_of_fastener``). Of several at one place the largest counts.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> found = predict(read_specimen(example_path("dowel")), method="elastic", element_size=6.0)  # mm
    >>> [share] = shares_along(found.corner, found.u, {}).values()
    >>> bool(0.0 < share.max() * found.break_load < 1.0)
    True
    """
    shares = {}
    for each in corner.layout.inserts:
        beam = corner.model.beam(each.name)
        share = np.zeros(len(beam.stations))
        for hold in corner.holds:
            if hold.surface.plus == each.name and hold.name in used:
                along = (hold.surface.points - beam.start) @ beam.axes[0]
                nearest = np.abs(along[:, None] - beam.stations).argmin(axis=1)
                np.maximum.at(share, nearest, used[hold.name])
        shares[each.name] = share
    for rod in corner.layout.rods:
        ends = share_in_rod(corner, rod, u)
        bent = np.concatenate([ends[:1, 0], np.maximum(ends[:-1, 1], ends[1:, 0]), ends[-1:, 1]])
        shares[rod.name] = np.maximum(shares[rod.name], bent)
    return shares
