"""Several tasks at once: every result by its key, whoever computed it; what goes wrong is raised."""

from __future__ import annotations

import multiprocessing
import os
import time

import pytest

from glueline.studies.files.failures import ComputationError
from glueline.studies.sweeps.beside import all_done


def slowly(number: int) -> tuple[int, int]:
    """Its square and the process that found it."""
    time.sleep(0.05)
    return number**2, os.getpid()


def lost(number: int) -> int:
    """Ends the process it is computed in, unless that is the test's own."""
    if multiprocessing.parent_process() is not None:
        os._exit(1)
    time.sleep(0.2)  # until the other has its own
    return number


def test_others_do_their_share(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("glueline.studies.sweeps.beside.processors", lambda: 2)
    found = dict(all_done(slowly, {str(number): (number,) for number in range(40)}))
    assert {key: square for key, (square, _) in found.items()} == {str(n): n**2 for n in range(40)}
    assert len({process for _, process in found.values()}) == 2
    assert found["0"][1] == os.getpid()


def test_what_a_task_raises_is_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("glueline.studies.sweeps.beside.processors", lambda: 2)
    with pytest.raises(ZeroDivisionError):
        dict(all_done(divmod, {"good": (1, 1), "bad": (1, 0)}))


def test_a_lost_process_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("glueline.studies.sweeps.beside.processors", lambda: 2)
    with pytest.raises(ComputationError, match="was lost"):
        dict(all_done(lost, {"here": (1,), "there": (2,)}))
