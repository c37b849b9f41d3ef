"""What moves the break load most: everything a maker does not control well, moved one at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import Lane
from glueline.studies.sweeps.points import same_corner
from glueline.studies.sweeps.ranges import Range, judged_range, ranges_of
from glueline.studies.sweeps.schedule import all_computed
from glueline.studies.sweeps.worker import Computed


@dataclass(frozen=True)
class Influence:
    """One range and the break loads in N at its ends, None where there is no answer; ``problem`` says why.

    ``breaks_at_low`` and ``breaks_at_high`` are "glue", "wood", ... or None where that is not known.
    """

    moved_range: Range
    break_at_low: float | None
    break_at_high: float | None
    breaks_at_low: str | None
    breaks_at_high: str | None
    problem: str

    @property
    def swing(self) -> float:
        """How far the break load moves in N, below zero where an end has no answer."""
        if self.break_at_low is None or self.break_at_high is None:
            return -1.0
        return abs(self.break_at_high - self.break_at_low)

    def to_json(self) -> dict[str, Any]:
        """One entry of the list that --json prints."""
        return {
            "key": self.moved_range.key,
            "low": self.moved_range.low,
            "high": self.moved_range.high,
            "break_at_low_N": self.break_at_low,
            "break_at_high_N": self.break_at_high,
            "breaks_in_at_low": self.breaks_at_low,
            "breaks_in_at_high": self.breaks_at_high,
            "rests_on": self.moved_range.source,
            "problem": self.problem or None,
        }


@dataclass(frozen=True)
class Ranking:
    """Influences on one specimen, the greatest first; ``nominal`` is its answer."""

    nominal: Answer
    influences: tuple[Influence, ...]


def points_of(specimen: Specimen, ranges: Sequence[Range]) -> dict[int, Specimen]:
    """What is to be predicted: 0 the specimen itself, then the two ends of each range in order."""
    points = {0: specimen}
    for number, each in enumerate(ranges):
        for end, moved in ((1, each.at_low), (2, each.at_high)):
            if moved is not None:
                points[2 * number + end] = moved
    return points


def influences(
    specimen: Specimen,
    request: Request,
    lanes: Sequence[Lane],
    progress: Callable[[], object] = lambda: None,
) -> Ranking:
    """Rank everything a maker does not control well by how far it moves the break load.

    Each judged row of the glue table is among them, by the ranges of the specimen's own answer; the ends of
    all else are predicted without a band.

    ``progress`` is called after each prediction. Raises ComputationError where the specimen has no answer.
    """
    ranges = ranges_of(specimen)
    points = points_of(specimen, ranges)
    keys = {number: same_corner(point) for number, point in points.items()}
    results: dict[int, Computed] = {}
    moved = {number: point for number, point in points.items() if number}
    for asked, now in ((request, {0: specimen}), (replace(request, band=False), moved)):
        for number, result in all_computed(now, {each: keys[each] for each in now}, asked, lanes):
            results[number] = result
            progress()
    nominal = results[0].answer
    if nominal is None:
        raise ComputationError("predicting the corner itself", results[0].error, "see `glueline predict`")
    by_range = [_influence(each, results, 2 * number + 1) for number, each in enumerate(ranges)]
    by_range += _judged(specimen, nominal)
    return Ranking(nominal, tuple(sorted(by_range, key=lambda each: -each.swing)))


def _judged(specimen: Specimen, nominal: Answer) -> list[Influence]:
    """Each judged row of the glue table over what can be believed of it; what breaks then is not told."""
    return [
        Influence(judged_range(specimen, row), weak, strong, None, None, "")
        for row, (weak, strong) in (nominal.ranges or {}).items()
    ]


def _influence(moved_range: Range, results: Mapping[int, Computed], low: int) -> Influence:
    problems = [moved_range.problem]
    ends: list[tuple[float | None, str | None]] = []
    for number in (low, low + 1):
        result = results.get(number)
        answer = None if result is None else result.answer
        if result is not None and answer is None:
            problems.append(result.error)
        ends.append((None, None) if answer is None else (answer.break_load, answer.breaks_in))
    (at_low, in_low), (at_high, in_high) = ends
    return Influence(moved_range, at_low, at_high, in_low, in_high, "; ".join(filter(None, problems)))
