"""A progress bar on a terminal that is gone at the end; nothing in a log."""

from __future__ import annotations

from typing import Any


def terminal_bar(**words: Any) -> Any:
    """One of tqdm's, made with its own ``words``.

    It has no thread that watches it: beside one, nothing would be shared out to copies of this process
    (``copies.py``).
    """
    from tqdm import tqdm

    class Bar(tqdm):  # type: ignore[misc]
        """One without that thread."""

        monitor_interval = 0

    return Bar(**words, leave=False, disable=None)
