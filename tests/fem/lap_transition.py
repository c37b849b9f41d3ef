"""Lap joints in pure shear from ductile to brittle beside the generalised Volkersen curve.

By hand: python -m tests.fem.lap_transition DIRECTORY. Its table is kept in tests/fem/lap_transition.csv.

Two like strips, rotation suppressed (tests/fem/test_path.py). Drawn over w l / 2, w^2 = f^2 / (G E t): mean
shear at the highest load over the bond's strength f. Short laps reach 1 (area times strength), long ones
1 / (w l / 2) (energy: a load of 2 sqrt(G E t)). Generalised Volkersen, after Gustafsson 1987 (from memory):
tanh(w l / 2) / (w l / 2), right at both ends and low in between, as it breaks once the end reaches f; the
bilinear law's own closed form (derived in tests/fem/test_path.py) keeps what the softened ends still carry.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterable
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure
from tqdm import tqdm

from glueline.studies.files.output import write_atomically
from glueline.studies.show.canvas import FAINT, INK, LINE_COLOURS, as_png, new_sheet
from tests.fem.test_path import DEPTH, MODULUS, RATE, STRENGTH, TOUGHNESS, lap_path, lap_strength, volkersen

LENGTHS = (2.0, 4.0, 8.0, 12.0, 18.0, 24.0, 32.0, 40.0, 56.0, 80.0, 112.0, 160.0, 240.0)
BRITTLE = 2 * np.sqrt(TOUGHNESS * MODULUS * DEPTH)
LONGEST_ELEMENT = 3.0  # mm, a tenth of the zone that softens, pi / 2 w


@dataclass(frozen=True)
class Row:
    """One lap: overlap in mm, loads in N per mm of width, the rest shares of load or counts."""

    overlap: float
    half_rate: float
    followed: float
    area_times_strength: float
    energy_limit: float
    generalised_volkersen: float
    bilinear_closed_form: float
    over_bilinear: float
    energy_audit: float
    snaps_back: bool
    states: int


def row(length: float) -> Row:
    """Follow one lap past its peak."""
    count = max(4, 2 * round(length / LONGEST_ELEMENT / 2))
    path = lap_path(length, count)
    peak, exact = float(path.load.max()), lap_strength(length)
    return Row(
        overlap=length,
        half_rate=float(RATE * length / 2),
        followed=peak,
        area_times_strength=STRENGTH * length,
        energy_limit=float(BRITTLE),
        generalised_volkersen=volkersen(length),
        bilinear_closed_form=exact,
        over_bilinear=peak / exact,
        energy_audit=path.audit,
        snaps_back=bool(path.displacement[-1] < 0.98 * path.displacement.max()),
        states=len(path.load),
    )


def table(rows: Iterable[Row]) -> str:
    """The rows as CSV."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = [item.name for item in fields(Row)]
    writer.writerow(names)
    for one in rows:
        values = (getattr(one, name) for name in names)
        writer.writerow([f"{value:.6g}" if isinstance(value, float) else value for value in values])
    return text.getvalue()


def draw(rows: list[Row]) -> Figure:
    """Mean shear at the peak over strength against w l / 2, both on logarithmic axes."""
    sheet = new_sheet(8.2, 6.4)
    axes = sheet.subplots()
    half = np.geomspace(0.03, 8.0, 200)
    length = 2 * half / RATE
    axes.axhline(1.0, color=FAINT, linewidth=1.4, linestyle=":")
    axes.plot(half, 1 / half, color=FAINT, linewidth=1.4, linestyle=":")
    curves = (
        (volkersen, "generalised Volkersen", LINE_COLOURS[1], "--"),
        (lap_strength, "bilinear lap, closed form", LINE_COLOURS[0], "-"),
    )
    for formula, name, colour, style in curves:
        mean = [formula(float(one)) / (STRENGTH * one) for one in length]
        axes.plot(half, mean, color=colour, linestyle=style, linewidth=2.2, label=name)
    axes.plot(
        [one.half_rate for one in rows],
        [one.followed / one.area_times_strength for one in rows],
        marker="o",
        markersize=8,
        markeredgecolor="white",
        linestyle="none",
        color=LINE_COLOURS[2],
        label="finite elements, followed past the peak",
    )
    axes.annotate(
        "ductile: area × strength", (0.035, 1.0), xytext=(0, 6), textcoords="offset points", fontsize=11.5
    )
    axes.annotate(
        "brittle:\nenergy", (4.4, 1 / 4.4), xytext=(8, 2), textcoords="offset points", fontsize=11.5
    )
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(half[0], half[-1])
    axes.set_ylim(0.1, 1.6)
    ticks = (0.1, 0.2, 0.4, 0.6, 0.8, 1.0)
    axes.set_yticks(ticks, labels=[f"{tick:g}" for tick in ticks])
    axes.set_yticks([], minor=True)
    places = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)
    axes.set_xticks(places, labels=[f"{place:g}" for place in places])
    axes.set_xlabel("ω l / 2, with ω² = f² / (G E t): long, stiff or brittle to the right", fontsize=12)
    axes.set_ylabel("mean shear at the highest load over strength", fontsize=12)
    axes.tick_params(labelsize=11)
    axes.legend(fontsize=11.5, frameon=False, loc="lower left")
    axes.set_title("Lap joint without rotation: from ductile to brittle", fontsize=13, color=INK)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return sheet


def main(words: list[str] | None = None) -> int:
    """Follow all laps, print the table, write lap_transition.csv and lap_transition.png."""
    arguments = sys.argv[1:] if words is None else words
    if len(arguments) != 1:
        print("usage: python -m tests.fem.lap_transition DIRECTORY", file=sys.stderr)
        return 2
    folder = Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    rows = [row(length) for length in tqdm(LENGTHS, desc="laps", unit="lap")]
    text = table(rows)
    print(text, end="")
    write_atomically(folder / "lap_transition.csv", text.encode())
    write_atomically(folder / "lap_transition.png", as_png(draw(rows)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
