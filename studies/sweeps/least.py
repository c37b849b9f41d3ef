"""The least change with which a corner does what is asked of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from glueline.materials.names import plain
from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.key_changes import apply_changes, value_at
from glueline.studies.files.toml_tables import read_toml
from glueline.studies.files.units import UnitError, read_exact
from glueline.studies.predict.answer import parts_of
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.goals import Goal
from glueline.studies.sweeps.lanes import Lane
from glueline.studies.sweeps.points import Point, same_corner
from glueline.studies.sweeps.schedule import all_computed
from glueline.studies.sweeps.vary import QUANTITIES, Varied
from glueline.studies.sweeps.worker import Computed


@dataclass(frozen=True)
class Tried:
    """A point that was tried, with its change of the first varied key and what came of it."""

    point: Point
    change: float
    outcome: Computed

    @property
    def glue_area(self) -> float | None:
        """Glued area in mm2, None without an answer."""
        answer = self.outcome.answer
        return None if answer is None else sum(answer.glue_area.values())

    @property
    def wood_volume(self) -> float | None:
        """Wood in mm3, None where the point is no corner."""
        return None if self.point.specimen is None else wood_volume(self.point.specimen)

    def to_json(self) -> dict[str, Any]:
        """One entry of the list of what was tried."""
        kept = ("break_load", "breaks_in", "glue_load", "wood_load", "band")
        return {
            "values": dict(self.point.values),
            "status": self.outcome.status,
            **parts_of(self.outcome.answer, *kept),
            "glue_area_mm2": self.glue_area,
            "wood_mm3": self.wood_volume,
            "error": self.outcome.error or None,
        }


@dataclass(frozen=True)
class Sought:
    """What was found: ``best`` meets the goal if ``meets_goal``, else it is the nearest of all tried."""

    meets_goal: bool
    best: Tried
    tried: tuple[Tried, ...]

    def to_json(self) -> dict[str, Any]:
        """The object that --json prints."""
        return {
            "found": self.meets_goal,
            "values": dict(self.best.point.values),
            **parts_of(self.best.outcome.answer, "break_load", "breaks_in"),
            "tried": [each.to_json() for each in self.tried],
        }


def changes_of(
    file: str, changes: Sequence[tuple[str, str]], varied: Varied, points: Sequence[Point]
) -> dict[int, float]:
    """How far each point's value of ``varied`` lies from the file's own, by the point's number.

    In the quantity's own unit where it is one. Names count by their place in the list, the file's own first;
    so do all values where the file has none.
    """
    tables, _, _ = apply_changes(read_toml(file), changes)
    value = value_at(tables, varied.key)
    own = None if value is None else str(value)
    distance = {value: float(place + 1) for place, value in enumerate(varied.values)}
    if own is not None:
        distance |= {value: 0.0 for value in varied.values if plain(value) == plain(own)}
        measured = {value: _difference(value, own) for value in varied.values}
        if all(each is not None for each in measured.values()):
            distance = {value: each for value, each in measured.items() if each is not None}
    last = max(distance.values()) + 1.0
    # Points of a key that takes turns with the first one change it beyond all measure.
    return {point.number: distance.get(point.values.get(varied.key, ""), last) for point in points}


def _difference(value: str, own: str) -> float | None:
    """Size of the difference of two numbers or two quantities of one kind, None where they are not."""
    if _is_whole(value) and _is_whole(own):
        return float(abs(int(value) - int(own)))
    for quantity in QUANTITIES:
        try:
            ends = [read_exact(text, quantity) for text in (value, own)]
        except UnitError:
            continue
        first, second = (number * quantity.units[unit] for number, unit in ends)
        return float(abs(first - second))
    return None


def _is_whole(text: str) -> bool:
    return text.lstrip("+-").isdecimal() and len(text) < 10


def wood_volume(specimen: Specimen) -> float:
    """Wood of the finished corner in mm3, splines and fingers as they fill it."""
    layout = specimen.layout
    total = 0.0
    for cell in layout.cells:
        corners = cell.polygon
        area = sum(
            corners[i - 1][0] * corners[i][1] - corners[i][0] * corners[i - 1][1] for i in range(len(corners))
        )
        total += area / 2 * sum(part.across for part in cell.parts.values())
    return total


def least_change(
    points: Sequence[Point],
    distances: Mapping[int, float],
    goal: Goal,
    request: Request,
    lanes: Sequence[Lane],
    progress: Callable[[], object] = lambda: None,
) -> Sought:
    """The point of least change that meets the goal; of equal changes that of least glue area, then wood.

    Nothing is predicted beyond the first change that meets it, but for what keeps idle lanes busy; that does
    not show in the result. Raises ComputationError where no point has an answer.
    """
    tried: list[Tried] = []
    outcomes: dict[int, Computed] = {}
    levels = list(_levels(points, distances))
    for place, level in enumerate(levels):
        missing = [point for point in level if point.number not in outcomes]
        for ahead in levels[place + 1 :] if missing else ():
            if len(missing) >= len(lanes):
                break
            missing += [point for point in ahead if point.number not in outcomes]
        outcomes |= _predicted(missing, request, lanes, progress)
        here = [Tried(point, distances[point.number], outcomes[point.number]) for point in level]
        tried += here
        meeting = [each for each in here if each.outcome.answer is not None and goal.met(each.outcome.answer)]
        if meeting:
            return Sought(True, min(meeting, key=_effort), tuple(tried))
    answered = [(goal.nearness(each.outcome.answer), each) for each in tried if each.outcome.answer]
    if not answered:
        reason = f"not one of {len(tried)} points has an answer, such as: {tried[0].outcome.error}"
        raise ComputationError("seeking the least change", reason, "see `glueline predict` for one of them")
    return Sought(False, max(answered, key=lambda pair: pair[0])[1], tuple(tried))


def _effort(tried: Tried) -> tuple[float, float, int]:
    """What decides between equal changes: glue area, then wood, each to a millionth; then the order given."""
    area, volume = tried.glue_area or 0.0, tried.wood_volume or 0.0
    return float(f"{area:.6e}"), float(f"{volume:.6e}"), tried.point.number


def _levels(points: Sequence[Point], distances: Mapping[int, float]) -> Iterator[list[Point]]:
    """The points by growing change, those of equal change together."""
    levels: dict[float, list[Point]] = {}
    for point in points:
        levels.setdefault(round(distances[point.number], 9), []).append(point)
    for change in sorted(levels):
        yield levels[change]


def _predicted(
    points: Sequence[Point], request: Request, lanes: Sequence[Lane], progress: Callable[[], object]
) -> dict[int, Computed]:
    outcomes = {point.number: Computed(None, point.error) for point in points if point.specimen is None}
    for _ in outcomes:
        progress()
    specimens = {point.number: point.specimen for point in points if point.specimen is not None}
    keys = {number: same_corner(specimen) for number, specimen in specimens.items()}
    for number, result in all_computed(specimens, keys, request, lanes):
        outcomes[number] = result
        progress()
    return outcomes
