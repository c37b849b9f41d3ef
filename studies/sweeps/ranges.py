"""What a maker does not control well: each thing with the range it realistically moves over, and why.

Where the wood table knows the scatter of a property, the range leaves out the lowest and the highest 5 % of
boards: a lognormal scatter with the table's coefficient of variation. The rest are judgements of workshop
practice, and say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import exp
from typing import Any

from glueline.geometries import BOARD_A
from glueline.materials import Wood, at_moisture
from glueline.materials.glue import LEAST_SHARE
from glueline.materials.moisture import DRIEST, WETTEST
from glueline.materials.wood import MODULI
from glueline.materials.workmanship import LEAST_GAP, WIDEST_GAP
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.units import UnitError, Units, format_length, parse_length
from glueline.studies.predict.answer import JudgedRow
from glueline.studies.predict.credible_range import CROSSED, GRIPS
from glueline.studies.predict.scatter.lognormal import log_deviation
from glueline.studies.show.range_words import JUDGED_GLUE

FIVE_PERCENT = 1.6448536269514722
"""Standard deviations between the mean of a normal distribution and the value that 5 % exceed."""

QUALITY_LOW, QUALITY_HIGH, BEST_QUALITY = 0.70, 1.10, 2.0
GAP = 0.2  # mm
COVERAGE = 0.20
LEAST_COVERAGE = 0.05
MOISTURE = 4.0  # percent
THICKNESS = 0.5  # mm
OFF_LINE = 2.0  # mm

WOOD_RANGES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("wood.stiffness", "stiffness of the wood, all directions", MODULI),
    (
        "wood.bending_strength",
        "strength of the wood along its grain",
        ("bending_strength", "compression_along"),
    ),
    (
        "wood.tension_across",
        "strength of the wood across its grain",
        ("tension_across", "compression_across"),
    ),
    (
        "wood.shear_strength",
        "shear strength of the wood, along and rolling",
        ("shear_strength", "rolling_shear_strength"),
    ),
    (
        "wood.toughness",
        "work to split or shear the wood",
        ("splitting_toughness", "shear_toughness", "rolling_toughness"),
    ),
)
"""Key, what it is, and the properties of every wood of the corner that move together; the first is named."""


@dataclass(frozen=True)
class Range:
    """One thing moved from ``low`` to ``high``: as a specimen file writes them, or shares of the table's.

    ``source`` says where the range comes from. The specimens are None where the corner could not be made
    so; then ``problem`` says why.
    """

    key: str
    description: str
    low: str
    high: str
    source: str
    at_low: Specimen | None
    at_high: Specimen | None
    problem: str = ""


def written(end: str, units: Units) -> str:
    """An end of a range in the units shown; lengths are kept in mm."""
    try:
        return format_length(parse_length(end), units)
    except UnitError:
        return end


def ranges_of(specimen: Specimen) -> tuple[Range, ...]:
    """Everything a maker does not control well in this specimen, in a fixed order."""
    return (
        *(_wood_range(specimen, *each) for each in WOOD_RANGES),
        *(_workmanship_ranges(specimen) if specimen.glue.holds else ()),
        _moisture_range(specimen),
        _ring_range(specimen),
        _thickness_range(specimen),
        _off_line_range(specimen),
    )


def judged_range(specimen: Specimen, row: JudgedRow) -> Range:
    """A judged row of the glue table over what can be believed of it, or what fasteners grip by; its ends are
    no specimens.
    """
    low, high = "weak", "strong"
    if row in GRIPS:
        why = "judgement: how stiffly fasteners grip, and over what slip they let go"
        return Range(f"fasteners.{row}", JUDGED_GLUE[row], low, high, why, None, None)
    if row != CROSSED:
        values = getattr(specimen.glue, row)
        low, high = (f"{100 * end:.0f} %" for end in (values.credible_low, values.credible_high))
    why = "judgement: what can be believed of this row of the glue table, all its strengths and toughnesses"
    return Range(f"glue.{row}", JUDGED_GLUE[row], low, high, why, None, None)


def scaled(wood: Wood, properties: Sequence[str], deviations: float) -> Wood:
    """The wood with each property moved by that many standard deviations of its own logarithm."""
    changed: dict[str, Any] = {
        name: getattr(wood, name) * exp(deviations * float(log_deviation(wood.cov.get(name, 0.0))))
        for name in properties
    }
    return replace(wood, **changed)


def _wood_range(specimen: Specimen, key: str, description: str, properties: tuple[str, ...]) -> Range:
    cov = specimen.woods[BOARD_A].cov.get(properties[0], 0.0)
    reach = FIVE_PERCENT * float(log_deviation(cov))

    def at(deviations: float) -> Specimen:
        return specimen.with_woods(lambda wood: scaled(wood, properties, deviations))

    return Range(
        key,
        description,
        f"{100 * exp(-reach):.0f} %",
        f"{100 * exp(reach):.0f} %",
        f"boards but the lowest and highest 5 %: scatter {100 * cov:g} % in the wood table",
        at(-FIVE_PERCENT),
        at(FIVE_PERCENT),
    )


def _workmanship_ranges(specimen: Specimen) -> Iterator[Range]:
    """Those of the whole corner; what a surface has of its own stays as it is."""
    made = specimen.workmanship

    def workmanship_range(
        key: str, description: str, ends: tuple[float, float], unit: tuple[float, str], reason: str
    ) -> Range:
        changed: list[dict[str, Any]] = [{key.partition(".")[2]: end} for end in ends]
        low, high = (replace(specimen, workmanship=replace(made, **each)) for each in changed)
        factor, sign = unit
        low_text, high_text = (f"{end * factor:.4g} {sign}" for end in ends)
        return Range(key, description, low_text, high_text, f"judgement: {reason}", low, high)

    yield workmanship_range(
        "glue.quality",
        "quality of the glue",
        (max(made.quality * QUALITY_LOW, LEAST_SHARE), min(made.quality * QUALITY_HIGH, BEST_QUALITY)),
        (100.0, "%"),
        "old, cold or clamped late, to fresh and clamped well",
    )
    yield workmanship_range(
        "glue.gap",
        "gap in the joint",
        (_closer(made.gap - GAP), min(made.gap + GAP, WIDEST_GAP)),
        (1.0, "mm"),
        "a fit as stated, one sheet of stout paper tighter or looser",
    )
    yield workmanship_range(
        "glue.coverage",
        "share of the face that has glue",
        (
            max(made.coverage - COVERAGE, min(LEAST_COVERAGE, made.coverage)),
            min(made.coverage + COVERAGE, 1.0),
        ),
        (100.0, "%"),
        "missed spots and starved edges on a fifth of the face",
    )


def _closer(gap: float) -> float:
    """A gap in mm that a joint can have: one too narrow for a film is none."""
    return gap if gap >= LEAST_GAP else 0.0


def _moisture_range(specimen: Specimen) -> Range:
    low = max(specimen.moisture - MOISTURE, DRIEST)
    high = min(specimen.moisture + MOISTURE, WETTEST)

    def at(moisture: float) -> Specimen:
        return replace(specimen.with_woods(lambda wood: at_moisture(wood, moisture)), moisture=moisture)

    why = "judgement: heated room in winter to unheated workshop in a damp season"
    return Range(
        "boards.moisture", "moisture of the wood", f"{low:.4g} %", f"{high:.4g} %", why, at(low), at(high)
    )


def _ring_range(specimen: Specimen) -> Range:
    why = "both ways a board can be sawn; between them lies any board from the rack"
    flat, quarter = replace(specimen, sawn="flat"), replace(specimen, sawn="quarter")
    return Range("boards.sawn", "direction of the rings", "flat", "quarter", why, flat, quarter)


def _thickness_range(specimen: Specimen) -> Range:
    (low, at_low, low_problem), (high, at_high, high_problem) = (
        _thicker(specimen, change) for change in (-THICKNESS, THICKNESS)
    )
    problem = "; ".join(filter(None, (low_problem, high_problem)))
    why = "judgement: planing and sanding either way"
    return Range("boards.thickness", "thickness of the boards", low, high, why, at_low, at_high, problem)


def _thicker(specimen: Specimen, change: float) -> tuple[str, Specimen | None, str]:
    """Both boards thicker by ``change`` mm: thickness as written, the specimen, or what is wrong with it."""
    boards = specimen.boards
    thickness_b = None if boards.thickness_b is None else boards.thickness_b + change
    changed = replace(boards, thickness=boards.thickness + change, thickness_b=thickness_b)
    text = f"{changed.thickness:.4g} mm"
    problems = specimen.joint_kind.problems(specimen.joint, changed)
    if not problems:
        return text, replace(specimen, boards=changed), ""
    words = (
        f"{problem.key} "
        + problem.text.format(**{name: f"{mm:.4g} mm" for name, mm in problem.lengths.items()})
        for problem in problems
    )
    return text, None, f"boards {text} thick: {'; '.join(words)}"


def _off_line_range(specimen: Specimen) -> Range:
    off = min(OFF_LINE, specimen.arrangement.most_off_line(specimen.boards))
    ends = [specimen.load_off_line + sign * off for sign in (-1, 1)]
    low, high = (replace(specimen, load_off_line=end) for end in ends)
    low_text, high_text = (f"{end:.4g} mm" for end in ends)
    why = "judgement: set up by eye; below zero toward a shorter lever arm"
    return Range("load.off_line", "how far the load misses its line", low_text, high_text, why, low, high)
