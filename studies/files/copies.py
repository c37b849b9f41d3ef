"""Work shared out to copies of this process, where the system can make them safely.

A copy (fork) starts within some milliseconds and knows all that this process knows, so nothing is loaded anew
and nothing but what comes of the work is sent. It is made only where nothing can go wrong with it: on Linux,
by a process that is nobody's worker and has a single thread, since a lock that another thread holds would
never be let go in the copy. Everywhere else, and on one processor, the work is done here, with the same
results.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")

MOST = 4
"""Processes at once, this one among them."""

_MOST_ITEMS = 256  # numbers that one byte tells apart
_OFTEN = 0.2  # s between two looks of a copy whether the process that made it is still there


def processors() -> int:
    """How many processes can compute at once on this machine."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def shared_out(work: Callable[[Item], Result], items: Sequence[Item]) -> list[Result]:
    """What ``work`` makes of each item, in their order: each by whichever process is free first.

    The work may not change anything that is needed later, as a copy's changes are lost with it. Raises what
    it raises for the first item in their order for which it does.

    >>> shared_out(lambda number: number**2, [1, 2, 3])
    [1, 4, 9]
    """
    copies = min(processors(), MOST, len(items)) - 1
    done: dict[int, Result] = {}
    if copies > 0 and len(items) <= _MOST_ITEMS and _can_be_copied():
        done = _by_several(work, items, copies)
    # What failed, or was lost with its copy, is done again in their order: what it raises is raised here.
    return [done[place] if place in done else work(item) for place, item in enumerate(items)]


def _can_be_copied() -> bool:
    """Whether copies of this process are sound."""
    if sys.platform != "linux" or multiprocessing.parent_process() is not None:
        return False
    try:
        return len(os.listdir("/proc/self/task")) == 1
    except OSError:
        return False


def _by_several(work: Callable[[Item], Result], items: Sequence[Item], copies: int) -> dict[int, Result]:
    """What came of the items that were done, by their place, with so many copies beside this process."""
    context = multiprocessing.get_context("fork")
    # The places of all items in a pipe: whoever is free reads one, until there are none.
    places, filled = os.pipe()
    os.write(filled, bytes(range(len(items))))
    os.close(filled)
    begun = []
    try:
        with suppress(OSError):  # no more processes or pipes than the system allows
            for _ in range(copies):
                receiver, sender = context.Pipe(duplex=False)
                with sender:
                    given = work, items, places, sender, os.getpid()
                    copy = context.Process(target=_work_in_copy, args=given, daemon=True)
                    copy.start()
                begun.append((copy, receiver))
        done = _tried(work, items, places)
        for _, receiver in begun:
            with suppress(EOFError, OSError):
                done |= receiver.recv()
        return done
    finally:
        os.close(places)
        for copy, receiver in begun:
            receiver.close()
            copy.terminate()
            copy.join()


def _tried(work: Callable[[Item], Result], items: Sequence[Item], places: int) -> dict[int, Result]:
    """What comes of the items whose places can still be read, up to one that fails."""
    done = {}
    with suppress(Exception):
        while place := os.read(places, 1):
            done[place[0]] = work(items[place[0]])
    return done


def _work_in_copy(
    work: Callable[[Item], Result], items: Sequence[Item], places: int, sender: Connection, parent: int
) -> None:
    """What a copy does: its share of the items. It says nothing, leaves Ctrl-C to the ``parent`` process that
    made it, and ends when that one does, however it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)  # whoever reads what the parent says waits for no copy of it
    os.dup2(nowhere, 2)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    done = _tried(work, items, places)
    with suppress(OSError):
        sender.send(done)


def _end_with(parent: int) -> None:
    """End this process as soon as it is nobody's copy any more."""
    while os.getppid() == parent:
        time.sleep(_OFTEN)
    os._exit(1)
