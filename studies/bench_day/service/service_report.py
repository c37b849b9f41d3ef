"""What a use asks of a corner, as one JSON object (N, mm) and as a text for people."""

from __future__ import annotations

from typing import Any

from glueline.studies.bench_day.service.service import CaseResult, Service
from glueline.studies.files.units import Units, format_force, format_length, format_share, significant
from glueline.studies.show.tables import aligned

DAY, YEAR = 86400.0, 365.25 * 86400.0


def service_object(service: Service) -> dict[str, Any]:
    """The comparison for JSON: forces in N, moments in Nm. ``margin`` is capacity over demand."""
    worst = service.governing
    return {
        "demand_N": worst.demand,
        "capacity_N": worst.capacity,
        "margin": worst.margin,
        "cautions": list(service.cautions),
        "margin_means": "capacity over demand in the governing case",
        "use": service.use.name,
        "governing_case": worst.case.name,
        "joint": service.specimen.kind,
        "arrangement": worst.expected.specimen.arrangement,
        "p05_N": worst.expected.band[0],
        "band_from": worst.expected.band_said,
        "long_load_factor": worst.long_load_factor,
        "safety_factor": service.safety_factor,
        "joint_width_mm": service.joint_width,
        "share_of_joint": service.joint_share,
        "arrangement_of_file": service.specimen.arrangement,
        "predicted": [
            {
                "arrangement": each.specimen.arrangement,
                "predicted_N": each.load,
                "p05_N": each.band[0],
                "band_from": each.band_said,
                "breaks_in": each.breaks_in,
            }
            for each in service.found
        ],
        "cases": [_case_object(result) for result in service.results],
        "assumptions": [
            {"key": each.key, "value": each.value, "words": each.words, "source": each.source}
            for each in service.assumptions
        ],
    }


def service_text(service: Service, units: Units) -> str:
    """The comparison for people; it never calls anything fit for use."""
    worst = service.governing
    rows = [
        ("case", "lasts", "the corner", "predicted in", "asks", "long-load factor", "holds", "holds / asks")
    ]
    rows += [
        (
            result.case.name,
            lasts(result.case.seconds),
            result.case.sense.replace("either", "either way"),
            result.expected.specimen.arrangement,
            format_force(result.demand, units),
            f"{result.long_load_factor:.2f}",
            format_force(result.capacity, units),
            f"{result.margin:.2f}",
        )
        for result in service.results
    ]
    least = worst.margin
    verdict = (
        f"{worst.case.name.capitalize()} governs: the corner holds {least:.2f} times what is asked, with the "
        f"factors above taken off."
        if least >= 1
        else f"{worst.case.name.capitalize()} governs and asks more than the corner holds "
        f"({least:.2f} times what is asked): a stronger joint, a wider one or a lighter use."
    )
    parts = [
        f"{service.specimen.kind} corner as {service.use.summary} ({service.use.name})",
        aligned(rows),
        verdict,
        _what_is_compared(service, units),
        "\n".join(f"{result.case.name}: {result.case.model}" for result in service.results),
        aligned(
            [
                ("assumed", "value", "what", "from"),
                *((each.key, each.value, each.words, each.source) for each in service.assumptions),
                (
                    "joint_width",
                    format_length(round(service.joint_width, 1), units),
                    "of the piece's joint, across the plane of the corner",
                    f"the specimen is {format_share(service.joint_share)} of it",
                ),
            ]
        ),
        "\n".join(service.cautions),
    ]
    return "\n\n".join(parts)


def _what_is_compared(service: Service, units: Units) -> str:
    """Demand and capacity in words, with the 5 % value of every prediction."""
    values = " and ".join(
        f"{format_force(each.band[0], units)} in {each.specimen.arrangement}" for each in service.found
    )
    either = any(result.case.sense == "either" for result in service.results)
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


def _case_object(result: CaseResult) -> dict[str, Any]:
    return {
        "name": result.case.name,
        "seconds": result.case.seconds,
        "corner": result.case.sense,
        "arrangement": result.expected.specimen.arrangement,
        "p05_N": result.expected.band[0],
        "model": result.case.model,
        "joint_moment_Nm": result.case.moment / 1000,
        "specimen_moment_Nm": result.specimen_moment / 1000,
        "demand_N": result.demand,
        "long_load_factor": result.long_load_factor,
        "capacity_N": result.capacity,
        "margin": result.margin,
    }
