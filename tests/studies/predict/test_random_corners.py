"""Random corners are followed to their end with their energies in balance, or refused in one sentence."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from glueline.fem.path import PathResult
from glueline.geometries import BOARD_A, JOINTS, Boards, Butt, FingerJoint, Mitre, SplinedMitre
from glueline.materials import Workmanship, find_glue, find_wood, wood_names
from glueline.materials.glue import SOFTENINGS
from glueline.studies.corner.arrangements import ARRANGEMENTS
from glueline.studies.corner.specimen import Specimen
from glueline.studies.predict.break_path import BreakPath
from glueline.studies.predict.corner_follower import follow_break
from tests.studies.corners import JOINTS as PLAIN
from tests.studies.corners import woods_of

GLUES = ("pva", "epoxy", "hide", "polyurethane", "resorcinol")


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths to a tenth of a mm."""
    return st.integers(round(10 * low), round(10 * high)).map(lambda tenths: tenths / 10)


@st.composite
def random_corners(draw: st.DrawFn) -> Specimen:
    """A corner that the reader of specimens would let pass, of any wood and a few glues, either softening."""
    kind = draw(st.sampled_from(list(PLAIN)))
    thickness, width = draw(numbers(10, 40)), draw(numbers(40, 200))
    lay = draw(st.sampled_from(["box", "box", "box", "frame"]))
    depth, across = (thickness, width) if lay == "box" else (width, thickness)
    boards = Boards(thickness, width, round(depth * draw(numbers(4, 12)), 1), lay)
    wood = find_wood(draw(st.sampled_from(wood_names())))
    glue = find_glue(draw(st.sampled_from(GLUES)))
    joint, splined = draw(joints(kind, depth, across)), kind == "splined mitre"
    assert not JOINTS[kind].problems(joint, boards)
    return Specimen(
        path="random",
        kind=kind,
        joint=joint,
        boards=boards,
        woods=woods_of(kind, wood, find_wood(draw(st.sampled_from(wood_names()))) if splined else None),
        sawn=draw(st.sampled_from(["flat", "quarter"])),
        moisture=12.0,
        glue=replace(glue, softening=draw(st.sampled_from(SOFTENINGS))),
        workmanship=Workmanship(quality=draw(numbers(0.5, 1.5))),
        arrangement=draw(st.sampled_from(list(ARRANGEMENTS.values()))),
    )


def joints(kind: str, depth: float, across: float) -> st.SearchStrategy[Any]:
    """What fits: fingers from 3 mm, splines of 1.5 to 6 mm over 30 to 90 % of the corner."""
    if kind == "butt":
        return st.just(Butt())
    if kind == "mitre":
        return st.just(Mitre())
    if kind == "finger":
        return st.builds(FingerJoint, st.integers(2, min(25, int(across / 3))))

    def of_thickness(thickness: float) -> st.SearchStrategy[Any]:
        count = st.integers(1, max(1, min(9, int((across - 2) / (thickness + 4)))))
        deep = numbers(0.3 * np.sqrt(2) * depth, 0.9 * np.sqrt(2) * depth)
        return st.builds(SplinedMitre, count, st.just(thickness), deep)

    return numbers(1.5, min(6.0, across - 8)).flatmap(of_thickness)


def words(corner: Specimen) -> str:
    """A corner in one line."""
    return (
        f"{corner.joint}, {corner.boards}, {corner.woods[BOARD_A].name}, {corner.glue.name} "
        f"{corner.glue.softening} x {corner.workmanship.quality:g}, {corner.sawn}, {corner.arrangement}"
    )


def check(found: BreakPath) -> None:
    """Followed to half the highest load, finite, energies in balance, damage and energy never given back."""
    path: PathResult = found.path
    assert path.is_complete
    assert path.load[-1] <= 0.5 * path.load.max()
    assert path.audit < 0.005, f"energy audit {path.audit:.2e}"
    for values in (path.load, path.displacement, path.work, path.stored, path.spent):
        assert np.isfinite(values).all()
    assert (np.diff(path.spent) >= 0).all()
    assert all((np.diff(damage, axis=0) >= 0).all() for damage in path.damage.values())
    assert 0 < found.break_load == min(found.glue_load, found.wood_load)
    assert path.load[path.first_damage] <= found.glue_load * (1 + 1e-9)
    assert np.isfinite([found.wood_load, found.displacement, found.energy]).all()


def settled(examples: int) -> settings:
    """The same corners every time; a failure takes as long as a success, so none is made smaller."""
    return settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )


@seed(3)
@settled(3)
@given(random_corners())
def test_a_few_random_corners(corner: Specimen) -> None:
    check(follow_break(corner))


@pytest.mark.slow
@seed(1)
@settled(12)
@given(random_corners())
def test_random_corners(corner: Specimen) -> None:
    print(words(corner))
    check(follow_break(corner))
