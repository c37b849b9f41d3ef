"""Lanes: places where one point at a time is computed, here a spawned process each.

A lane is an executor of concurrent.futures that is given one task at a time, so that what a worker has built
for one corner is still there for the next that shares it, and no worker meshes two corners at once.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any

from glueline.studies.sweeps.worker import greet, one_thread_each, prepare_worker

Task = Callable[..., Any]


class Lane(ABC):
    """One place to compute."""

    @abstractmethod
    def submit(self, task: Task, *given: Any) -> Future[Any]:
        """Start a task."""

    @abstractmethod
    def restart(self) -> bool:
        """Make the lane fit for use again after its worker was lost.

        False where it cannot be and others must do its work. Raises ComputationError where there are none.
        """

    def lost(self) -> bool:
        """Whether the worker is gone without its task having said so."""
        return False


class ProcessLane(Lane):
    """A process of its own, started afresh with one thread for linear algebra."""

    def __init__(self) -> None:
        self._pid: int | None = None
        self._executor = self._start()

    def submit(self, task: Task, *given: Any) -> Future[Any]:
        try:
            return self._executor.submit(task, *given)
        except BrokenExecutor:
            # The process was lost between two tasks; none is lost with it.
            self.restart()
            return self._executor.submit(task, *given)

    def restart(self) -> bool:
        self._executor.shutdown(wait=False, cancel_futures=True)
        self._executor = self._start()
        return True

    def close(self, at_once: bool) -> None:
        """End the process; ``at_once`` without waiting for what it computes."""
        if at_once and self._pid is not None:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._pid, signal.SIGTERM)
        self._executor.shutdown(wait=True, cancel_futures=True)

    def _start(self) -> Executor:
        executor = ProcessPoolExecutor(
            1, mp_context=multiprocessing.get_context("spawn"), initializer=prepare_worker
        )
        executor.submit(greet).add_done_callback(self._greeted)
        return executor

    def _greeted(self, greeting: Future[tuple[int, str]]) -> None:
        if not greeting.cancelled() and greeting.exception() is None:
            self._pid = greeting.result()[0]


@contextmanager
def process_lanes(number: int) -> Iterator[list[Lane]]:
    """That many lanes of processes; they are ended on leaving, at once if something was raised."""
    lanes: list[ProcessLane] = []
    with one_thread_each():
        at_once = True
        try:
            lanes += [ProcessLane() for _ in range(number)]
            yield list(lanes)
            at_once = False
        finally:
            for lane in lanes:
                lane.close(at_once)
