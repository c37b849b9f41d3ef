"""The token of the page's address, kept while the server runs: one that was killed finds it again."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

BYTES = 24  # 192 random bits
TOKEN = re.compile(r"[A-Za-z0-9_-]{32}", re.ASCII)


def token_path(port: int) -> Path:
    """The file that keeps the token of a port, in a place of the user's own where there is one."""
    own = os.environ.get("XDG_RUNTIME_DIR")
    folder = Path(own) if own and os.path.isdir(own) else Path(tempfile.gettempdir())
    user = f"-{os.getuid()}" if hasattr(os, "getuid") else ""
    return folder / f"glueline-page{user}-{port}"


@contextmanager
def kept_token(port: int) -> Iterator[str]:
    """The token for a port that is held: that of a server that was killed there, else a new one.

    Its file can be read by its owner only and is taken away on leaving. Where no file can be written there is
    a token without one.
    """
    path = token_path(port)
    token = _read(path)
    if token is None:
        token = secrets.token_urlsafe(BYTES)
        with contextlib.suppress(OSError):
            _write(path, token)
    try:
        yield token
    finally:
        if _read(path) == token:
            with contextlib.suppress(OSError):
                path.unlink()


def _read(path: Path) -> str | None:
    """The token in a file of this user's that nobody else can read or write, else None."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except OSError:
        return None
    with open(handle, "rb") as file:
        found = os.fstat(handle)
        own = not hasattr(os, "getuid") or (
            found.st_uid == os.getuid() and not stat.S_IMODE(found.st_mode) & 0o077
        )
        if not stat.S_ISREG(found.st_mode) or not own:
            return None
        text = file.read(100).decode("ascii", "replace").strip()
    return text if TOKEN.fullmatch(text) else None


def _write(path: Path, token: str) -> None:
    """Raises OSError; what stands there and is no token of ours is taken away first, if it can be."""
    with contextlib.suppress(FileNotFoundError):
        path.unlink()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), 0o600)
    with open(handle, "w", encoding="ascii") as file:
        file.write(token + "\n")
