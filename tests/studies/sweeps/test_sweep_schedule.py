"""Handing points to lanes: groups stay together, lost workers are tried again."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import process_lanes
from glueline.studies.sweeps.schedule import LaneQueue, all_computed, computed, groups_of
from glueline.studies.sweeps.worker import Computed, Lost, compute
from tests.studies.makers_folder import FINGER, MakersFolder, changed
from tests.studies.sweeps.fake_lanes import FakeLane, answer_of


@given(
    sizes=st.lists(st.integers(0, 12), max_size=8),
    lanes=st.integers(1, 5),
    order=st.lists(st.integers(0, 4), max_size=80),
)
def test_every_point_is_handed_out_once(sizes: list[int], lanes: int, order: list[int]) -> None:
    groups, first = [], 0
    for size in sizes:
        groups.append(list(range(first, first + size)))
        first += size
    turns = LaneQueue(groups, lanes)
    taken = [turns.take(lane % lanes) for lane in order]
    for lane in range(lanes):
        while (number := turns.take(lane)) is not None:
            taken.append(number)
    assert sorted(number for number in taken if number is not None) == list(range(first))


def test_a_lane_keeps_a_group_until_it_is_done() -> None:
    turns = LaneQueue([[0, 1, 2], [3, 4, 5]], 2)
    assert [turns.take(lane) for lane in (0, 1, 0, 1, 1, 0)] == [0, 3, 1, 4, 5, 2]


def test_an_idle_lane_takes_half_of_the_longest_group() -> None:
    turns = LaneQueue([list(range(9))], 2)
    assert turns.take(0) == 0
    assert [turns.take(1) for _ in range(4)] == [5, 6, 7, 8]
    assert [turns.take(0) for _ in range(2)] == [1, 2]
    assert turns.take(1) == 4
    assert turns.take(1) == 3
    assert turns.take(0) is None


def test_points_of_equal_keys_stand_together() -> None:
    assert groups_of({4: "a", 2: "b", 7: "a", 1: "c"}) == [[4, 7], [2], [1]]


class FailingLane(FakeLane):
    """A lane whose worker is lost whenever ``lost`` says so of a specimen and its number of tries."""

    def __init__(self, lost: Callable[[Specimen, int], bool]) -> None:
        super().__init__(lambda specimen: answer_of(float(specimen.joint.fingers)))
        self.lost = lost

    def submit(self, task: Callable[..., Any], *given: Any) -> Future[Any]:
        tries = sum(each == given[0] for each in self.given) + 1
        future = super().submit(task, *given)
        if not self.lost(given[0], tries):
            return future
        broken: Future[Any] = Future()
        broken.set_exception(BrokenProcessPool("a child process terminated abruptly"))
        return broken


def specimens(makers_folder: MakersFolder) -> dict[int, Specimen]:
    return {number: makers_folder.read(changed(FINGER, joint__fingers=number)) for number in (3, 5, 7)}


def results(makers_folder: MakersFolder, lane: FakeLane) -> dict[int, Computed]:
    points = specimens(makers_folder)
    return dict(computed(points, dict.fromkeys(points, 0), Request(), [lane]))


def test_a_lost_worker_is_started_again_and_its_point_tried_again(makers_folder: MakersFolder) -> None:
    lane = FailingLane(lambda specimen, tries: specimen.joint.fingers == 5 and tries == 1)
    found = results(makers_folder, lane)
    assert {number: each.error for number, each in found.items()} == {3: "", 5: "", 7: ""}
    assert lane.restarts == 1


def test_a_point_that_loses_every_worker_is_lost_with_its_reason(makers_folder: MakersFolder) -> None:
    lane = FailingLane(lambda specimen, _: specimen.joint.fingers == 5)
    found = results(makers_folder, lane)
    assert found[3].answer is not None
    assert found[7].answer is not None
    assert isinstance(found[5], Lost)
    assert "lost 2 times" in found[5].reason
    assert "terminated abruptly" in found[5].reason
    assert lane.restarts == 2


def test_those_who_need_every_point_stop_at_a_lost_one(makers_folder: MakersFolder) -> None:
    lane = FailingLane(lambda specimen, _: specimen.joint.fingers == 5)
    points = specimens(makers_folder)
    with pytest.raises(ComputationError, match="fewer --workers"):
        dict(all_computed(points, dict.fromkeys(points, 0), Request(), [lane]))


@pytest.mark.parametrize(
    "error", [MemoryError(), OSError(28, "No space left on device"), ImportError("no such library")]
)
def test_what_the_machine_lacks_is_no_result_of_the_corner(
    error: Exception, makers_folder: MakersFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: Any, **__: Any) -> None:
        raise error

    monkeypatch.setattr("glueline.studies.predict.predictor.predict_request", fails)
    assert isinstance(compute(makers_folder.read(FINGER), Request()), Lost)


@pytest.mark.parametrize(
    ("error", "kind"), [(Exception("std::bad_alloc"), Lost), (Exception("it overlaps"), Computed)]
)
def test_gmsh_without_memory_is_no_result_of_the_corner(
    error: Exception, kind: type, makers_folder: MakersFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """gmsh hands on the words of C++ for it; any other trouble of its own is the corner's."""
    import gmsh

    def fails(_: int) -> None:
        raise error

    monkeypatch.setattr(gmsh.model.mesh, "generate", fails)
    specimen = makers_folder.read(changed(FINGER, boards__leg="153.7 mm"))
    assert isinstance(compute(specimen, Request(method="elastic", band=False)), kind)


def test_a_missing_gmsh_is_no_result_of_the_corner(
    makers_folder: MakersFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "gmsh", None)
    specimen = makers_folder.read(changed(FINGER, boards__leg="153.9 mm"))
    result = compute(specimen, Request(method="elastic", band=False))
    assert isinstance(result, Lost)
    assert "apt install" in result.reason


def test_a_process_killed_between_two_tasks_is_started_again() -> None:
    with process_lanes(1) as (lane,):
        number = lane.submit(os.getpid).result()
        os.kill(number, signal.SIGKILL)
        deadline = time.monotonic() + 30
        while not lane._executor._broken and time.monotonic() < deadline:
            time.sleep(0.01)
        assert lane.submit(os.getpid).result() != number


def test_points_of_a_lane_that_stays_lost_go_to_the_others(makers_folder: MakersFolder) -> None:
    class Gone(FailingLane):
        def restart(self) -> bool:
            return False

        def lost(self) -> bool:
            return bool(self.given)

    points = specimens(makers_folder)
    gone = Gone(lambda _, __: True)
    whole = FakeLane(lambda specimen: answer_of(float(specimen.joint.fingers)))
    found = dict(computed(points, {number: number for number in points}, Request(), [gone, whole]))
    assert all(result.answer is not None for result in found.values())
    assert len(gone.given) == 1
    assert len(whole.given) == 3


def test_a_lane_that_cannot_be_used_again_stops_everything(makers_folder: MakersFolder) -> None:
    class Gone(FailingLane):
        def restart(self) -> bool:
            raise ConnectionError("gone")

    with pytest.raises(ConnectionError, match="gone"):
        results(makers_folder, Gone(lambda _, __: True))
