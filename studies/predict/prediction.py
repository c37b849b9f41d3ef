"""What a prediction holds: the model with its fields, and the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from msgspec import structs
from numpy.typing import NDArray

from glueline.fem.solve import SOLVER
from glueline.studies.corner.limit import Limit
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.proportions import proportions_note
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.answer import Answer, Event, MeshSize, Mode, OfWood, Path, Scatter
from glueline.studies.predict.break_path import BreakPath, WoodShare
from glueline.studies.predict.credible_range import Ranges
from glueline.studies.predict.request import Method
from glueline.studies.predict.said_aloud import said_aloud
from glueline.studies.predict.scatter.band import Band
from glueline.studies.predict.story import events_of
from glueline.studies.predict.wood_limits import ShareOfStrength, WoodSample

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Prediction:
    """The answer for one specimen. Loads in N, moments in N mm, lengths in mm, areas in mm2.

    ``u`` (unknowns,) is the displacement for P = 1 N of the whole corner; ``u_at_break`` that at the break
    load and ``tractions_at_break`` (p, 2) in MPa by surface what the glue carries then. ``limits`` lists
    every mode with its load; ``ranges`` the break load with each judged row of the glue table at its weak and
    at its strong end, None where that was not asked for; ``reactions`` the three support forces for P = 1 N.
    An elastic answer has no ``broken``, no ``band`` and nothing else that only a path can tell. ``crushed``
    is how far, in mm by surface, faces are crushed at the break where most; None in an elastic answer and
    where they do not crush. ``unit_shares`` are the shares of the wood's strength for P = 1 N by piece, in an
    elastic answer by the usual criterion: pictures need them again.

    >>> from glueline import predict, read_specimen
    >>> from glueline.studies.examples import example_path
    >>> found = predict(read_specimen(example_path("butt")), method="elastic")
    >>> found.critical.kind, found.moment_share, found.broken is None
    ('glue', {'butt face': 1.0}, True)
    >>> found.answer.breaks_in, found.answer.joint
    ('glue', 'butt')
    """

    specimen: Specimen
    corner: CornerModel
    samples: tuple[WoodSample, ...]
    method: Method
    u: Array
    u_at_break: Array
    tractions_at_break: Mapping[str, Array]
    reactions: Array
    limits: tuple[Limit, ...]
    critical: Limit
    break_load: float
    break_moment: float
    glue_load: float | None
    wood_load: float
    wood_share: WoodShare
    ranges: Ranges | None
    first_damage_load: float | None
    compliance: float
    corner_stiffness: float
    moment_share: dict[str, float]
    glue_area: dict[str, float]
    why: str
    warnings: tuple[str, ...]
    first_crack_load: float | None = None
    split_load: float | None = None
    displacement_at_break: float | None = None
    energy_at_break: float | None = None
    broken: BreakPath | None = None
    band: Band | None = None
    crushed: Mapping[str, float] | None = None
    unit_shares: Mapping[str, ShareOfStrength] = field(default_factory=dict, repr=False)

    @cached_property
    def events(self) -> tuple[Event, ...]:
        """The story of a corner that was followed; none where it was not."""
        return () if self.broken is None else events_of(self.broken)

    @cached_property
    def answer(self) -> Answer:
        """All of it that is no field: what is printed, written and compared."""
        mesh = self.corner.mesh
        answer = Answer(
            joint=self.specimen.kind,
            arrangement=self.specimen.arrangement.name,
            method=self.method,
            break_load=self.break_load,
            band=None if self.band is None else (self.band.low, self.band.high),
            median=None if self.band is None else self.band.median,
            share_at_first_crack=None if self.band is None else self.band.at_first_crack,
            breaks_in=self.critical.kind,
            where=self.critical.where,
            mode=self.critical.mode,
            glue_load=self.glue_load,
            wood_load=self.wood_load,
            fastener_load=min((each.load for each in self.limits if each.kind == "fastener"), default=None),
            wood_share=_wood_share(self.wood_share),
            split_load=self.split_load,
            first_damage_load=self.first_damage_load,
            first_crack_load=self.first_crack_load,
            highest_load=None if self.broken is None else self.broken.highest_load,
            holds_after_crack=None if self.broken is None else self.broken.holds_after_crack,
            break_moment_Nm=self.break_moment / 1000,
            compliance=self.compliance,
            corner_stiffness_Nm_per_rad=self.corner_stiffness / 1000,
            displacement_at_break=self.displacement_at_break,
            energy_at_break_J=None if self.energy_at_break is None else self.energy_at_break / 1000,
            why=self.why,
            calibrated_off_by=self.specimen.glue.load_factor,
            ranges=None if self.ranges is None else dict(self.ranges),
            moment_share=dict(self.moment_share),
            scatter=None if self.band is None else _scatter(self.band),
            glue_gone=None if self.broken is None else dict(self.broken.glue_gone),
            path=None if self.broken is None else _path(self.broken),
            crushed=None if self.crushed is None else dict(self.crushed),
            glue_area=dict(self.glue_area),
            events=None if self.broken is None else self.events,
            modes=tuple(_mode(limit, self.break_load) for limit in self.limits),
            support_reactions=tuple((self.reactions * self.break_load).tolist()),
            element_size=mesh.element_size,
            mesh=MeshSize(
                nodes=len(mesh.nodes),
                elements=len(mesh.triangles),
                unknowns=self.corner.model.unknowns,
            ),
            out_of_plane=self.corner.assumptions,
            notes=(*proportions_note(self.specimen.left_out), *self.corner.layout.notes),
            warnings=self.warnings,
            solver=SOLVER,
        )
        return structs.replace(answer, said_aloud=said_aloud(answer))


def _wood_share(most: WoodShare) -> OfWood:
    return OfWood(share=most.share, load=most.load, where=most.limit.where, mode=most.limit.mode)


def _mode(limit: Limit, break_load: float) -> Mode:
    return Mode(
        kind=limit.kind,
        part=limit.part,
        mode=limit.mode,
        where=limit.where,
        load=limit.load,
        share_of_strength_at_break=break_load / limit.load,
        mean_over=limit.length or None,
        counts_as_break=limit.breaks,
        note=limit.note,
    )


def _scatter(band: Band) -> Scatter:
    return Scatter(
        seed=band.seed,
        variables=band.variables,
        paths=band.solves,
        wood_first_share=band.wood_first,
        note=band.note,
    )


def _path(break_path: BreakPath) -> Path:
    path = break_path.path
    return Path(
        states=len(path.load),
        matrices_factored=path.factorisations,
        energy_audit=path.audit,
        load=tuple(path.load.tolist()),
        displacement=tuple(path.displacement.tolist()),
        break_state=break_path.state,
    )
