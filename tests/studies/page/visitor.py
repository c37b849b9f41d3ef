"""What a maker does on the page, in a browser."""

from __future__ import annotations

import re
import time
from typing import Any

from tests.studies.page.fake_server import FakeServer

PATIENCE = 15_000
REPORTS = "Performance"  # what a graphics driver says of its own speed


class Visitor:
    """A browser window with storage of its own."""

    def __init__(self, browser: Any, server: FakeServer, width: int = 1280, height: int = 720) -> None:
        self.server = server
        self.context = browser.new_context(viewport={"width": width, "height": height}, accept_downloads=True)
        self.context.set_default_timeout(PATIENCE)
        self.console: list[str] = []
        self.may_complain = False
        self.page = self.tab()

    def tab(self) -> Any:
        """One more tab of the same browser."""
        page = self.context.new_page()
        page.on("console", lambda said: self._hear(said.type, said.text))
        page.on("pageerror", lambda error: self._hear("error", str(error)))
        page.goto(self.server.address)
        return page

    def _hear(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and REPORTS not in text:
            self.console.append(text)

    def leave(self) -> None:
        """Nothing was said on the console, unless the program was gone."""
        self.context.close()
        if not self.may_complain:
            assert self.console == []

    def settle(self, page: Any = None) -> None:
        """Until the band of the corner has come."""
        done = (
            "document.querySelector('.band')?.textContent && !document.querySelector('.progress').textContent"
        )
        self.until(done, page=page)

    def until(self, what: str, argument: Any = None, page: Any = None) -> None:
        """Until an expression of the page is true. The page's policy forbids a browser's own way to wait."""
        end = time.monotonic() + PATIENCE / 1000
        while not (page or self.page).evaluate(what, argument):
            assert time.monotonic() < end, f"still not so: {what} {argument or ''}"
            time.sleep(0.03)

    def word(self, key: str) -> Any:
        return self.page.locator(f'[data-key="{key}"]')

    def says(self, text: str) -> None:
        """Until the sentence has a text; what stands in an open panel does not count."""
        self.until(
            """text => {
                const line = document.querySelector('.sentence-line').cloneNode(true);
                line.querySelector('.word-panel')?.remove();
                return line.textContent.includes(text);
            }""",
            text,
        )

    def point(self, name: str) -> Any:
        """Of a question of many, by what is read of it aloud."""
        spaced = re.sub(r"(\\ )|([,:])", r"\\s*\2", re.escape(name)).replace("/", ".")
        return self.page.get_by_role("button", name=re.compile(f"^\\s*{spaced}\\s*$"))

    def load(self) -> str:
        return str(self.page.locator("#headline .break-load").text_content())

    def loads(self, text: str) -> None:
        """Until the break load reads so, with its band."""
        self.until("text => document.querySelector('#headline .break-load')?.textContent === text", text)
        self.settle()

    def focused(self) -> str:
        """The key of the word that has the focus, or the identity of what else has."""
        found = self.page.evaluate("document.activeElement.dataset.key || document.activeElement.id || ''")
        return str(found)

    def keep(self) -> None:
        count = self.page.locator(".card").count()
        self.page.click("#keep")
        self.until("count => document.querySelectorAll('.card').length === count", count + 1)

    def names(self) -> list[str]:
        """Of the kept corners, in their order."""
        return [str(each) for each in self.page.locator(".card h3").all_text_contents()]
