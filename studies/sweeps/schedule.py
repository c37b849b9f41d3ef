"""Handing points to lanes so that points of one corner follow each other on one lane."""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, wait

from glueline.studies.corner.specimen import Specimen
from glueline.studies.files.failures import ComputationError
from glueline.studies.predict.request import Request
from glueline.studies.sweeps.lanes import Lane
from glueline.studies.sweeps.worker import Computed, Lost, compute

LOOK_EVERY = 2.0
"""Seconds without any result after which it is asked whether all workers are still there."""

TRIES = 2
"""How often a point is given to a worker before the point is left to another run."""

FEWER_WORKERS = (
    "where memory ran out, run the same command again with fewer --workers, or with a larger --element-size"
)
"""What to try where a worker was lost."""


class LaneQueue:
    """What each lane takes next: whole groups one by one; a lane without takes half of the longest left."""

    def __init__(self, groups: Iterable[Sequence[int]], lanes: int) -> None:
        self._waiting = deque(deque(group) for group in groups if group)
        self._own: list[deque[int]] = [deque() for _ in range(lanes)]

    def take(self, lane: int) -> int | None:
        """The next point of a lane, None where nothing is left for it."""
        own = self._own[lane]
        if not own:
            if self._waiting:
                own = self._waiting.popleft()
            else:
                longest = max(self._own, key=len)
                own = deque(longest.pop() for _ in range((len(longest) + 1) // 2))
                own.reverse()
            self._own[lane] = own
        return own.popleft() if own else None

    def give_back(self, number: int) -> None:
        """A point that is to be done after all, by whichever lane is next."""
        self._waiting.appendleft(deque([number]))


def groups_of(points: Mapping[int, Hashable]) -> list[list[int]]:
    """Points by number, those of equal keys together, in order of their first."""
    groups: dict[Hashable, list[int]] = {}
    for number, key in points.items():
        groups.setdefault(key, []).append(number)
    return list(groups.values())


def computed(
    specimens: Mapping[int, Specimen], keys: Mapping[int, Hashable], request: Request, lanes: Sequence[Lane]
) -> Iterator[tuple[int, Computed | Lost]]:
    """Number and result of every point as it is done, in whatever order they come.

    Points of equal ``keys`` share their corner. A worker that is lost is started again and its point tried
    once more; a point that loses its worker again is Lost. Raises ComputationError where no lane can be used
    any more.
    """
    queue = LaneQueue(groups_of({number: keys[number] for number in specimens}), len(lanes))
    running: dict[Future[Computed | Lost], tuple[int, int]] = {}
    tries = dict.fromkeys(specimens, 0)
    usable = set(range(len(lanes)))

    def start_idle() -> None:
        for lane in sorted(usable - {lane for lane, _ in running.values()}):
            number = queue.take(lane)
            if number is not None:
                tries[number] += 1
                running[lanes[lane].submit(compute, specimens[number], request)] = (lane, number)

    start_idle()
    while running:
        done, _ = wait(running, LOOK_EVERY, FIRST_COMPLETED)
        gone = {future for future, (lane, _) in running.items() if not done and lanes[lane].lost()}
        for future in done | gone:
            lane, number = running.pop(future)
            loss = _loss(future) if future in done else "it is not there any more"
            if loss is None:
                yield number, future.result()
                continue
            if not lanes[lane].restart():
                usable.discard(lane)
            if tries[number] < TRIES:
                queue.give_back(number)
                continue
            yield number, Lost(f"the process that computed it was lost {TRIES} times ({loss})")
        start_idle()


def all_computed(
    specimens: Mapping[int, Specimen], keys: Mapping[int, Hashable], request: Request, lanes: Sequence[Lane]
) -> Iterator[tuple[int, Computed]]:
    """The same for those who need every point. Raises ComputationError at the first that is Lost, too."""
    for number, result in computed(specimens, keys, request, lanes):
        if isinstance(result, Lost):
            raise ComputationError("predicting one of many corners", result.reason, FEWER_WORKERS)
        yield number, result


def _loss(future: Future[Computed | Lost]) -> str | None:
    """Why a task that is done has no result, None where it has one."""
    try:
        error = future.exception()
    except CancelledError:
        return "its task was cancelled"
    return None if error is None else f"{type(error).__name__}: {error}"
