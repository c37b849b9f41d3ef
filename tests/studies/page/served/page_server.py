"""A page's server in a process of its own, and a tab that asks it."""

from __future__ import annotations

import json
import signal
import subprocess
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from websockets.sync.client import ClientConnection, connect

from glueline.studies.page.messages import unpacked
from tests.studies.command_lines import ENVIRONMENT, PROGRAM, ROOT

PATIENCE = 120.0  # seconds: on a busy machine an answer is not wrong because it is late


@dataclass(frozen=True)
class PageServer:
    """A running server and its address."""

    process: subprocess.Popen[str]
    address: str

    @property
    def host(self) -> str:
        return self.address.split("/")[2]

    @property
    def port(self) -> int:
        return int(self.host.partition(":")[2])

    @property
    def token(self) -> str:
        return self.address.split("/")[3]

    def workers(self) -> list[int]:
        """The numbers of the processes that it has started."""
        number = self.process.pid
        return [int(each) for each in Path(f"/proc/{number}/task/{number}/children").read_text().split()]

    def ended(self, by: signal.Signals) -> int:
        """Its exit status once it was sent a signal."""
        self.process.send_signal(by)
        return self.process.wait(PATIENCE)


@contextmanager
def page_server(folder: Path, *words: object, port: int = 0) -> Iterator[PageServer]:
    """A server, its runtime files in ``folder``; it is killed on leaving if it still runs."""
    process = subprocess.Popen(
        [*PROGRAM, "page", *map(str, words), "--no-browser", "--port", str(port)],
        cwd=ROOT,
        env={**ENVIRONMENT, "XDG_RUNTIME_DIR": str(folder)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        yield PageServer(process, process.stdout.readline().strip())
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()


def gone(processes: list[int], within: float = 10.0) -> bool:
    """Whether all these processes have ended, or do so soon."""
    until = time.monotonic() + within
    while time.monotonic() < until:
        if not any(_runs(number) for number in processes):
            return True
        time.sleep(0.05)
    return False


def _runs(number: int) -> bool:
    try:
        return "\nState:\tZ" not in Path(f"/proc/{number}/status").read_text()
    except OSError:
        return False


@dataclass
class TestTab:
    """One tab of the page."""

    __test__ = False

    socket: ClientConnection
    number: int = 0

    def send(self, ask: str, **fields: Any) -> int:
        """Ask; the number of the question."""
        self.number += 1
        self.socket.send(json.dumps({"ask": ask, "number": self.number, **fields}))
        return self.number

    def hear(self) -> dict[str, Any]:
        """The next message; arrays of a binary one under their names."""
        message = self.socket.recv(PATIENCE)
        if isinstance(message, str):
            heard: dict[str, Any] = json.loads(message)
            return heard
        header, arrays = unpacked(message)
        return {**header, **arrays}

    def hear_all(self, *until: str) -> list[dict[str, Any]]:
        """Messages up to the first of these answers."""
        heard = [self.hear()]
        while heard[-1]["answer"] not in until:
            heard.append(self.hear())
        return heard

    def ask(self, ask: str, **fields: Any) -> dict[str, Any]:
        """The next message after a question."""
        self.send(ask, **fields)
        return self.hear()


@contextmanager
def tab(server: PageServer, origin: str | None = None) -> Iterator[TestTab]:
    """A tab that is opened as a browser opens it, from a page of ``origin``, by default the server's own."""
    socket = f"ws://{server.host}/{server.token}/socket"
    with connect(socket, origin=origin or f"http://{server.host}", max_size=None) as connected:  # type: ignore[arg-type]
        yield TestTab(connected)


def with_fingers(corner: Mapping[str, Any], fingers: int) -> dict[str, Any]:
    """A finger corner with another number of fingers."""
    return {**corner, "joint": {**corner["joint"], "fingers": fingers}}
