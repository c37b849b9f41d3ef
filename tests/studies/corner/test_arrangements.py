"""Load arrangements against statics by hand, on equal and unequal boards, on their line and off it."""

from __future__ import annotations

import ast
import dataclasses
import pickle
from pathlib import Path

import numpy as np
import pytest

from glueline import predict
from glueline import studies as product
from glueline.fem.loads import equilibrated
from glueline.geometries import BOARD_A, JOINTS, Boards
from glueline.studies.corner.arrangements import (
    APEX_PRESS,
    ARRANGEMENTS,
    CANTILEVER_IN,
    CANTILEVER_OUT,
    DIAGONAL_COMPRESSION,
    DIAGONAL_TENSION,
    LoadArrangement,
)
from glueline.studies.corner.model import CornerModel, build_corner
from glueline.studies.corner.new_corner import corner_text, usual_corner
from glueline.studies.predict.measures import corner_rotation
from tests.studies.corners import specimen

OFF = 0.7  # mm
EQUAL, UNEQUAL = Boards(19.0, 90.0, 150.0), Boards(19.0, 90.0, 150.0, thickness_b=12.0)
EVERY = list(ARRANGEMENTS.values())

all_arrangements = pytest.mark.parametrize("arrangement", EVERY, ids=str)
both_boards = pytest.mark.parametrize("boards", [EQUAL, UNEQUAL], ids=["equal", "unequal"])
on_and_off = pytest.mark.parametrize("off_line", [0.0, OFF, -OFF])


def corner_of(
    arrangement: LoadArrangement, off_line: float = 0.0, boards: Boards = EQUAL, kind: str = "butt"
) -> CornerModel:
    own = specimen(kind, arrangement.name, boards)
    return build_corner(dataclasses.replace(own, load_off_line=off_line))


def turn(arm: np.ndarray, force: np.ndarray) -> float:
    """Moment in N mm of forces (n, 2) at arms (n, 2)."""
    return float((arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]).sum())


def forces_on_tip_of_a(corner: CornerModel) -> tuple[np.ndarray, np.ndarray]:
    """Places (n, 2) and nodal forces (n, 2) of load and reactions on board A's end face."""
    forces = equilibrated(corner.model, corner.loading).reshape(-1, 2)
    number = corner.model.numbers[BOARD_A]
    tip = np.flatnonzero((number >= 0) & (corner.mesh.nodes[:, 0] > corner.layout.boards.leg - 1e-6))
    return corner.mesh.nodes[tip], forces[number[tip]]


@on_and_off
@both_boards
@all_arrangements
def test_load_and_reactions_are_in_equilibrium(
    arrangement: LoadArrangement, boards: Boards, off_line: float
) -> None:
    """Newton's first law, for the nodal forces themselves; the three supports hold every rigid motion."""
    corner = corner_of(arrangement, off_line, boards)
    forces = equilibrated(corner.model, corner.loading).reshape(-1, 2)
    assert np.abs(forces.sum(axis=0)).max() < 1e-10
    assert abs(turn(corner.model.positions, forces)) < 1e-10 * boards.leg
    assert corner.loading.supports.shape == (3, corner.model.unknowns)


@on_and_off
@both_boards
@all_arrangements
def test_stated_moment_is_that_of_the_forces_on_the_tip(
    arrangement: LoadArrangement, boards: Boards, off_line: float
) -> None:
    corner = corner_of(arrangement, off_line, boards)
    places, forces = forces_on_tip_of_a(corner)
    found = abs(turn(places - np.array([boards.depth_b, boards.depth_a]), forces))
    assert arrangement.moment_per_load(boards, off_line) == pytest.approx(found, rel=1e-9)


def test_moments_by_hand() -> None:
    """(L - 1.5 t)/sqrt 2 + e, L - t + e, and (1/2 + e/S) (L - t/2)/sqrt 2 with S between the tips."""
    between = np.sqrt(2) * (150 - 9.5)
    by_hand = {
        DIAGONAL_COMPRESSION: (150 - 28.5) / np.sqrt(2) + OFF,
        DIAGONAL_TENSION: (150 - 28.5) / np.sqrt(2) + OFF,
        APEX_PRESS: (0.5 + OFF / between) * (150 - 9.5) / np.sqrt(2),
        CANTILEVER_IN: 150 - 19 + OFF,
        CANTILEVER_OUT: 150 - 19 + OFF,
    }
    assert list(by_hand) == EVERY
    for arrangement, moment in by_hand.items():
        assert arrangement.moment_per_load(EQUAL, OFF) == pytest.approx(moment, rel=1e-12)


def test_moments_of_unequal_boards_by_hand() -> None:
    """Boards 19 and 12 mm deep: tips at (150, 9.5) and (6, 150), inner corner at (12, 19).

    Patches of 3 mm along A and 4.75 mm along B: middle at (9 / 15.5, 4.75^2 / 15.5). The arm of a force
    between the tips is that of a line through A's tip; the apex load stands on it by moments about B's.
    """
    length = np.hypot(144.0, 140.5)
    across = np.array([-144.0, 140.5]) / length
    arm = np.array([138.0, -9.5])
    diagonal = abs(arm[0] * across[1] - arm[1] * across[0])
    assert DIAGONAL_TENSION.moment_per_load(UNEQUAL) == pytest.approx(diagonal, rel=1e-12)
    on_a = (np.array([6.0, 150.0]) - np.array([9 / 15.5, 4.75**2 / 15.5])) @ across / length
    apex = on_a * abs(arm @ across)
    assert APEX_PRESS.moment_per_load(UNEQUAL) == pytest.approx(apex, rel=1e-12)
    assert CANTILEVER_IN.moment_per_load(UNEQUAL) == pytest.approx(138.0, rel=1e-12)


@pytest.mark.parametrize("kind", ["mitre", "finger"])
@all_arrangements
def test_a_load_off_its_line_is_the_same_force_elsewhere(arrangement: LoadArrangement, kind: str) -> None:
    plain, moved = (corner_of(arrangement, off, kind=kind).loading.load.reshape(-1, 2) for off in (0.0, OFF))
    assert moved.sum(axis=0) == pytest.approx(plain.sum(axis=0), abs=1e-12)
    assert np.abs(moved - plain).max() > 1e-4


def test_how_large_the_load_is() -> None:
    """P on each tip, of one sense in compression and the other in tension; P down; P square to A's tip."""
    inward = np.array([-1.0, 1.0]) / np.sqrt(2)
    for arrangement, expected in (
        (DIAGONAL_COMPRESSION, inward),
        (DIAGONAL_TENSION, -inward),
        (CANTILEVER_IN, np.array([0.0, 1.0])),
        (CANTILEVER_OUT, np.array([0.0, -1.0])),
    ):
        _, forces = forces_on_tip_of_a(corner_of(arrangement))
        assert forces.sum(axis=0) == pytest.approx(expected, abs=1e-12)
    pressed = corner_of(APEX_PRESS).loading.load.reshape(-1, 2)
    assert pressed.sum(axis=0) == pytest.approx(np.sqrt([0.5, 0.5]), abs=1e-12)


@all_arrangements
def test_the_sense_is_what_the_model_does(arrangement: LoadArrangement) -> None:
    """By the elastic model: the angle between the legs grows where the arrangement opens the corner.

    B turns anticlockwise and A clockwise as it opens; the turn of the corner is A's less B's.
    """
    answer = predict(specimen("butt", arrangement.name), method="elastic")
    opened = corner_rotation(answer.corner, answer.u) < 0
    assert opened == (arrangement.sense == "opens")


@pytest.mark.parametrize("boards", [EQUAL, UNEQUAL, Boards(19.0, 60.0, 300.0, "frame")])
@all_arrangements
def test_what_a_load_may_miss_by_can_be_applied(arrangement: LoadArrangement, boards: Boards) -> None:
    """Third of a tip's end face: a sixth to either side; at the apex a sixteenth still presses both faces."""
    share = 1 / 16 if arrangement == APEX_PRESS else 1 / 6
    most = arrangement.most_off_line(boards)
    assert most == pytest.approx(share * min(boards.depth_a, boards.depth_b))
    for off_line in (-most, most):
        assert corner_of(arrangement, off_line, boards).specimen.load_off_line == off_line


def test_an_apex_load_cannot_leave_both_faces() -> None:
    with pytest.raises(ValueError, match="does not press on both faces"):
        corner_of(APEX_PRESS, 3.0)


@all_arrangements
def test_where_wood_is_not_judged(arrangement: LoadArrangement) -> None:
    """One depth from either tip, 19 mm on A and 12 mm on B; a pressed corner also 19 mm from its patches."""
    points = np.array([[132.0, 5.0], [130.0, 5.0], [5.0, 139.0], [5.0, 137.0], [60.0, 5.0]])
    assert list(arrangement.near_load(UNEQUAL, points)) == [True, False, True, False, False]
    # The patch along A ends at x = 3 mm, that along B at y = 4.75 mm.
    corner = np.array([[21.9, 0.0], [22.1, 0.0], [0.0, 23.6], [0.0, 23.9]])
    pressed = arrangement == APEX_PRESS
    assert list(arrangement.near_load(UNEQUAL, corner)) == [pressed, False, pressed, False]


def test_arrangements_are_found_by_name_and_travel() -> None:
    """The order is that of the lists; workers in other processes get them pickled."""
    assert [each.name for each in EVERY] == list(ARRANGEMENTS)
    assert [str(each) for each in EVERY] == list(ARRANGEMENTS)
    assert EVERY[0] == DIAGONAL_COMPRESSION
    assert pickle.loads(pickle.dumps(EVERY)) == EVERY
    assert len(set(EVERY)) == 5


def test_no_name_of_an_arrangement_is_compared() -> None:
    """Neither whole nor by its first word: no text in studies/ but in the arrangements themselves has one."""
    words = {*ARRANGEMENTS, *(name.partition(" ")[0] for name in ARRANGEMENTS)}
    seen = 0
    for path in Path(next(iter(product.__path__))).rglob("*.py"):
        if path.name == "arrangements.py":
            continue
        seen += 1
        tree = ast.parse(path.read_text(encoding="utf-8"))
        texts = [node for node in ast.walk(tree) if isinstance(node, ast.Constant)]
        docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in texts:
            if isinstance(node.value, str) and id(node) not in docstrings:
                named = node.value in words or any(name in node.value for name in ARRANGEMENTS)
                assert not named, f"{path}:{node.lineno}: {node.value!r}"
    assert seen > 100


def test_a_file_begun_says_of_every_arrangement_what_is_pushed_where() -> None:
    """Its name alone tells a maker nothing; no two are told alike."""
    assert len({each.words for each in ARRANGEMENTS.values()}) == len(ARRANGEMENTS)
    text = corner_text(usual_corner(JOINTS["butt"], "metric"), "metric")
    for each in ARRANGEMENTS.values():
        assert f"{each.name}: {each.words}; {each.sense} the corner" in text
