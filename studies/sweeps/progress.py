"""Progress bars on standard error, for terminals and for logs."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

SELDOM = 10.0
"""Seconds between lines where standard error is a log rather than a terminal."""

QUIET = 0.5
"""Seconds before the first of them, so that a refusal stands alone."""


@contextmanager
def progress_bar(total: int, title: str, finished: int = 0, unit: str = "point") -> Iterator[Any]:
    """A bar of ``total`` points or other ``unit``; ``finished`` are there already, ``update()`` moves it.

    A thread watches it, so nothing is shared out beside it (``files/copies.py``): a sweep has as many
    processes as it was given.
    """
    from tqdm import tqdm

    seen = sys.stderr.isatty()

    class Bar(tqdm):  # type: ignore[misc]
        """One that says what is at work only when it writes a line anyway, so that a log has whole lines."""

        def set_postfix_str(self, s: str = "", refresh: bool = True) -> None:
            super().set_postfix_str(s, refresh and seen)

    with Bar(
        total=total,
        initial=finished,
        desc=title,
        unit=unit,
        file=sys.stderr,
        leave=not seen,
        mininterval=0.1 if seen else SELDOM,
        delay=0.0 if seen else QUIET,
    ) as bar:
        yield bar
