"""Where a joint serves: what an everyday use asks of a corner beside what the corner holds for long.

A corner is rarely as strong both ways, so it is predicted in the sense in which each load case loads it,
whatever the specimen's own arrangement. Demand is the load P of that arrangement that makes the same moment
at the corner. Capacity is the 5 % value of the predicted load times the long-load factor over the safety
factor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec
from msgspec import field

from glueline.geometries import BOARD_A, BOARD_B
from glueline.studies.bench_day.expected import Expected
from glueline.studies.bench_day.service.service_uses import Assumption, LoadCase, Sense, Use
from glueline.studies.corner.arrangements import DIAGONAL_COMPRESSION, DIAGONAL_TENSION, LoadArrangement
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import format_length, format_share
from glueline.studies.files.words import all_of

CURVE_LIMIT, CURVE_SCALE, CURVE_POWER = 0.183, 1.084, -0.0464
PREDICTED_IN = (DIAGONAL_COMPRESSION, DIAGONAL_TENSION)
"""The load arrangements in which a corner is predicted: one that closes it and one that opens it."""
LASTING = 86400.0  # s: from a day on glue creeps noticeably; judgement


class CaseResult(msgspec.Struct, frozen=True):
    """One load case on one specimen, which is predicted in the sense of the case.

    Where the case may go either way the weaker prediction counts. ``margin`` is capacity over demand.
    """

    name: str
    seconds: float
    sense: Sense = field(name="corner")
    arrangement: str
    low_value: float = field(name="p05_N")
    model: str
    joint_moment: float = field(name="joint_moment_Nm")
    specimen_moment: float = field(name="specimen_moment_Nm")
    demand: float = field(name="demand_N")
    long_load_factor: float
    capacity: float = field(name="capacity_N")
    margin: float


@dataclass(frozen=True)
class Service:
    """What a use asks of a corner; ``results`` has the governing case first."""

    specimen: Specimen  # as its file says
    estimates: tuple[Expected, ...]  # one an arrangement
    use: Use
    assumptions: tuple[Assumption, ...]
    joint_width: float  # mm
    joint_share: float
    safety_factor: float
    results: tuple[CaseResult, ...]
    cautions: tuple[str, ...]  # in metric units

    @property
    def governing(self) -> CaseResult:
        """The case with the smallest margin."""
        return self.results[0]

    @property
    def governing_estimate(self) -> Expected:
        """The prediction that the governing case is held against."""
        by_arrangement = {each.specimen.arrangement.name: each for each in self.estimates}
        return by_arrangement[self.governing.arrangement]


def long_load_factor(seconds: float) -> float:
    """Strength of wood that bears a load for so long, over that of a test of a few minutes; at most 1.

    0.183 + 1.084 t^-0.0464 with t in s: the hyperbola of L. W. Wood 1951 (Relation of strength of wood to
    duration of load, Forest Products Laboratory report 1916), as quoted in Forests 2021, 12(9), 1148. It is 1
    at 7.5 minutes, and 0.62 at ten years. Found on clear wood in bending; glue is taken to follow it.
    """
    return min(1.0, CURVE_LIMIT + CURVE_SCALE * float(seconds**CURVE_POWER))


def to_predict(specimen: Specimen, use: Use, given: Mapping[str, float]) -> tuple[Specimen, ...]:
    """The same specimen in each load arrangement that the cases of a use need; ``given`` as in ``serve``."""
    cases = use.cases(given, stiffness_ratio(specimen))
    return tuple(
        replace(specimen, arrangement=arrangement)
        for arrangement in PREDICTED_IN
        if any(loads_alike(arrangement, case.sense) for case in cases)
    )


def loads_alike(arrangement: LoadArrangement, sense: Sense) -> bool:
    """Whether an arrangement turns the corner in a sense in which a load case may turn it."""
    return sense in (arrangement.sense, "either")


def serve(
    specimen: Specimen,
    estimates: Sequence[Expected],
    use: Use,
    given: Mapping[str, float],
    assumptions: tuple[Assumption, ...],
    safety_factor: float | None = None,
) -> Service:
    """Compare demand and capacity in every load case of a use.

    ``estimates`` hold what is expected of each of ``to_predict``; ``given`` the assumptions by key in N and
    mm, ``joint_width`` among them.
    """
    share = min(specimen.boards.across_a, specimen.boards.across_b) / given["joint_width"]
    factor = use.safety_factor if safety_factor is None else safety_factor
    results = [
        _case_result(case, _alike(estimates, case.sense), share, factor)
        for case in use.cases(given, stiffness_ratio(specimen))
    ]
    results.sort(key=lambda result: result.margin)
    service = Service(
        specimen, tuple(estimates), use, assumptions, given["joint_width"], share, factor, tuple(results), ()
    )
    return replace(service, cautions=_cautions(service))


def _alike(estimates: Sequence[Expected], sense: Sense) -> list[Expected]:
    return [each for each in estimates if loads_alike(each.specimen.arrangement, sense)]


def _case_result(case: LoadCase, estimates: Sequence[Expected], share: float, factor: float) -> CaseResult:
    """A case beside the one of ``estimates`` that leaves the smallest margin."""
    lasting = long_load_factor(case.seconds)
    moment = case.moment * share
    results = []
    for each in estimates:
        demand = moment / each.specimen.moment_per_load
        capacity = each.band[0] * lasting / factor
        results.append(
            CaseResult(
                name=case.name,
                seconds=case.seconds,
                sense=case.sense,
                arrangement=each.specimen.arrangement.name,
                low_value=each.band[0],
                model=case.model,
                joint_moment=case.moment / 1000,
                specimen_moment=moment / 1000,
                demand=demand,
                long_load_factor=lasting,
                capacity=capacity,
                margin=capacity / demand,
            )
        )
    return min(results, key=lambda result: result.margin)


def usual_joint_width(specimen: Specimen, use: Use) -> float:
    """The joint's width in mm where none is given: the use's own for boards on edge, two frames otherwise."""
    own = min(specimen.boards.across_a, specimen.boards.across_b)
    if specimen.boards.lay == "frame":
        return 2 * own
    return own if use.joint_width is None else use.joint_width


def stiffness_ratio(specimen: Specimen) -> float:
    """E I of board A over that of board B in the plane of the corner."""
    boards = specimen.boards
    one = specimen.woods[BOARD_A].modulus_along * boards.across_a * boards.depth_a**3
    other = specimen.woods[BOARD_B].modulus_along * boards.across_b * boards.depth_b**3
    return float(one / other)


def _cautions(service: Service) -> tuple[str, ...]:
    cautions = [
        "An estimate from assumed loads and one idealised corner; it does not say that the piece may be "
        "used. Local codes and licensed practice decide that.",
        "Only the moment at the corner is matched: pull, push and shear across the joint differ between the "
        "use and the test.",
    ]
    own = service.specimen.arrangement
    if own not in PREDICTED_IN:
        cautions.append(
            f"The specimen's own arrangement, {own}, is set aside: the corner is predicted in "
            f"{all_of([each.specimen.arrangement.name for each in service.estimates])}, as the cases load it."
        )
    if any(result.seconds > LASTING for result in service.results):
        cautions.append(
            "The long-load factor is that of clear wood in bending; glue, PVA above all, creeps and may hold "
            "less for years, and so do joints that swell and shrink with the seasons."
        )
    if service.joint_share < 1:
        width = format_length(round(service.joint_width, 1), "metric")
        share = format_share(service.joint_share)
        cautions.append(
            f"The specimen stands for {share} of a joint {width} wide; "
            "wide joints are rarely fitted and clamped as evenly as narrow ones."
        )
    for words in dict.fromkeys(each.band_from for each in service.estimates if each.makeshift):
        cautions.append(f"The 5 % value is a makeshift: {words}.")
    return (*cautions, *service.use.cautions)
