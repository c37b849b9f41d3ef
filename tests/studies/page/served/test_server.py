"""The page's server through real connections: what it answers, and what it tells nobody."""

from __future__ import annotations

import json
from typing import Any

import httpx
import pytest
from websockets.exceptions import InvalidStatus

from glueline.studies.commands import main
from glueline.studies.examples import example_path
from tests.studies.command_lines import glueline
from tests.studies.page.served.page_server import PageServer, TestTab, tab

TRAVERSALS = ("../messages.py", "..%2fmessages.py", "%2e%2e/messages.py", "/etc/passwd", "page.html%00", "")


def test_the_address_stands_alone_on_its_line(server: PageServer) -> None:
    assert server.address == f"http://127.0.0.1:{server.port}/{server.token}/"
    assert len(server.token) * 6 >= 128


def test_every_answer_has_its_headers(server: PageServer) -> None:
    for path in (server.address, f"http://{server.host}/", server.address + "static/no.js"):
        headers = httpx.get(path).headers
        assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'; ")
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"
        assert "server" not in headers


def test_without_the_token_nothing_is_told(server: PageServer) -> None:
    """A wrong token, none, another name of this machine: the same answer as for what is not there."""
    nothing = httpx.get(server.address + "static/no.js")
    assert nothing.status_code == 404
    other = f"http://{server.host}/{server.token[::-1]}/"
    refused = [
        httpx.get(f"http://{server.host}/"),
        httpx.get(other),
        httpx.get(other + "static/page.css"),
        httpx.get(server.address, headers={"Host": "corner.example"}),
        httpx.get(server.address, headers={"Host": "corner.example:80"}),
        httpx.post(server.address + "save/toml", content=b"{}"),
        httpx.post(server.address + "save/toml", content=b"{}", headers={"Origin": "http://corner.example"}),
        httpx.put(server.address),
        httpx.post(server.address + "save/other", content=b"{}", headers={"Origin": f"http://{server.host}"}),
    ]
    assert {(each.status_code, each.content) for each in refused} == {(404, nothing.content)}


@pytest.mark.parametrize("name", TRAVERSALS)
def test_only_listed_files_are_served(server: PageServer, name: str) -> None:
    """Sent as it stands, without a client that tidies paths up."""
    request = httpx.Request("GET", server.address)
    request.url = request.url.copy_with(raw_path=f"/{server.token}/static/{name}".encode())
    with httpx.Client() as client:
        assert client.send(request).status_code == 404


def test_a_websocket_comes_from_the_page_itself(server: PageServer) -> None:
    for origin in ("http://corner.example", "null", f"https://{server.host}", "http://127.0.0.1:1"):
        with pytest.raises(InvalidStatus) as refused, tab(server, origin):
            pass
        assert refused.value.response.status_code in (403, 404)


def test_without_files_it_begins_with_an_invented_corner(page: TestTab) -> None:
    opened = page.ask("open")
    assert opened["answer"] == "opened"
    assert opened["demo"] is True
    assert opened["rig"] is None
    assert opened["corners"][0]["corner"]["joint"]["kind"] == "finger"
    assert "eye protection" in opened["caution"]
    assert len(opened["scale"]) == 256


@pytest.mark.parametrize(
    "message",
    [
        "{",
        "[]",
        "\0",
        '{"ask": "everything", "number": 1}',
        '{"ask": "path"}',
        '{"ask": "elastic", "number": 1, "corner": [], "units": "metric"}',
        '{"ask": "elastic", "number": 1, "corner": {"joint": null}, "units": "metric"}',
        '{"ask": "elastic", "number": 1, "corner": {"a": 1e300}, "units": "metric"}',
        '{"ask": "elastic", "number": 1, "corner": {}, "units": "furlongs"}',
        '{"ask": "rank", "number": 1, "units": "metric", "kept": [{"name": "a", "answer": {}}]}',
        '{"ask": "stop", "number": 1, "what": "everything"}',
        "[" * 100_000,
        '{"ask": "elastic", "number": 1, "units": "metric", "corner": {"x": "' + "x" * 300_000 + '"}}',
        "x" * 3_000_000,
        b"\0\1\2\3",
    ],
)
def test_what_cannot_be_understood_is_refused(page: TestTab, message: str | bytes) -> None:
    """In words, and the connection stays."""
    page.socket.send(message)
    refused = page.hear()
    assert refused["answer"] == "refused"
    assert "Traceback" not in refused["message"]
    assert len(refused["message"]) < 500
    assert page.ask("open")["answer"] == "opened"


def test_no_file_is_read_that_was_not_opened(page: TestTab, corner: Any) -> None:
    own = {**corner, "glue": {"kind": "/etc/passwd"}}
    assert page.ask("elastic", corner=own, units="metric")["answer"] == "refused"
    odd = (("boards.wood", "/etc/passwd"), (" boards.wood ", '"../own.toml"'), ("glue.kind", "5 # /../own"))
    for key, value in odd:
        edit = {"key": key, "value": value}
        assert page.ask("sentence", corner=corner, units="metric", edit=edit)["answer"] == "refused"
        many = page.ask("many", corner=corner, units="metric", key=key, stops=["red oak", value])
        assert many["answer"] == "refused"
    assert page.ask("many", corner=corner, units="metric", key="own", stops=["1"])["answer"] == "refused"


def test_the_elastic_answer_is_that_of_predict(page: TestTab, corner: Any, capsys: Any) -> None:
    scene = page.ask("elastic", corner=corner, units="metric")
    capsys.readouterr()
    assert main(["predict", str(example_path("finger")), "--method", "elastic", "--json"]) == 0
    assert scene["headline"]["answer"] == json.loads(capsys.readouterr().out)


def test_what_is_wrong_with_a_corner_is_said(page: TestTab, corner: Any) -> None:
    for ask in ("elastic", "path"):
        failed = page.ask(ask, corner={**corner, "boards": {}}, units="metric")
        assert failed["answer"] == "failed"
        assert failed["number"] == page.number
        assert "boards.thickness" in failed["message"]


def test_a_script_in_a_text_comes_back_as_text(page: TestTab, server: PageServer, corner: Any) -> None:
    script = "<script>alert(1)</script>"
    odd = {**corner, "boards": {**corner["boards"], "wood": script}}
    # A path, by its strokes, which is refused; without them it is no wood.
    assert page.ask("elastic", corner=odd, units="metric")["answer"] == "refused"
    odd["boards"]["wood"] = script.replace("/", "")
    failed = page.ask("elastic", corner=odd, units="metric")
    assert "<script>alert(1)<script>" in failed["message"]
    saved = httpx.post(
        server.address + "save/toml",
        json={"corner": corner, "units": "metric", "name": f'{script}"\r\nX-Own: 1'},
        headers={"Origin": f"http://{server.host}"},
    )
    assert saved.status_code == 200
    assert "x-own" not in saved.headers
    assert saved.headers["content-disposition"] == 'attachment; filename="script_alert_1_script_x_own_1.toml"'


def test_a_taken_port_is_said_in_words(server: PageServer) -> None:
    done = glueline("page", "--no-browser", "--port", server.port)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"command line: --port = {server.port}: is taken")
    assert done.stderr.count("\n") == 1
