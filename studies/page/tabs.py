"""The open tabs of the page: each asks over a websocket of its own and hears answers in their order."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import Any

import msgspec
from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from glueline.studies.files.key_changes import changed_value, dotted, known_keys
from glueline.studies.page import questions as asked
from glueline.studies.page.folders import Folders
from glueline.studies.page.jobs import Desk, Job, tasks_of_many
from glueline.studies.page.opening import Opening
from glueline.studies.page.work import Message, What

UNEXPECTED = "this could not be done: {}; the page goes on"


@dataclass(frozen=True)
class Hub:
    """What all tabs share: what is open, the two desks, and one thread for what takes little time.

    ``folders`` are for files on their way.
    """

    opening: Opening
    quick: Desk
    long: Desk
    thread: Executor
    folders: Folders

    async def serve(self, socket: WebSocket) -> None:
        """One tab, until it is closed."""
        await socket.accept()
        tab = Tab(self)
        sending = asyncio.create_task(tab.send_all(socket))
        try:
            while socket.application_state == WebSocketState.CONNECTED:
                message = await socket.receive()
                if message["type"] != "websocket.receive":
                    break
                tab.hear(message.get("text"))
        except WebSocketDisconnect:
            pass
        finally:
            self.quick.void(tab)
            self.long.void(tab)
            tab.open = False
            sending.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await sending


@dataclass(eq=False)
class Tab:
    """One tab: the newest question of each kind, and the messages that wait to be sent to it."""

    hub: Hub
    open: bool = True
    _newest: dict[str, object] = field(default_factory=dict)
    _messages: asyncio.Queue[Message] = field(default_factory=asyncio.Queue)

    async def send_all(self, socket: WebSocket) -> None:
        """Send what waits, as long as there is somebody to hear it."""
        with contextlib.suppress(WebSocketDisconnect, RuntimeError):
            while True:
                message = await self._messages.get()
                if isinstance(message, bytes):
                    await socket.send_bytes(message)
                else:
                    await socket.send_text(message)

    def hear(self, text: str | None) -> None:
        """Take a message of the page. Nothing that is wrong with it is raised: it is answered."""
        try:
            if text is None:
                raise asked.Refused("questions are texts in JSON")
            question = asked.read_question(text, self.hub.opening.files)
            self._ask(question)
        except asked.Refused as refused:
            self._refuse(refused.message, refused.number)
        except Exception as error:  # a mistake of ours must not close the page
            self._refuse(UNEXPECTED.format(f"{type(error).__name__}: {error}"), None)

    def _ask(self, question: asked.AnyQuestion) -> None:
        match question:
            case asked.Stop():
                self._newest.pop(question.what, None)
                self.hub.long.void(self, question.what)
            case asked.Open():
                self._say({**self.hub.opening.message(), "number": question.number})
            case asked.Elastic():
                self._compute(self.hub.quick, question, "elastic", [("elastic", {})])
            case asked.Path():
                self._compute(self.hub.long, question, "path", [("path", {}), ("band", {})])
            case asked.Many():
                if dotted(question.key) not in known_keys():
                    raise asked.Refused(f"{question.key} is no key that can be varied", question.number)
                for stop in question.stops:
                    refuse_named_file(question, question.key, stop, self.hub.opening)
                self._compute(self.hub.long, question, "many", tasks_of_many(question.key, question.stops))
            case asked.Sentence():
                if question.edit is not None:
                    refuse_named_file(question, question.edit.key, question.edit.value, self.hub.opening)
                self._think("sentence", question, lambda: _sentence(question))
            case asked.Range():
                self._think("range", question, lambda: _range(question))
            case asked.Rank():
                self._think("rank", question, lambda: _rank(question))

    def _compute(
        self,
        desk: Desk,
        question: asked.Elastic | asked.Path | asked.Many,
        ask: str,
        tasks: Sequence[tuple[What, Mapping[str, Any]]],
    ) -> None:
        """Have a worker answer; what the same tab asked of the kind before is void."""
        mark = self._newest[ask] = object()

        def tell(message: Message) -> None:
            if self._newest.get(ask) is mark and self.open:
                self._messages.put_nowait(message)

        def ended(_: bool) -> None:
            if ask == "many":
                tell(encoded({"answer": "done", "number": question.number, "count": len(tasks)}))

        job = Job(
            self,
            ask,
            question.number,
            question.corner,
            question.units,
            list(tasks),
            tell,
            ended,
            ask == "many",
        )
        if tasks:
            desk.ask(job)
        else:
            ended(True)

    def _think(self, ask: str, question: asked.AnyQuestion, answer: Callable[[], dict[str, Any]]) -> None:
        """Answer in the thread for what takes little time, unless a newer question came meanwhile."""
        mark = self._newest[ask] = object()

        def think() -> dict[str, Any] | None:
            return answer() if self._newest.get(ask) is mark and self.open else None

        async def tell() -> None:
            message: dict[str, Any] | None
            try:
                message = await asyncio.get_running_loop().run_in_executor(self.hub.thread, think)
            except asked.Refused as refused:
                return self._refuse(refused.message, question.number)
            except Exception as error:  # a mistake of ours must not close the page
                return self._refuse(UNEXPECTED.format(f"{type(error).__name__}: {error}"), question.number)
            if message is not None and self._newest.get(ask) is mark:
                self._say({**message, "number": question.number})

        _keep_until_done(asyncio.create_task(tell()))

    def _refuse(self, message: str, number: int | None) -> None:
        self._say({"answer": "refused", "message": message, **({} if number is None else {"number": number})})

    def _say(self, message: dict[str, Any]) -> None:
        if self.open:
            self._messages.put_nowait(encoded(message))


def encoded(message: Mapping[str, Any]) -> str:
    """A message as JSON text."""
    return msgspec.json.encode(message).decode()


_tasks: set[asyncio.Task[None]] = set()


def _keep_until_done(task: asyncio.Task[None]) -> None:
    """The loop itself holds its tasks weakly."""
    _tasks.add(task)
    task.add_done_callback(_tasks.discard)


def refuse_named_file(question: asked.Sentence | asked.Many, key: str, text: str, opening: Opening) -> None:
    """Raises Refused where a new value would have a file read that was not opened."""
    if asked.names_material(dotted(key)):
        try:
            for value in (text, changed_value(text)):  # as it stands, and as TOML
                asked.refuse_file(dotted(key), value, opening.files)
        except asked.Refused as refused:
            raise asked.Refused(refused.message, question.number) from None


def _sentence(question: asked.Sentence) -> dict[str, Any]:
    from glueline.studies.page.sentence import read_sentence

    edit = None if question.edit is None else {"key": question.edit.key, "value": question.edit.value}
    return {**read_sentence(question.corner, question.units, edit), "answer": "sentence"}


def _range(question: asked.Range) -> dict[str, Any]:
    from glueline.studies.page.sentence_ranges import stops_of

    return {**stops_of(question.corner, question.units, question.key), "answer": "range"}


def _rank(question: asked.Rank) -> dict[str, Any]:
    from glueline.studies.files.json_text import Damaged
    from glueline.studies.page.kept import rank_kept

    try:
        return rank_kept(question.kept, question.units)
    except Damaged as error:
        raise asked.Refused(f"a kept answer is damaged: {error}") from None
