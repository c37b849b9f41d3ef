"""A load that misses its line: statics by hand, and what it does to a corner."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from glueline.fem.loads import support_reactions
from glueline.geometries import BOARD_A
from glueline.studies.corner.model import CornerModel, build_corner, corner_moment_per_load
from glueline.studies.corner.specimen import ARRANGEMENTS, Specimen
from glueline.studies.corner.specimen_file import read_specimen
from glueline.studies.examples import example_path

OFF = 1.0  # mm


def specimen(arrangement: str, off_line: float, kind: str = "mitre") -> Specimen:
    changes = [("load.arrangement", arrangement)]
    return dataclasses.replace(read_specimen(example_path(kind), changes), load_off_line=off_line)


def moment_at_inner_corner(corner: CornerModel, arrangement: str) -> float:
    """Moment in N mm at the inner corner of all forces on board A's tip, from the nodal forces themselves."""
    load = corner.arrangements[arrangement].load
    supports = corner.arrangements[arrangement].supports
    forces = (load + support_reactions(corner.model, load, supports) @ supports).reshape(-1, 2)
    number = corner.model.numbers[BOARD_A]
    leg = corner.layout.boards.leg
    tip = np.flatnonzero((number >= 0) & (corner.model.mesh.nodes[:, 0] > leg - 1e-6))
    arm = corner.model.mesh.nodes[tip] - np.array(corner.layout.inner_corner)
    acting = forces[number[tip]]
    return float(abs((arm[:, 0] * acting[:, 1] - arm[:, 1] * acting[:, 0]).sum()))


@pytest.mark.parametrize("off_line", [0.0, OFF, -OFF])
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_tip_turns_the_corner_by_the_longer_arm(arrangement: str, off_line: float) -> None:
    corner = build_corner(specimen(arrangement, off_line))
    stated = corner_moment_per_load(corner.layout, arrangement, off_line)
    assert moment_at_inner_corner(corner, arrangement) == pytest.approx(stated, rel=1e-9)


def test_statics_by_hand() -> None:
    """P (L - 1.5 t)/sqrt 2 + P e, P (L - t) + P e, and P (1/2 + e/S) (L - t/2)/sqrt 2, S between the tips."""
    layout = build_corner(specimen("apex press", 0.0)).layout
    between = np.sqrt(2) * (150 - 9.5)
    for arrangement, by_hand in (
        ("diagonal tension", (150 - 28.5) / np.sqrt(2) + OFF),
        ("cantilever out", 150 - 19 + OFF),
        ("apex press", (0.5 + OFF / between) * (150 - 9.5) / np.sqrt(2)),
    ):
        assert corner_moment_per_load(layout, arrangement, OFF) == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize("kind", ["mitre", "finger"])
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_load_is_still_one_newton_and_in_equilibrium(arrangement: str, kind: str) -> None:
    plain = build_corner(specimen(arrangement, 0.0, kind)).arrangements[arrangement].load.reshape(-1, 2)
    moved = build_corner(specimen(arrangement, OFF, kind)).arrangements[arrangement].load.reshape(-1, 2)
    assert moved.sum(axis=0) == pytest.approx(plain.sum(axis=0), abs=1e-12)
    assert np.abs(moved - plain).max() > 1e-4


def test_an_apex_load_cannot_leave_both_faces() -> None:
    with pytest.raises(ValueError, match="does not press on both faces"):
        build_corner(specimen("apex press", 3.0))
