"""What people read of a sweep."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from studies.sweeps.rows import Cell
from studies.tables import aligned
from studies.toml_tables import printable
from studies.units import Units, format_force
from studies.vocabulary import CAUTIONS

NO_BAND = "No band: the elastic answer has no scatter."
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


def load_text(load: Cell, units: Units) -> str:
    """A load in N as text, nothing where there is none."""
    return format_force(load, units) if isinstance(load, float | int) else ""


def band_text(low: Cell, high: Cell, units: Units) -> str:
    """A band of loads in N as text, nothing where there is none."""
    return f"{load_text(low, units)} to {load_text(high, units)}" if low is not None else ""


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)
