"""A progress bar on a terminal that is gone at the end; nothing in a log."""

from __future__ import annotations

import threading
from typing import Any


def terminal_bar(**options: Any) -> Any:
    """One of tqdm's, made with its own ``options``.

    It has no thread that watches it: beside one, nothing would be shared out to copies of this process
    (``copies.py``).
    """
    from tqdm import tqdm

    class Bar(tqdm):  # type: ignore[misc]
        """One without that thread."""

        monitor_interval = 0

    # tqdm's own lock is shared with copies: one that ends while it holds it would stop this process for good.
    Bar.set_lock(threading.RLock())
    return Bar(**options, leave=False, disable=None)
