"""The page as it is really served: a process of `glueline page`, and what tells its state in a browser."""

from __future__ import annotations

import json
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

from tests.studies.command_lines import ENVIRONMENT, PROGRAM

SECONDS = 60.0


class Served:
    """A process of `glueline page`, started again on the same port by ``start``."""

    def __init__(self, *words: str, port: int = 0) -> None:
        self.words, self.port = words, port
        self.start()

    def start(self) -> None:
        """Returns when it has printed its address."""
        self.process = subprocess.Popen(
            [*PROGRAM, "page", *self.words, "--no-browser", "--port", str(self.port)],
            env=ENVIRONMENT,
            stdout=subprocess.PIPE,
            text=True,
            # Where the tests run behind a shell, the keyboard's signal is ignored, and children inherit that.
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        )
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        self.port = int(self.address.split(":")[2].split("/")[0])

    def end(self, number: int = signal.SIGINT) -> int:
        """Its exit status."""
        self.process.send_signal(number)
        try:
            return self.process.wait(timeout=30)
        finally:
            assert self.process.stdout is not None
            self.process.stdout.close()


class Asker:
    """One tab without a browser: asks over the web socket and waits for what answers."""

    def __init__(self, address: str) -> None:
        from websockets.sync.client import connect

        origin = address.rsplit("/", 2)[0]
        self._opened = connect(
            address.replace("http", "ws") + "socket",
            origin=origin,
            max_size=None,
            ping_interval=None,
        )
        self.socket = self._opened.__enter__()
        self.number = 0

    def ask(self, what: str, **fields: Any) -> int:
        """The number of the question."""
        self.number += 1
        self.socket.send(json.dumps({"ask": what, "number": self.number, **fields}))
        return self.number

    def answers(self, number: int, last: tuple[str, ...]) -> list[dict[str, Any]]:
        """Every answer to a question up to one of the kinds ``last`` or a failure; with its ``arrays``."""
        from glueline.studies.page.messages import unpacked

        found = []
        deadline = time.monotonic() + SECONDS
        while time.monotonic() < deadline:
            message = self.socket.recv(timeout=SECONDS)
            if isinstance(message, bytes):
                header, arrays = unpacked(message)
                answer = {**header, "arrays": arrays}
            else:
                answer = json.loads(message)
            if answer.get("number") != number:
                continue
            found.append(answer)
            if answer["answer"] in (*last, "failed", "refused"):
                return found
        raise AssertionError(f"no {last} in {SECONDS:g} s")

    def close(self) -> None:
        """Leave."""
        self._opened.__exit__(None, None, None)


def corner_tables(path: Path) -> dict[str, Any]:
    """The tables of a specimen file, as the page has them."""
    import tomllib

    return tomllib.loads(path.read_text(encoding="utf-8"))
