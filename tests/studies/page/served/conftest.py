"""One server for all tests that leave it as it is."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from typing import Any

import pytest

from tests.studies.page.served.page_server import PageServer, TestTab, gone, page_server, tab


@pytest.fixture(scope="package")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageServer]:
    """A server without files; SIGTERM ends it as it should end."""
    with page_server(tmp_path_factory.mktemp("runtime")) as running:
        yield running
        workers = running.workers()
        assert len(workers) >= 2
        assert running.ended(signal.SIGTERM) == 0
        assert gone(workers)
        stdout, stderr = running.process.communicate()
        assert (stdout, stderr) == ("", "")


@pytest.fixture
def page(server: PageServer) -> Iterator[TestTab]:
    """A tab of its own."""
    with tab(server) as opened:
        yield opened


@pytest.fixture(scope="package")
def corner(server: PageServer) -> Any:
    """The corner that a page without files begins with."""
    with tab(server) as opened:
        return opened.ask("open")["corners"][0]["corner"]
