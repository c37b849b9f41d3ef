"""At what load the wood gives: named modes by mean stress along the grain.

Stresses are taken on rows along the grain. Splitting and shear are means over the critical length, along the
grain; the stress along the grain is averaged along the grain only, so that a plain board in bending breaks
at its own modulus of rupture. Wood within 2 mm of a glued face belongs to the glue line, and wood near the
load and its supports is not judged, as far as the load arrangement says.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from glueline.fem.stress import GrainRows, grain_rows
from glueline.fem.stretches import Stretches, StretchMeans
from glueline.materials import DEFAULT_CRITERION, Wood, find_criterion, plane_strengths
from glueline.materials.criteria import Criterion
from glueline.studies.corner.connections import BESIDE_GLUE, Connection
from glueline.studies.corner.critical_length import CriticalLengths, wood_lengths
from glueline.studies.corner.limit import NOTHING, Limit, as_point
from glueline.studies.corner.model import CornerModel
from glueline.studies.corner.piece import PieceWood
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.wood_modes import SPLIT_OR_SHEAR, WOOD_MODES, WoodMode
from glueline.studies.predict.fastener_shares import share_in_rod

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


# Between two glued faces less wood than that along the grain says little alone: one place, which changes with
# the mesh. The mean then takes in wood beside the faces.
LEAST_STRETCH = 2 * BESIDE_GLUE


@dataclass(frozen=True)
class WoodSample:
    """One piece sampled along its grain: ``judged`` (p,) marks the places whose stress counts.

    ``beside_glue`` (p,) marks those that do not because they are too near to glue, ``shaded`` (p,) those that
    a split line relieves, where no further split begins; none by default.
    """

    piece: str
    wood: Wood
    rows: GrainRows
    judged: Flags
    lengths: CriticalLengths
    beside_glue: Flags | None = None
    shaded: Flags | None = None

    @cached_property
    def means(self) -> StretchMeans:
        """Means over every length that is tried, at the places that are judged."""
        return StretchMeans.over(
            Stretches.of_each(self.rows, self.judged, self.lengths.to_try, LEAST_STRETCH, self.beside_glue)
        )

    @cached_property
    def longest_row(self) -> float:
        """Length in mm of the longest row, gaps left out."""
        return self.rows.spacing * (int(self.rows.inside.sum(axis=1).max()) - 1)


@dataclass(frozen=True)
class ShareOfStrength:
    """Share of strength used by mode at P = 1 N, at the places of a sample that are judged.

    ``at_judged`` has the share (k,) of every mode there. ``lengths`` (k,) mm and ``shear_shares`` (k,) are
    those of splitting and shear: the length their stress was averaged over, and the part of shear in the
    square of their share; ``fibre_lengths`` (k,) mm are for fibres. What has no s in its name, and
    ``modes``, is the same at all places (p,).
    """

    sample: WoodSample
    at_judged: Mapping[str, Array]
    lengths: Array
    shear_shares: Array
    fibre_lengths: Array

    @cached_property
    def modes(self) -> dict[str, Array]:
        """Share (p,) by mode; where wood is not judged NaN, 0 of splitting and shear."""
        return {
            name: self._spread(share, 0.0 if WOOD_MODES[name].family == SPLIT_OR_SHEAR else np.nan)
            for name, share in self.at_judged.items()
        }

    @property
    def length(self) -> Array:
        """Length (p,) in mm over which splitting and shear were averaged."""
        return self._spread(self.lengths, 0.0)

    @property
    def shear_share(self) -> Array:
        """Part (p,) of shear in the square of the share of splitting and shear."""
        return self._spread(self.shear_shares, 0.0)

    @property
    def fibre_length(self) -> Array:
        """Length (p,) in mm over which stress along the grain was averaged."""
        return self._spread(self.fibre_lengths, self.sample.lengths.opening)

    @property
    def worst(self) -> Array:
        """Largest share over the modes that break wood, (p,)."""
        breaking = [share for name, share in self.at_judged.items() if WOOD_MODES[name].breaks]
        return self._spread(np.max(breaking, axis=0), 0.0)

    def _spread(self, values: Array, elsewhere: float) -> Array:
        """Values (k,) of the places that are judged at all places (p,)."""
        spread = np.full(len(self.sample.judged), elsewhere)
        spread[self.sample.judged] = values
        return spread


def sample_wood(corner: CornerModel, reuse: Reuse | None = None) -> tuple[WoodSample, ...]:
    """Lay rows along the grain of every piece, spaced half an element."""
    reuse = reuse or Reuse()
    laid = reuse.shared(f"{corner.role}: rows", corner.made_from, lambda: _rows(corner))
    samples = []
    for body in corner.model.bodies:
        piece = corner.pieces[body.name]
        wood, rows = piece.wood, laid[body.name]
        lengths = wood_lengths(
            piece.constants,
            (wood.tension_across, wood.splitting_toughness),
            (wood.shear_strength, wood.shear_toughness),
        )
        away = ~corner.specimen.arrangement.near_load(corner.layout.boards, rows.points)
        beside = _beside_glue(corner, body.name, rows.points)
        shaded = np.zeros(len(rows.points), dtype=bool)
        for split in corner.splits:
            if split.piece.name == body.name:
                shaded |= split.shades(rows.points)
        samples.append(WoodSample(body.name, wood, rows, away & ~beside, lengths, away & beside, shaded))
    return tuple(samples)


def _rows(corner: CornerModel) -> dict[str, GrainRows]:
    spacing = corner.mesh.element_size / 2
    return {
        body.name: grain_rows(corner.model, body, spacing, _judged_from(corner, corner.pieces[body.name]))
        for body in corner.model.bodies
    }


def _judged_from(corner: CornerModel, piece: PieceWood) -> list[float]:
    """Where, across the grain, judging begins beside what holds a piece: rows are laid there."""
    return [place for each in _holding(corner, piece.name) for place in each.judged_from(piece)]


def _beside_glue(corner: CornerModel, piece: str, points: Array) -> Flags:
    """Which places of a piece are so near to a glued face of it that they belong to the glue."""
    beside = np.zeros(len(points), dtype=bool)
    for each in _holding(corner, piece):
        beside |= each.beside(points)
    return beside


def _holding(corner: CornerModel, piece: str) -> list[Connection]:
    return [each for each in corner.connections if piece in (each.surface.minus, each.surface.plus)]


def shares_of_strength(sample: WoodSample, u: Array, criterion: str = DEFAULT_CRITERION) -> ShareOfStrength:
    """Shares of strength by mode under displacements ``u``.

    ``criterion`` is a name of ``materials.CRITERIA`` and combines the stresses. Pressure across the grain
    counts in none of them, because crushing breaks nothing. Where the stress along the grain has a part and
    the larger one, the break is the fibres'. Raises ValueError for an unknown name.
    """
    return shares_at_states(sample, u[:, None], criterion)[0]


def shares_at_states(
    sample: WoodSample, u: Array, criterion: str = DEFAULT_CRITERION
) -> list[ShareOfStrength]:
    """The same under each of the displacements ``u`` (unknowns, states), all found in one go."""
    wood, judged, states = sample.wood, sample.judged, u.shape[1]
    # Stresses (3, p, states): the means are of all of them at once, and every state's places in a row.
    stress = sample.rows.stresses_at_states(u)
    mean = sample.means.of(stress.transpose(1, 0, 2).reshape(len(judged), -1))
    mean = np.moveaxis(mean.reshape(3, states, *mean.shape[1:]), 1, 2)
    worst = _worst_reached(sample, mean.reshape(3, mean.shape[1], -1), find_criterion(criterion))
    index, length, part_of_shear, fibres = (each.reshape(states, -1) for each in worst)
    if sample.shaded is not None:
        index = np.where(sample.shaded[judged] & (fibres == 0), 0.0, index)
    chosen = np.where(index > 0, length, 0.0)
    torn, pressed = np.where(fibres > 0, index, 0.0), np.where(fibres < 0, index, 0.0)
    splits, along_grain = (fibres == 0) & (part_of_shear <= 0.5), (fibres == 0) & (part_of_shear > 0.5)
    along, pressed_across = mean[0, 0], mean[1, 0]
    pull, push = np.maximum(along, 0.0), np.maximum(-along, 0.0)
    of_wood = {
        "fibre tension": np.maximum(pull / wood.bending_strength, torn),
        "fibre bending on the pressed side": np.maximum(push / wood.bending_strength, pressed),
        "fibre compression": push / wood.compression_along,
        "crushing across the grain": np.maximum(-pressed_across, 0) / wood.compression_across,
        "splitting": np.where(splits, index, 0.0),
        "shear along the grain": np.where(along_grain, index, 0.0),
    }
    by_combining = (fibres != 0) & (index > np.abs(along) / wood.bending_strength)
    fibre_lengths = np.where(by_combining, chosen, sample.lengths.opening)
    return [
        ShareOfStrength(
            sample,
            {name: share[state] for name, share in of_wood.items()},
            chosen[state],
            part_of_shear[state],
            fibre_lengths[state],
        )
        for state in range(states)
    ]


def _worst_reached(sample: WoodSample, mean: Array, rule: Criterion) -> tuple[Array, Array, Array, Array]:
    """Of means over longer and longer stretches the worst that is over at least its critical length.

    ``mean`` (3, lengths, k) are stresses along, across and in shear at the k places that are judged. Returns
    share of strength, length in mm, part of shear and signed share of the fibres, (k,) each, all 0 where no
    mean counts. Which length is critical depends on the part of shear, so it is found between two lengths
    where the first falls short of its own and the second does not.
    """
    wood, lengths, strengths = sample.wood, sample.lengths, plane_strengths(sample.wood)
    across, shear = np.maximum(mean[1], 0.0), mean[2]
    beside = mean[0] if rule.counts_along else np.zeros_like(shear)
    opened, slid = (across / wood.tension_across) ** 2, (shear / wood.shear_strength) ** 2
    both = opened + slid
    part = slid / np.maximum(both, NOTHING**2)
    index = rule.index(beside, across, shear, strengths)
    tried = np.log(lengths.to_try)
    reach = tried[:, None] - lengths.log_between(part)
    # Opening counts by itself over its own length; with the shear beside it only over a longer one, on which
    # the opening may have gone: a short face in bending is pulled on one half and pressed on the other.
    alone = rule.index(beside[0], across[0], np.zeros_like(shear[0]), strengths)

    # Of equal ones the first counts: every mean itself before what lies between it and the one before.
    own = np.where(reach >= -1e-9, index, 0.0)
    found = np.zeros((2 * len(index), index.shape[1]))
    found[0], found[1], found[2::2] = alone, own[0], own[1:]
    row, place = np.nonzero((reach[:-1] < 0) & (reach[1:] > 0))
    way = reach[row, place] / (reach[row, place] - reach[row + 1, place])
    found[2 * row + 3, place] = (1.0 - way) * index[row, place] + way * index[row + 1, place]

    at, places = found.argmax(axis=0), np.arange(index.shape[1])
    worst, with_shear, longer = found[at, places], at > 0, at // 2
    shorter = longer - ((at > 1) & (at % 2 == 1))
    short, long = reach[shorter, places], reach[longer, places]
    way = np.where(longer > shorter, short / np.where(longer > shorter, short - long, 1.0), 0.0)
    length = np.exp((1.0 - way) * tried[shorter] + way * tried[longer])
    part = (1.0 - way) * part[shorter, places] + way * part[longer, places]
    nearer = np.where(way > 0.5, longer, shorter)
    weak = np.sqrt(np.where(with_shear, both[nearer, places], opened[0]))
    stretched = beside[nearer, places] / wood.bending_strength
    counts = worst > 0.0
    return (
        worst,
        np.where(counts, length, 0.0),
        np.where(counts & with_shear, part, 0.0),
        np.where(counts & (np.abs(stretched) > weak), stretched, 0.0),
    )


def wood_limits(
    corner: CornerModel,
    samples: tuple[WoodSample, ...],
    u: Array,
    tractions: Mapping[str, Array] | None = None,
    criterion: str = DEFAULT_CRITERION,
    shares: Sequence[ShareOfStrength] | None = None,
) -> tuple[Limit, ...]:
    """The load of every mode in every piece, from displacements for P = 1 N, rolling shear included.

    ``tractions`` (p, 2) by surface for P = 1 N are those of softened glue, of all that ``limits_wood``;
    without them it is whole.
    ``criterion`` as in ``shares_of_strength``; ``shares`` are those of all samples, where they are known.
    """
    limits = []
    if shares is None:
        shares = [shares_of_strength(sample, u, criterion=criterion) for sample in samples]
    for sample, used in zip(samples, shares, strict=True):
        places = np.flatnonzero(sample.judged)
        for mode, share in used.at_judged.items():
            at = int(share.argmax()) if len(share) else 0
            if not len(share) or share[at] <= NOTHING:
                continue
            point = as_point(sample.rows.points[places[at]])
            known = WOOD_MODES[mode]
            limits.append(
                Limit(
                    kind="wood",
                    part=sample.piece,
                    mode=mode,
                    where=corner.layout.place_in(corner.layout.piece(sample.piece), point),
                    load=1 / float(share[at]),
                    point=point,
                    length=float((used.fibre_lengths if known.in_fibres else used.lengths)[at]),
                    breaks=known.breaks,
                    note=_note(known, sample, float(used.lengths[at])),
                    shear_share=0.0 if known.in_fibres else float(used.shear_shares[at]),
                )
            )
    for hold in corner.holds:
        if hold.limits_wood:
            limits += hold.wood_limits(hold.tractions(u) if tractions is None else tractions[hold.name])
    return (*limits, *rod_limits(corner, u))


def rod_limits(corner: CornerModel, u: Array) -> tuple[Limit, ...]:
    """The load at which the dowels break, bent and pulled, from displacements for P = 1 N."""
    limits = []
    for rod in corner.layout.rods:
        share = share_in_rod(corner, rod, u)
        member, end = np.unravel_index(int(share.argmax()), share.shape)
        if share[member, end] <= NOTHING:
            continue
        limits.append(
            Limit(
                kind="fastener",
                part=rod.name,
                mode="bending of the dowel",
                where=rod.name,
                load=1 / float(share[member, end]),
                point=as_point(corner.model.beam(rod.name).nodes[int(member) + int(end)]),
                length=0.0,
            )
        )
    return tuple(limits)


def _note(mode: WoodMode, sample: WoodSample, length: float) -> str:
    """What a reader must know about a limit: yielding, or a piece shorter than the critical length."""
    if not mode.breaks:
        return "yielding: shown, not counted as a break"
    if not mode.in_fibres and length > sample.longest_row:
        return "the critical length is longer than the piece: the mean over all of it was taken"
    return ""
