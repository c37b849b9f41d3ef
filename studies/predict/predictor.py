"""Predict: from a specimen to stress, tractions and the load at which the corner breaks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glueline.fem.bond import elastic_stiffness
from glueline.fem.follower import Watch
from glueline.fem.solve import ElasticSystem, SolveFailure
from glueline.geometries.mesh import MeshFailure
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.connections import Grip
from glueline.studies.corner.limit import NOTHING, Limit, in_order
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.break_path import BreakPath, WoodShare
from glueline.studies.predict.contact import touching
from glueline.studies.predict.corner_follower import MOST_EFFORT, CornerFollower, bodies_of
from glueline.studies.predict.credible_range import RangeReader, Ranges, elastic_ranges
from glueline.studies.predict.glue_break import glue_break, other_life
from glueline.studies.predict.measures import corner_rotation, glue_area, moment_share
from glueline.studies.predict.path_band import coarse_follower, coarse_runs
from glueline.studies.predict.prediction import Prediction
from glueline.studies.predict.remarks import (
    bearing_note,
    bond_effects,
    brittle_note,
    course,
    first_surface_only,
    large_note,
    left_early_note,
    opening_note,
    sentence,
    shape_note,
    sound_glues_note,
    split_note,
)
from glueline.studies.predict.request import METHODS, Method, Request
from glueline.studies.predict.scatter.band import Band, band_of, break_surface
from glueline.studies.predict.splits import (
    followed_split,
    followed_through_splits,
    ready_to_split,
    split_share,
)
from glueline.studies.predict.wood_limits import WoodSample, sample_wood, shares_of_strength, wood_limits

Array = NDArray[np.float64]

Progress = Callable[[str], None]


SMALLER_ELEMENTS = (0.6, 0.36)  # of the usual size, where a path cannot be followed with it


@dataclass(frozen=True)
class _Elastic:
    """What the whole corner says at P = 1 N."""

    corner: CornerModel
    samples: tuple[WoodSample, ...]
    u: Array
    reactions: Array
    compliance: float
    moment: float


def predict(
    specimen: Specimen,
    *,
    method: Method = METHODS[0],
    element_size: float | None = None,
    band: bool = True,
    seed: int = 0,
    crushing: bool = True,
    criterion: str = DEFAULT_CRITERION,
) -> Prediction:
    """Predict the break load of a specimen. What can be asked stands in ``Request``.

    Raises what ``predict_request`` raises.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> weak = read_specimen(example_path("mitre"), [("glue.quality", "50 %")])
    >>> round(predict(weak, band=False).break_load, -2)  # N
    800.0
    """
    return predict_request(specimen, Request(method, element_size, band, seed, crushing, criterion))


def predict_request(
    specimen: Specimen,
    request: Request,
    progress: Progress = lambda _: None,
    reuse: Reuse | None = None,
    watch: Watch | None = None,
) -> Prediction:
    """Predict a specimen as it is asked for.

    ``progress`` is told of every longer step as it begins; ``reuse`` keeps what the next corner may share;
    ``watch`` is told of the states of the corner's own path as they are found, anew where it begins again in
    shorter steps, with smaller elements or with a split. Both may raise to end it: ``reuse`` stays of use.
    Where the path cannot be followed to its end with elements of the usual size, as in brittle glue, smaller
    ones are tried. Raises InputError for a request that cannot be met, ComputationError where meshing,
    solving or following the path failed.
    """
    request.check(specimen)
    reuse = reuse or Reuse()
    elastic = _solve(specimen, request.element_size, reuse)
    if request.method == "elastic":
        return _elastic_prediction(specimen, elastic, request.criterion)
    found = _followed(specimen, elastic, request, progress, reuse, watch)
    return with_scatter(found, request, progress, reuse) if request.band else found


def _followed(
    specimen: Specimen,
    elastic: _Elastic,
    request: Request,
    progress: Progress,
    reuse: Reuse,
    watch: Watch | None,
) -> Prediction:
    """The corner followed, without its scatter; with smaller elements where it takes those."""
    usual, left = elastic.corner.mesh.element_size, MOST_EFFORT
    for share in SMALLER_ELEMENTS if request.element_size is None else ():
        try:
            return _progressive_prediction(specimen, elastic, request, progress, reuse, left, watch)
        except ComputationError as error:
            left -= error.effort
            if left < 0.5 * MOST_EFFORT:
                raise
            progress("trying again with smaller elements")
            elastic = _solve(specimen, share * usual, reuse)
    return _progressive_prediction(specimen, elastic, request, progress, reuse, left, watch)


def _solve(specimen: Specimen, element_size: float | None, reuse: Reuse) -> _Elastic:
    try:
        return _solved(build_corner(specimen, element_size, reuse), reuse)
    except MeshFailure as error:
        raise ComputationError("meshing", str(error), "try another --element-size") from error


def _solved(corner: CornerModel, reuse: Reuse) -> _Elastic:
    glue = tuple(surface.stiffness.tobytes() for surface in corner.surfaces)
    made_from = (corner.made_from, glue)
    bodies = bodies_of(corner, reuse)
    stiffness = reuse.shared(
        f"{corner.role}: stiffness", made_from, lambda: bodies + elastic_stiffness(corner.surfaces)
    )
    try:
        system = reuse.shared(
            f"{corner.role}: factors", made_from, lambda: ElasticSystem(corner.model, stiffness)
        )
        solution = touching(corner, bodies, system.solve(corner.loading))
    except SolveFailure as error:
        raise ComputationError("solving", str(error), "try another --element-size") from error
    return _Elastic(
        corner=corner,
        samples=sample_wood(corner, reuse),
        u=solution.u,
        reactions=solution.reactions,
        compliance=solution.compliance,
        moment=corner.specimen.moment_per_load,
    )


def _elastic_prediction(specimen: Specimen, elastic: _Elastic, criterion: str) -> Prediction:
    corner, u = elastic.corner, elastic.u
    tractions = {hold.name: hold.tractions(u) for hold in corner.holds}
    glue = tuple(each.elastic_limit(tractions[each.name]) for each in corner.glued)
    gripping = [each for each in corner.bearings if isinstance(each, Grip)]
    grips = tuple(each.elastic_limit(tractions[each.name]) for each in gripping)
    shares = [shares_of_strength(sample, u, criterion=criterion) for sample in elastic.samples]
    wood = wood_limits(corner, elastic.samples, u, tractions, criterion, shares)
    glue_worst = min(glue, key=in_order, default=None)
    wood_worst = min((limit for limit in wood if limit.breaks), key=in_order)
    # Fasteners outlive the glue, and what they carry then is no elastic question: with glue it comes first.
    critical = min(glue or grips, key=in_order)
    critical = min(critical, wood_worst, key=in_order)
    share = moment_share(corner, tractions)
    return Prediction(
        **_common(specimen, elastic),
        method="elastic",
        u_at_break=u * critical.load,
        tractions_at_break={name: value * critical.load for name, value in tractions.items()},
        limits=tuple(sorted(glue + grips + wood, key=in_order)),
        critical=critical,
        break_load=critical.load,
        break_moment=critical.load * elastic.moment,
        first_damage_load=_first_damage_load(corner, tractions),
        glue_load=None if glue_worst is None else glue_worst.load,
        wood_load=wood_worst.load,
        wood_share=WoodShare(critical.load / wood_worst.load, critical.load, wood_worst),
        ranges=elastic_ranges(corner, glue, wood_worst.load, tractions),
        moment_share=share,
        unit_shares={each.sample.piece: each for each in shares if criterion == DEFAULT_CRITERION},
        why=sentence(corner, critical, share),
        warnings=(
            *specimen.warnings,
            *bond_effects(corner),
            *sound_glues_note(corner, critical),
            *first_surface_only(corner, critical),
            *opening_note(specimen.arrangement),
        ),
    )


def _progressive_prediction(
    specimen: Specimen,
    elastic: _Elastic,
    request: Request,
    progress: Progress,
    reuse: Reuse,
    most_effort: float,
    watch: Watch | None,
) -> Prediction:
    corner = elastic.corner
    progress("following the glue past its peak")
    follower = CornerFollower(corner, reuse, most_effort, watch)
    break_path = follower.broken(elastic.samples, request.criterion, request.crushing)
    through = followed_through_splits(break_path, request.criterion, request.crushing, reuse, watch=watch)
    if through.corner is not corner:
        elastic = _solved(through.corner, reuse)
        corner, break_path = through.corner, through
    given = glue_break(break_path)
    critical = break_path.wood if break_path.wood_state is not None else given
    at_break = break_path.break_load / float(break_path.path.load[break_path.state])
    tractions = {name: at_break * value for name, value in break_path.tractions(break_path.state).items()}
    share = moment_share(corner, tractions)
    limits = (
        given,
        *other_life(break_path),
        *(replace(limit, load=_of_path(limit, break_path)) for limit in break_path.wood_limits),
        *followed_split(break_path),
    )
    return Prediction(
        **_common(specimen, elastic),
        method="progressive",
        u_at_break=at_break * break_path.displacements(break_path.state),
        tractions_at_break=tractions,
        limits=tuple(sorted(limits, key=in_order)),
        critical=critical,
        break_load=break_path.break_load,
        break_moment=break_path.break_load * elastic.moment,
        first_damage_load=break_path.first_damage_load,
        glue_load=break_path.glue_load,
        wood_load=break_path.wood_load,
        wood_share=split_share(break_path),
        split_load=None if break_path.split is None else break_path.split.load,
        ranges=None,
        moment_share=share,
        why=" ".join((sentence(corner, critical, share), *course(break_path, critical))),
        first_crack_load=_first_crack_load(break_path),
        displacement_at_break=break_path.displacement,
        energy_at_break=break_path.energy,
        broken=break_path,
        crushed=break_path.crushed if request.crushing else None,
        warnings=_warnings(break_path, critical, request),
    )


def with_scatter(
    prediction: Prediction,
    request: Request,
    progress: Progress = lambda _: None,
    reuse: Reuse | None = None,
    watch: Watch | None = None,
) -> Prediction:
    """A corner that was followed, with its band and the ranges of the judged values.

    ``progress`` and ``reuse`` as in ``predict_request``, which adds this where it is asked for; ``watch`` is
    told of the states of all further paths. An elastic answer has no scatter and comes back as it is.

    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import example_path
    >>> butt = predict(read_specimen(example_path("butt")), method="elastic")
    >>> with_scatter(butt, Request()) is butt
    True
    """
    break_path = prediction.broken
    if break_path is None:
        return prediction
    found = _scatter(break_path, prediction.samples, request, progress, reuse or Reuse(), watch)
    warnings = _warnings(break_path, prediction.critical, request, found.notes)
    return replace(prediction, band=found.band, ranges=found.ranges, warnings=warnings)


def _warnings(
    break_path: BreakPath, critical: Limit, request: Request, of_scatter: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """What to beware of in the answer of a corner that was followed."""
    corner = break_path.corner
    return (
        *corner.specimen.warnings,
        *bond_effects(corner),
        *sound_glues_note(corner, critical),
        *of_scatter,
        *bearing_note(break_path, request.crushing),
        *split_note(break_path),
        *left_early_note(break_path),
        *shape_note(break_path),
        *brittle_note(corner),
        *large_note(corner),
        *opening_note(corner.specimen.arrangement),
    )


def _first_crack_load(break_path: BreakPath) -> float | None:
    """Load in N at which something is first heard; None where fasteners alone hold up to the largest turn."""
    if break_path.first_crack is not None:
        return float(break_path.path.load[break_path.first_crack])
    return break_path.break_load if break_path.corner.glued or not break_path.ends_held else None


@dataclass(frozen=True)
class _Scatter:
    """What further paths tell of a corner, and what they could not."""

    ranges: Ranges | None = None
    band: Band | None = None
    notes: tuple[str, ...] = ()


def _scatter(
    break_path: BreakPath,
    samples: tuple[WoodSample, ...],
    request: Request,
    progress: Progress,
    reuse: Reuse,
    watch: Watch | None,
) -> _Scatter:
    """The band and the ranges of the judged rows, as far as their paths can be followed to the end."""
    try:
        plain = break_path
        ready = ready_to_split(break_path, request.criterion, request.crushing, reuse, watch)
        if ready is not break_path:
            break_path, samples = ready, sample_wood(ready.corner, reuse)
        progress("following it with larger elements, for what changes its load")
        coarse = coarse_follower(break_path.corner, progress, reuse, request.crushing, watch, break_path.path)
        runs = coarse_runs(coarse, break_path, samples, request.criterion)
        surface, logs = break_surface(break_path.corner, runs.scaled, runs.nominal, request.seed)
        band = band_of(surface, logs, request.seed)
    except ComputationError as error:
        note = f"No band, no ranges of judged glue values: a path could not be followed ({error.reason})."
        return _Scatter(notes=(note,))
    try:
        found = RangeReader(runs, break_path, surface, plain, reuse).ranges()
    except ComputationError as error:
        note = f"No ranges of judged glue values: a path could not be followed ({error.reason})."
        return _Scatter(band=band, notes=(note,))
    own = plain.break_load / break_path.break_load  # a line put in for the scatter changes the mesh a little
    return _Scatter({row: (own * weak, own * strong) for row, (weak, strong) in found.items()}, band)


def _of_path(limit: Limit, break_path: BreakPath) -> float:
    """The load of a limit of wood: that of the path for the one that ends it, for others none below it."""
    if break_path.wood_state is not None and limit == break_path.wood:
        return break_path.break_load
    most = break_path.wood_share.limit
    if break_path.split is None and (limit.part, limit.mode) == (most.part, most.mode):
        return break_path.wood_load
    return max(limit.load, break_path.break_load) if limit.breaks else limit.load


def _common(specimen: Specimen, elastic: _Elastic) -> dict[str, Any]:
    """What an elastic and a progressive answer share."""
    corner = elastic.corner
    return {
        "specimen": specimen,
        "corner": corner,
        "samples": elastic.samples,
        "u": elastic.u,
        "reactions": elastic.reactions,
        "compliance": elastic.compliance,
        "corner_stiffness": elastic.moment / abs(corner_rotation(corner, elastic.u)),
        "glue_area": glue_area(corner),
    }


def _first_damage_load(corner: CornerModel, tractions: Mapping[str, Array]) -> float | None:
    """Load in N at which the first glue point reaches its strength; ``tractions`` for P = 1 N by name."""
    used = [each.share_of_strength(tractions[each.name]).max() for each in corner.glued]
    return 1 / max(NOTHING, float(max(used))) if used else None
