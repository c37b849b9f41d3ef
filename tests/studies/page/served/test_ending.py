"""How a server ends, by itself and by force, and what another finds."""

from __future__ import annotations

import os
import signal
import stat
from pathlib import Path

from tests.studies.command_lines import glueline
from tests.studies.page.served.page_server import gone, page_server, tab


def test_lost_processes_and_a_killed_server_are_made_good(tmp_path: Path) -> None:
    """A killed worker is replaced and its question answered; a killed server's address holds again."""
    with page_server(tmp_path) as server:
        workers = server.workers()
        with tab(server) as page:
            corner = page.ask("open")["corners"][0]["corner"]
            page.send("path", corner=corner, units="metric")
            assert page.hear()["answer"] == "steps"
            for number in workers:
                os.kill(number, signal.SIGKILL)
            assert gone(workers)
            assert page.hear_all("path", "failed")[-1]["answer"] == "path"
            page.send("stop", what="path")
            assert page.ask("elastic", corner=corner, units="metric")["answer"] == "scene"
        workers, address, port = server.workers(), server.address, server.port
        (kept,) = tmp_path.iterdir()
        assert stat.S_IMODE(kept.stat().st_mode) == 0o600
        assert server.ended(signal.SIGKILL) == -signal.SIGKILL
        assert gone(workers)
    with page_server(tmp_path, port=port) as server:
        assert server.address == address
        workers = server.workers()
        with tab(server) as page:
            page.send("path", corner=corner, units="metric")
            assert page.hear()["answer"] == "steps"
            assert server.ended(signal.SIGINT) == 0
        assert gone(workers)
        assert server.process.communicate() == ("", "")
        assert not list(tmp_path.iterdir())


def test_a_file_that_is_wrong_is_said_before_anything_is_served(tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_text("[boards]\n")
    done = glueline("page", "--no-browser", "--port", 0, tmp_path / "odd.toml", tmp_path / "none.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert "odd.toml: joint.kind" in done.stderr
    assert "none.toml: no such file" in done.stderr
