"""The rule of the cheeks against an own 3D calculation; the table: ``tests.studies.predict.cheek_rules``."""

from __future__ import annotations

import numpy as np
import pytest

from glueline.geometries import JOINTS as KINDS
from glueline.geometries import Boards, SplinedMitre
from glueline.studies.corner.connections.cheek import GluedCheek, cheek_stiffness
from glueline.studies.corner.model import build_corner
from tests.studies.corners import BOX, specimen
from tests.studies.predict.cheek_rules import (
    CANDIDATES,
    CHOSEN,
    KEPT,
    SOLID,
    in_use,
    rise,
    six_figures,
)

BOUND = 0.12  # of any of the six


def test_six_figures_of_a_cut_splined_mitre() -> None:
    """Own 3D calculation: equal lands, walnut splines, the mitre cut from outside over 0, 14.9, 21.2 mm.

    Compliance and force in the splines are within 12 %; a third of c both ways missed by 18.6 %.
    Before the cut the splines get too little and after it too much, as no one stiffness does for both.
    """
    error = six_figures() / SOLID - 1
    print(np.round(100 * error, 1))
    assert np.abs(error).max() < BOUND
    assert np.abs(error[:2, 0]).max() < 0.03  # compliance until half the mitre is cut
    assert error[0, 1] < 0 < error[1:, 1].min()
    with in_use(CANDIDATES[0]):
        before = six_figures() / SOLID - 1
    assert np.abs(before).max() > 0.18


def test_the_chosen_candidate_is_the_rule_of_the_house() -> None:
    """The table's candidate and ``cheek_stiffness`` are the same, on cheeks of both kinds."""
    for kind in ("finger", "splined mitre"):
        corner = build_corner(specimen(kind), 4.0)
        for each in corner.connections:
            if isinstance(each, GluedCheek):
                joining, sides = each.joining, each.sides
                by_house = cheek_stiffness(joining, sides, 2200.0)
                assert CHOSEN.stiffness(joining, sides, 2200.0) == pytest.approx(by_house, rel=1e-12)


def test_three_splines_raise_the_cracking_load_as_the_note_says() -> None:
    """Own 3D calculation: by 1 %. What is left of the error is told in every answer for splines."""
    found = rise()
    notes = KINDS["splined mitre"].layout(SplinedMitre(3, 3.2, 21.0), BOX).notes
    assert found == pytest.approx(0.12, abs=0.01)
    assert any("by 12 % instead of 1 %" in note for note in notes)


def test_the_kept_table_is_that_of_the_rule() -> None:
    """Its row of the house tells the figures found now."""
    row = next(line for line in KEPT.read_text(encoding="utf-8").splitlines() if line.startswith(CHOSEN.name))
    told = [float(word) for word in row[len(CHOSEN.name) :].split()[:6]]
    assert told == pytest.approx(six_figures().T.ravel(), abs=2e-3)


@pytest.mark.slow
@pytest.mark.parametrize(("count", "width", "too_soft"), [(3, 30.0, 1.49), (3, 60.0, 1.64)])
def test_fingers_that_only_their_cheeks_hold(count: int, width: float, too_soft: float) -> None:
    """Against the solid of ``solid_corner`` with its notch floors absent: 49 to 64 % too soft, as told."""
    pytest.importorskip("skfem")
    from tests.studies.predict.cheek_rules import held_by_cheeks
    from tests.studies.predict.solid_corner import Grid, fingers, solid_compliance

    own = fingers(count, Boards(BOX.thickness, count * width, BOX.leg))
    solid = solid_compliance(own, Grid(8, 12, 4), only_cheeks=True).compliance
    assert held_by_cheeks(own) / solid == pytest.approx(too_soft, abs=0.01)
