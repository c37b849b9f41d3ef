"""A server that speaks the page's protocol with made-up answers, for tests of the page alone."""

from __future__ import annotations

import asyncio
import json
import threading
import time
from pathlib import Path
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from glueline.studies import page
from tests.studies.page import made_up_scenes, made_up_words

STATIC = Path(page.__file__).parent / "static"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'"
)
TYPES = {".js": "text/javascript", ".css": "text/css", ".html": "text/html; charset=utf-8"}


class FakeServer:
    """Serves in a thread. What was asked is in ``asked``; ``wait`` holds every answer of a kind back."""

    def __init__(self, folders: tuple[Path, ...] = (STATIC,)) -> None:
        self.folders = folders
        self.token = "token"
        self.asked: list[dict[str, Any]] = []
        self.saved: list[tuple[str, dict[str, Any]]] = []
        self.wait: dict[str, float] = {}
        self.fails: str | None = None
        self.save_fails = False
        self.demo = True
        self.port = 0
        self._server: uvicorn.Server | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/{self.token}/"

    def forget(self) -> None:
        """As it was before anything was asked."""
        self.asked.clear()
        self.saved.clear()
        self.wait.clear()
        self.fails, self.save_fails, self.token = None, False, "token"

    def start(self) -> None:
        """Returns when it listens; the second time on the same port."""
        routes = [
            Route("/{token}/", self._page),
            Route("/{token}/static/{name}", self._static),
            Route("/{token}/save/{what}", self._save, methods=["POST"]),
            WebSocketRoute("/{token}/socket", self._socket),
        ]
        settings = uvicorn.Config(
            Starlette(routes=routes),
            host="127.0.0.1",
            port=self.port,
            log_level="critical",
            ws="websockets-sansio",
        )
        settings.timeout_graceful_shutdown = 0
        self._server = uvicorn.Server(settings)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.02)
        self.port = self._server.servers[0].sockets[0].getsockname()[1]

    def stop(self) -> None:
        """Lets go of every connection."""
        if self._server:
            self._server.should_exit = True
            self._thread.join(10)

    def count(self, ask: str) -> int:
        return sum(each["ask"] == ask for each in self.asked)

    async def _page(self, request: Request) -> Response:
        if request.path_params["token"] != self.token:
            return Response("not here", 404)
        return self._file("page.html")

    async def _static(self, request: Request) -> Response:
        return self._file(request.path_params["name"])

    def _file(self, name: str) -> Response:
        for folder in self.folders:
            path = folder / name
            if path.is_file():
                headers = {"content-security-policy": POLICY, "cache-control": "no-store"}
                return FileResponse(path, media_type=TYPES[path.suffix], headers=headers)
        return Response("no such file", 404)

    async def _save(self, request: Request) -> Response:
        what = request.path_params["what"]
        self.saved.append((what, await request.json()))
        if self.save_fails:
            return JSONResponse({"message": "the slide could not be drawn"}, 400)
        ending = {"toml": "toml", "slide": "png", "report": "html"}[what]
        return Response(
            b"made up", headers={"content-disposition": f'attachment; filename="corner.{ending}"'}
        )

    async def _socket(self, socket: WebSocket) -> None:
        if socket.path_params["token"] != self.token:
            await socket.close()
            return
        await socket.accept()
        working: dict[str, asyncio.Task[None]] = {}
        try:
            while True:
                question = json.loads(await socket.receive_text())
                self.asked.append(question)
                kind = question["what"] if question["ask"] == "stop" else question["ask"]
                if kind in ("path", "many") and kind in working:
                    working[kind].cancel()
                if question["ask"] != "stop":
                    working[kind] = asyncio.create_task(self._answer(socket, question))
        except WebSocketDisconnect:
            for task in working.values():
                task.cancel()

    async def _answer(self, socket: WebSocket, question: dict[str, Any]) -> None:
        kind, number = question["ask"], question["number"]
        await asyncio.sleep(self.wait.get(kind, 0))

        async def say(answer: str, **fields: Any) -> None:
            await socket.send_text(json.dumps({"answer": answer, "number": number, **fields}))

        if kind == "open":
            await say("opened", **self._opened())
        elif kind == "sentence":
            await say(
                "sentence", **made_up_words.sentence(question["corner"], question["units"], question["edit"])
            )
        elif kind == "range":
            await say("range", **made_up_words.span(question["key"], question["units"], question["corner"]))
        elif kind == "rank":
            await say("rank", **_ranked(question["kept"]))
        elif kind == "many":
            for at, text in enumerate(question["stops"]):
                await asyncio.sleep(self.wait.get("point", 0))
                await say("point", **_point(question, at, text))
            await say("done", count=len(question["stops"]))
        elif self.fails:
            await say("failed", message=self.fails)
        else:
            await self._mechanics(socket, question, say)

    async def _mechanics(self, socket: WebSocket, question: dict[str, Any], say: Any) -> None:
        corner, units, number = question["corner"], question["units"], question["number"]
        load = made_up_words.load_of(corner)
        sizes = (
            made_up_words.amount(corner["boards"]["thickness"]),
            made_up_words.amount(corner["boards"]["leg"]),
        )
        first = made_up_words.headline(corner, units, band=False)
        if question["ask"] == "elastic":
            await socket.send_bytes(made_up_scenes.scene(number, first, *sizes))
            return
        for step in range(4):
            steps = {"displacement": [step / 2], "load": [step * load / 4]}
            await say("steps", again=step == 0, load_unit="N", load_factor=1.0, **steps)
        await socket.send_bytes(made_up_scenes.path(number, first, *sizes, load))
        await asyncio.sleep(self.wait.get("band", 0))
        clear = {"share": 0.5, "text": f"stand clear from {made_up_words.force(0.5 * load, units)}"}
        await say("band", headline=made_up_words.headline(corner, units, band=True), stand_clear=clear)

    def _opened(self) -> dict[str, Any]:
        butt = {**made_up_words.CORNER, "joint": {"kind": "butt"}}
        corners = [("finger", made_up_words.CORNER), ("butt <i>", butt)]
        pale, strong = (250, 240, 235), (90, 20, 30)
        scale = [
            [round(p + (s - p) * k / 255) for p, s in zip(pale, strong, strict=True)] for k in range(256)
        ]
        return {
            "corners": [{"name": name, "corner": corner, "units": "metric"} for name, corner in corners],
            "rig": None,
            "demo": self.demo,
            "caution": made_up_scenes.CAUTION,
            "scale": scale,
            "words": {},
            "legend": ["0 %\nhealthy", "25 %", "50 %", "75 %", "100 %\ngives"],
            "gone_legend": ["0 %\nwhole", "25 %", "50 %", "75 %", "100 %\ngone"],
        }


def _ranked(kept: list[dict[str, Any]]) -> dict[str, Any]:
    loads = [each["answer"]["break_load_N"] for each in kept]
    order = sorted(range(len(kept)), key=lambda index: -loads[index])
    rows = [
        {
            "index": index,
            "name": each["name"],
            "load": f"{loads[index]:.0f} N",
            "band": "nine of ten near it",
            "breaks": "glue",
            "where": "finger cheeks",
        }
        for index, each in enumerate(kept)
    ]
    claims = (
        ["The bands of the first two overlap: no order is claimed between them."] if len(kept) > 1 else []
    )
    return {"order": order, "rows": rows, "claims": claims}


def _point(question: dict[str, Any], at: int, text: str) -> dict[str, Any]:
    edit = {"key": question["key"], "value": text}
    found = made_up_words.sentence(question["corner"], question["units"], edit)
    wrong = found["wrong"][0]["message"] if found["wrong"] else None
    if text == "<b>bold</b> wood":
        wrong = "no <b>values</b> for it"
    if wrong:
        return {
            "at": at,
            "text": text,
            "load_N": None,
            "load_text": None,
            "crack_N": None,
            "breaks_in": None,
            "where": None,
            "wrong": wrong,
        }
    load = made_up_words.load_of(found["corner"])
    way = "wood" if load > 3000 else "glue"
    return {
        "at": at,
        "text": text,
        "load_N": load,
        "load_text": f"{load:.0f} N",
        "crack_N": 0.8 * load,
        "breaks_in": way,
        "where": "cheeks",
        "wrong": None,
    }
