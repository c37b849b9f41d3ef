"""Predict: from a specimen to stress, tractions and the load at which the corner breaks."""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from glueline.fem.bulk import bulk_stiffness
from glueline.fem.solve import SOLVERS, ElasticSystem, SolveFailure
from glueline.geometries.mesh import MeshFailure
from glueline.materials import CRITERIA, DEFAULT_CRITERION
from glueline.studies.corner.limit import NOTHING, Limit
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError, InputError, InputProblem
from glueline.studies.files.units import Units, format_limit
from glueline.studies.predict.break_path import BreakPath, CornerFollower
from glueline.studies.predict.crossed_grain import crossed_range, glue_load_range
from glueline.studies.predict.glue_break import glue_break
from glueline.studies.predict.measures import corner_rotation, glue_area, moment_share
from glueline.studies.predict.path_band import break_band, coarse_follower
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.remarks import (
    bearing_note,
    bond_effects,
    brittle_note,
    first_surface_only,
    sentence,
)
from glueline.studies.predict.scatter.band import Band
from glueline.studies.predict.wood_limits import WoodSample, sample_wood, wood_limits

Array = NDArray[np.float64]

METHODS = ("progressive", "elastic")
"""The first is taken where none is asked for."""


@dataclass(frozen=True)
class _Elastic:
    """What the whole corner says at P = 1 N; ``times`` in s: built, assembled, solved."""

    corner: CornerModel
    samples: tuple[WoodSample, ...]
    u: Array
    reactions: Array
    compliance: float
    moment: float
    solver: str
    times: tuple[float, float, float]


def predict(
    specimen: Specimen,
    *,
    method: str | None = None,
    element_size: float | None = None,
    solver: str = "sparse LU",
    band: bool = True,
    seed: int = 0,
    crushing: bool = False,
    criterion: str | None = None,
    told: Callable[[str], None] = lambda _: None,
    reuse: Reuse | None = None,
) -> Prediction:
    """Predict the break load of a specimen; ``element_size`` in mm along the glue lines.

    ``method`` "progressive" follows the corner past its peak, "elastic" stops at the first limit. ``band``
    adds the scatter (from ``seed``) and the credible range of crossed grain, which take further paths;
    ``crushing`` follows the corner once more with faces that crush. ``criterion`` judges the wood, a name of
    ``materials.CRITERIA``. Raises InputError for a request that cannot be met, ComputationError where
    meshing, solving or following the path failed. ``told`` is told of every longer step as it begins;
    ``reuse`` keeps what the next corner may share.
    """
    criterion = criterion or DEFAULT_CRITERION
    check_request(specimen, method, element_size, solver, criterion, crushing)
    started = time.perf_counter()
    reuse = reuse or Reuse()
    elastic = _solve(specimen, element_size, solver, reuse)
    if method == "elastic":
        return _elastic_prediction(specimen, elastic, criterion, started)
    return _progressive_prediction(
        specimen, elastic, criterion, started, PathRequest(band, seed, crushing, told, reuse)
    )


@dataclass(frozen=True)
class PathRequest:
    """What a progressive answer shall hold besides the path itself."""

    band: bool
    seed: int
    crushing: bool
    told: Callable[[str], None]
    reuse: Reuse


def _solve(specimen: Specimen, element_size: float | None, solver: str, reuse: Reuse) -> _Elastic:
    started = time.perf_counter()
    try:
        corner = build_corner(specimen, element_size, reuse)
    except MeshFailure as error:
        raise ComputationError("meshing", str(error), "try another --element-size") from error
    glue = tuple(surface.stiffness.tobytes() for surface in corner.surfaces)
    made_from = (corner.made_from, glue, solver)
    stiffness = reuse.of("corner: stiffness", made_from, lambda: _stiffness(corner))
    assembled = time.perf_counter()
    try:
        system = reuse.of(
            "corner: factors", made_from, lambda: ElasticSystem(corner.model, stiffness, solver)
        )
        solution = system.solve(corner.loading)
    except SolveFailure as error:
        raise ComputationError("solving", str(error), "try another --element-size") from error
    solved = time.perf_counter()
    return _Elastic(
        corner=corner,
        samples=sample_wood(corner, reuse),
        u=solution.u,
        reactions=solution.reactions,
        compliance=solution.compliance,
        moment=specimen.moment_per_load,
        solver=system.solver,
        times=(corner.mesh_seconds, assembled - started - corner.mesh_seconds, solved - assembled),
    )


def _stiffness(corner: CornerModel) -> csr_matrix:
    stiffness = bulk_stiffness(corner.model)
    for surface in corner.surfaces:
        stiffness = stiffness + surface.stiffness_matrix()
    return stiffness


def _elastic_prediction(specimen: Specimen, elastic: _Elastic, criterion: str, started: float) -> Prediction:
    corner, u = elastic.corner, elastic.u
    glue = tuple(each.elastic_limit(u) for each in corner.connections)
    wood = wood_limits(corner, elastic.samples, u, criterion=criterion)
    glue_worst = min(glue, key=lambda limit: limit.load)
    wood_worst = min((limit for limit in wood if limit.breaks), key=lambda limit: limit.load)
    critical = min(glue_worst, wood_worst, key=lambda limit: limit.load)
    share = moment_share(corner, {surface.name: surface.tractions(u) for surface in corner.surfaces})
    return Prediction(
        **_common(specimen, elastic),
        method="elastic",
        u_at_break=u * critical.load,
        tractions_at_break={
            surface.name: surface.tractions(u) * critical.load for surface in corner.surfaces
        },
        limits=tuple(sorted(glue + wood, key=lambda limit: limit.load)),
        critical=critical,
        break_load=critical.load,
        break_moment=critical.load * elastic.moment,
        glue_load=glue_worst.load,
        wood_load=wood_worst.load,
        glue_load_range=glue_load_range(corner, glue, u),
        moment_share=share,
        why=sentence(corner, critical, share),
        seconds=_seconds(elastic, started),
        warnings=(*specimen.warnings, *bond_effects(corner), *first_surface_only(corner, critical)),
    )


def _progressive_prediction(
    specimen: Specimen, elastic: _Elastic, criterion: str, started: float, wanted: PathRequest
) -> Prediction:
    corner = elastic.corner
    wanted.told("following the glue past its peak")
    follower = CornerFollower(corner, wanted.reuse)
    found = follower.broken(elastic.samples, criterion)
    scatter = _scatter(found, elastic.samples, criterion, wanted)
    if wanted.crushing:
        wanted.told("following it with faces that crush")
    glue = glue_break(found)
    critical = glue if found.breaks_in == "glue" else found.wood
    at_break = found.break_load / float(found.path.load[found.state])
    tractions = {name: at_break * value for name, value in found.tractions(found.state).items()}
    share = moment_share(corner, tractions)
    limits = (glue, *(replace(limit, load=_of_path(limit, found)) for limit in found.wood_limits))
    return Prediction(
        **_common(specimen, elastic),
        method="progressive",
        u_at_break=at_break * found.displacements(found.state),
        tractions_at_break=tractions,
        limits=tuple(sorted(limits, key=lambda limit: limit.load)),
        critical=critical,
        break_load=found.break_load,
        break_moment=found.break_load * elastic.moment,
        glue_load=found.glue_load,
        wood_load=found.wood_load,
        glue_load_range=scatter.crossed,
        moment_share=share,
        why=sentence(corner, critical, share),
        first_crack_load=(
            found.break_load if found.first_crack is None else float(found.path.load[found.first_crack])
        ),
        displacement_at_break=found.displacement,
        energy_at_break=found.energy,
        broken=found,
        band=scatter.band,
        crushed=follower.broken(elastic.samples, criterion, crushing=True) if wanted.crushing else None,
        seconds=_seconds(elastic, started),
        warnings=(
            *specimen.warnings,
            *bond_effects(corner),
            *scatter.notes,
            *bearing_note(found, wanted.crushing),
            *brittle_note(corner),
        ),
    )


@dataclass(frozen=True)
class _Scatter:
    """What further paths tell of a corner, and what they could not."""

    crossed: tuple[float, float] | None = None
    band: Band | None = None
    notes: tuple[str, ...] = ()


def _scatter(
    found: BreakPath, samples: tuple[WoodSample, ...], criterion: str, wanted: PathRequest
) -> _Scatter:
    """The band and the range of crossed grain, as far as their paths can be followed to the end."""
    if not wanted.band:
        return _Scatter()
    try:
        wanted.told("following it with larger elements, for what changes its load")
        coarse = coarse_follower(found.corner, wanted.told, wanted.reuse)
        return _Scatter(
            crossed_range(coarse, found), break_band(coarse, found, samples, wanted.seed, criterion)
        )
    except ComputationError as error:
        return _Scatter(
            notes=(f"No band, no range of crossed grain: a path could not be followed ({error.reason}).",)
        )


def _of_path(limit: Limit, found: BreakPath) -> float:
    """The load of a limit of wood: of the one that ends the path that found, of others none below it."""
    if limit == found.wood:
        return found.wood_load
    return max(limit.load, found.break_load) if limit.breaks else limit.load


def _common(specimen: Specimen, elastic: _Elastic) -> dict[str, Any]:
    """What an elastic and a progressive answer share."""
    corner = elastic.corner
    return {
        "specimen": specimen,
        "corner": corner,
        "samples": elastic.samples,
        "u": elastic.u,
        "reactions": elastic.reactions,
        "first_damage_load": _first_damage_load(corner, elastic.u),
        "compliance": elastic.compliance,
        "corner_stiffness": elastic.moment / abs(corner_rotation(corner, elastic.u)),
        "glue_area": glue_area(corner),
        "solver": elastic.solver,
    }


def _first_damage_load(corner: CornerModel, u: Array) -> float:
    """Load in N at which the first glue point reaches its strength, from displacements for P = 1 N."""
    used = [each.share_of_strength(each.surface.tractions(u)).max() for each in corner.connections]
    return 1 / max(NOTHING, float(max(used)))


def _seconds(elastic: _Elastic, started: float) -> dict[str, float]:
    mesh, assemble, solve = elastic.times
    total = time.perf_counter() - started
    return {
        "mesh": mesh,
        "assemble": assemble,
        "solve": solve,
        "path": total - mesh - assemble - solve,
        "total": total,
    }


def check_request(
    specimen: Specimen,
    method: str | None,
    element_size: float | None,
    solver: str,
    criterion: str | None = None,
    crushing: bool = False,
) -> None:
    """Raises InputError for a method, element size, solver or criterion that this specimen cannot have."""
    found = []
    criterion = criterion or DEFAULT_CRITERION
    if crushing and method == "elastic":
        remedy = "needs --method progressive: the elastic answer ends before any face crushes"
        found.append(InputProblem("command line", "--crushing", "", remedy))
    if criterion not in CRITERIA:
        found.append(
            InputProblem("command line", "--criterion", criterion, f"must be one of {', '.join(CRITERIA)}")
        )
    if solver not in SOLVERS:
        found.append(InputProblem("command line", "--solver", solver, f"must be {' or '.join(SOLVERS)}"))
    elif solver != SOLVERS[0] and importlib.util.find_spec("cvxopt") is None:
        remedy = "needs a library that is not installed: pip install cvxopt"
        found.append(InputProblem("command line", "--solver", solver, remedy))
    if method not in (None, *METHODS):
        found.append(InputProblem("command line", "--method", str(method), f"must be {' or '.join(METHODS)}"))
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
