"""Progressive predictions: the numbers of the contract, the wood along the path, faces that crush."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from glueline import ComputationError, InputError, Prediction, predict
from glueline.fem.line_law import LineLaw
from glueline.geometries import JOINTS as JOINT_KINDS
from glueline.geometries import FingerJoint
from glueline.studies.corner.connections import GLUE_MODES, laws_of
from glueline.studies.corner.model import build_corner
from glueline.studies.corner.wood_modes import WOOD_MODES
from glueline.studies.files.json_text import json_line, read_json
from glueline.studies.predict.answer import Answer
from glueline.studies.predict.break_path import tractions_at
from glueline.studies.predict.corner_follower import CornerFollower
from glueline.studies.predict.measures import moment_share
from glueline.studies.predict.wood_limits import sample_wood
from glueline.studies.predict.wood_on_path import judge_path
from tests.studies.corners import JOINTS, specimen


@cache
def answer(kind: str) -> Prediction:
    return predict(specimen(kind), band=False)


@pytest.mark.parametrize("kind", list(JOINTS))
def test_the_contract_holds(kind: str) -> None:
    """Progressive is the default; every number is there and in order, every word known."""
    found = answer(kind).answer
    assert found.method == "progressive"
    assert found.break_load == min(found.glue_load, found.wood_load)
    assert 0 < found.first_damage_load < found.first_crack_load <= found.glue_load
    assert found.displacement_at_break >= 0.999 * found.compliance * found.break_load
    straight = 0.5e-3 * found.break_load * found.displacement_at_break
    assert straight < found.energy_at_break_J < 1.3 * straight
    assert found.where in JOINT_KINDS[kind].places
    assert found.mode in (GLUE_MODES if found.breaks_in == "glue" else WOOD_MODES)
    assert sum(found.moment_share.values()) == pytest.approx(1.0, abs=1e-6)
    assert all(0 <= share <= 1 for share in found.glue_gone.values())
    assert found.path.energy_audit < 0.005
    assert found.band is None
    for mode in found.modes:
        assert mode.where in JOINT_KINDS[kind].places
        assert mode.mode in (GLUE_MODES if mode.kind == "glue" else WOOD_MODES)
    assert read_json(json_line(found), Answer) == found


def test_the_sentence_tells_who_carried_the_moment() -> None:
    found = answer("finger")
    assert found.why.startswith("The wood beside the glue rolls off")
    assert "of the bending at the corner was on the finger cheeks" in found.why


@pytest.mark.parametrize("kind", ["butt", "finger"])
def test_tractions_at_the_break_balance_the_load(kind: str) -> None:
    """The damaged glue alone carries the corner moment: statics of board A, whatever has gone."""
    found = answer(kind)
    corner = found.corner
    model = corner.model
    acting = np.zeros(3)
    for surface in corner.surfaces:
        if "board A" not in (surface.minus, surface.plus):
            continue
        force = surface.forces_on_minus(found.tractions_at_break[surface.name])
        force = force if surface.minus == "board A" else -force
        arm = surface.points
        acting += [*force.sum(axis=0), (arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum()]
    load = corner.loading.load.reshape(-1, 2) * found.break_load
    own = model.numbers["board A"]
    own = own[own >= 0]
    at = model.positions[own]
    acting += [
        *load[own].sum(axis=0),
        (at[:, 0] * load[own, 1] - at[:, 1] * load[own, 0]).sum(),
    ]
    assert np.abs(acting[:2]).max() < 1e-5 * found.break_load
    assert abs(acting[2]) < 1e-5 * found.break_load * 150


@pytest.mark.parametrize("crushing", [False, True])
def test_weak_wood_breaks_first_and_sooner_the_weaker_it_is(crushing: bool) -> None:
    """The path is the same; the load is that at which the wood's own share of strength reaches 1."""
    corner = build_corner(specimen("mitre"))
    laws = laws_of(corner.connections, crushing=crushing)
    path = CornerFollower(corner).follow(laws)
    loads = []
    for strength in (1.0, 0.2, 0.1, 0.05):
        samples = tuple(
            replace(
                sample,
                wood=replace(
                    sample.wood,
                    bending_strength=sample.wood.bending_strength * strength,
                    shear_strength=sample.wood.shear_strength * strength,
                    tension_across=sample.wood.tension_across * strength,
                ),
            )
            for sample in sample_wood(corner)
        )
        found = judge_path(corner, path, laws, samples)
        assert found.break_load == min(found.glue_load, found.wood_load)
        loads.append(found.wood_load)
    assert found.breaks_in == "wood"
    assert found.break_load < found.glue_load
    assert loads == sorted(loads, reverse=True)
    # Below first damage everything is linear, and there the load goes with the strength.
    assert loads[3] == pytest.approx(0.5 * loads[2], rel=0.02)


def test_faces_that_crush_hold_less_and_are_reported() -> None:
    """Crushing lowers a mitre that closes; the answer says how far, and without it what is left out."""
    found, without = answer("mitre").answer, predict(specimen("mitre"), band=False, crushing=False).answer
    assert found.break_load < 0.9 * without.break_load
    assert found.path.energy_audit < 0.005
    assert list(found.crushed) == ["mitre"]
    assert found.crushed["mitre"] > 0.05
    assert without.crushed is None
    assert not any("press harder" in note for note in found.warnings)
    assert any("press harder" in note and "--no-crushing" in note for note in without.warnings)


def test_no_path_of_an_answer_without_crushing_crushes() -> None:
    """Nor those for the band and the range of crossed grain; with crushing all of them do."""
    from glueline.studies.predict.path_band import coarse_follower

    corner = build_corner(specimen("splined mitre"))
    for crushing in (True, False):
        coarse = coarse_follower(corner, crushing=crushing)
        changed = coarse.changed(coarse.laws(coarse.corner.connections))
        for path in (coarse.nominal, changed):
            assert any(values.any() for values in path.crushed.values()) == crushing


@pytest.mark.parametrize(
    ("arrangement", "load"), [("diagonal compression", 1415.0), ("diagonal tension", 513.0)]
)
def test_a_plain_mitre_breaks_where_a_solid_does(arrangement: str, load: float) -> None:
    """Own 3D calculation, a cohesive mitre between solid boards whose faces do not crush: within 1 %.

    White oak, 19 x 90 x 150 mm, box, PVA.
    """
    found = predict(specimen("mitre", arrangement), band=False, crushing=False)
    assert found.break_load == pytest.approx(load, rel=0.01)


@pytest.mark.parametrize(
    ("kind", "low", "high"),
    [("butt", 0.88, 0.94), ("mitre", 0.80, 0.88), ("finger", 0.84, 0.90), ("splined mitre", 0.76, 0.84)],
)
def test_what_crushing_takes_from_a_corner_that_closes(kind: str, low: float, high: float) -> None:
    """With a flat plateau it took 10, 17, 14 and 22 %; wood that hardens gives back a part."""
    corner = build_corner(specimen(kind))
    follower, samples = CornerFollower(corner), sample_wood(corner)
    flat = {
        name: replace(law, crushing_hardening=np.zeros(1)) if isinstance(law, LineLaw) else law
        for name, law in laws_of(corner.connections).items()
    }
    without = follower.broken(samples, crushing=False).break_load
    hard = follower.broken(samples).break_load / without
    soft = judge_path(corner, follower.follow(flat), flat, samples).break_load / without
    assert soft < hard < 1.0
    assert low < hard < high


def test_moment_share_of_whole_glue_is_the_elastic_one() -> None:
    """Before first damage the path is the elastic answer, as long as nothing crushes."""
    corner = build_corner(specimen("finger"))
    laws = laws_of(corner.connections, crushing=False)
    path = CornerFollower(corner).follow(laws)
    shares = moment_share(corner, tractions_at(corner, path, laws, 1))
    elastic = predict(specimen("finger"), method="elastic")
    for name, share in elastic.moment_share.items():
        assert shares[name] == pytest.approx(share, abs=1e-6)
    assert path.load[1] == pytest.approx(elastic.first_damage_load, rel=1e-9)


def test_where_wood_is_sampled_hardly_changes_its_load() -> None:
    """Rows twice as close: the wood of a butt gives within 5 %, the glue is the same."""
    corner = build_corner(specimen("butt"))
    follower = CornerFollower(corner)
    closer = replace(corner, mesh=replace(corner.mesh, element_size=corner.mesh.element_size / 2))
    one, two = (follower.broken(sample_wood(each), crushing=False) for each in (corner, closer))
    assert one.wood.point != two.wood.point
    assert one.wood_load == pytest.approx(two.wood_load, rel=0.05)
    assert one.glue_load == two.glue_load


def test_an_elastic_answer_knows_no_crushing() -> None:
    """It ends before any face crushes, so leaving that out changes nothing."""
    answers = [predict(specimen("butt"), method="elastic", crushing=each).answer for each in (True, False)]
    assert answers[0] == answers[1]
    assert answers[0].crushed is None


def test_an_unknown_criterion_is_refused_and_the_named_ones_differ() -> None:
    with pytest.raises(InputError, match="criterion"):
        predict(specimen("butt"), criterion="guess")
    loads = {
        name: predict(specimen("butt"), method="elastic", criterion=name).wood_load
        for name in ("separate modes", "quadratic", "hoffman")
    }
    assert len({round(load, 6) for load in loads.values()}) > 1


def test_a_path_that_ends_too_early_is_an_error_not_a_load() -> None:
    from glueline.fem.path_control import PathControl

    corner = build_corner(specimen("butt"))
    with pytest.raises(ComputationError, match="following the path"):
        CornerFollower(corner).follow(laws_of(corner.connections), PathControl(most_steps=3))


@pytest.mark.slow
def test_with_many_thin_fingers_wood_gives_first() -> None:
    """With more fingers the gain falls off and at some count the wood gives before the glue.

    Fingers shear along the grain, which is followed as a crack: the load at which it begins is told apart.
    """
    counts = (3, 9, 15, 30)
    answers = [predict(specimen("finger", joint=FingerJoint(count)), band=False).answer for count in counts]
    loads = [each.break_load for each in answers]
    print("break loads: " + ", ".join(f"{load:.0f}" for load in loads) + " N")
    gains = np.diff(loads) / np.diff(counts)
    assert (np.diff(gains) < 0).all()
    few, many = answers[0], answers[-1]
    assert few.breaks_in == "glue"
    assert few.split_load is None
    assert few.wood_share.share < 0.8
    assert many.split_load is not None
    assert many.split_load < 0.8 * many.break_load
    assert many.wood_share.mode == "shear along the grain"
