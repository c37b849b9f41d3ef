"""How the rows of glues.toml came about: one rule, from films.csv beside this file and the row of pva.

Run by hand, ``python -m tests.materials.make_glue_rows`` prints what the rule gives; pva itself and what damp
and gaps leave, are set by judgement. Where the films' numbers come from stands in glues.toml with each glue.
"""

from __future__ import annotations

import csv
import math
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from glueline.materials import Glue, find_glue
from glueline.materials.glue import BOND_NUMBERS, BondRow
from glueline.materials.glue_keys import NUMBERS, OPTIONAL_NUMBERS, ROWS

FILM_OPENING_STRENGTH = 10.0
"""Most that a film of ordinary PVA holds in opening, MPa (judgement: cap on every wood)."""

FILM_SHEAR_STRENGTH = 18.0
"""Most that a film of ordinary PVA holds in shear, MPa (judgement: top of the range of side-grain bonds)."""

REFERENCE_BLOCK_SHEAR = 25.0
"""Block shear on hard maple (ASTM D905) of ordinary PVA, MPa (from memory)."""


@dataclass(frozen=True)
class Film:
    """A cured film: thickness in mm, Young's modulus in MPa, Poisson's ratio, block shear on maple in MPa and
    the work of fracture of bonds that broke in the glue, N/mm; infinite where no figure was found.

    Block shear is read as a ratio between glues only, because 25 MPa on maple is more than maple itself holds
    in shear; where no figure was found it is that of PVA.
    """

    thickness: float
    modulus: float
    poisson: float
    block_shear: float = REFERENCE_BLOCK_SHEAR
    opening_toughness: float = math.inf
    shear_toughness: float = math.inf

    @property
    def opening_stiffness(self) -> float:
        """N/mm3: the mean of a film free to contract, E/t, and one held sideways, E (1-nu)/((1+nu)(1-2nu))/t.

        The wood beside a film holds it along the grain, where it is far stiffer, and hardly across it, where
        it is about as soft.
        """
        nu = self.poisson
        held = (1.0 - nu) / ((1.0 + nu) * (1.0 - 2.0 * nu))
        return self.modulus / self.thickness * (1.0 + held) / 2.0

    @property
    def shear_stiffness(self) -> float:
        """N/mm3: E / (2 (1 + nu)) / t."""
        return self.modulus / (2.0 * (1.0 + self.poisson)) / self.thickness

    @property
    def limits(self) -> dict[str, float]:
        """Its strengths, those of PVA in the ratio of block shear, MPa, and its toughnesses, N/mm."""
        ratio = self.block_shear / REFERENCE_BLOCK_SHEAR
        return {
            "opening_strength": FILM_OPENING_STRENGTH * ratio,
            "shear_strength": FILM_SHEAR_STRENGTH * ratio,
            "opening_toughness": self.opening_toughness,
            "shear_toughness": self.shear_toughness,
        }


def films() -> dict[str, Film]:
    """The tabled films, by the name of their glue."""
    with Path(__file__).with_name("films.csv").open(encoding="utf-8") as table:
        rows = list(csv.DictReader(table))
    return {
        row["name"]: Film(**{key: float(text) for key, text in row.items() if key != "name" and text})
        for row in rows
    }


def glue_from_film(name: str, film: Film, pva: Glue) -> Glue:
    """A glue from its film: every row is the lesser of the film and of the same row of pva.

    The rows of pva on white oak are set by the wood, by the starved end grain and by the mitre between; flat
    grain on end grain held the same with three different glues (Follrich et al. 2007), which is why no glue
    is given a better end-grain row.
    """

    def lesser(row: BondRow) -> BondRow:
        return replace(row, **{key: min(getattr(row, key), film.limits[key]) for key in BOND_NUMBERS})

    film_limits: dict[str, Any] = {f"film_{key}": limit for key, limit in film.limits.items()}
    return replace(
        pva,
        name=name,
        film_thickness=film.thickness,
        opening_stiffness=film.opening_stiffness,
        shear_stiffness=film.shear_stiffness,
        side_grain=lesser(pva.side_grain),
        grain_45=lesser(pva.grain_45),
        end_grain=lesser(pva.end_grain),
        **film_limits,
        sources={},
    )


if __name__ == "__main__":
    for name, film in films().items():
        glue = glue_from_film(name, film, find_glue("pva"))
        print(f"\n# {name}")
        for key in (*NUMBERS, *OPTIONAL_NUMBERS):
            if key.startswith(("film", "opening", "shear")):
                print(f"{key} = {float(f'{getattr(glue, key):.4g}'):g}")
        for row in ROWS:
            print(
                f"[glue.{row}]",
                *(f"{key} = {value:g}" for key, value in asdict(getattr(glue, row)).items()),
                sep="\n",
            )
