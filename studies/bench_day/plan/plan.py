"""The plan of a bench day: how many of each joint, what weight to bring, in which steps and order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import ceil, floor
from typing import Literal

import msgspec
import numpy as np
from msgspec import field

from glueline.studies.bench_day.expected import Expected
from glueline.studies.bench_day.plan.cut_list import Blank, StockBoard, blanks_of, boards_to_buy
from glueline.studies.bench_day.plan.joint_notes import joint_notes
from glueline.studies.bench_day.plan.load_steps import load_step, step_share
from glueline.studies.bench_day.plan.power import (
    replicates_for_pair,
    replicates_for_precision,
    widened_by_steps,
)
from glueline.studies.bench_day.rig.rig import (
    COVERAGE_FACTOR,
    GRAVITY,
    Rig,
    joint_force_uncertainty,
    stacked_weight,
)
from glueline.studies.files.display import KG_PER_LB
from glueline.studies.files.units import MM_PER_INCH, Units
from glueline.studies.predict.scatter.lognormal import LognormalLoad

FIRST_SHARE = 0.5  # of the 5 % value, stacked at once before the steps begin
LEAST_REPLICATES = 3
PRECISION = 0.25  # of the median, for a joint with no other to be told from
BEYOND = 10_000  # replicates up to which it is said how many would be needed
PLATES_KG = (0.25, 0.5, 1.0, 1.25, 2.0, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0)
PLATES_LB = (0.5, 1.0, 2.5, 5.0, 10.0, 25.0, 35.0, 45.0)
"""Sizes of plates as sold; common practice, no source."""

Purpose = Literal["to tell it from others", "to know its median", "the most allowed"]
"""What a number of specimens is for; the last where not even the median can be known well with so many."""


@dataclass(frozen=True)
class Wishes:
    """What the day is to reach and what there is to work with."""

    confidence: float = 0.95  # share
    power: float = 0.80  # share
    most: int = 12  # specimens of one joint
    margin: float = 0.20  # weight beyond the 95 % value, share
    drop: float = 25.0  # mm, gap above the catch block
    seed: int = 1
    kerf: float = 3.0  # mm
    board_length: float = 2400.0  # mm
    round_up: float = 1.0  # mm, of which the length of a blank is a multiple
    plates_kg: tuple[float, ...] = PLATES_KG


class PlannedJoint(msgspec.Struct, frozen=True):
    """One joint on the day; weights are those stacked on the rig."""

    label: str
    weights_to_bring: float = field(name="weights_to_bring_kg")
    step: float = field(name="step_kg")
    replicates: int
    replicates_for: Purpose
    first_stack: float = field(name="first_stack_kg")
    predicted: float = field(name="predicted_N")
    band: tuple[float, float] = field(name="band_N")
    band_from: str
    breaks_in: str
    stored_energy: float = field(name="stored_energy_J")
    energy_at_break: float | None = field(name="energy_at_break_J")
    notes: tuple[str, ...]  # in metric units


class Pair(msgspec.Struct, frozen=True):
    """Two joints and how many of each it takes to tell them apart."""

    stronger: str
    weaker: str
    ratio: float  # of the medians, at least 1
    replicates: int | None  # None where ``most`` are not enough
    needed: int | None = field(name="would_need")  # the number that would do, None beyond ``BEYOND``


@dataclass(frozen=True)
class Plan:
    """A bench day. ``order`` holds (label, name of the specimen), one a break."""

    rig: Rig
    wishes: Wishes
    estimates: tuple[Expected, ...]
    joints: tuple[PlannedJoint, ...]
    pairs: tuple[Pair, ...]
    order: tuple[tuple[str, str], ...]
    blanks: Mapping[str, tuple[Blank, ...]]
    boards: tuple[StockBoard, ...]

    @property
    def heaviest_kg(self) -> float:
        """The most that is stacked on the rig at any time."""
        return max(each.weights_to_bring for each in self.joints)

    def notes(self, units: Units) -> list[str]:
        """What to know of each joint on the day, after its label."""
        return [
            f"{joint.label}: {note}"
            for joint, each in zip(self.joints, self.estimates, strict=True)
            for note in joint_notes(each, self.rig, self.wishes.drop, joint.step, joint.replicates, units)
        ]


def make_plan(estimates: Sequence[Expected], rig: Rig, wishes: Wishes) -> Plan:
    """Plan the breaking of what is expected of each joint on a rig. Raises cut_list.BlankTooLong.

    >>> from glueline import predict
    >>> from glueline.studies.bench_day.rig.rig_file import read_rig
    >>> from glueline.studies.corner.specimen_file import read_specimen
    >>> from glueline.studies.examples import bench_day_path, example_path
    >>> from glueline.studies.predict.scatter.lognormal import load_of_band
    >>> specimen, band = read_specimen(example_path("butt")), (320.0, 700.0)
    >>> answer = predict(specimen, method="elastic").answer
    >>> which = ("butt", specimen, 490.0, load_of_band(*band), band, "invented", False, "glue")
    >>> butt = Expected(*which, answer, None)
    >>> plan = make_plan([butt], read_rig(bench_day_path("bench_rig.toml")), Wishes())
    >>> plan.joints[0].step, plan.heaviest_kg, len(plan.order)
    (1.25, 27.5, 7)
    """
    steps = [load_step(each, rig, wishes.plates_kg) for each in estimates]
    pairs = told_apart(
        estimates, [step_share(each, rig, step) for each, step in zip(estimates, steps, strict=True)], wishes
    )
    replicates = [_replicates(each, pairs, wishes) for each in estimates]
    counts = [count for count, _ in replicates]
    planned = tuple(
        _planned(each, rig, wishes, step, *counted)
        for each, step, counted in zip(estimates, steps, replicates, strict=True)
    )
    order = random_order(
        [(each.label, count) for each, count in zip(estimates, counts, strict=True)], wishes.seed
    )
    blanks = {
        each.label: blanks_of(each.label, each.specimen, wishes.kerf, wishes.round_up) for each in estimates
    }
    return Plan(
        rig=rig,
        wishes=wishes,
        estimates=tuple(estimates),
        joints=planned,
        pairs=pairs,
        order=order,
        blanks=blanks,
        boards=boards_to_buy(order, blanks, wishes.kerf, wishes.board_length),
    )


def told_apart(
    estimates: Sequence[Expected], step_shares: Sequence[float], wishes: Wishes
) -> tuple[Pair, ...]:
    """Every pair, with how many of each it takes at the stated confidence and power.

    The risk of a false claim, 1 - confidence, is shared by all pairs (Bonferroni).
    """
    seen = [
        LognormalLoad(each.scatter.median, widened_by_steps(each.scatter.log_deviation, share))
        for each, share in zip(estimates, step_shares, strict=True)
    ]
    couples = list(combinations(range(len(estimates)), 2))
    pairs = []
    for first, second in couples:
        if seen[first].median < seen[second].median:
            first, second = second, first
        significance = (1 - wishes.confidence) / len(couples)
        needed = replicates_for_pair(
            seen[first], seen[second], significance=significance, power=wishes.power, most=BEYOND
        )
        enough = needed is not None and needed <= wishes.most
        pairs.append(
            Pair(
                estimates[first].label,
                estimates[second].label,
                seen[first].median / seen[second].median,
                needed if enough else None,
                needed,
            )
        )
    return tuple(pairs)


def random_order(counts: Sequence[tuple[str, int]], seed: int) -> tuple[tuple[str, str], ...]:
    """Rounds in random order: each breaks one of every joint that is left, so that drift hits all alike.

    The same seed gives the same order.
    """
    random = np.random.default_rng(seed)
    order = []
    for round_number in range(max((count for _, count in counts), default=0)):
        left = [label for label, count in counts if count > round_number]
        order += [
            (left[index], f"{left[index]} {round_number + 1}") for index in random.permutation(len(left))
        ]
    return tuple(order)


def usual_wishes(units: Units) -> Wishes:
    """What is usual where one measures in mm and kg, or in inches and lb; common practice, no source."""
    if units == "metric":
        return Wishes()
    return Wishes(
        drop=MM_PER_INCH,
        kerf=MM_PER_INCH / 8,
        board_length=96 * MM_PER_INCH,
        round_up=MM_PER_INCH / 16,
        plates_kg=tuple(plate * KG_PER_LB for plate in PLATES_LB),
    )


def _replicates(expected: Expected, pairs: Sequence[Pair], wishes: Wishes) -> tuple[int, Purpose]:
    """The most that any of its pairs needs; else what the precision of its median needs; and which."""
    own = [
        pair.replicates
        for pair in pairs
        if expected.label in (pair.stronger, pair.weaker) and pair.replicates is not None
    ]
    purpose: Purpose = "to tell it from others"
    if not own:
        precise = replicates_for_precision(
            expected.scatter.log_deviation, PRECISION, wishes.confidence, wishes.most
        )
        purpose = "the most allowed" if precise is None else "to know its median"
        own = [wishes.most if precise is None else precise]
    return min(max(LEAST_REPLICATES, *own), max(wishes.most, LEAST_REPLICATES)), purpose


def _planned(
    expected: Expected, rig: Rig, wishes: Wishes, step: float, replicates: int, purpose: Purpose
) -> PlannedJoint:
    wanted = expected.band[1] * (1 + wishes.margin)
    bare = float(stacked_weight(rig, wanted))
    covered = wanted + COVERAGE_FACTOR * float(joint_force_uncertainty(rig, bare))
    bring = max(1, ceil(float(stacked_weight(rig, covered)) / step - 1e-9)) * step
    first = floor(float(stacked_weight(rig, FIRST_SHARE * expected.band[0])) / step + 1e-9) * step
    return PlannedJoint(
        label=expected.label,
        weights_to_bring=bring,
        step=step,
        replicates=replicates,
        replicates_for=purpose,
        first_stack=first,
        predicted=expected.load,
        band=expected.band,
        band_from=expected.band_from,
        breaks_in=expected.breaks_in,
        # What weights and platform lose in height, by virtual work: force on the joint times its drop.
        stored_energy=float(rig.line.force(bring * GRAVITY)) * wishes.drop / 1000,
        energy_at_break=expected.energy,
        notes=joint_notes(expected, rig, wishes.drop, step, replicates, "metric"),
    )
