"""Lanes on an existing dask.distributed cluster, through its executor interface."""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from typing import Any

from glueline.studies.files.failures import ComputationError, InputError, InputProblem
from glueline.studies.sweeps.lanes import Lane
from glueline.studies.sweeps.version import glueline_version
from glueline.studies.sweeps.worker import greet

ADDRESS = re.compile(r"([a-z]+://)?([^\s/:]+|\[[0-9A-Fa-f:]+\]):[0-9]{1,5}", re.ASCII)
"""A host and a port, with or without the protocol before them."""

ANSWER_WITHIN = 10.0
"""Seconds within which a scheduler must answer."""

LOOK_EVERY = 1.0
"""Seconds for which an answer to which workers there are is good."""

PATIENCE = 20.0
"""Seconds to wait for a new worker when all are gone."""


class Cluster:
    """A connected scheduler: which of its workers are there, and which have a lane."""

    def __init__(self, client: Any) -> None:
        self.client = client
        self.taken: set[str] = set()
        self._present: set[str] = set()
        self._good_until = 0.0

    def present(self) -> set[str]:
        """Addresses of the workers, none where the scheduler does not answer."""
        if time.monotonic() >= self._good_until:
            try:
                self._present = set(self.client.nthreads())
            except Exception:
                # Whatever a scheduler that is going away raises, there is nobody to compute.
                self._present = set()
            self._good_until = time.monotonic() + LOOK_EVERY
        return self._present

    def take(self) -> str | None:
        """A worker that has no lane yet; waits for one where no lane has a worker any more."""
        deadline = time.monotonic() + PATIENCE
        while True:
            free = sorted(self.present() - self.taken)
            if free:
                self.taken.add(free[0])
                return free[0]
            if self.taken & self.present():
                return None
            if time.monotonic() > deadline:
                raise ComputationError(
                    "computing on the cluster",
                    "its scheduler or all of its workers are gone",
                    "start it again and give the same command: a sweep keeps its finished points",
                )
            time.sleep(LOOK_EVERY / 4)


class ClusterLane(Lane):
    """One worker of a cluster, given one task at a time whatever the number of its threads."""

    def __init__(self, cluster: Cluster, address: str) -> None:
        self._cluster = cluster
        self._use(address)

    def submit(self, task: Callable[..., Any], *given: Any) -> Future[Any]:
        future: Future[Any] = self._executor.submit(task, *given)
        return future

    def restart(self) -> bool:
        if self._address in self._cluster.present():
            return True  # the task was lost, the worker or another at its address is there
        self._cluster.taken.discard(self._address)
        address = self._cluster.take()
        if address is not None:
            self._use(address)
        return address is not None

    def lost(self) -> bool:
        return self._address not in self._cluster.present()

    def _use(self, address: str) -> None:
        self._address = address
        self._executor = self._cluster.client.get_executor(workers=[address], pure=False)


@contextmanager
def cluster_lanes(address: str) -> Iterator[list[Lane]]:
    """A lane for each worker of the dask.distributed scheduler at ``address``.

    Raises InputError where there is no scheduler or no worker, ComputationError where a worker has no
    Glueline or another version of it.
    """
    with _connected(address) as client:
        cluster = Cluster(client)
        if not cluster.present():
            raise _refuse(address, "the scheduler has no workers: start some and try again")
        lanes: list[Lane] = []
        for _ in range(len(cluster.present())):
            worker = cluster.take()
            if worker is not None:
                lanes.append(ClusterLane(cluster, worker))
        _check_versions(lanes)
        yield lanes


@contextmanager
def _connected(address: str) -> Iterator[Any]:
    try:
        import distributed
    except ImportError:
        message = 'needs a library that is not installed: pip install "glueline[cluster]"'
        raise _refuse(address, message) from None
    if ADDRESS.fullmatch(address) is None:
        raise _refuse(address, "is not the address of a scheduler: write it as tcp://127.0.0.1:8786")
    for name in list(logging.root.manager.loggerDict):
        if name.partition(".")[0] == "distributed":
            # What matters of a cluster that goes away is said once, by us.
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    client_of: Any = distributed.Client
    try:
        client = client_of(address, timeout=ANSWER_WITHIN, set_as_default=False)
    except (OSError, ValueError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        message = f"no scheduler answers there ({reason}); write its address, such as tcp://127.0.0.1:8786"
        raise _refuse(address, message) from None
    with client:
        yield client


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
