"""What people read of a sweep."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from math import inf

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.columns import aligned
from glueline.studies.files.toml_tables import printable
from glueline.studies.files.units import UnitError, Units, format_force, parse
from glueline.studies.files.wording import BAND, answers_said
from glueline.studies.predict.said_aloud import words_aloud
from glueline.studies.show.tables import band_words
from glueline.studies.sweeps.goals import Goal
from glueline.studies.sweeps.influence import Ranking
from glueline.studies.sweeps.least import Sought, Tried
from glueline.studies.sweeps.ranges import written
from glueline.studies.sweeps.rows import FinishedPoint
from glueline.studies.sweeps.said_of_sweep import said_of_sweep
from glueline.studies.sweeps.sweep_words import varied_words
from glueline.studies.sweeps.vary import COUNT, QUANTITIES

NO_BAND = "No band: an elastic answer, or one with --no-band, has no scatter."
LONGEST_REASON = 300


def sweep_table(keys: Sequence[str], points: Sequence[FinishedPoint], units: Units, most: int) -> str:
    """What is said aloud, then at most ``most`` points with load, band and what gives; failed ones below."""
    done = [point for point in points if point.answer is not None]
    failed = [point for point in points if point.answer is None]
    banded = is_banded(points)
    parts = [*said_of_sweep(points, units), "", aligned(sweep_rows(keys, done[:most], banded, units))]
    parts = parts if done else []
    if len(done) > most:
        parts.append(f"... and {len(done) - most} more in results.csv")
    if done and not banded:
        parts.append(NO_BAND)
    for point in failed[:most]:
        parts.append(f"failed: {varied_words(point.values)}: {printable(point.error, LONGEST_REASON)}")
    if len(failed) > most:
        parts.append(f"... and {len(failed) - most} more that failed, in results.csv")
    return "\n".join([*parts, "", CAUTIONS])


def sweep_rows(
    keys: Sequence[str], points: Sequence[FinishedPoint], banded: bool, units: Units
) -> list[list[str]]:
    """The cells of the points that have an answer, headings first; ``banded`` adds one for the band."""
    rows = [[*keys, "break load", *([f"band, {BAND}"] if banded else []), "breaks in", "mode", "where"]]
    for point in points:
        answer = point.answer
        if answer is not None:
            band = [band_words(answer.band, units)] if banded else []
            values = [point.values.get(key, "") for key in keys]
            load = format_force(answer.break_load, units)
            rows.append([*values, load, *band, answer.breaks_in, answer.mode, answer.where])
    return rows


def is_banded(points: Sequence[FinishedPoint]) -> bool:
    """Whether any answer has a band."""
    return any(point.answer is not None and point.answer.band is not None for point in points)


def influence_table(ranking: Ranking, units: Units) -> str:
    """Every range with the break load at its ends and what it rests on, cautions included."""
    parts = [
        *words_aloud(ranking.nominal, units),
        "",
        influence_words(ranking, units),
        aligned(influence_rows(ranking, units)),
        "",
        *influence_reasons(ranking),
    ]
    return "\n".join([*parts, "", CAUTIONS])


def influence_words(ranking: Ranking, units: Units) -> str:
    """Which corner was moved, and where it stands."""
    answer = ranking.nominal
    return (
        f"{answer.joint} corner, {answer.arrangement}, {answers_said([answer.method])}: "
        f"{format_force(answer.break_load, units)}; one thing moved at a time"
    )


def influence_reasons(ranking: Ranking) -> list[str]:
    """What each range rests on, and where there is no answer."""
    return [
        *(f"{each.moved_range.description}: {each.moved_range.source}" for each in ranking.influences),
        *(
            f"no answer for {each.moved_range.description}: {each.problem}"
            for each in ranking.influences
            if each.problem
        ),
    ]


def influence_rows(ranking: Ranking, units: Units) -> list[list[str]]:
    """Every range with the break load at its ends, headings first."""
    own = ranking.nominal.break_load
    lines = [["moved", "from", "to", "breaks at, from", "breaks at, to", "change", "breaks in"]]
    for each in ranking.influences:
        loads = [
            "no answer" if load is None else format_force(load, units)
            for load in (each.break_at_low, each.break_at_high)
        ]
        change = f"{100 * each.swing / own:.1f} %" if each.swing >= 0 else ""
        broke = " / ".join(dict.fromkeys(filter(None, (each.breaks_at_low, each.breaks_at_high))))
        ends = [written(end, units) for end in (each.moved_range.low, each.moved_range.high)]
        lines.append([each.moved_range.description, *ends, *loads, change, broke])
    return lines


def sought_text(sought: Sought, goal: Goal, keys: Sequence[str], units: Units) -> str:
    """What was found, or what comes nearest; all that was tried, in order of the keys; cautions included."""
    best = sought.best.outcome.answer
    said = [] if best is None else [*words_aloud(best, units), ""]
    tried = aligned(sought_rows(sought, goal, keys, units))
    return "\n".join([*said, sought_words(sought, goal, units), "", tried, "", CAUTIONS])


def sought_words(sought: Sought, goal: Goal, units: Units) -> str:
    """What was found, or what comes nearest."""
    best = sought.best.outcome.answer
    words = varied_words(sought.best.point.values)
    if best is not None:
        load = format_force(best.break_load, units)
        words += f" (breaks in {best.breaks_in} at {load}; {goal.reached(best, units)})."
    if sought.meets_goal:
        return f"The least change for which {goal.words(units)}: {words}"
    return f"Of {len(sought.tried)} tried there is none for which {goal.words(units)}.\nThe nearest: {words}"


def sought_rows(sought: Sought, goal: Goal, keys: Sequence[str], units: Units) -> list[list[str]]:
    """All that was tried in order of the keys, headings first."""
    lines = [[*keys, "break load", "breaks in", "how near"]]
    for each in _by_keys(sought.tried, keys):
        answer = each.outcome.answer
        cells = (
            ["no answer", "", printable(each.outcome.error, LONGEST_REASON)]
            if answer is None
            else [format_force(answer.break_load, units), answer.breaks_in, goal.reached(answer, units)]
        )
        lines.append([*(each.point.values.get(key, "") for key in keys), *cells])
    return lines


def _by_keys(tried: Sequence[Tried], keys: Sequence[str]) -> list[Tried]:
    """What was tried in order of the varied keys: by size where a key's values have one, else as given."""
    as_given = [each.point.values for each in sorted(tried, key=lambda each: each.point.number)]
    sizes = {key: _sizes([values[key] for values in as_given if key in values]) for key in keys}

    def place(each: Tried) -> tuple[list[float], int]:
        values = each.point.values
        return [sizes[key].get(values.get(key, ""), inf) for key in keys], each.point.number

    return sorted(tried, key=place)


def _sizes(values: Sequence[str]) -> dict[str, float]:
    """The size of each value where all are whole numbers or quantities of one kind, else its first place."""
    if all(COUNT.fullmatch(value) for value in values):
        return {value: float(int(value)) for value in values}
    for quantity in QUANTITIES:
        with contextlib.suppress(UnitError):
            return {value: parse(value, quantity) for value in values}
    return {value: float(place) for place, value in enumerate(dict.fromkeys(values))}
