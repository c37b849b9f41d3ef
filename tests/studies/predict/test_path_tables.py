"""Break loads under mesh, step, boards and wood; the whole tables of mesh and step and of all woods are kept
by ``path_tables``."""

from __future__ import annotations

import numpy as np
import pytest

from glueline.geometries import Boards, FingerJoint, SplinedMitre
from glueline.materials import wood_names
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.connections import laws_of
from glueline.studies.corner.model import build_corner
from glueline.studies.predict.corner_follower import CornerFollower, follow_break
from tests.studies.corners import FRAME, JOINTS, specimen
from tests.studies.predict.path_tables import TABLES, compared, of_wood

QUICK = ("butt", "mitre")
CASES = [
    pytest.param(kind, arrangement, marks=() if kind in QUICK else pytest.mark.slow)
    for kind in JOINTS
    for arrangement in (list(ARRANGEMENTS)[: None if kind in QUICK else 2])
    if (kind, arrangement) != ("splined mitre", "diagonal tension")  # the longest: in the kept table
]


@pytest.mark.parametrize(("kind", "arrangement"), CASES)
def test_mesh_and_step_hardly_matter(kind: str, arrangement: str) -> None:
    """Under 2 % when the element size is halved, under 0.5 % when the step is; no energy lost over 0.5 %."""
    result = compared(specimen(kind, arrangement))
    found = result.found
    print(f"{kind}, {arrangement}: {found.break_load:.1f} N, {result.by_mesh:+.2%}, {result.by_step:+.2%}")
    assert found.path.is_complete
    assert found.path.audit < 0.005
    assert abs(result.by_mesh) < 0.02
    assert abs(result.by_step) < 0.005


BOARDS = [(60.0, 200.0), (90.0, 160.0), (120.0, 120.0)]


def fingers_for(width: float) -> FingerJoint:
    """Fingers between half the thickness and the thickness of 19 mm boards."""
    return FingerJoint({60.0: 5, 90.0: 7, 120.0: 9}[width])


@pytest.mark.slow
@pytest.mark.parametrize(("width", "leg"), BOARDS)
def test_facts_of_the_trade_on_ordinary_boards(width: float, leg: float) -> None:
    """Common practice, no source: closing, the butt is weakest, then mitre, then splined mitre.

    Mitre and finger carry about three to four times the butt: between 2.3 and 5.1 with untuned values.
    """
    boards = Boards(19.0, width, leg)
    joints = {
        "butt": None,
        "mitre": None,
        "splined mitre": SplinedMitre(max(2, round(width / 30)), 3.2, 21.0, "black cherry"),
        "finger": fingers_for(width),
    }
    load = {
        kind: follow_break(specimen(kind, boards=boards, joint=joint)).break_load
        for kind, joint in joints.items()
    }
    ratio = {kind: value / load["butt"] for kind, value in load.items()}
    print(
        f"{width:g} x {leg:g} mm: {load['butt']:.0f} N, "
        + ", ".join(f"{k} {r:.2f}" for k, r in ratio.items())
    )
    assert 1.0 < ratio["mitre"] < ratio["splined mitre"]
    for kind in ("mitre", "finger"):
        assert 2.3 <= ratio[kind] <= 5.1


# Hard and soft, of broad leaves and of needles; white ash and Douglas-fir are among those that take longest.
CONTRASTING = (
    "Sugar (hard) maple",
    "White ash",
    "Mahogany (true, Honduras)",
    "American basswood",
    "Douglas-fir (coast)",
    "Eastern white pine",
)


def kept_woods() -> dict[str, list[str]]:
    """Wood by wood its loads in N, the energy lost in per cent, and whether its paths are complete."""
    _, _, heading, *rows = TABLES["woods"].kept.read_text(encoding="utf-8").splitlines()
    assert heading == TABLES["woods"].heading
    return {row[:26].strip(): row[26:].split() for row in rows}


def test_every_wood_in_the_kept_table() -> None:
    """Every corner of every wood has a break load, a complete path and its energy in order."""
    assert list(kept_woods()) == list(wood_names())
    for wood, (*loads, audit, complete) in kept_woods().items():
        assert len(loads) == len(JOINTS)
        assert 0 < float(loads[0]) == min(map(float, loads)), wood
        assert float(audit) < 0.5
        assert complete == "yes"


@pytest.mark.slow
@pytest.mark.parametrize("wood", CONTRASTING)
def test_contrasting_woods(wood: str) -> None:
    """The same of six, made anew; what is kept is within half a per cent, as mesh and step are."""
    found = of_wood(wood)
    print(wood, {kind: round(load) for kind, load in found.loads.items()})
    assert found.are_complete
    assert found.audit < 0.005
    assert found.loads["butt"] == min(found.loads.values())
    *kept, _, _ = kept_woods()[wood]
    assert list(found.loads.values()) == pytest.approx([float(load) for load in kept], rel=0.005)


@pytest.mark.slow
@pytest.mark.parametrize("kind", list(JOINTS))
def test_frames(kind: str) -> None:
    """Boards on edge: three fingers, or one loose spline, in a frame 60 mm wide."""
    joint = {"finger": FingerJoint(3), "splined mitre": SplinedMitre(1, 6.0, 50.0, "black cherry")}.get(kind)
    for arrangement in ("diagonal compression", "diagonal tension"):
        found = follow_break(specimen(kind, arrangement, FRAME, joint=joint))
        print(f"{kind}, {arrangement}: {found.break_load:.0f} N, {found.path.audit:.1e}")
        assert found.path.is_complete
        assert found.path.audit < 0.005


@pytest.mark.parametrize("kind", ["mitre", "finger"])
def test_mirrored_corners_give_mirrored_results(kind: str) -> None:
    """An even number of fingers mirrored about the diagonal is itself with A and B changed over."""
    joint = FingerJoint(6) if kind == "finger" else None
    corner = build_corner(specimen(kind, joint=joint))
    path = CornerFollower(corner).follow(laws_of(corner.connections))
    u = path.displacements(path.first_damage).reshape(-1, 2)
    a, b = (corner.model.numbers[f"board {name}"] for name in "AB")
    nodes = corner.model.mesh.nodes
    order = np.lexsort(np.round(nodes[:, ::-1].T, 6)), np.lexsort(np.round(nodes.T, 6))
    mirror = np.empty(len(nodes), dtype=np.int64)
    mirror[order[0]] = order[1]
    assert np.allclose(nodes[mirror][:, ::-1], nodes, atol=1e-6)
    both = (a >= 0) & (b[mirror] >= 0)
    assert both.sum() > 100
    # The whole corner may move rigidly: compare what is left without that.
    apart = (u[a[both]] - u[b[mirror][both]][:, ::-1]).ravel()
    turn = nodes[both] @ np.array([[0.0, 1.0], [-1.0, 0.0]])
    count = int(both.sum())
    rigid = np.stack([np.tile([1.0, 0.0], count), np.tile([0.0, 1.0], count), turn.ravel()], axis=1)
    share, *_ = np.linalg.lstsq(rigid, apart, rcond=None)
    left = apart - rigid @ share
    assert np.abs(left).max() < 1e-6 * np.abs(u).max()
