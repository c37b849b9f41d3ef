"""Corners of which one surface was glued otherwise: what its bond holds, and what becomes of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from glueline.fem.path_control import PathControl
from glueline.materials import SurfaceWorkmanship, Workmanship
from glueline.studies.corner.connections.cheek import NUMBERS, GluedCheek, cheek_stiffness
from glueline.studies.corner.connections.glue_line import STRENGTHS, GluedLine
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.reuse import Reuse
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.predictor import predict, predict_request
from glueline.studies.predict.remarks import bond_effects
from glueline.studies.predict.request import Request
from tests.studies.corners import JOINTS, specimen

CHEEKS = "finger cheeks"
EVERY_SURFACE = [(kind, words.name) for kind in JOINTS for words in specimen(kind).joint_kind.surfaces]
COARSE = 4.0  # mm


def with_own(corner: Specimen, own: Mapping[str, SurfaceWorkmanship]) -> Specimen:
    return replace(corner, surface_workmanship=own)


def numbers_of(connection: object) -> np.ndarray:
    """Every strength and toughness of a bond, and its glue's own stiffness."""
    if isinstance(connection, GluedLine):
        keys = (*STRENGTHS, "opening_stiffness", "shear_stiffness")
        return np.array([getattr(connection.bond, key) for key in keys])
    assert isinstance(connection, GluedCheek)
    bond = connection.bond
    sides = [*bond.sides, *bond.low_sides, *bond.high_sides]
    return np.array([bond.shear_stiffness, *(getattr(side, key) for side in sides for key in NUMBERS)])


@pytest.mark.parametrize(("kind", "name"), EVERY_SURFACE)
def test_a_starved_surface_holds_its_share_and_the_others_all(kind: str, name: str) -> None:
    """Coverage takes its share of the face from strength, toughness and stiffness."""
    corner = specimen(kind)
    sound = build_corner(corner, COARSE)
    starved = build_corner(with_own(corner, {name: SurfaceWorkmanship(coverage=0.5)}), COARSE)
    generator = np.random.default_rng(3)
    for before, after in zip(sound.connections, starved.connections, strict=True):
        share = 0.5 if before.name == name else 1.0
        assert np.allclose(numbers_of(after), share * numbers_of(before), rtol=1e-12)
        traction = generator.normal(size=(len(before.surface.points), 2))
        used = before.share_of_strength(traction)
        assert np.allclose(after.share_of_strength(traction) * share, used, rtol=1e-12)


def test_cheeks_of_half_coverage_are_the_same_bond_scaled() -> None:
    """Cheeks made by hand: half of the glue's stiffness in series with the wood, half of all it holds.

    For the same displacements, tractions of half the size use the same share of half the strength.
    """
    plain = specimen("finger")
    sound = build_corner(plain, COARSE)
    starved = build_corner(with_own(plain, {CHEEKS: SurfaceWorkmanship(coverage=0.5)}), COARSE)
    cheeks = sound.connection(CHEEKS)
    assert isinstance(cheeks, GluedCheek)
    softer = cheek_stiffness(cheeks.joining, cheeks.sides, 0.5 * cheeks.bond.shear_stiffness)
    stiffness = np.broadcast_to(softer, cheeks.surface.stiffness.shape)
    by_hand = replace(cheeks.scaled(0.5), surface=replace(cheeks.surface, stiffness=stiffness))
    found = starved.connection(CHEEKS)
    assert np.allclose(found.surface.stiffness, stiffness, rtol=1e-12)
    u = np.random.default_rng(5).normal(size=sound.model.unknowns)
    found_load, load = (each.elastic_limit(each.tractions(u)).load for each in (found, by_hand))
    assert found_load == pytest.approx(load, rel=1e-12)
    assert found.excess == pytest.approx(by_hand.excess, rel=1e-12)


def test_an_elastic_limit_scales_as_what_the_surface_holds() -> None:
    """Quality moves no stiffness, so the loads on every surface stay: half the strength, half the load.

    The index is averaged over the critical length, which grows as strength falls; both are so weak that it is
    longer than the cheeks, and the mean one over all of them.
    """
    plain, weak = (
        with_own(specimen("finger"), {CHEEKS: SurfaceWorkmanship(quality=quality)}) for quality in (0.1, 0.05)
    )
    before, after = (
        {limit.part: limit.load for limit in predict(each, method="elastic", element_size=COARSE).limits}
        for each in (plain, weak)
    )
    assert after[CHEEKS] == pytest.approx(0.5 * before[CHEEKS], rel=1e-9)
    for name in ("notch floors of board A", "notch floors of board B"):
        assert after[name] == pytest.approx(before[name], rel=1e-12)


@pytest.mark.parametrize("kind", ["butt", "finger"])
@pytest.mark.parametrize("made", [Workmanship(quality=0.8, gap=0.15, coverage=0.7), Workmanship()])
def test_all_surfaces_alike_are_the_plain_corner(kind: str, made: Workmanship) -> None:
    """Whatever [glue] says; the whole path, to the last digits."""
    own = SurfaceWorkmanship(made.quality, made.gap, made.coverage)
    corner = replace(specimen(kind), workmanship=made)
    other = with_own(
        replace(corner, workmanship=Workmanship(0.5, 0.05, 0.9)),
        {words.name: own for words in corner.joint_kind.surfaces},
    )
    plain, alike = (predict(each, band=False, element_size=COARSE) for each in (corner, other))
    assert alike.break_load == pytest.approx(plain.break_load, rel=1e-12)
    assert alike.compliance == pytest.approx(plain.compliance, rel=1e-12)
    assert [limit.load for limit in alike.limits] == pytest.approx(
        [limit.load for limit in plain.limits], rel=1e-12
    )


def test_starved_cheeks_weaken_a_finger_corner_less_than_starved_everything() -> None:
    """And more than none; the notch floors go on holding."""
    plain = specimen("finger")
    own = with_own(plain, {CHEEKS: SurfaceWorkmanship(coverage=0.5)})
    everything = replace(plain, workmanship=Workmanship(coverage=0.5))
    loads = [predict(each, band=False, element_size=COARSE).break_load for each in (everything, own, plain)]
    assert loads[0] < 0.98 * loads[1] < 0.96 * loads[2]


def test_a_corner_whose_sides_differ_is_not_followed_as_its_own_mirror_image() -> None:
    """Poor cheeks in board A alone break where poor ones in board B do, on the other side.

    What an even corner before it left behind for reuse does not matter.
    """
    even = specimen("splined mitre")
    reuse, request = Reuse(), Request(band=False, element_size=COARSE)
    whole = predict_request(even, request, reuse=reuse)
    poor = SurfaceWorkmanship(coverage=0.3)
    found = []
    for board in "AB":
        corner = with_own(even, {f"spline cheeks in board {board}": poor})
        found.append(predict_request(corner, request, reuse=reuse))
        fresh = predict_request(corner, request)
        assert found[-1].break_load == pytest.approx(fresh.break_load, rel=1e-12)
    # As well as a highest load is located (fem.path_control): the two are not numbered alike.
    assert found[0].break_load == pytest.approx(found[1].break_load, rel=PathControl().peak)
    assert found[0].break_load < 0.995 * whole.break_load


def effects(**own: SurfaceWorkmanship) -> tuple[str, ...]:
    corner = replace(specimen("finger"), workmanship=Workmanship(coverage=0.8))
    named = {name.replace("_", " "): each for name, each in own.items()}
    return bond_effects(build_corner(with_own(corner, named), COARSE))


def test_effects_name_the_surface_that_is_glued_otherwise() -> None:
    """Once each: those of the whole corner first, without a name; what is sound there is said too."""
    (general,) = effects()
    assert general.startswith("Glue on 80 % of the face")
    assert effects(finger_cheeks=SurfaceWorkmanship(coverage=0.8)) == (general,)
    assert effects(finger_cheeks=SurfaceWorkmanship(coverage=0.6)) == (
        general,
        general.replace("Glue on 80 %", "On the finger cheeks, glue on 60 %"),
    )
    gap = effects(finger_cheeks=SurfaceWorkmanship(gap=0.15))
    assert gap[0] == general
    assert gap[1].startswith("On the finger cheeks, a gap of 0.15 mm")
    assert len(gap) == 2
    sound = effects(notch_floors_of_board_B=SurfaceWorkmanship(coverage=1.0))
    assert sound == (general, "On the notch floors of board B: coverage 100 %.")
