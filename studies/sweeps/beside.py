"""Several long tasks at once: some by processes beside this one, as many as there are processors for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import BrokenExecutor, Future, as_completed
from typing import Any, TypeVar

from glueline.studies.files.copies import processors
from glueline.studies.files.failures import ComputationError
from glueline.studies.sweeps.lanes import process_lanes

Key = TypeVar("Key")
Made = TypeVar("Made")

FEWER = "where memory ran out, give fewer corners at once, or a larger --element-size"
"""What to try where a process was lost."""


def all_done(
    task: Callable[..., Made], given: Mapping[Key, tuple[Any, ...]], takes_long: bool = True
) -> Iterator[tuple[Key, Made]]:
    """Key and result of ``task`` for everything ``given``, as it is done.

    Of tasks that take long, this process does its share and others, of one thread each, do the rest, where
    there are processors for it; of any other it does all. Raises what the task raises, and ComputationError
    where a process is lost.

    >>> dict(all_done(pow, {"square": (3, 2), "cube": (2, 3)}, takes_long=False))
    {'square': 9, 'cube': 8}
    """
    others = min(len(given), processors()) - 1 if takes_long else 0
    if others < 1:
        for key, arguments in given.items():
            yield key, task(*arguments)
        return
    own, *further = given
    with process_lanes(others) as lanes:
        handed: dict[Future[Made], Key] = {}
        for number, key in enumerate(further):
            handed[lanes[number % others].submit(task, *given[key])] = key
        yield own, task(*given[own])
        for future, key in reversed(list(handed.items())):
            if future.cancel():  # it was still waiting, so it is done here
                del handed[future]
                yield key, task(*given[key])
        for future in as_completed(handed):
            try:
                made = future.result()
            except BrokenExecutor as error:
                reason = "the process that computed it was lost"
                raise ComputationError("predicting one of several corners", reason, FEWER) from error
            yield handed[future], made
