"""One browser for all tests of the page, and a made-up server for each."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

from tests.studies.page.fake_server import FakeServer
from tests.studies.page.visitor import Visitor

BROWSER = shutil.which("chromium")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A chromium; tests skip where there is none."""
    if BROWSER is None:
        pytest.skip("no chromium here; Debian's package is chromium")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as started:
        opened = started.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def running_server() -> Iterator[FakeServer]:
    """Started once for a file of tests."""
    server = FakeServer()
    server.start()
    yield server
    server.stop()


@pytest.fixture
def server(running_server: FakeServer) -> FakeServer:
    """As if just started."""
    running_server.forget()
    return running_server


@pytest.fixture
def visitor(browser: Any, server: FakeServer) -> Iterator[Visitor]:
    """A maker before the page, whose corner has been followed to its band; nothing is said on the console."""
    visitor = Visitor(browser, server)
    visitor.settle()
    yield visitor
    visitor.leave()
