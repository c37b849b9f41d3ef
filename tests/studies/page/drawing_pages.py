"""A page with nothing but the drawing, its weight, its curve and its closer look, and a server for it."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from threading import Thread

from tests.studies.page.made_up_scene import colours, path_message, scene_message, steps_message

POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'"
KINDS = {
    "js": "text/javascript",
    "css": "text/css",
    "html": "text/html; charset=utf-8",
    "json": "application/json",
}

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Drawing</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,"><link rel="stylesheet" href="/drawing.css">
<link rel="stylesheet" href="/trial.css">
<script type="module" src="/trial.js"></script></head><body><div id="corner"></div><div id="weight"></div>
<p id="told" aria-live="polite"></p><div id="curve"></div><div id="closer"></div></body></html>"""

STYLE = """body { margin: 8px; font-family: system-ui, sans-serif; background: #fff; }
#corner { height: 66vh; } #told { min-height: 1.3em; margin: 4px 0; } #curve { max-width: 30em; }
.projector #curve, .projector #closer { display: none; }"""

SCRIPT = """import { unpack } from "/arrays.js";
import { cornerDrawing } from "/drawing.js";
import { weightBar } from "/weight.js";
import { loadCurve } from "/curve.js";
import { lookCloser } from "/closer.js";
const at = (id) => document.getElementById(id);
const fetched = async (name) => unpack(await (await fetch(name)).arrayBuffer());
const told = [];
const moves = [];
const drawing = cornerDrawing(at("corner"), { tell: (text) => {
  told.push(text); at("told").textContent = text; } });
const curve = loadCurve(at("curve"));
const weight = weightBar(at("weight"), { moved: (share) => {
  moves.push(share);
  drawing.weigh(share);
  drawing.broken(share >= 1);
  curve.at(share);
  closer.viewing("weight");
} });
const closer = lookCloser(at("closer"), { view: (name) => drawing.view(name) });
const { scale, signed } = await (await fetch("/colours.json")).json();
drawing.scale(scale, signed);
const [scene, path] = await Promise.all([fetched("/scene"), fetched("/path")]);
const show = (what) => { drawing[what === path ? "path" : "scene"](what); closer.scene(what); };
const weigh = () => { show(path); weight.show(path); curve.path(path); };
const steps = (await (await fetch("/steps.json")).json());
show(scene);
window.trial = { drawing, weight, curve, closer, scene, path, told, moves, weigh, steps };
document.body.dataset.ready = "yes";
"""


@contextlib.contextmanager
def served(cells: int = 3000) -> Iterator[str]:
    """The address of the page, as long as it is wanted."""
    made = {
        "scene": scene_message(cells=cells),
        "path": path_message(cells),
        "colours.json": json.dumps(colours()).encode(),
        "steps.json": json.dumps(steps_message()).encode(),
        "": PAGE.encode(),
        "trial.css": STYLE.encode(),
        "trial.js": SCRIPT.encode(),
    }
    static = files("glueline.studies.page") / "static"

    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            name = self.path.split("?")[0].removeprefix("/")
            held = static / name
            body = made[name] if name in made else held.read_bytes() if held.is_file() else None
            self.send_response(404 if body is None else 200)
            kind = KINDS.get(name.rpartition(".")[2] if name else "html", "application/octet-stream")
            self.send_header("Content-Type", kind)
            self.send_header("Content-Security-Policy", POLICY)
            self.send_header("Content-Length", str(len(body or b"")))
            self.end_headers()
            self.wfile.write(body or b"")

        def log_message(self, *_: object) -> None:
            """A test is silent."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
