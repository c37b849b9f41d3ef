"""The page's server: its routes, its start and its end. It listens on this machine alone."""

from __future__ import annotations

import asyncio
import contextlib
import socket
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute

from glueline.studies.files.failures import InputError
from glueline.studies.page.guard import BODY, Guard
from glueline.studies.page.jobs import Job
from glueline.studies.page.questions import LARGEST_MESSAGE, Refused, Save, read_save
from glueline.studies.page.saving import KINDS, file_name, specimen_file
from glueline.studies.page.signals import Ending
from glueline.studies.page.tabs import Hub
from glueline.studies.page.work import FILE, Message, What

PAGE = "page.html"
MEDIA_TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
    "png": "image/png",
}
LARGEST_FRAME = 16_000_000
"""Bytes of a message over the websocket beyond which the connection is closed; smaller ones are answered."""

SECONDS_TO_CLOSE = 1


def static_files() -> dict[str, bytes]:
    """The packaged files of the page by name, all read once: nothing else is ever served."""
    folder = files("glueline.studies.page") / "static"
    if not folder.is_dir():
        return {}
    return {
        each.name: each.read_bytes()
        for each in folder.iterdir()
        if each.is_file() and each.name.rpartition(".")[2] in MEDIA_TYPES
    }


@dataclass(frozen=True)
class Routes:
    """What is served: the page, its files, its websocket, and what is saved."""

    hub: Hub
    static: Mapping[str, bytes]

    def application(self) -> Starlette:
        """The routes below the token, which stands in front of them all and is checked before."""
        return Starlette(
            routes=[
                Route("/{token}/", self.page),
                Route("/{token}/static/{name}", self.file),
                Route("/{token}/save/{kind}", self.save, methods=["POST"]),
                WebSocketRoute("/{token}/socket", self.hub.serve),
            ],
            exception_handlers={404: _nothing, 405: _nothing, Exception: _unexpected},
        )

    async def page(self, _: Request) -> Response:
        """The page itself."""
        return self._static(PAGE)

    async def file(self, request: Request) -> Response:
        """One of its files, by a name of the list."""
        return self._static(request.path_params["name"])

    def _static(self, name: str) -> Response:
        content = self.static.get(name)
        if content is None:
            return PlainTextResponse(BODY, 404)
        return Response(content, media_type=MEDIA_TYPES[name.rpartition(".")[2]])

    async def save(self, request: Request) -> Response:
        """A file made of a corner, to be kept."""
        kind = request.path_params["kind"]
        if kind not in KINDS:
            return PlainTextResponse(BODY, 404)
        try:
            save = read_save(await _body(request), self.hub.opening.files)
            content = await self._saved(kind, save)
        except Refused as refused:
            return JSONResponse({"message": refused.message}, 400)
        except InputError as error:
            return JSONResponse({"message": str(error).replace(f"{FILE}: ", "")}, 400)
        headers = {"content-disposition": f'attachment; filename="{file_name(save.name, kind)}"'}
        return Response(content, headers=headers, media_type=KINDS[kind][1])

    async def _saved(self, kind: str, save: Save) -> bytes:
        if kind == "toml":
            return await asyncio.get_running_loop().run_in_executor(self.hub.thread, _specimen_file, save)
        if kind == "slide":
            return await self._made("slide", save, {})
        with self.hub.folders.one() as folder:
            return await self._made("report", save, {"folder": folder})

    async def _made(self, what: What, save: Save, more: Mapping[str, Any]) -> bytes:
        """What a worker makes. Raises Refused with its reason where it cannot."""
        made: asyncio.Future[bytes] = asyncio.get_running_loop().create_future()

        def tell(message: Message) -> None:
            if made.done():
                return
            if isinstance(message, bytes):
                made.set_result(message)
            else:
                made.set_exception(Refused(_reason(message)))

        asker = object()
        self.hub.long.ask(Job(asker, "save", 0, save.corner, save.units, [(what, more)], tell))
        try:
            return await made
        finally:
            self.hub.long.void(asker)


def _specimen_file(save: Save) -> bytes:
    from glueline.studies.corner.specimen_file import specimen_of

    return specimen_file(specimen_of(FILE, save.corner))


def _reason(message: str) -> str:
    import msgspec

    return str(msgspec.json.decode(message).get("message", message))


async def _body(request: Request) -> bytes:
    """What was sent. Raises Refused where it is too large."""
    content = b""
    async for part in request.stream():
        content += part
        if len(content) > LARGEST_MESSAGE:
            raise Refused(f"the message is larger than {LARGEST_MESSAGE // 1000} kB")
    return content


async def _nothing(_: Request, __: Exception) -> Response:
    return PlainTextResponse(BODY, 404)


async def _unexpected(_: Request, error: Exception) -> Response:
    return JSONResponse({"message": f"this could not be done: {type(error).__name__}"}, 500)


class _Server(uvicorn.Server):
    """A server that leaves signals to ``ended_by_signals``."""

    def capture_signals(self) -> contextlib.AbstractContextManager[None]:  # type: ignore[override]
        return contextlib.nullcontext()


def run_server(
    held: socket.socket, token: str, hub: Hub, ending: Ending, started: Callable[[], None]
) -> None:
    """Serve until Ctrl-C or SIGTERM; ``started`` is called once it listens."""
    port = held.getsockname()[1]
    guard = Guard(Routes(hub, static_files()).application(), token, port)
    config = uvicorn.Config(
        guard,
        log_config=None,
        log_level="critical",
        access_log=False,
        lifespan="off",
        server_header=False,
        date_header=False,
        ws="auto",
        ws_max_size=LARGEST_FRAME,
        ws_per_message_deflate=False,
        timeout_graceful_shutdown=SECONDS_TO_CLOSE,
    )
    server = ending.server = _Server(config)

    async def serve() -> None:
        loop = asyncio.get_running_loop()
        for desk in (hub.quick, hub.long):
            desk.attend(loop)
        loop.call_soon(started)
        await server.serve([held])

    with contextlib.closing(held):
        asyncio.run(serve())


def thread_for_words() -> ThreadPoolExecutor:
    """One thread, so that what takes little time is done in the order in which it was asked."""
    return ThreadPoolExecutor(1, "words")
