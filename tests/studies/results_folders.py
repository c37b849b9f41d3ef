"""Folders of results: what they hold, and work on them that dies halfway."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

STOPPED = 9

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="a child that dies between two writes")


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file in a folder and in those inside it, with what it holds."""
    paths = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def stopped_at(step: str, number: int, work: Callable[[], object]) -> bool:
    """Do the work in a child that dies at that call of a function of ``os``; whether it came so far."""
    child = os.fork()
    if child == 0:
        proper, calls = getattr(os, step), 0

        def dying(*given: object, **named: object) -> object:
            nonlocal calls
            calls += 1
            if calls == number:
                os._exit(STOPPED)
            return proper(*given, **named)

        setattr(os, step, dying)
        try:
            work()
        except BaseException:
            os._exit(1)
        os._exit(0)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert status in (0, STOPPED)
    return status == STOPPED
