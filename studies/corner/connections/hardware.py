"""Screws and fittings as what holds: grip, walls, heads, hinges, each with the figures of its wood."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi, sqrt, tan

import numpy as np

from glueline.fem.beam import Beam
from glueline.fem.fastener import FastenerBond, FastenerHead, HingeTie, HoleWalls
from glueline.fem.model import Model
from glueline.geometries import Fitting, Hardware, Reach, Screw
from glueline.materials import (
    crushing_strength,
    embedment_hardening,
    embedment_strength,
    fastener_figure,
    head_area,
    holding_length,
    plug_shear_out,
    steel_rod,
    thread_shear_strength,
    thread_slip_stiffness,
    thread_toughness,
    wall_stiffness,
)
from glueline.materials.fastener import FULL_HOLD_FROM
from glueline.studies.corner.connections.bearing import NO_EDGES, Bearing, Head, Hinges
from glueline.studies.corner.connections.connection import Hold
from glueline.studies.corner.connections.dowel import axis_to_grain
from glueline.studies.corner.connections.grip import Grip, GripShares, Pull
from glueline.studies.corner.piece import PieceWood

WITHDRAWAL, FITTINGS = "withdrawal", "fittings"
HINGE_HARDENING = 0.08
"""Share of the plastic moment by which it rises for a mm that the rim of a screw turns: steel hardens a
little, and a structure whose last support is a plateau has no path. A judgement."""


def hardware_beam(each: Hardware) -> Beam:
    """The fasteners as a beam; that of a screw has the section of its core and hinges."""
    start, direction = np.array(each.start), np.subtract(each.end, each.start)
    first, second = (reach.length for reach in each.reaches)
    if isinstance(each, Fitting):
        return _fitting_beam(each, first + second)
    core, steel = core_diameter(each.diameter), steel_rod()
    members = [max(4, round(length / core)) for length in (first, second)]
    stations = np.concatenate(
        [np.linspace(0.0, first, members[0] + 1)[:-1], first + np.linspace(0.0, second, members[1] + 1)]
    )
    sizes = steel.axial_stiffness(core), steel.bending_stiffness(core), steel.shear_stiffness(core)
    return Beam(each.name, start, direction, stations, *sizes, count=each.number, hinged=True)


def _fitting_beam(each: Fitting, length: float) -> Beam:
    """Stiff along its axis, since what a fitting gives there is all in its grips."""
    modulus = fastener_figure("fitting_modulus").value
    return Beam(
        each.name,
        np.array(each.start),
        np.subtract(each.end, each.start),
        np.linspace(0.0, length, 17),
        100.0 * each.stiffness * length,
        modulus * each.across * each.thickness**3 / 12.0,
        count=each.number,
    )


def core_diameter(diameter: float) -> float:
    """Diameter in mm of the core of a screw of ``diameter`` over its thread."""
    return fastener_figure("screw_core_share").value * diameter


def hardware_holds(
    hardware: tuple[Hardware, ...], pieces: Mapping[str, PieceWood], model: Model
) -> tuple[Hold, ...]:
    """All that the bought fasteners of a corner hold by."""
    holds: list[Hold] = []
    for each in hardware:
        holds += _screw(each, pieces, model) if isinstance(each, Screw) else _fitting(each, pieces, model)
    return tuple(holds)


def _screw(screw: Screw, pieces: Mapping[str, PieceWood], model: Model) -> list[Hold]:
    under, held = screw.reaches
    own, other = pieces[under.board], pieces[held.board]
    core = core_diameter(screw.diameter)
    mouth, end = under.length, under.length + holding_length(held.length, screw.diameter)
    angle = axis_to_grain(held, other)
    # Beside a slanted axis board A begins a little later on one side.
    begins = mouth + screw.diameter / sqrt(8.0) / max(tan(angle), 1.0)
    thread = FastenerBond(
        held.name, held.board, screw.name, begins, end, screw.diameter, thread_slip_stiffness(other.wood)
    )
    grip = Grip(
        (other,),
        thread.surface(model),
        *NO_EDGES,
        held,
        "withdrawal of the thread",
        thread_shear_strength(other.wood, screw.diameter, angle),
        thread_toughness(other.wood, screw.diameter, angle),
        fastener_figure("withdrawal_cov").value,
        WITHDRAWAL,
        _thread_ends(angle),
    )
    effective = fastener_figure("screw_effective_share").value * core
    walls = [
        _walls(reach, pieces[reach.board], model, screw.name, span, effective, "bearing of the screw")
        for reach, span in ((under, (0.0, mouth)), (held, (mouth, end)))
    ]
    hinge = HingeTie(f"hinges of {screw.name}", screw.name, core / 2)
    plastic = hinge.stress(steel_rod().bending_moment(core))
    hinges = Hinges(
        (), hinge.surface(model), *NO_EDGES, held, "bending of the screw", plastic, HINGE_HARDENING * plastic
    )
    return [grip, *walls, _head(screw, under, own, model), hinges]


def _thread_ends(angle: float) -> tuple[GripShares, GripShares]:
    """What can be believed of a thread at an ``angle`` in rad to the grain: stiffness, slip in softening, and
    the share that it holds along the grain. The withdrawal strength across it only scatters.
    """
    along = fastener_figure("end_grain_share")
    across = min(angle / FULL_HOLD_FROM, 1.0)

    def held(share: float) -> float:
        return share + (1.0 - share) * across

    strengths = (held(end) / held(along.value) for end in (along.low, along.high))
    stiffnesses, slips = fastener_figure("screw_slip_stiffness"), fastener_figure("screw_softening_slip")
    weak, strong = (
        GripShares(stiffness, strength, strength * slip)
        for stiffness, strength, slip in zip(stiffnesses.shares, strengths, slips.shares, strict=True)
    )
    return weak, strong


def _fitting_ends(fitting: Fitting) -> tuple[GripShares, GripShares]:
    """The same of a fitting: over what slip it lets go, and what its maker has not stated."""
    judged = fastener_figure("fitting_judged").shares
    weak, strong = (
        GripShares(
            share if fitting.stiffness_is_judged else 1.0,
            share if fitting.strength_is_judged else 1.0,
            slip * (share if fitting.strength_is_judged else 1.0),
        )
        for share, slip in zip(judged, fastener_figure("fitting_slip").shares, strict=True)
    )
    return weak, strong


def _head(screw: Screw, under: Reach, own: PieceWood, model: Model) -> Head:
    """The head as a rigid round punch on the wood under it: a mean pressure 2 E a / A a mm (Sneddon 1965).

    E is the geometric mean of the moduli along and across the grain: an estimate.
    """
    area, radius = head_area(screw.head_diameter, screw.diameter), screw.head_diameter / 2
    solid = own.constants.solid
    stiffness = 2.0 * sqrt(solid.modulus_1 * solid.modulus_2) * radius / area
    width = sqrt((screw.head_diameter**2 + screw.diameter**2) / 2)
    tie = FastenerHead(f"heads of {screw.name}", under.board, screw.name, 0.0, area, width, stiffness)
    strength = crushing_strength(own.wood, pi / 2 - axis_to_grain(under, own))
    plug = screw.number * plug_shear_out(own.wood, screw.head_diameter, under.length)
    return Head(
        (own,),
        tie.surface(model),
        *NO_EDGES,
        under,
        "crushing under the head",
        strength,
        embedment_hardening(strength),
        False,
        plug,
    )


def _fitting(fitting: Fitting, pieces: Mapping[str, PieceWood], model: Model) -> list[Hold]:
    first, second = fitting.reaches
    spans = (0.0, first.length), (first.length, first.length + second.length)
    slip = fastener_figure("fitting_slip").value
    # Half of what a fitting gives is in either board.
    pull = Pull(2.0 * fitting.stiffness, fitting.strength, slip)
    holds: list[Hold] = []
    for reach, span in zip(fitting.reaches, spans, strict=True):
        piece = pieces[reach.board]
        # Two lines at d / sqrt(8) from the axis lie on the faces of the fitting.
        tie = FastenerBond(reach.name, reach.board, fitting.name, *span, sqrt(2.0) * fitting.thickness, 1.0)
        stiffness, strength, toughness = pull.over(tie)
        tie = replace(tie, slip_stiffness=stiffness)
        holds.append(
            Grip(
                (piece,),
                tie.surface(model),
                *NO_EDGES,
                reach,
                "pull-out of the fitting",
                strength,
                toughness,
                fastener_figure("fitting_cov").value,
                FITTINGS,
                _fitting_ends(fitting),
            )
        )
        mode = "bearing of the fitting"
        holds.append(_walls(reach, piece, model, fitting.name, span, fitting.across, mode))
    return holds


def _walls(
    reach: Reach,
    board: PieceWood,
    model: Model,
    beam: str,
    span: tuple[float, float],
    width: float,
    mode: str,
) -> Bearing:
    """Walls of holes or slots ``width`` mm wide each, square to the axis."""
    tie = HoleWalls(
        f"walls of {reach.name}", reach.board, beam, *span, width, wall_stiffness(board.wood, width)
    )
    across = pi / 2 - axis_to_grain(reach, board)
    if mode == "bearing of the fitting":
        strength = crushing_strength(board.wood, pi / 2 - across)
    else:
        strength = embedment_strength(board.wood, width, across)
    return Bearing(
        (board,), tie.surface(model), *NO_EDGES, reach, mode, strength, embedment_hardening(strength)
    )
