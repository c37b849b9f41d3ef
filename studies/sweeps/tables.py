"""What people read of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from glueline.studies.corner.vocabulary import CAUTIONS
from glueline.studies.files.columns import aligned
from glueline.studies.files.toml_tables import printable
from glueline.studies.files.units import Units, format_force
from glueline.studies.sweeps.goals import Goal
from glueline.studies.sweeps.influence import Ranking
from glueline.studies.sweeps.ranges import written
from glueline.studies.sweeps.rows import Cell
from glueline.studies.sweeps.seek import Sought

NO_BAND = "No band: an elastic answer, or one with --no-band, has no scatter."
LONGEST_REASON = 300


def sweep_table(keys: Sequence[str], rows: Sequence[Mapping[str, Cell]], units: Units, most: int) -> str:
    """Every point with its break load, band and what gives, at most ``most`` of them; failed ones below."""
    done = [row for row in rows if row["status"] == "ok"]
    failed = [row for row in rows if row["status"] != "ok"]
    banded = any(row["band_05_N"] is not None for row in done)
    head = [*keys, "break load", *(["5 % to 95 %"] if banded else []), "breaks in", "mode", "where"]
    lines = [head]
    for row in done[:most]:
        line = [_text(row[key]) for key in keys] + [load_text(row["break_load_N"], units)]
        line += [band_text(row["band_05_N"], row["band_95_N"], units)] if banded else []
        lines.append(line + [_text(row[name]) for name in ("breaks_in", "mode", "where")])
    parts = [aligned(lines)] if done else []
    if len(done) > most:
        parts.append(f"... and {len(done) - most} more in results.csv")
    if done and not banded:
        parts.append(NO_BAND)
    for row in failed[:most]:
        which = ", ".join(f"{key} = {_text(row[key])}" for key in keys if row[key] is not None)
        parts.append(f"failed: {which}: {printable(_text(row['error']), LONGEST_REASON)}")
    if len(failed) > most:
        parts.append(f"... and {len(failed) - most} more that failed, in results.csv")
    return "\n".join([*parts, "", CAUTIONS])


def influence_table(ranking: Ranking, units: Units) -> str:
    """Every range with the break load at its ends and what it rests on, cautions included."""
    own = float(ranking.nominal["break_load_N"])
    lines = [["moved", "from", "to", "break load", "", "change", "breaks in"]]
    for each in ranking.influences:
        loads = [load_text(load, units) or "no answer" for load in (each.break_at_low, each.break_at_high)]
        change = f"{100 * each.swing / own:.1f} %" if each.swing >= 0 else ""
        broke = " / ".join(dict.fromkeys(filter(None, (each.breaks_at_low, each.breaks_at_high))))
        ends = [written(end, units) for end in (each.moved.low, each.moved.high)]
        lines.append([each.moved.what, *ends, *loads, change, broke])
    answer = ranking.nominal
    parts = [
        f"{answer['joint']} corner, {answer['arrangement']}, {answer['method']} answer: "
        f"{format_force(own, units)}; one thing moved at a time",
        aligned(lines),
        "",
        *(f"{each.moved.key}: {each.moved.rests_on}" for each in ranking.influences),
        *(f"no answer for {each.moved.key}: {each.problem}" for each in ranking.influences if each.problem),
    ]
    return "\n".join([*parts, "", CAUTIONS])


def sought_text(sought: Sought, goal: Goal, keys: Sequence[str], units: Units) -> str:
    """What was found, or what comes nearest, and everything that was tried; cautions included."""
    best = sought.best.outcome.answer or {}
    values = ", ".join(f"{key} = {value}" for key, value in sought.best.point.values.items())
    ends = f"breaks in {best['breaks_in']} at {load_text(best['break_load_N'], units)}"
    if sought.found:
        head = (
            f"The least change for which {goal.words(units)}: {values} ({ends}; {goal.reached(best, units)})."
        )
    else:
        head = (
            f"Of {len(sought.tried)} tried there is none for which {goal.words(units)}.\n"
            f"The nearest: {values} ({ends}; {goal.reached(best, units)})."
        )
    lines = [[*keys, "break load", "breaks in", ""]]
    for each in sought.tried:
        answer = each.outcome.answer
        told = (
            ["no answer", "", printable(each.outcome.error, LONGEST_REASON)]
            if answer is None
            else [load_text(answer["break_load_N"], units), answer["breaks_in"], goal.reached(answer, units)]
        )
        lines.append([*(each.point.values.get(key, "") for key in keys), *told])
    return "\n".join([head, "", aligned(lines), "", CAUTIONS])


def load_text(load: Cell, units: Units) -> str:
    """A load in N as text, nothing where there is none."""
    return format_force(load, units) if isinstance(load, float | int) else ""


def band_text(low: Cell, high: Cell, units: Units) -> str:
    """A band of loads in N as text, nothing where there is none."""
    return f"{load_text(low, units)} to {load_text(high, units)}" if low is not None else ""


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)
