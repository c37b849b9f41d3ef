"""A port of this machine, held before anything slow begins."""

from __future__ import annotations

import os
import socket

HERE = "127.0.0.1"


def held_port(port: int) -> socket.socket:
    """A socket that listens on this machine alone, on a port or, for 0, on any free one. Raises OSError.

    >>> with held_port(0) as held:
    ...     held.getsockname()[0]
    '127.0.0.1'
    """
    held = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere this option would let two programs share a port
            held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        held.bind((HERE, port))
        held.listen()
    except OSError:
        held.close()
        raise
    return held
