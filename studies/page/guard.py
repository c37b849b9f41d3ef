"""Who may ask the server anything: this machine, under its own name, with the token of the address.

Whoever does not is told nothing: every such request gets the same answer.
"""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from typing import Any

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

NAMES = ("127.0.0.1", "localhost")
BODY = b"There is no such page.\n"


def policy(port: int) -> str:
    """What the page may load and who may show it: nothing from elsewhere, nobody.

    >>> policy(8419).split("; ")[:2]
    ["default-src 'none'", "script-src 'self'"]
    """
    sockets = " ".join(f"ws://{name}:{port}" for name in NAMES)
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        f"connect-src 'self' {sockets}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


@dataclass(frozen=True)
class Guard:
    """An application behind its token; a websocket must come from a page of this server as well."""

    application: Application
    token: str
    port: int

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand on what may pass, with the headers that every answer has; refuse all else alike."""
        if scope["type"] not in ("http", "websocket"):
            await self.application(scope, receive, send)
            return

        async def send_with_headers(message: MutableMapping[str, Any]) -> None:
            if message["type"] in ("http.response.start", "websocket.http.response.start"):
                message = {**message, "headers": [*message.get("headers", ()), *self._headers()]}
            await send(message)

        if self._may_pass(scope):
            await self.application(scope, receive, send_with_headers)
        else:
            await self._refuse(scope, send_with_headers)

    def _may_pass(self, scope: Scope) -> bool:
        given = scope["headers"]
        hosts = [value for name, value in given if name == b"host"]
        origins = [value for name, value in given if name == b"origin"]
        known = [f"{name}:{self.port}".encode() for name in NAMES]
        if len(hosts) != 1 or hosts[0] not in known:
            return False
        from_a_page = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if (origins or from_a_page) and origins != [b"http://" + hosts[0]]:
            return False
        first = scope["path"].lstrip("/").partition("/")[0]
        return secrets.compare_digest(first.encode("utf-8", "replace"), self.token.encode())

    def _headers(self) -> list[tuple[bytes, bytes]]:
        return [
            (b"content-security-policy", policy(self.port).encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
            (b"cache-control", b"no-store"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"cross-origin-opener-policy", b"same-origin"),
        ]

    async def _refuse(self, scope: Scope, send: Send) -> None:
        kind = "http"
        if scope["type"] == "websocket":
            if "websocket.http.response" not in scope.get("extensions", {}):
                await send({"type": "websocket.close"})
                return
            kind = "websocket.http"
        headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", b"%d" % len(BODY))]
        await send({"type": f"{kind}.response.start", "status": 404, "headers": headers})
        await send({"type": f"{kind}.response.body", "body": BODY})
