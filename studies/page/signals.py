"""Ctrl-C and SIGTERM, which both end the page as it should end: no failure, and nothing left behind."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Protocol


class Endable(Protocol):
    """A server that ends when it is told so, and does not wait for anybody when it is told twice."""

    should_exit: bool
    force_exit: bool


class Ended(BaseException):
    """The page is to end before it serves anything."""


@dataclass
class Ending:
    """What a signal does: it ends the ``server``, or what goes on before there is one."""

    server: Endable | None = None
    _told: bool = False

    def __call__(self, *_: Any) -> None:
        """Told by a signal. Raises Ended where there is no server yet, but no second time."""
        told, self._told = self._told, True
        if self.server is not None:
            self.server.should_exit, self.server.force_exit = True, told
        elif not told:
            raise Ended


@contextmanager
def ended_by_signals() -> Iterator[Ending]:
    """While this lasts, Ctrl-C, SIGTERM and a window that is closed end the server that is named to it."""
    ending = Ending()
    ends = [signal.SIGINT, signal.SIGTERM]
    window = getattr(signal, "SIGHUP", None)  # not on every system; ignored where nohup wants it so
    if window is not None and signal.getsignal(window) != signal.SIG_IGN:
        ends.append(window)
    before = {each: signal.signal(each, ending) for each in ends}
    try:
        yield ending
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
