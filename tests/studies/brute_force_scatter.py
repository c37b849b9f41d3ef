"""The same draws through the surface behind the band and through full solves, kept in a table.

By hand, for it takes an hour: python -m tests.studies.brute_force_scatter [DRAWS] [JOINT ...]

Every draw is a corner of its own: its woods and its glue film are as stiff as drawn, its bonds are scaled row
by row, the path is followed with the elements of a prediction and its wood judged with the strengths drawn.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from tqdm import tqdm

from materials import Wood
from studies.band_of_path import coarse_follower, run_of_path, scaled_follow
from studies.bond_laws import laws_of
from studies.break_path import CornerFollower, judge_path
from studies.corner_model import build_corner
from studies.scatter.band import ENDS, break_surface
from studies.scatter.glue_rows import scaled_bonds
from studies.scatter.variables import STRENGTHS, Variables
from studies.specimen import Specimen
from studies.wood_limits import sample_wood
from tests.studies.corners import JOINTS, specimen

Array = NDArray[np.float64]

KEPT = Path(__file__).with_suffix(".txt")
DRAWS, SEED, OTHER_SEED = 400, 0, 7
MODULI = (
    "modulus_along",
    "modulus_radial",
    "modulus_tangential",
    "shear_modulus_lr",
    "shear_modulus_lt",
    "shear_modulus_rt",
)


def solved(plain: Specimen, variables: Variables, logs: Array) -> float:
    """Break load in N of one draw, by a path of its own."""
    stiffness = float(np.exp(logs[variables.stiffness]))
    corner = build_corner(_as_stiff(plain, stiffness))
    rows = {row: float(np.exp(value)) for row, value in zip(variables.rows, logs, strict=False)}
    laws = laws_of(corner, scaled_bonds(corner, rows))
    samples = tuple(
        replace(sample, wood=_as_strong(sample.wood, variables, logs)) for sample in sample_wood(corner)
    )
    return judge_path(corner, CornerFollower(corner).follow(laws), laws, samples).break_load


def _as_stiff(plain: Specimen, by: float) -> Specimen:
    def wood(of: Wood) -> Wood:
        return replace(of, **{name: getattr(of, name) * by for name in MODULI})

    glue = plain.glue
    return replace(
        plain,
        wood_a=wood(plain.wood_a),
        wood_b=wood(plain.wood_b),
        spline_wood=None if plain.spline_wood is None else wood(plain.spline_wood),
        glue=replace(
            glue, opening_stiffness=glue.opening_stiffness * by, shear_stiffness=glue.shear_stiffness * by
        ),
    )


def _as_strong(wood: Wood, variables: Variables, logs: Array) -> Wood:
    factors = {name: float(np.exp(logs[variables.wood[wood.name, name]])) for name in STRENGTHS}
    return replace(wood, **{name: getattr(wood, name) * factor for name, factor in factors.items()})


def compare(kind: str, draws: int, arrangement: str = "diagonal compression") -> str:
    """One line of the table."""
    plain = specimen(kind, arrangement)
    corner = build_corner(plain)
    samples = sample_wood(corner)
    found = CornerFollower(corner).broken(samples)
    nominal = run_of_path(corner, found.path, found.laws, samples)
    surface, _ = break_surface(corner, scaled_follow(coarse_follower(corner), nominal), nominal, SEED)
    logs = surface.variables.factors.log_draws(draws, OTHER_SEED)
    quick, _ = surface.least(logs)
    full = np.array(
        [solved(plain, surface.variables, one) for one in tqdm(logs, desc=f"{kind}, {arrangement}")]
    )
    ends = [np.quantile(loads, ENDS) for loads in (quick, full)]
    off = 100 * (ends[0] / ends[1] - 1)
    each = 100 * np.abs(quick / full - 1)
    return (
        f"{kind:14s} {arrangement:21s} {draws:5d}  {ends[0][0]:7.1f} {ends[1][0]:7.1f} {off[0]:+6.2f} %  "
        f"{ends[0][1]:7.1f} {ends[1][1]:7.1f} {off[1]:+6.2f} %   {np.median(each):5.2f} {each.max():6.2f}"
    )


HEADING = (
    f"{'joint':14s} {'arrangement':21s} draws  5 % end: surface, full, off   95 % end: surface, full, off   "
    "each draw off by, %: median, most"
)


def main(words: Sequence[str]) -> None:
    """Compare and keep."""
    draws = int(words[0]) if words else DRAWS
    lines = [HEADING]
    for arrangement in ("diagonal compression", "diagonal tension"):
        for kind in words[1:] or JOINTS:
            lines.append(compare(kind, draws, arrangement))
            print(lines[-1], flush=True)
            KEPT.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
