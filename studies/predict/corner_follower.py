"""How a corner is followed past its peak: legs condensed, steps shortened, a path that takes long left."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from scipy.sparse import csr_matrix

from glueline.fem.beside import follow_beside
from glueline.fem.bond import BondedSurface
from glueline.fem.bulk import bulk_stiffness
from glueline.fem.equilibrium import BondedBodies, TiedBodies
from glueline.fem.follower import Watch
from glueline.fem.guide import GONE, Guide
from glueline.fem.loads import equilibrated, pinned_unknowns
from glueline.fem.mirror import Mirror, find_mirror
from glueline.fem.model import Array
from glueline.fem.path import PathFailure, PathResult, follow_tied
from glueline.fem.path_control import PathControl, TooLong
from glueline.fem.solve import SolveFailure
from glueline.fem.traction_law import TractionLaw
from glueline.fem.two_lives import FASTENERS_BEGIN, KnownLives, follow_two_lives, lives_of
from glueline.materials import DEFAULT_CRITERION
from glueline.studies.corner.connections import Grip, laws_of
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.break_path import BreakPath, farthest_of
from glueline.studies.predict.scatter.peaks import counted, turns_of
from glueline.studies.predict.wood_limits import WoodSample, sample_wood
from glueline.studies.predict.wood_on_path import judge_path

Made = TypeVar("Made")
AnyGuide = Guide | KnownLives

REMEDY = "try another element size"
TOO_LONG = (
    "glue as brittle as this on so large a corner is followed for 15 s only; try a tougher glue, smaller "
    "boards or --method elastic, which says where it starts"
)

MOST_EFFORT = 200e6
"""Entries of factors made for one corner, 15 s of one core: then its path is left. It is tried again as long
as half of them is left."""

ENOUGH_EFFORT = 150e6
"""Entries after which it is enough that the load has clearly fallen."""

SHORTER = (0.6, 0.4)
"""Times the steps with which a path is tried again that could not be followed to its end: a state at which
several points turn at once is seldom met twice."""


NARROW = 0.002
"""Share of a load by which it may change from state to state at a peak where rods or screws hold."""


TO_THE_END = (0.95, 0.85, 0.7, 0.55, 0.42)
"""Shares of the highest load of glue at which its way down is looked at where fasteners outlive it: what it
still takes up depends on how far it has come."""


PAST = (0.97, 0.93, 0.89, 0.85)
"""The same where rods hold: what tells how fast the load falls past them."""


class CornerFollower:
    """Paths of one corner: its bodies are condensed once, for any bonds of the same stiffness or load.

    Where bodies, bonds and load are their own mirror image about the diagonal, half of them is followed.
    ``most_effort`` is what a path and what is tried in its place may take, in entries of factors; ``watch``
    is told of the states of every path, from the first of each on.
    """

    def __init__(
        self,
        corner: CornerModel,
        reuse: Reuse | None = None,
        most_effort: float = MOST_EFFORT,
        watch: Watch | None = None,
    ) -> None:
        self.corner, self._reuse, self._most_effort = corner, reuse or Reuse(), most_effort
        self._watch = watch

    def follow(
        self,
        laws: Mapping[str, TractionLaw],
        control: PathControl | None = None,
        guide: AnyGuide | None = None,
    ) -> PathResult:
        """The path in the corner's own arrangement. Raises ComputationError where it ends too early.

        Beside a ``guide``, made of a path of the same corner with other laws, it goes to a little past its
        last peak that counts; where that fails it is followed as without.
        Where it cannot be followed to its end it is followed again in shorter steps, unless that takes long.
        Where that fails too, a path whose load has clearly fallen is left there (``left_early``).
        """
        control, trouble, effort = control or PathControl(), None, 0.0
        fallen: PathResult | None = None
        if guide is not None:
            try:
                limited = replace(control, enough_effort=ENOUGH_EFFORT, most_effort=self._most_effort)
                return self._followed(laws, limited, guide)
            except PathFailure as error:
                effort += 0.0 if error.result is None else error.result.effort
        for share in (1.0, *SHORTER):
            left = self._most_effort - effort
            limited = replace(
                control, step=share * control.step, enough_effort=ENOUGH_EFFORT, most_effort=left
            )
            try:
                return self._followed(laws, limited)
            except PathFailure as error:
                trouble = trouble or error
                effort += 0.0 if error.result is None else error.result.effort
                fallen = fallen or _fallen(error.result, control)
                if isinstance(error.__cause__, TooLong) or effort > 0.5 * self._most_effort:
                    break
        if fallen is not None:
            return fallen
        remedy = TOO_LONG if trouble is not None and isinstance(trouble.__cause__, TooLong) else REMEDY
        raise ComputationError("following the path", str(trouble), remedy, effort) from trouble

    def guide(
        self, laws: Mapping[str, TractionLaw], known: PathResult, surfaces: Sequence[BondedSurface]
    ) -> AnyGuide | None:
        """What to go along beside a ``known`` path of the like, whose ``surfaces`` lie on another mesh.

        What goes on bearing after the glue is followed whole there. None where there is no glue, where both
        lives are one, and where it cannot be carried to this mesh.
        """
        if known.goes_on and not self.corner.glued:
            return None
        if self._cracks and known.second_from is None:
            return None
        every, load = self._every(laws), equilibrated(self.corner.model, self.corner.loading)
        mirror, tied = self._mirror(every, load), None
        if mirror is not None:
            tied = self._made("half of the legs", lambda corner, bodies: _half_of(corner, bodies, mirror))
            every, load = mirror.own(every, load)
        tied = tied or self._made("legs", _tied)
        bodies = BondedBodies(tied, every, load)
        first = lives_of(known)[0] if self._cracks else counted(known)
        turns, gone = turns_of(first), TO_THE_END[-1] if self._cracks else GONE
        try:
            made = Guide.carried(first, surfaces, turns, bodies, tied.surfaces, mirror is not None, gone)
        except SolveFailure:
            return None
        made = _widened(replace(made, down=True), first)
        if not self._cracks:
            return replace(made, falls=True, fall=PAST) if known.goes_on else made
        return KnownLives(replace(made, fall=TO_THE_END), wanted=_counts(known))

    def guide_along(self, path: PathResult) -> AnyGuide | None:
        """What to go along beside a ``path`` of this corner with other laws, as far as weight tells of it.

        None where there is no glue, as which of the fasteners goes on alone is a matter of short steps, and
        where both lives are one.
        """
        if path.goes_on and not self.corner.glued:
            return None
        first, second = lives_of(path) if self._cracks else (counted(path), None)
        guide = _widened(Guide.along(first, turns_of(first)), first)
        if not self._cracks:
            return replace(guide, down=True, falls=True, fall=PAST) if path.goes_on else guide
        if second is None:
            return None if _counts(path) else KnownLives(guide, wanted=False)
        return KnownLives(replace(guide, down=True, fall=TO_THE_END), second, _counts(path))

    @property
    def _cracks(self) -> list[str]:
        """The glued surfaces that fasteners outlive."""
        outlived = any(isinstance(each, Grip) for each in self.corner.bearings)
        return [each.name for each in self.corner.glued] if outlived else []

    def _every(self, laws: Mapping[str, TractionLaw]) -> list[TractionLaw]:
        return [laws[surface.name] for surface in self.corner.surfaces]

    def _mirror(self, every: Sequence[TractionLaw], load: Array) -> Mirror | None:
        """How the corner is its own image, if laws and load are too."""
        mirror = self._made("mirror", _mirror_of) if self.corner.layout.mirrored else None
        return mirror if mirror is not None and mirror.fits(every, load) else None

    def _followed(
        self,
        laws: Mapping[str, TractionLaw],
        control: PathControl,
        guide: AnyGuide | None = None,
    ) -> PathResult:
        corner = self.corner
        load = equilibrated(corner.model, corner.loading)
        control = replace(control or PathControl(), farthest=farthest_of(corner))
        if not corner.glued:
            control = replace(control, beginning=FASTENERS_BEGIN)
        every = self._every(laws)
        mirror = self._mirror(every, load)
        if guide is not None and guide.is_half != (mirror is not None):
            guide = None
        if mirror is not None:
            half = self._made("half of the legs", lambda corner, bodies: _half_of(corner, bodies, mirror))
            along = guide if isinstance(guide, Guide) else None
            return mirror.follow(half, every, load, control, self._watch, along)
        tied = self._made("legs", _tied)
        if self._cracks:
            lives = guide if isinstance(guide, KnownLives) else None
            return follow_two_lives(tied, every, load, self._cracks, control, self._watch, lives)
        if isinstance(guide, Guide):
            return follow_beside(tied, every, load, guide, control, self._watch)
        return follow_tied(tied, every, load, control, watch=self._watch)

    def _made(self, what: str, make: Callable[[CornerModel, csr_matrix], Made]) -> Made:
        """What ``make`` makes of the corner and the stiffness of its bodies."""
        corner, reuse = self.corner, self._reuse
        try:
            return reuse.shared(
                f"{corner.role}: {what}", corner.made_from, lambda: make(corner, bodies_of(corner, reuse))
            )
        except SolveFailure as error:
            raise ComputationError("following the path", f"eliminating the legs: {error}", REMEDY) from error

    def broken(
        self,
        samples: tuple[WoodSample, ...],
        criterion: str = DEFAULT_CRITERION,
        crushing: bool = True,
        control: PathControl | None = None,
        known: BreakPath | None = None,
    ) -> BreakPath:
        """The corner followed and its wood judged at ``samples``. Raises ComputationError.

        Without ``crushing`` faces bear whatever presses on them. Beside a ``known`` corner of the like the
        path is found by a few states.
        """
        laws = laws_of(self.corner.holds, crushing)
        guide: AnyGuide | None = None
        if known is not None:
            is_alike = known.corner.made_from == self.corner.made_from
            is_alike = is_alike and known.corner.split_places == self.corner.split_places
            guide = (
                self.guide_along(known.path)
                if is_alike
                else self.guide(laws, known.path, known.corner.surfaces)
            )
        return judge_path(self.corner, self.follow(laws, control, guide), laws, samples, criterion)


def _counts(path: PathResult) -> bool:
    """Whether what goes on after the glue may count."""
    return len(turns_of(path)) > 1


def _widened(guide: Guide, path: PathResult) -> Guide:
    """Its peaks located more narrowly where rods or screws hold: theirs are kinks."""
    return replace(guide, wide=NARROW) if path.goes_on else guide


def _fallen(path: PathResult | None, control: PathControl) -> PathResult | None:
    """A path that could not be followed to its end, if its load has clearly fallen."""
    if path is None or path.load[-1] > control.stop_late * path.load.max():
        return None
    return replace(path, left_early=True)


def bodies_of(corner: CornerModel, reuse: Reuse) -> csr_matrix:
    """Stiffness of a corner's bodies, nothing tied: made once for the elastic answer, mirror and path."""
    return reuse.shared(f"{corner.role}: bodies", corner.made_from, lambda: bulk_stiffness(corner.model))


def _tied(corner: CornerModel, bodies: csr_matrix) -> TiedBodies:
    return TiedBodies(bodies, corner.surfaces, pinned_unknowns(corner.model))


def _mirror_of(corner: CornerModel, bodies: csr_matrix) -> Mirror | None:
    return find_mirror(corner.model, bodies, corner.surfaces)


def _half_of(corner: CornerModel, bodies: csr_matrix, mirror: Mirror) -> TiedBodies:
    return mirror.half(bodies, corner.surfaces, pinned_unknowns(corner.model))


def follow_break(
    specimen: Specimen,
    *,
    element_size: float | None = None,
    control: PathControl | None = None,
    crushing: bool = True,
    criterion: str = DEFAULT_CRITERION,
) -> BreakPath:
    """Follow a specimen past its peak and judge its wood. Raises ComputationError where the path ends."""
    corner = build_corner(specimen, element_size)
    return CornerFollower(corner).broken(sample_wood(corner), criterion, crushing, control)
