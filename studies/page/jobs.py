"""The two worker processes of a page and what waits for them: tabs take turns, what is void is dropped.

A desk is one process with its queue. It is handed one task at a time; a worker that is lost is started anew
and its task tried once again. All of a desk but the thread that listens runs in the loop of the server.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import signal
import threading
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any

from glueline.studies.files.units import Units
from glueline.studies.page.work import Message, Task, What, failed, serve
from glueline.studies.sweeps.worker import one_thread_each

if TYPE_CHECKING:
    from multiprocessing.process import BaseProcess

    from glueline.studies.bench_day.rig.rig import Rig

TRIES = 2
"""How often a task is given to a worker, and how many workers in a row may be lost before they are ready."""

LOST = "the process that computes was lost, perhaps for want of memory; change something to try again"
NO_WORKER = "the process that computes cannot be started; end glueline page with Ctrl-C and start it again"

SECONDS_TO_END = 2.0

RANKS: Mapping[str, int] = {"path": 0, "elastic": 0, "save": 1, "many": 2}
"""Which of the questions of one tab goes first."""


@dataclass(eq=False)
class Job:
    """A question on its way: of which tab, what it asks, and the tasks that answer it, one after the other.

    ``tell`` is given every message; ``ended`` is called once with whether all went well, after the last, and
    not at all for a job that is void. ``number`` is that of the page's question.
    """

    tab: Hashable
    ask: str
    number: int
    corner: Mapping[str, Any]
    units: Units
    tasks: list[tuple[What, Mapping[str, Any]]]
    tell: Callable[[Message], None]
    ended: Callable[[bool], None] = lambda _: None
    goes_on: bool = False
    tries: int = 0


@dataclass
class _Process:
    """A worker process with its end of the pipe; ``known`` once it has done anything."""

    process: BaseProcess
    connection: Connection
    known: bool = False


@dataclass
class Desk:
    """One worker process and what waits for it. ``rig`` is handed to every process that is started."""

    rig: Rig | None = None
    _process: _Process | None = None
    _loop: asyncio.AbstractEventLoop | None = None
    _waiting: dict[Hashable, list[Job]] = field(default_factory=dict)
    _job: Job | None = None
    _void: bool = False
    _ticket: int = 0
    _lost_early: int = 0
    _closed: bool = False

    def start(self) -> None:
        """Start the process, before there is anything to do: it loads what it needs."""
        self._process = _started()

    def begin(self, rig: Rig | None) -> None:
        """Tell the process its rig; until it is asked something it loads nothing heavy."""
        self.rig = rig
        assert self._process is not None
        with contextlib.suppress(OSError):  # it is gone, which is noticed later
            self._process.connection.send(rig)

    def warm(self, corner: Mapping[str, Any], units: Units) -> None:
        """Have the process load what it needs and look at the corner that is asked for first."""
        if self._process is not None and self._job is None:
            with contextlib.suppress(OSError):
                self._process.connection.send(Task(0, "warm", 0, corner, units))

    def attend(self, loop: asyncio.AbstractEventLoop) -> None:
        """From now on tasks are handed out and messages heard, in this loop."""
        self._loop = loop
        if self._process is not None:
            self._listen(self._process)

    def ask(self, job: Job) -> None:
        """Put a job into the queue; those that the same tab asked before of the same kind are void."""
        self.void(job.tab, job.ask)
        self._waiting.setdefault(job.tab, []).append(job)
        self._next()

    def void(self, tab: Hashable, ask: str | None = None) -> None:
        """What the tab has asked, of one kind or at all, is not wanted any more."""

        def is_void(job: Job) -> bool:
            return job.tab == tab and ask in (None, job.ask)

        left = [job for job in self._waiting.pop(tab, []) if not is_void(job)]
        if left:
            self._waiting[tab] = left
        if self._job is not None and not self._void and is_void(self._job):
            self._void = True
            if self._process is not None:
                with contextlib.suppress(OSError):
                    self._process.connection.send(self._ticket)

    def close(self) -> None:
        """End the process, whatever it computes."""
        self._closed = True
        if self._process is None:
            return
        process = self._process.process
        process.terminate()
        process.join(SECONDS_TO_END)
        if process.is_alive():
            process.kill()
            process.join()
        self._process.connection.close()

    def _next(self) -> None:
        """Hand out the next task, if none is being done: that of the tab that has waited longest."""
        if self._job is not None or self._closed or self._loop is None:
            return
        tab = next(iter(self._waiting), None)
        if tab is None:
            return
        jobs = self._waiting.pop(tab)
        job = min(jobs, key=lambda job: RANKS[job.ask])
        jobs.remove(job)
        if jobs:
            self._waiting[tab] = jobs  # behind all other tabs
        self._job, self._void = job, False
        self._ticket += 1
        what, more = job.tasks[0]
        try:
            self._renewed().connection.send(
                Task(self._ticket, what, job.number, job.corner, job.units, dict(more))
            )
        except OSError:
            return  # the process is gone, which whoever listens to it tells

    def _renewed(self) -> _Process:
        """The process, started anew if it was lost. Raises OSError where it is lost again at once."""
        if self._process is None:
            self._process = _started()
            self._listen(self._process)
            self._process.connection.send(self.rig)
        return self._process

    def _listen(self, process: _Process) -> None:
        threading.Thread(target=self._hear_all, args=(process,), daemon=True).start()

    def _hear_all(self, process: _Process) -> None:
        """In a thread of its own: hand everything on to the loop, and that the process is gone."""
        loop = self._loop
        assert loop is not None
        with contextlib.suppress(RuntimeError):  # the loop has ended
            try:
                while True:
                    ticket, sent = process.connection.recv()
                    loop.call_soon_threadsafe(self._heard, process, ticket, sent)
            except (EOFError, OSError):
                loop.call_soon_threadsafe(self._lose, process)

    def _heard(self, process: _Process, ticket: int, sent: Message | bool) -> None:
        process.known, self._lost_early = True, 0
        job = self._job
        if ticket != self._ticket or job is None or process is not self._process:
            return
        if not isinstance(sent, bool):
            if not self._void:
                job.tell(sent)
            return
        self._job = None
        if not self._void:
            self._done(job, sent)
        self._next()

    def _done(self, job: Job, well: bool) -> None:
        """A task of a job is done: what follows waits for its turn; after one that failed only its like."""
        del job.tasks[0]
        job.tries = 0
        if job.tasks and (well or job.goes_on):
            self._waiting.setdefault(job.tab, []).append(job)
        else:
            job.ended(well or job.goes_on)

    def _lose(self, process: _Process) -> None:
        """The process is gone: another takes its place, and its task is tried again or given up."""
        if self._closed or process is not self._process:
            return
        process.process.join(SECONDS_TO_END)
        process.connection.close()
        self._process = None
        self._lost_early += not process.known
        job, self._job = self._job, None
        if job is not None and not self._void:
            job.tries += 1
            if job.tries < TRIES and self._lost_early < TRIES:
                self._waiting = {job.tab: [job, *self._waiting.pop(job.tab, [])], **self._waiting}
            else:
                job.tell(failed(job.number, NO_WORKER if self._lost_early >= TRIES else LOST))
                job.ended(False)
        self._next()
        if self._lost_early < TRIES:
            with contextlib.suppress(OSError):  # lost again, which is told as this was
                self._renewed()


def _started() -> _Process:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=serve, args=(theirs,), daemon=True)
    with one_thread_each(), _without_interrupts():
        process.start()
    theirs.close()
    return _Process(process, ours)


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """A process that is started meanwhile leaves Ctrl-C to this one, from its first moment on."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def desks() -> Iterator[tuple[Desk, Desk]]:
    """The desk for elastic answers and that for paths, sweeps and files, started; ended on leaving."""
    both = Desk(), Desk()
    try:
        for desk in both:
            desk.start()
        yield both
    finally:
        for desk in both:
            desk.close()


def tasks_of_many(key: str, stops: Sequence[str]) -> list[tuple[What, Mapping[str, Any]]]:
    """A task for each value of a key."""
    return [("point", {"key": key, "at": at, "text": text}) for at, text in enumerate(stops)]
