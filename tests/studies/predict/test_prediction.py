"""Elastic predictions against statics, symmetry, convergence and the numbers of the contract."""

from __future__ import annotations

from math import isclose, sqrt

import numpy as np
import pytest

from glueline import InputError, predict
from glueline.fem.loads import even_moment
from glueline.fem.model import Body, Mesh, Model
from glueline.fem.orthotropy import plane_stiffness
from glueline.fem.solve import ElasticSystem
from glueline.geometries import BOARD_A, Boards, FingerJoint
from glueline.materials import find_wood
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.piece import piece_constants
from tests.studies.corners import BOX, FRAME, JOINTS, specimen

ELASTIC = "elastic"
EVERY = [(kind, arrangement) for kind in JOINTS for arrangement in ARRANGEMENTS]


@pytest.mark.parametrize(("kind", "arrangement"), EVERY)
@pytest.mark.parametrize("boards", [BOX, FRAME], ids=["box", "frame"])
def test_glue_balances_the_load_on_board_a(kind: str, arrangement: str, boards: Boards) -> None:
    """Newton's first law: what the surfaces and the load do to board A sums to nothing, to 1e-8 of P."""
    answer = predict(specimen(kind, arrangement, boards), method=ELASTIC)
    corner = answer.corner
    outside = corner.loading.load + answer.reactions @ corner.loading.supports
    number = corner.model.numbers[BOARD_A]
    own = number[number >= 0]
    place = corner.model.positions[own]
    force = outside.reshape(-1, 2)[own]
    total = np.array([*force.sum(axis=0), (place[:, 0] * force[:, 1] - place[:, 1] * force[:, 0]).sum()])
    for surface in corner.surfaces:
        if surface.minus == BOARD_A:
            f = surface.forces_on_minus(surface.tractions(answer.u))
            p = surface.points
            total += np.array([*f.sum(axis=0), (p[:, 0] * f[:, 1] - p[:, 1] * f[:, 0]).sum()])
    assert np.abs(total[:2]).max() < 1e-8
    assert abs(total[2]) < 1e-8 * boards.leg
    assert isclose(sum(answer.moment_share.values()), 1.0, rel_tol=1e-9)


@pytest.mark.parametrize("kind", JOINTS)
def test_apex_press_stands_half_on_each_tip(kind: str) -> None:
    """Statics of a symmetric frame on two frictionless supports: P/2 each and no thrust."""
    reactions = predict(specimen(kind, "apex press"), method=ELASTIC).reactions
    assert reactions[:2] == pytest.approx([0.5, 0.5], rel=1e-9)
    assert abs(reactions[2]) < 1e-10


@pytest.mark.parametrize("arrangement", ["diagonal compression", "diagonal tension", "apex press"])
@pytest.mark.parametrize("kind", ["mitre", "splined mitre"])
def test_mirror_corners_give_mirror_results(kind: str, arrangement: str) -> None:
    answer = predict(specimen(kind, arrangement), method=ELASTIC)
    loads = {
        (limit.mode, limit.part): limit.load for limit in answer.limits if limit.part.startswith("board")
    }
    for (mode, part), load in loads.items():
        if part == BOARD_A and mode != "rolling shear":
            assert loads[mode, "board B"] == pytest.approx(load, rel=1e-6)


def test_opposite_loads_share_one_stiffness() -> None:
    closing, opening = (
        predict(specimen("finger", f"diagonal {way}"), method=ELASTIC) for way in ("compression", "tension")
    )
    assert closing.compliance == pytest.approx(opening.compliance, rel=1e-10)
    assert np.allclose(closing.u, -opening.u, atol=1e-12)


@pytest.mark.parametrize("kind", JOINTS)
def test_compliance_converges_with_the_mesh(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Energy bounds (Bathe 1996, section 4.3.4): a conforming mesh is too stiff, a finer one less so."""
    sizes = (4.0, 2.0, 1.0, 0.5)
    found = [predict(specimen(kind), method=ELASTIC, element_size=size).compliance for size in sizes]
    with capsys.disabled():
        row = "  ".join(f"{size:g} mm {value:.6e}" for size, value in zip(sizes, found, strict=True))
        print(f"\ncompliance in mm/N, {kind}: {row}")
    steps = np.diff(found)
    assert abs(steps[-1]) < abs(steps[0])
    assert abs(steps[-1]) / found[-1] < 1e-3


@pytest.mark.parametrize(("kind", "arrangement"), EVERY)
def test_break_load_hardly_moves_with_the_mesh(kind: str, arrangement: str) -> None:
    """Mean stress is there so that a singular corner does not decide by its elements."""
    coarse, fine = (
        predict(specimen(kind, arrangement), method=ELASTIC, element_size=size) for size in (1.9, 0.95)
    )
    assert coarse.break_load == pytest.approx(fine.break_load, rel=0.05)
    assert coarse.critical.kind == fine.critical.kind


def test_a_plain_board_breaks_at_its_modulus_of_rupture() -> None:
    """Beam theory (Gere and Timoshenko 1997, ch. 5): M = f w t^2 / 6; f from the handbook's table 5-3a.

    An unjointed board of white oak under end couples, judged by the same code as a corner.
    """
    from glueline.fem.bulk import bulk_stiffness
    from glueline.fem.loads import Arrangement, even_load
    from glueline.fem.stress import grain_rows
    from glueline.geometries.layout import Cell, Layout, Part, Piece, leg_cell_a
    from glueline.geometries.mesh import mesh_layout
    from glueline.geometries.words import board_words
    from glueline.studies.corner.critical_length import wood_lengths
    from glueline.studies.corner.wood_modes import WOOD_MODES
    from glueline.studies.predict.wood_limits import WoodSample, shares_of_strength

    t, width, length = 19.0, 90.0, 300.0
    boards = Boards(t, width, length)
    layout = Layout(
        boards,
        (Cell(leg_cell_a(boards, 0.0), {BOARD_A: Part(width, width, t)}),),
        (Piece(board_words()[0], 0.0),),
        (),
        ((0.0, 0.0),),
        False,
    )
    mesh = mesh_layout(layout, 3.0)
    oak = find_wood("white oak")
    constants = piece_constants(oak, True)
    cells = np.arange(len(mesh.triangles))
    stiffness = np.broadcast_to(plane_stiffness(constants.solid, 0.0, 0.0), (len(cells), 3, 3))
    body = Body(BOARD_A, cells, np.full(len(cells), width), stiffness)
    model = Model(Mesh(mesh.nodes, mesh.triangles), (body,))
    left, right = mesh.edges_on((0.0, 0.0), (0.0, t)), mesh.edges_on((length, 0.0), (length, t))
    along, up = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    couple = even_moment(model, BOARD_A, right, along) - even_moment(model, BOARD_A, left, along)
    supports = np.stack(
        [
            even_load(model, BOARD_A, left, along),
            even_load(model, BOARD_A, left, up),
            even_load(model, BOARD_A, right, up),
        ]
    )
    solution = ElasticSystem(model, bulk_stiffness(model)).solve(Arrangement("bending", couple, supports))
    rows = grain_rows(model, body, 1.0)
    lengths = wood_lengths(
        constants,
        (oak.tension_across, oak.splitting_toughness),
        (oak.shear_strength, oak.shear_toughness),
    )
    sample = WoodSample(BOARD_A, oak, rows, np.ones(len(rows.points), dtype=bool), lengths)
    used = shares_of_strength(sample, solution.u)
    moment = 1 / max(
        float(np.nanmax(used.modes[mode]))
        for mode, known in WOOD_MODES.items()
        if known.breaks and mode in used.modes
    )
    assert moment == pytest.approx(105.0 * width * t**2 / 6, rel=1e-3)
    # Compression along the grain yields first and is shown, but does not break the board.
    yielding = 1 / float(np.nanmax(used.modes["fibre compression"]))
    assert yielding == pytest.approx(51.3 * width * t**2 / 6, rel=1e-3)


def test_glue_areas_by_grain() -> None:
    """Areas by hand: board thickness 19 mm, width 90 mm, nine fingers, three splines of 3.2 mm."""
    area = {kind: predict(specimen(kind), method=ELASTIC).glue_area for kind in JOINTS}
    assert area["butt"] == pytest.approx(
        {"side_to_side": 0, "side_to_end": 19 * 90, "end_to_end": 0, "grain_45": 0}
    )
    assert area["mitre"]["grain_45"] == pytest.approx(19 * sqrt(2) * 90)
    assert area["finger"]["side_to_side"] == pytest.approx(8 * 19 * 19)
    assert area["finger"]["side_to_end"] == pytest.approx(19 * 90)
    # A spline fills a right triangle whose height is the slot's depth: two faces each.
    assert area["splined mitre"]["side_to_side"] == pytest.approx(3 * 2 * 21.0**2)
    mitre = 19 * sqrt(2) * 90 - 21 * 9.6
    assert area["splined mitre"]["grain_45"] == pytest.approx(mitre + 2 * 21 * 9.6)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_butt_is_the_weakest(arrangement: str) -> None:
    """Common practice, no source: the plain butt is the weakest corner by far."""
    load = {kind: predict(specimen(kind, arrangement), method=ELASTIC).break_load for kind in JOINTS}
    assert all(load["butt"] < 0.75 * other for kind, other in load.items() if kind != "butt")


def test_every_number_is_finite_and_every_word_is_in_the_vocabulary() -> None:
    from glueline.geometries import JOINTS as JOINT_KINDS
    from glueline.studies.corner.connections import GLUE_MODES
    from glueline.studies.corner.wood_modes import WOOD_MODES

    for kind, arrangement in EVERY:
        answer = predict(specimen(kind, arrangement), method=ELASTIC).answer
        assert answer.where in JOINT_KINDS[kind].places
        for mode in answer.modes:
            assert mode.where in JOINT_KINDS[kind].places
            assert mode.mode in (GLUE_MODES if mode.kind == "glue" else WOOD_MODES)
            assert np.isfinite(mode.load)
            assert mode.load > 0
        assert answer.break_load == min(answer.glue_load, answer.wood_load)
        assert answer.band is None
        assert answer.first_crack_load is None


def test_crossed_grain_range_moves_a_joint_of_cheeks_only() -> None:
    answer = predict(specimen("finger", joint=FingerJoint(30)), method=ELASTIC)
    assert answer.ranges is not None
    assert answer.ranges["crossed"][0] <= answer.break_load <= answer.ranges["crossed"][1]
    assert list(predict(specimen("butt"), method=ELASTIC).ranges or {}) == ["end_grain"]


def test_what_cannot_be_asked_is_refused() -> None:
    with pytest.raises(InputError, match="progressive"):
        predict(specimen("butt"), method="magic")
    for size in (0.01, 100.0, float("nan"), -1.0):
        with pytest.raises(InputError, match="element-size"):
            predict(specimen("butt"), method=ELASTIC, element_size=size)


def test_a_joint_of_several_surfaces_says_that_it_may_hold_more() -> None:
    for kind in JOINTS:
        said = any(
            "may then carry" in warning for warning in predict(specimen(kind), method=ELASTIC).warnings
        )
        assert said == (kind in ("finger", "splined mitre"))
