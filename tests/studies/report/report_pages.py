"""Reads pages back: a parser for what stands in them, and a browser for how they look."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from PIL import Image

from glueline.studies.report import read_directory, report_page

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
COMMANDS = ("predict", "rank", "sweep")
"""Whose results ``folders`` has."""

MAY_RUN_OR_LOAD = ("script", "iframe", "object", "embed", "form", "input", "video", "audio", "base", "svg")


class Page(HTMLParser):
    """A page taken apart: ``tags`` counted, ``attributes`` of every element in order, ``text`` in all."""

    def __init__(self, content: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        self.by_id: dict[str, str] = {}
        self._id = ""
        self.feed(content.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags[tag] += 1
        self.attributes.append((tag, found))
        self._id = found.get("id", "")

    def handle_data(self, data: str) -> None:
        self.text += data.replace("\N{NO-BREAK SPACE}", " ")
        if self._id:
            self.by_id[self._id] = self.by_id.get(self._id, "") + data

    def handle_endtag(self, tag: str) -> None:
        self._id = ""
        self.text += " "

    def pictures(self) -> list[tuple[Image.Image, dict[str, str]]]:
        """Every picture, opened whole, with its attributes."""
        found = []
        for tag, attributes in self.attributes:
            if tag == "img":
                kind, _, data = attributes["src"].partition(",")
                assert kind in ("data:image/png;base64", "data:image/jpeg;base64")
                picture = Image.open(io.BytesIO(base64.b64decode(data, validate=True)))
                picture.load()
                found.append((picture, attributes))
        return found

    def check_self_contained(self) -> None:
        """Nothing runs, nothing is loaded, nothing leads away."""
        for tag, attributes in self.attributes:
            assert tag not in MAY_RUN_OR_LOAD
            for name, value in attributes.items():
                assert not name.startswith("on"), name
                assert name != "style"
                if name in ("src", "href", "srcset", "action", "data", "poster"):
                    assert value.startswith(("data:", "#")), value


def style_of(content: bytes) -> str:
    """The page's style sheet."""
    found = re.search(rb"<style>(.*?)</style>", content, re.DOTALL)
    assert found
    return found[1].decode()


def browse(page: Path, folder: Path, *flags: str) -> tuple[str, list[str]]:
    """Open a page in the browser: what it writes, and every line that reached the console."""
    assert BROWSER is not None
    done = subprocess.run(
        [
            BROWSER,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--hide-scrollbars",
            "--enable-logging=stderr",
            f"--user-data-dir={folder / 'profile'}",
            *flags,
            page.as_uri(),
        ],
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        timeout=120,
        check=True,
    )
    return done.stdout, [line for line in done.stderr.splitlines() if "CONSOLE" in line]


def page_of(folder: Path) -> Page:
    """The page of a directory, taken apart."""
    return Page(report_page(read_directory(folder)))


def edited(path: Path, change: Callable[[Any], object]) -> None:
    """Read a JSON file, change what it holds, write it."""
    found = json.loads(path.read_text(encoding="utf-8"))
    change(found)
    path.write_text(json.dumps(found), encoding="utf-8")
    sealed(path.parent)


def sealed(folder: Path) -> None:
    """Make the manifest anew for what is there now, as if the command itself had written it."""
    (path,) = folder.glob("*.manifest.json")
    found = json.loads(path.read_text(encoding="utf-8"))
    others = sorted(each for each in folder.iterdir() if each != path and each.is_file())
    found["files"] = {each.name: hashlib.sha256(each.read_bytes()).hexdigest() for each in others}
    path.write_text(json.dumps(found), encoding="utf-8")
