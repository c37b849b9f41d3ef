"""Moment shares about the centroid of pressure, by hand and against a solid."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from glueline import predict
from glueline.fem.path_control import PathControl
from glueline.geometries import BOARD_A, BOARD_B
from glueline.studies.corner.model import build_corner
from glueline.studies.predict.corner_follower import follow_break
from glueline.studies.predict.measures import moment_share, moments_on_a, pressure_centroid
from tests.studies.corners import BOX, specimen


@pytest.mark.parametrize("arrangement", ["diagonal compression", "diagonal tension", "apex press"])
def test_a_butt_about_its_pressure_turns_by_its_pull_alone(arrangement: str) -> None:
    """By hand: shear runs through the centroid and pressure has no arm left, so the moment is the resultant
    of the opening tractions times its distance from that of the closing ones."""
    found = predict(specimen("butt", arrangement), band=False)
    (face,) = found.corner.connections
    traction = found.tractions_at_break[face.name]
    along, normal = face.surface.points[:, 0], traction[:, 1] * face.surface.weight
    pull, push = np.maximum(normal, 0.0), np.maximum(-normal, 0.0)
    arm = along @ pull / pull.sum() - along @ push / push.sum()
    about = pressure_centroid(found.corner, found.tractions_at_break)
    assert about == pytest.approx([along @ push / push.sum(), BOX.thickness])
    moment = moments_on_a(found.corner, found.tractions_at_break, about)[face.name]
    # Board B stands on board A's upper face, so what opens the glue pulls board A up, toward y.
    assert moment == pytest.approx(arm * pull.sum(), rel=1e-9)
    assert found.moment_share == {face.name: 1.0}


def test_the_centroid_takes_in_every_face_that_presses_on_board_a() -> None:
    """Even pressures of 1 and 3 MPa on the two notch floors of a finger corner, cheeks sheared: by hand the
    mean of the floors' middles by area times pressure."""
    corner = build_corner(specimen("finger"))
    pressure = {"notch floors of board B": 1.0, "notch floors of board A": 3.0}
    tractions = {
        each.name: np.tile([2.0, -pressure.get(each.name, 5.0)], (len(each.surface.weight), 1))
        for each in corner.connections
    }
    area = {each.name: each.area for each in corner.connections}
    middle = {
        each.name: np.average(each.surface.points, axis=0, weights=each.surface.weight)
        for each in corner.connections
    }
    force = {name: pressure[name] * area[name] for name in pressure}
    by_hand = sum(force[name] * middle[name] for name in force) / sum(force.values())
    assert pressure_centroid(corner, tractions) == pytest.approx(by_hand)
    pressing = {each.name: each.pressing_on(BOARD_A, tractions[each.name]) for each in corner.connections}
    assert {name: forces.sum() for name, forces in pressing.items()} == pytest.approx(
        {**force, "finger cheeks": 0.0}
    )


def test_faces_press_on_their_own_two_pieces_only() -> None:
    """The slot floors in board B press on board B and the splines."""
    corner = build_corner(specimen("splined mitre"))
    floor = corner.connection("slot floors in board B")
    closing = np.tile([0.0, -1.0], (len(floor.surface.weight), 1))
    assert floor.pressing_on(BOARD_A, closing).sum() == 0.0
    assert floor.pressing_on(BOARD_B, closing).sum() == pytest.approx(floor.area)
    assert floor.pressing_on(BOARD_B, -closing).sum() == 0.0


@pytest.mark.parametrize("opening", [0.0, 1.0])
def test_where_nothing_presses_it_is_the_middle_of_the_corner(opening: float) -> None:
    corner = build_corner(specimen("mitre"))
    tractions = {
        each.name: np.tile([0.5, opening], (len(each.surface.weight), 1)) for each in corner.connections
    }
    assert pressure_centroid(corner, tractions) == pytest.approx([9.5, 9.5])


def test_splines_carry_a_part_of_what_pulls_a_closed_mitre() -> None:
    """Own 3D calculation (solid pieces, cohesive mitre, three splines): at its peak the splines carry about
    18 % of the tension.

    The plane model is within 5 points of that in moment; in tension it finds 25 %, 7 points too much. Its
    cheeks hold by a rule that is too stiff once the mitre is cracked (at 14.9 mm of crack 3.23 N in the
    splines for each newton, 2.92 in the solid), and stiffer than a third of c both ways before it, which
    found 23 %. About the square's centre the splines' part is 3 %. In neither do faces crush.
    """
    found = predict(specimen("splined mitre"), band=False, crushing=False)
    corner, tractions = found.corner, found.tractions_at_break
    # The share grows by 3 points from just before the peak to just past it: read where it is well located.
    fine = follow_break(specimen("splined mitre"), control=PathControl(step=0.05, peak=1e-6), crushing=False)
    splines = 1.0 - moment_share(fine.corner, fine.tractions(fine.state))["mitre"]
    about_middle = moments_on_a(corner, tractions, np.array(corner.layout.boards.corner_centre))
    middle = 1.0 - about_middle["mitre"] / sum(about_middle.values())
    pull = {}
    for name in found.moment_share:  # what touches board A
        surface = corner.connection(name).surface
        sign = 1.0 if surface.minus == BOARD_A else -1.0
        # Board A lies on the side of the mitre where x is greater than y: pulled, toward lesser x.
        across = sign * surface.forces_on_minus(tractions[name]) @ np.array([-1.0, 1.0]) / sqrt(2)
        pull[name] = float(np.maximum(across, 0.0).sum() if name == "mitre" else across.sum())
    tension = 1.0 - pull["mitre"] / sum(pull.values())
    print(f"splines: {splines:.3f} and {middle:.3f} of the moment, {tension:.3f} of the tension")
    assert middle == pytest.approx(0.03, abs=0.01)
    assert splines == pytest.approx(0.18, abs=0.05)
    assert tension == pytest.approx(0.18, abs=0.07)
    assert found.moment_share == pytest.approx(moment_share(corner, tractions))
    assert "77 % of the bending at the corner was on the mitre" in found.why
