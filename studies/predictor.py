"""Predict: from a specimen to stress, tractions and the load at which the corner breaks."""

from __future__ import annotations

import importlib.util
import time
from math import pi

import numpy as np
from numpy.typing import NDArray

from fem.bulk import bulk_stiffness, strain_operator
from fem.model import element_unknowns
from fem.solve import SOLVERS, ElasticSystem, SolveFailure
from fem.stress import cell_areas
from geometries import BOARD_A, BOARD_B
from geometries.mesh import MeshFailure
from materials import Bond, CheekBond
from studies.corner_model import CornerModel, build_corner, corner_moment_per_load, grain_to_face
from studies.display import percent
from studies.failures import ComputationError, InputError, InputProblem
from studies.glue_limits import Limit, cheek_limit, first_damage_load, glue_limits
from studies.prediction import Prediction
from studies.specimen import Specimen
from studies.units import Units, format_limit
from studies.wood_limits import sample_wood, wood_limits

Array = NDArray[np.float64]

METHODS = ("elastic",)


def predict(
    specimen: Specimen,
    *,
    method: str | None = None,
    element_size: float | None = None,
    solver: str = "sparse LU",
) -> Prediction:
    """Predict the break load of a specimen; ``element_size`` in mm along the glue lines.

    Raises InputError for a method or element size that cannot be used, ComputationError where meshing or
    solving failed.
    """
    check_request(specimen, method, element_size, solver)
    started = time.perf_counter()
    try:
        corner = build_corner(specimen, element_size)
    except MeshFailure as error:
        raise ComputationError("meshing", str(error), "try another --element-size") from error
    stiffness = bulk_stiffness(corner.model)
    for surface in corner.surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    assembled = time.perf_counter()
    try:
        system = ElasticSystem(corner.model, stiffness, solver)
        solution = system.solve(corner.arrangements[specimen.arrangement])
    except SolveFailure as error:
        raise ComputationError("solving", str(error), "try another --element-size") from error
    solved = time.perf_counter()
    samples = sample_wood(corner)
    glue = glue_limits(corner, solution.u)
    wood = wood_limits(corner, samples, solution.u)
    glue_worst = min(glue, key=lambda limit: limit.load)
    wood_worst = min((limit for limit in wood if limit.breaks), key=lambda limit: limit.load)
    critical = min(glue_worst, wood_worst, key=lambda limit: limit.load)
    share = moment_share(corner, solution.u)
    moment = corner_moment_per_load(corner.layout, specimen.arrangement, specimen.load_off_line)
    done = time.perf_counter()
    return Prediction(
        specimen=specimen,
        corner=corner,
        samples=samples,
        method="elastic",
        u=solution.u,
        reactions=solution.reactions,
        limits=tuple(sorted(glue + wood, key=lambda limit: limit.load)),
        critical=critical,
        break_load=critical.load,
        break_moment=critical.load * moment,
        glue_load=glue_worst.load,
        wood_load=wood_worst.load,
        glue_load_range=glue_load_range(corner, glue, solution.u),
        first_damage_load=first_damage_load(corner, solution.u),
        compliance=solution.compliance,
        corner_stiffness=moment / abs(corner_rotation(corner, solution.u)),
        moment_share=share,
        glue_area=glue_area(corner),
        why=sentence(critical, share, corner),
        seconds={
            "mesh": corner.mesh_seconds,
            "assemble": assembled - started - corner.mesh_seconds,
            "solve": solved - assembled,
            "path": done - solved,
            "total": done - started,
        },
        solver=system.solver,
        warnings=(*specimen.warnings, *bond_effects(corner), *first_surface_only(corner, critical)),
    )


def check_request(specimen: Specimen, method: str | None, element_size: float | None, solver: str) -> None:
    """Raises InputError for a method, element size or solver that cannot be used on this specimen."""
    found = []
    if solver not in SOLVERS:
        found.append(InputProblem("command line", "--solver", solver, f"must be {' or '.join(SOLVERS)}"))
    elif solver != SOLVERS[0] and importlib.util.find_spec("cvxopt") is None:
        remedy = "needs a library that is not installed: pip install cvxopt"
        found.append(InputProblem("command line", "--solver", solver, remedy))
    if method not in (None, *METHODS):
        found.append(
            InputProblem(
                "command line", "--method", str(method), f"is not there yet: use {' or '.join(METHODS)}"
            )
        )
    depth = min(specimen.boards.depth_a, specimen.boards.depth_b)
    if element_size is not None and not depth / 60 <= element_size <= depth / 3:
        found.append(
            InputProblem(
                "command line",
                "--element-size",
                f"{element_size:g} mm",
                f"must lie between {_between(depth, 'metric')} or, in inches, {_between(depth, 'imperial')}: "
                "a sixtieth and a third of the boards' depth in the plane of the corner",
            )
        )
    if found:
        raise InputError(tuple(found))


def _between(depth: float, units: Units) -> str:
    return f"{format_limit(depth / 60, units, 'least')} and {format_limit(depth / 3, units, 'most')}"


def moment_share(corner: CornerModel, u: Array) -> dict[str, float]:
    """Share of the corner moment that each surface passes to board A, about the corner rectangle's centre."""
    boards = corner.layout.boards
    centre = np.array([boards.depth_b / 2, boards.depth_a / 2])
    moments = {}
    for surface in corner.surfaces:
        if surface.minus != BOARD_A:
            continue
        force = surface.forces_on_minus(surface.tractions(u))
        arm = surface.points - centre
        moments[surface.name] = float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())
    total = sum(moments.values())
    return {name: value / total for name, value in moments.items()}


def glue_area(corner: CornerModel) -> dict[str, float]:
    """Glued area in mm2 by the grain of the two faces; 45 degrees on either face counts as grain_45."""
    area = {"side_to_side": 0.0, "side_to_end": 0.0, "end_to_end": 0.0, "grain_45": 0.0}
    for line in corner.layout.glue_lines:
        surface = next(surface for surface in corner.surfaces if surface.name == line.name)
        angles = sorted(grain_to_face(corner.layout, line, name) for name in (line.minus, line.plus))
        if any(pi / 8 < angle < 3 * pi / 8 for angle in angles):
            pairing = "grain_45"
        else:
            ends = sum(angle >= 3 * pi / 8 for angle in angles)
            pairing = ("side_to_side", "side_to_end", "end_to_end")[ends]
        area[pairing] += float(surface.weight.sum())
    for cheek in corner.layout.cheeks:
        surface = next(surface for surface in corner.surfaces if surface.name == cheek.name)
        area["side_to_side"] += float(surface.weight.sum())
    return area


def corner_rotation(corner: CornerModel, u: Array) -> float:
    """Change of the corner's angle in rad for P = 1 N: mean turn of the first depth of each leg."""
    turns = []
    for name, axis, start, depth in (
        (BOARD_A, 0, corner.layout.boards.depth_b, corner.layout.boards.depth_a),
        (BOARD_B, 1, corner.layout.boards.depth_a, corner.layout.boards.depth_b),
    ):
        body = corner.model.body(name)
        triangles = corner.model.mesh.triangles[body.cells]
        middle = corner.model.mesh.nodes[triangles[:, :3]].mean(axis=1)[:, axis]
        cells = body.cells[(middle > start) & (middle < start + depth)]
        operator, _ = strain_operator(corner.model.mesh, cells, np.array([[1 / 3, 1 / 3]]))
        nodal = u[element_unknowns(corner.model.numbers[name], corner.model.mesh.triangles[cells])]
        # Row 12 of the strain operator holds d/dy of x and d/dx of y: their half difference is the turn.
        shear = operator[:, 0, 2]
        turn = 0.5 * (
            np.einsum("ck,ck->c", shear[:, 1::2], nodal[:, 1::2])
            - np.einsum("ck,ck->c", shear[:, 0::2], nodal[:, 0::2])
        )
        turns.append(float(np.average(turn, weights=cell_areas(corner.model.mesh, cells))))
    return turns[0] - turns[1]


def glue_load_range(corner: CornerModel, glue: tuple[Limit, ...], u: Array) -> tuple[float, float] | None:
    """Glue load in N with the strength across crossed grain at either end of its credible range."""
    bonds = {name: bond for name, bond in corner.bonds.items() if isinstance(bond, CheekBond)}
    if not bonds:
        return None
    fixed = [limit.load for limit in glue if limit.part not in bonds]
    ends = []
    for choice in ("low_sides", "high_sides"):
        cheeks = [
            cheek_limit(corner, surface, bonds[surface.name], getattr(bonds[surface.name], choice), u).load
            for surface in corner.surfaces
            if surface.name in bonds
        ]
        ends.append(min([*fixed, *cheeks]))
    return ends[0], ends[1]


def first_surface_only(corner: CornerModel, critical: Limit) -> tuple[str, ...]:
    """What an elastic answer cannot see: load that moves to other surfaces when the first one gives."""
    others = [surface.name for surface in corner.surfaces if surface.name != critical.part]
    if critical.kind != "glue" or not others:
        return ()
    return (
        f"The elastic answer ends when the {critical.part} give way; the other glued surfaces may then carry "
        "more, so this corner can hold more than is said here.".replace("the mitre give", "the mitre gives"),
    )


def bond_effects(corner: CornerModel) -> tuple[str, ...]:
    """Plain sentences on what a poor fit, a starved line, tired glue or damp wood does here, each once."""
    sentences: list[str] = []
    for glue in corner.bonds.values():
        if isinstance(glue, Bond):
            sentences += glue.effects
    return tuple(dict.fromkeys(sentences))


def sentence(critical: Limit, share: dict[str, float], corner: CornerModel) -> str:
    """One plain sentence: what gives, where, and what carried the moment."""
    main = max(share, key=lambda name: abs(share[name]))
    lead = {
        "glue opening": "The glue opens",
        "glue shear": "The glue shears",
        "glue opening with shear": "The glue opens and shears",
        "rolling shear beside the glue": "The wood beside the glue rolls off in shear across its grain",
        "fibre tension": "The wood's fibres tear",
        "fibre bending on the pressed side": "The wood breaks in bending, first on its pressed side",
        "splitting": "The wood splits along its grain",
        "shear along the grain": "The wood shears along its grain",
        "rolling shear": "The wood shears across its grain",
    }[critical.mode]
    carried = f"{percent(share[main])} of the corner moment was on the {main}" if len(share) > 1 else ""
    place = f"at the {critical.where}" if critical.kind == "glue" else f"in the {critical.where}"
    place = place.replace("in the board", "in board")
    return f"{lead} {place}{'; ' + carried if carried else ''}."
