"""glueline page: one page on this machine, on which a corner is changed, loaded and broken."""

from __future__ import annotations

import argparse
import contextlib
import errno
import os
import sys
from typing import TYPE_CHECKING

from glueline.studies.files.failures import InputError, InputProblem

if TYPE_CHECKING:
    import socket

PORT = 8419
"""Always the same, since a browser keeps what was kept on a page by its address."""


SECONDS_FOR_A_PICTURE = 1.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE, --port and --no-browser."""
    parser.add_argument(
        "files",
        metavar="FILE",
        nargs="*",
        help="specimen files (TOML) to begin with, and a rig file for loads as stacked weight; "
        "without one the page begins with an invented corner",
    )
    parser.add_argument(
        "--port",
        type=port_number,
        default=PORT,
        metavar="N",
        help=f"the port of this machine to serve on ({PORT}; 0 takes any free one, and the browser then "
        "finds nothing of what was kept on another)",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address, and leave it to you to open it"
    )
    parser.description = (
        "Serves one page on this machine alone, without a network, prints its address and opens it: change a "
        "corner in its sentence, pile weight on, see it break, keep corners side by side. Ctrl-C ends it."
    )


def port_number(text: str) -> int:
    """A port as typed. Raises argparse.ArgumentTypeError."""
    if text.isascii() and text.isdigit() and int(text[:9]) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} must be a whole number from 0 to 65535")


def run(arguments: argparse.Namespace) -> int:
    """Serve until Ctrl-C or SIGTERM."""
    held = _held(arguments.port)
    with held:
        return _served(arguments, held)


def _served(arguments: argparse.Namespace, held: socket.socket) -> int:
    import asyncio

    from glueline.studies.page.folders import folders_taken_away
    from glueline.studies.page.jobs import desks
    from glueline.studies.page.signals import Ended, ended_by_signals

    # The processes come first, since they take a while to load; what they have written goes after them.
    with (
        contextlib.suppress(Ended),
        ended_by_signals() as ending,
        folders_taken_away() as folders,
        desks() as (quick, long),
    ):
        from glueline.studies.page.opening import opening_of
        from glueline.studies.page.server import run_server, thread_for_words
        from glueline.studies.page.tabs import Hub
        from glueline.studies.page.token_file import kept_token

        opening = opening_of(arguments.files)
        first = opening.corners[0]
        for desk in (quick, long):
            desk.begin(opening.rig)
        quick.warm(first.corner, first.units)
        port = held.getsockname()[1]
        with kept_token(port) as token, thread_for_words() as thread:
            address = f"http://127.0.0.1:{port}/{token}/"
            hub = Hub(opening, quick, long, thread, folders)

            def started() -> None:
                _tell(address, not arguments.no_browser)
                # Not at once: the first picture needs both cores, for its own process and for the browser.
                loop = asyncio.get_running_loop()
                loop.call_later(SECONDS_FOR_A_PICTURE, long.warm, first.corner, first.units)

            run_server(held, token, hub, ending, started)
    return 0


def _tell(address: str, opens: bool) -> None:
    """Print the address on a line of its own, and open it."""
    with contextlib.suppress(OSError):  # nobody reads it, which ends no page
        print(address, flush=True)
    if opens:
        _open(address)


def _held(port: int) -> socket.socket:
    """The port, held from now on. Raises InputError where it cannot be."""
    from glueline.studies.page.ports import held_port

    try:
        return held_port(port)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            message = (
                "is taken, perhaps by a glueline page in another window: go on there, end it with Ctrl-C, or "
                f"give another port, such as --port {port + 1 if port < 65535 else PORT}"
            )
        else:
            message = f"cannot be served on ({error.strerror}); give another, such as --port {PORT}"
    raise InputError((InputProblem("command line", "--port", str(port), message),))


def _open(address: str) -> None:
    """Open the page in a browser with a window; where there is none the address on the line is all."""
    import threading
    import webbrowser

    windows = sys.platform in ("win32", "darwin") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY")
    )
    if windows:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
