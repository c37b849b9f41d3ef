"""The band of every corner against brute force: the same draws through the surface and through full solves.

    python -m tests.studies.predict.brute_force_scatter [--draws 400] [kind:arrangement ...]

A full solve takes nothing from the surface: woods with scaled strengths, toughnesses and moduli, glue with
scaled stiffness, bonds scaled row by row, a model, a path and a wood check of its own, on the elements of the
prediction itself. Splits are followed however long it takes: of 400 splined mitres pulled open two take more
than a prediction may, which then ends them by the criterion, 20 and 28 % lower. Full solves already in
brute_force_scatter.csv are kept, so a killed run goes on where it stopped, and the surface's column is
brought up to date; delete the file to begin again. White oak, 19 x 90 x 150 mm, plain PVA, as in the tests.
"""

from __future__ import annotations

import argparse
import csv
import io
from dataclasses import replace
from pathlib import Path
from unittest import mock

import numpy as np
from numpy.typing import NDArray
from tqdm import tqdm

from glueline.materials import Bond, CheekBond, Wood
from glueline.materials.wood import MODULI
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.files.failures import ComputationError
from glueline.studies.files.output import write_atomically
from glueline.studies.predict import splits
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.path_band import CoarseRuns, coarse_follower, run_of_path
from glueline.studies.predict.scatter.band import BreakSurface, break_surface
from glueline.studies.predict.scatter.glue_rows import scaled_holds
from glueline.studies.predict.scatter.variables import Variables
from glueline.studies.predict.splits import Lines, followed_through_splits, ready_to_split
from glueline.studies.predict.wood_limits import sample_wood
from tests.studies.corners import specimen

Array = NDArray[np.float64]

KEPT = Path(__file__).with_suffix(".csv")
FIELDS = ("kind", "arrangement", "draw", "surface_N", "full_N")
CASES = (
    ("butt", "diagonal compression"),
    ("mitre", "diagonal compression"),
    ("finger", "diagonal compression"),
    ("splined mitre", "diagonal compression"),
    ("mitre", "diagonal tension"),
    ("splined mitre", "diagonal tension"),
)
DRAWS, SEED = 400, 1
CRUSHING = ("compression_along", "compression_across")

# With which strength a toughness of wood scatters.
TOUGHNESS_OF = {
    "tension_across": "splitting_toughness",
    "shear_strength": "shear_toughness",
    "rolling_shear_strength": "rolling_toughness",
}


def surface_of(kind: str, arrangement: str) -> tuple[CornerModel, BreakSurface]:
    """The corner as tested and the surface its band rests on."""
    plain = build_corner(specimen(kind, arrangement))
    found = CornerFollower(plain).broken(sample_wood(plain))
    found = ready_to_split(followed_through_splits(found))
    corner = found.corner
    nominal = run_of_path(corner, found.path, found.laws, sample_wood(corner))
    surface, _ = break_surface(corner, CoarseRuns(coarse_follower(corner), nominal).scaled, nominal, SEED)
    return corner, surface


def drawn_wood(wood: Wood, variables: Variables, logs: Array) -> Wood:
    """A wood with its strengths, toughnesses and moduli times the factors of one draw (k,).

    Wood crushes at a pressure that goes with its stiffness.
    """
    stiffness = np.exp(logs[variables.stiffness])
    values = {key: getattr(wood, key) * stiffness for key in (*MODULI, *CRUSHING)}
    for (name, strength), place in variables.wood.items():
        if name != wood.name:
            continue
        for key in (strength, TOUGHNESS_OF.get(strength)):
            if key is not None:
                values[key] = getattr(wood, key) * float(np.exp(logs[place]))
    return replace(wood, **values)


def full_solve(corner: CornerModel, variables: Variables, logs: Array) -> float:
    """Break load in N of one draw (k,), solved in full. NaN where the path could not be followed."""
    tested = corner.specimen
    stiffness = float(np.exp(logs[variables.stiffness]))
    glue = replace(
        tested.glue,
        opening_stiffness=tested.glue.opening_stiffness * stiffness,
        shear_stiffness=tested.glue.shear_stiffness * stiffness,
    )
    tried = replace(tested.with_woods(lambda wood: drawn_wood(wood, variables, logs)), glue=glue)
    factors = {row: float(np.exp(log)) for row, log in zip(variables.rows, logs, strict=False)}
    # Bonds of the drawn woods would scatter twice: theirs is the scatter of their row.
    scaled = replace(corner, splits=())
    bonds = {each.name: _stiffer(each.bond, stiffness) for each in scaled_holds(scaled, factors)}

    def built(_: CornerModel, lines: Lines, reuse: Reuse | None = None) -> CornerModel:
        drawn = build_corner(tried, splits=lines)
        own = tuple(replace(each, bond=bonds[each.name]) for each in drawn.connections)
        return replace(drawn, connections=own)

    drawn = built(corner, ())
    try:
        found = CornerFollower(drawn).broken(sample_wood(drawn))
        with mock.patch.multiple(splits, MOST_EFFORT=np.inf, MOST_SPLIT_EFFORT=np.inf):
            return followed_through_splits(found, build=built).break_load
    except ComputationError:
        return float("nan")


def _stiffer(bond: Bond | CheekBond, by: float) -> Bond | CheekBond:
    if isinstance(bond, Bond):
        opening, crushing = bond.opening_stiffness * by, bond.crushing_strength * by
        bond = replace(bond, opening_stiffness=opening, crushing_strength=crushing)
    return replace(bond, shear_stiffness=bond.shear_stiffness * by)


def kept(path: Path = KEPT) -> dict[tuple[str, str], Array]:
    """Kept rows by kind and arrangement: (n, 3) of draw, surface and full load in N."""
    found: dict[tuple[str, str], list[tuple[float, float, float]]] = {}
    if path.exists():
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                numbers = (float(row["draw"]), float(row["surface_N"]), float(row["full_N"]))
                found.setdefault((row["kind"], row["arrangement"]), []).append(numbers)
    return {case: np.array(rows) for case, rows in found.items()}


def ends(loads: Array) -> Array:
    """5 and 95 % ends (2,) of loads (n,)."""
    return np.quantile(loads, (0.05, 0.95))


def compare(rows: Array) -> str:
    """Ends of surface and full solves of the draws that could be followed, and how far they are apart."""
    solved = rows[np.isfinite(rows[:, 2])]
    surface, full = ends(solved[:, 1]), ends(solved[:, 2])
    apart = surface / full - 1.0
    single = solved[:, 1] / solved[:, 2] - 1.0
    return (
        f"surface {surface[0]:.0f} to {surface[1]:.0f} N, full {full[0]:.0f} to {full[1]:.0f} N, apart "
        f"{100 * apart[0]:+.2f} and {100 * apart[1]:+.2f} %; single draws {100 * single.std():.2f} % "
        f"(standard deviation); {len(rows) - len(solved)} of {len(rows)} could not be followed"
    )


def run(kind: str, arrangement: str, draws: int) -> None:
    """Solve the draws not kept yet, append each as soon as it is there, bring the surface up to date."""
    case = (kind, arrangement)
    done = {int(row[0]) for row in kept().get(case, np.empty((0, 3)))}
    corner, surface = surface_of(kind, arrangement)
    logs = surface.variables.factors.log_draws(draws, SEED)
    loads, *_ = surface.least(logs)
    if not KEPT.exists():
        KEPT.write_text(",".join(FIELDS) + "\n", encoding="utf-8")
    wanted = [draw for draw in range(draws) if draw not in done]
    with KEPT.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        for draw in tqdm(wanted, desc=f"{kind}, {arrangement}", disable=not wanted):
            full = full_solve(corner, surface.variables, logs[draw])
            writer.writerow((*case, draw, f"{loads[draw]:.6g}", f"{full:.6g}"))
            file.flush()
    rows = kept()
    here = rows[case][:, 0].astype(int)
    rows[case][:, 1] = surface.least(surface.variables.factors.log_draws(here.max() + 1, SEED))[0][here]
    with io.StringIO() as text:
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(FIELDS)
        for of, numbers in rows.items():
            writer.writerows((*of, int(draw), f"{told:.6g}", f"{full:.6g}") for draw, told, full in numbers)
        write_atomically(KEPT, text.getvalue().encode())


def main() -> None:
    """Run the wanted cases, then print the comparison of every case kept."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("cases", nargs="*", help="kind:arrangement, all by default")
    parser.add_argument("--draws", type=int, default=DRAWS)
    asked = parser.parse_args()
    for kind, arrangement in CASES:
        if not asked.cases or f"{kind}:{arrangement}" in asked.cases:
            run(kind, arrangement, asked.draws)
    for (kind, arrangement), rows in kept().items():
        print(f"{kind}, {arrangement}: {compare(rows)}")


if __name__ == "__main__":
    main()
