"""Lanes: places where one point at a time is computed. A spawned process each, or a worker of a cluster.

A lane is an executor of concurrent.futures that is given one task at a time, so that what a worker has built
for one corner is still there for the next that shares it, and no worker meshes two corners at once.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import re
import signal
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any

from studies.failures import ComputationError, InputError, InputProblem
from studies.sweeps.version import glueline_version
from studies.sweeps.worker import greet, one_thread_each, prepare_worker

ADDRESS = re.compile(r"([a-z]+://)?([^\s/:]+|\[[0-9A-Fa-f:]+\]):[0-9]{1,5}", re.ASCII)
"""A host and a port, with or without the protocol before them."""

ANSWER_WITHIN = 10.0
"""Seconds within which a scheduler must answer."""

Task = Callable[..., Any]


class Lane(ABC):
    """One place to compute."""

    @abstractmethod
    def submit(self, task: Task, *given: Any) -> Future[Any]:
        """Start a task."""

    @abstractmethod
    def restart(self) -> None:
        """Make the lane fit for use again after its worker was lost. Raises ComputationError if it cannot."""


class ProcessLane(Lane):
    """A process of its own, started afresh with one thread for linear algebra."""

    def __init__(self) -> None:
        self._pid: int | None = None
        self._executor = self._start()

    def submit(self, task: Task, *given: Any) -> Future[Any]:
        return self._executor.submit(task, *given)

    def restart(self) -> None:
        self._executor.shutdown(wait=False, cancel_futures=True)
        self._executor = self._start()

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


class ClusterLane(Lane):
    """One worker of an existing cluster, through its executor interface."""

    def __init__(self, client: Any, address: str) -> None:
        self._client = client
        self._executor = client.get_executor(workers=[address], allow_other_workers=True, pure=False)

    def submit(self, task: Task, *given: Any) -> Future[Any]:
        future: Future[Any] = self._executor.submit(task, *given)
        return future

    def restart(self) -> None:
        if self._client.status != "running" or not self._client.nthreads():
            raise ComputationError(
                "computing on the cluster",
                "its scheduler or all of its workers are gone",
                "start it again and give the same command: finished points are kept",
            )


@contextmanager
def cluster_lanes(address: str) -> Iterator[list[Lane]]:
    """A lane for each worker of the dask.distributed scheduler at ``address``.

    Raises InputError where there is no scheduler or no worker, ComputationError where a worker has no
    Glueline or another version of it.
    """
    try:
        from distributed import Client
    except ImportError:
        message = 'needs a library that is not installed: pip install "glueline[cluster]"'
        raise _refuse(address, message) from None
    if ADDRESS.fullmatch(address) is None:
        raise _refuse(address, "is not the address of a scheduler: write it as tcp://127.0.0.1:8786")
    try:
        client: Any = Client(address, timeout=ANSWER_WITHIN, set_as_default=False)  # type: ignore[no-untyped-call,unused-ignore]
    except (OSError, ValueError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        message = f"no scheduler answers there ({reason}); write its address, such as tcp://127.0.0.1:8786"
        raise _refuse(address, message) from None
    with client:
        addresses = sorted(client.nthreads())
        if not addresses:
            raise _refuse(address, "the scheduler has no workers: start some and try again")
        lanes: list[Lane] = [ClusterLane(client, worker) for worker in addresses]
        _check_versions(lanes)
        yield lanes


def _check_versions(lanes: list[Lane]) -> None:
    own = glueline_version()
    remedy = "install the same version of Glueline for every worker"
    for greeting in [lane.submit(greet) for lane in lanes]:
        try:
            _, theirs = greeting.result()
        except Exception as error:
            answered = f"a worker answers: {error}"
            raise ComputationError("computing on the cluster", answered, remedy) from error
        if theirs != own:
            raise ComputationError(
                "computing on the cluster", f"a worker has Glueline {theirs}, here it is {own}", remedy
            )


def _refuse(address: str, message: str) -> InputError:
    return InputError((InputProblem("command line", "--cluster", address, message),))
