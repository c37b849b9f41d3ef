"""What a use asks of a corner, as one JSON object (N, mm) and as a text for people."""

from __future__ import annotations

import msgspec
from msgspec import field

from glueline.studies.bench_day.expected import counted_on
from glueline.studies.bench_day.service.service import CaseResult, Service
from glueline.studies.bench_day.service.service_uses import Assumption
from glueline.studies.files.columns import aligned
from glueline.studies.files.display import format_weight, words_in_units
from glueline.studies.files.units import (
    IMPERIAL_LENGTHS,
    LENGTH,
    MASS,
    STANDARD_GRAVITY,
    Units,
    format_cut,
    format_force,
    format_share,
    read,
    significant,
)
from glueline.studies.predict.said_aloud import sentence_aloud, sentences_aloud

IMPERIAL = (*IMPERIAL_LENGTHS, "lb", "lbf")
SENSES = {"opens": "opens", "closes": "closes", "either": "either way"}
DAY, YEAR = 86400.0, 365.25 * 86400.0


class WrittenPrediction(msgspec.Struct, frozen=True):
    """The corner predicted in one load arrangement, for JSON; forces in N."""

    arrangement: str
    predicted: float = field(name="predicted_N")
    low_value: float = field(name="p05_N")
    band_from: str
    breaks_in: str
    sentence: str


class WrittenAssumption(msgspec.Struct, frozen=True):
    """A number a use starts from, for JSON."""

    key: str
    value: str
    words: str
    source: str


class WrittenService(msgspec.Struct, frozen=True, kw_only=True):
    """The comparison for JSON: forces in N, moments in N m. ``margin`` is capacity over demand."""

    demand: float = field(name="demand_N")
    capacity: float = field(name="capacity_N")
    margin: float
    cautions: tuple[str, ...]
    margin_means: str = "capacity over demand in the governing case"
    use: str
    governing_case: str
    joint: str
    arrangement: str
    low_value: float = field(name="p05_N")
    band_from: str
    long_load_factor: float
    safety_factor: float
    joint_width: float = field(name="joint_width_mm")
    share_of_joint: float
    arrangement_of_file: str
    predicted: tuple[WrittenPrediction, ...]
    cases: tuple[CaseResult, ...]
    assumptions: tuple[WrittenAssumption, ...]


def written_service(service: Service) -> WrittenService:
    """The comparison for JSON, the governing case first."""
    worst = service.governing
    return WrittenService(
        demand=worst.demand,
        capacity=worst.capacity,
        margin=worst.margin,
        cautions=service.cautions,
        use=service.use.name,
        governing_case=worst.name,
        joint=service.specimen.kind,
        arrangement=worst.arrangement,
        low_value=worst.low_value,
        band_from=service.governing_estimate.band_from,
        long_load_factor=worst.long_load_factor,
        safety_factor=service.safety_factor,
        joint_width=service.joint_width,
        share_of_joint=service.joint_share,
        arrangement_of_file=service.specimen.arrangement.name,
        predicted=tuple(
            WrittenPrediction(
                arrangement=each.specimen.arrangement.name,
                predicted=each.load,
                low_value=each.band[0],
                band_from=each.band_from,
                breaks_in=each.breaks_in,
                sentence=sentence_aloud(counted_on(each), "metric"),
            )
            for each in service.estimates
        ),
        cases=service.results,
        assumptions=tuple(
            WrittenAssumption(each.key, each.value, each.words, each.source) for each in service.assumptions
        ),
    )


def service_text(service: Service, units: Units) -> str:
    """The comparison for people; it never calls anything fit for use."""
    parts = [
        "\n".join(said_of_service(service, units)),
        about_service(service),
        aligned(case_rows(service, units)),
        verdict(service),
        what_is_compared(service, units),
        "\n".join(case_models(service)),
        aligned(assumption_rows(service, units)),
        "\n".join(words_in_units(each, units) for each in service.cautions),
    ]
    return "\n\n".join(parts)


def said_of_service(service: Service, units: Units) -> list[str]:
    """The sentence of every predicted corner, that of the governing case first, then what holds for all."""
    first = service.governing_estimate
    ordered = [first, *(each for each in service.estimates if each is not first)]
    answers = [(f"{each.specimen.kind} in {each.specimen.arrangement}", counted_on(each)) for each in ordered]
    return sentences_aloud(answers, units)


def about_service(service: Service) -> str:
    """Which corner is held against which use."""
    return f"{service.specimen.kind} corner as {service.use.summary} ({service.use.name})"


def verdict(service: Service) -> str:
    """The governing case in a sentence; it never calls anything fit for use."""
    worst = service.governing
    case = worst.name.capitalize()
    if worst.margin >= 1:
        return (
            f"{case} governs: the corner holds {worst.margin:.2f} times what is asked, with the "
            f"factors above taken off."
        )
    return (
        f"{case} governs and asks more than the corner holds "
        f"({worst.margin:.2f} times what is asked): a stronger joint, a wider one or a lighter use."
    )


def case_rows(service: Service, units: Units) -> list[tuple[str, ...]]:
    """What each load case asks and what the corner holds, headings first."""
    head = (
        "case",
        "lasts",
        "the corner",
        "predicted in",
        "asks",
        "long-load factor",
        "holds",
        "holds / asks",
    )
    return [
        head,
        *(
            (
                result.name,
                lasts(result.seconds),
                SENSES[result.sense],
                result.arrangement,
                format_force(result.demand, units),
                f"{result.long_load_factor:.2f}",
                format_force(result.capacity, units),
                f"{result.margin:.2f}",
            )
            for result in service.results
        ),
    ]


def case_models(service: Service) -> list[str]:
    """How each load case is taken."""
    return [f"{result.name}: {result.model}" for result in service.results]


def assumption_rows(service: Service, units: Units) -> list[tuple[str, ...]]:
    """Every assumption, headings first."""
    return [
        ("assumed", "value", "what", "from"),
        *((each.key, _shown(each, units), each.words, each.source) for each in service.assumptions),
        (
            "joint_width",
            format_cut(round(service.joint_width, 1), units),
            "of the piece's joint, across the plane of the corner",
            f"the specimen is {format_share(service.joint_share)} of it",
        ),
    ]


def _shown(assumption: Assumption, units: Units) -> str:
    """The value of an assumption in the units shown: what was typed, where it is in them."""
    amount, unit = read(assumption.value, assumption.quantity)
    if (unit in IMPERIAL) == (units == "imperial"):
        return assumption.value
    if assumption.quantity is LENGTH:
        return format_cut(amount, units)  # what is assumed is no closer than a saw
    weight = unit in MASS.units
    return format_weight(amount / float(STANDARD_GRAVITY), units) if weight else format_force(amount, units)


def what_is_compared(service: Service, units: Units) -> str:
    """Demand and capacity in words, with the 5 % value of every prediction."""
    values = " and ".join(
        f"{format_force(each.band[0], units)} in {each.specimen.arrangement}" for each in service.estimates
    )
    either = any(result.sense == "either" for result in service.results)
    return (
        "asks: load P with the same moment at the corner. holds: the 5 % value of the corner predicted as "
        f"the case loads it, {values}, times the long-load factor over a safety factor of "
        f"{significant(service.safety_factor, 3)}"
        + ("; of a case that may go either way the weaker." if either else ".")
    )


def lasts(seconds: float) -> str:
    """A length of time in round words."""
    for unit, word in ((YEAR, "year"), (DAY, "day"), (3600.0, "hour"), (60.0, "minute"), (1.0, "second")):
        if seconds >= unit:
            count = significant(seconds / unit, 2)
            return f"{count} {word}{'' if count == '1' else 's'}"
    return f"{significant(seconds, 2)} seconds"
