"""How often Python looks for what nobody needs any more."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

SELDOM = (
    50_000  # objects made since the last time; Python's own 700 has it look dozens of times while loading
)


@contextmanager
def seldom_collecting() -> Iterator[None]:
    """Inside, Python looks for lost rings of objects less often; for commands that are over soon.

    What is loaded and what a picture is made of stays alive, so there is little to find. A command that goes
    on for hours keeps Python's own way, since a lost ring may hold large matrices.

    >>> with seldom_collecting():
    ...     gc.get_threshold()[0]
    50000
    """
    before = gc.get_threshold()
    gc.set_threshold(SELDOM, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)
